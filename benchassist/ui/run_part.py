"""The painted parts of a run: its figures, what to do now or the alarm, what happened, strokes."""

from dataclasses import dataclass, replace

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.paint.stroke import ROUND, line, pen
from benchassist.services.runs.view import Figure, Tally
from benchassist.ui.cap import paint_triangle
from benchassist.ui.flash import Flash
from benchassist.ui.lettering import CAPITAL, Style, paragraph, row, runs, wrapped_height
from benchassist.ui.part import Part
from benchassist.ui.run_layout import NOTES

LABEL = 22.0
LARGEST, SECOND = 172, 64
ROW = 58.0


@dataclass(frozen=True, slots=True)
class Guide:
    """The one thing to do now; an alarm or a warning takes its place."""

    label: str = ""
    text: str = ""
    warning: str = ""
    alarm: str = ""


class GuideLine(Part[Guide]):
    """One line, read from the bench; inverted while an alarm holds."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Guide(), parent)

    def words(self) -> str:
        """What shows."""
        guide = self.value
        return guide.alarm or guide.warning or f"{guide.label} {guide.text}".strip()

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Lead word and sentence; alarm and warning behind their triangle."""
        guide = self.value
        px = 34 if room.height() > 50.0 else 26
        if guide.alarm:
            painter.fillRect(room, QColor(palette.out_text))
            sign = QRectF(8, 3, room.height(), room.height() - 6)
            paint_triangle(painter, sign, palette.panel, palette.out_text)
            words = room.adjusted(room.height() + 18, 0, -8, 0)
            row(painter, words, guide.alarm, Style(px=px + 2, weight=800, color=palette.panel))
            return
        if guide.warning:
            sign = QRectF(0, 3, room.height(), room.height() - 6)
            paint_triangle(painter, sign, palette.ink, palette.panel)
            words = room.adjusted(room.height() + 10, 0, 0, 0)
            row(painter, words, guide.warning, Style(px=px, weight=700, color=palette.ink))
            return
        if guide.text:
            self._paint_guide(painter, room, palette, px)

    def _paint_guide(self, painter: QPainter, room: QRectF, palette: Palette, px: int) -> None:
        """On one line where it can be read, else wrapped."""
        guide = self.value
        label = f"{guide.label} " if guide.label else ""
        lead = Style(px=px, weight=800, color=palette.ink)
        rest = Style(px=px, weight=500, color=palette.ink)
        if lead.sized(20).width(label) + rest.sized(20).width(guide.text) <= room.width():
            runs(painter, room, ((label, lead), (guide.text, rest)), least=20)
        else:
            paragraph(painter, room, label + guide.text, rest, least=15, upright=0.5)


class Figures(Part[tuple[Figure, ...]]):
    """The large number and those beside it, each under its label."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__((), parent)
        self._flash = Flash(self)

    def flash(self) -> None:
        """Show inverted for a moment: an alarm has just come."""
        self._flash.begin()

    @property
    def flashing(self) -> bool:
        """Whether it shows inverted at this moment."""
        return self._flash.isActive()

    def words(self) -> str:
        """Each label with its value."""
        return ". ".join(
            f"{f.label}: {f.digits or f.words} {f.unit}".strip()
            for f in self.value
            if f.digits or f.words
        )

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """The first takes half of the width, the others share the rest."""
        figures = self.value
        if not figures:
            return
        if self.flashing:
            painter.fillRect(room, QColor(palette.ink))
            palette = replace(palette, ink=palette.bench, dim=palette.bench)
        count = len(figures)
        first = room.width() * (1.0 if count == 1 else 0.6 if count == 2 else 0.5)
        places = [QRectF(0, 0, first - 12, room.height())]
        for i in range(count - 1):
            wide = (room.width() - first) / (count - 1)
            places.append(QRectF(first + i * wide, 0, wide - 12, room.height()))
        for i, (figure, place) in enumerate(zip(figures, places, strict=True)):
            self._paint_one(painter, place, figure, palette, LARGEST if i == 0 else SECOND)

    def _paint_one(
        self, painter: QPainter, room: QRectF, figure: Figure, palette: Palette, largest: int
    ) -> None:
        label = Style(px=19, weight=500, color=palette.dim)
        row(painter, QRectF(room.left(), 0, room.width(), LABEL), figure.label, label, least=13)
        below = room.adjusted(0, LABEL + 2, 0, 0)
        high = largest if largest > SECOND else round(SECOND * max(1.0, room.height() / 170.0))
        px = min(high, int(below.height() / 0.84))
        if figure.words:
            style = Style(px=min(px, 70), weight=800, color=palette.ink)
            row(painter, below, figure.words, style, least=22)
            return
        if not figure.digits:
            wide = 0.36 * px
            for x in (room.left() + 4, room.left() + 4 + 1.8 * wide):
                bar = QRectF(x, below.center().y() - 0.06 * px, wide, 0.12 * px)
                painter.fillRect(bar, QColor(palette.faint))
            return
        while px > 26 and _wide(figure, px) > room.width():
            px -= 2
        colour = palette.faint if figure.old else palette.ink
        big = Style(px=px, weight=800, color=colour)
        wide = big.width(figure.digits)
        below = below.translated(0, -0.07 * px)  # a unit such as rpm hangs below the digits
        left = QRectF(room.left(), below.top(), wide + px, below.height())
        row(painter, left, figure.digits, big, least=px)
        if figure.unit:
            small = Style(px=round(px / 2), weight=600, color=palette.dim)
            drop = CAPITAL * (px - px // 2) / 2.0
            place = QRectF(
                room.left() + wide + 0.12 * px, below.top() + drop, px * 3, below.height()
            )
            row(painter, place, figure.unit, small, least=small.px)
        if figure.old:
            y = below.center().y() + 0.04 * px
            struck = pen(palette.dim, max(4.0, 0.05 * px))
            line(painter, (room.left(), y), (room.left() + wide + 4, y), struck)


def _wide(figure: Figure, px: int) -> float:
    big = Style(px=px, weight=800, color="#000000").width(figure.digits)
    small = Style(px=round(px / 2), weight=600, color="#000000").width(figure.unit)
    return big + (0.14 * px + small if figure.unit else 0.0)


class TallyStrokes(Part[Tally | None]):
    """Strokes for what is done, dots for what is still asked for."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(None, parent)

    def words(self) -> str:
        """Label and count."""
        return f"{self.value.label}: {self.value.text}" if self.value is not None else ""

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Label above, strokes, count below."""
        tally = self.value
        if tally is None:
            return
        label = Style(px=19, weight=500, color=palette.dim)
        row(painter, QRectF(0, 0, room.width(), LABEL), tally.label, label, least=13)
        count = Style(px=24, weight=800, color=palette.ink)
        row(painter, QRectF(0, room.height() - 30, room.width(), 30), tally.text, count, least=15)
        top, bottom = LABEL + 8.0, room.height() - 38.0
        strokes = max(tally.of, tally.done, 1)
        step = min(36.0, room.width() / strokes)
        if bottom - top < 12.0:
            return
        for i in range(strokes):
            x = 8.0 + i * step
            done = i < tally.done
            stroke = pen(
                palette.ink if done else palette.faint,
                7.0 if done else 6.0,
                cap=ROUND,
                dash=() if done else (0.1, 10.0),
            )
            line(painter, (x + 4.0, top), (x, bottom), stroke)


class Notes(Part[tuple[str, ...]]):
    """Small lines below the verdict on one row; before a run starts, a paragraph each."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__((), parent)

    def words(self) -> str:
        """All of them."""
        return " ".join(self.value)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """One after the other."""
        if room.height() < 2.0 * NOTES:
            style = Style(px=17, weight=400, color=palette.dim)
            paragraph(painter, room, " ".join(self.value), style, least=13, upright=1.0)
            return
        style = Style(px=22, weight=400, color=palette.ink)
        while style.px > 14 and self._height(room.width(), style) > room.height():
            style = style.sized(style.px - 1)
        y = 0.0
        for text in self.value:
            where = QRectF(0, y, room.width(), room.height() - y)
            y += paragraph(painter, where, text, style, least=12) + 8.0

    def _height(self, width: float, style: Style) -> float:
        return sum(wrapped_height(text, width, style) + 8.0 for text in self.value)
