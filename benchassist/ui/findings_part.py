"""Lines of the findings: what may not be named, what is left, what contradicts, what was done."""

from dataclasses import dataclass, replace

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.paint.stroke import ROUND, pen, polygon, shape
from benchassist.ui.bench_part import Heading
from benchassist.ui.lettering import RIGHT, Style, paragraph, row
from benchassist.ui.part import Part

FOOT_LINE = 22.0


class FindingsTitle(Part[Heading]):
    """The title as large as its row allows, a quiet word beside it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Heading(), parent)

    def words(self) -> str:
        """Title and word."""
        return ". ".join(t for t in (self.value.title, self.value.step_text) if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Long words, such as what the marks mean, are set small."""
        px = 40 if room.height() > 40.0 else 24
        title = Style(px=px, weight=800, color=palette.ink)
        beside = self.value.step_text
        small = len(beside) > LONG
        word = Style(
            px=17 if small else min(24, px),
            weight=400 if small else 700,
            color=palette.dim,
            align=RIGHT,
        )
        taken = row(painter, room, self.value.title, title.sized(_fitting(self.value, room, px)))
        drop = 0.3 * px if small else 0.2 * px
        rest = room.adjusted(taken.width() + 20, drop if px > 30 else 0, 0, 0)
        row(painter, rest, beside, word, least=12)


LONG = 24
"""Characters of a word beside a title from which it is a sentence."""


def _fitting(heading: Heading, room: QRectF, px: int) -> int:
    """The title's size: what stands beside it keeps the room it needs at its smallest."""
    wide = Style(px=13, weight=700, color="#000000").width(heading.step_text) + 24.0
    while px > 20 and (
        Style(px=px, weight=800, color="#000000").width(heading.title) > room.width() - wide
    ):
        px -= 1
    return px


class Headline(Part[str]):
    """That no cause may be named yet, and why; one that may be is large in the ranking itself."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("", parent)

    def words(self) -> str:
        """The line."""
        return self.value

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """One line, two where it is long."""
        style = Style(px=25, weight=700, color=palette.ink)
        paragraph(painter, room, self.value, style, least=17, upright=0.4)


def headline_lines(text: str, width: float) -> int:
    """How many lines it takes: 0, 1 or 2."""
    if not text:
        return 0
    return 1 if Style(px=21, weight=700, color="#000000").width(text) <= width else 2


@dataclass(frozen=True, slots=True, kw_only=True)
class FootShown:
    """What is left below the ranking: more rows, something else, whose weights these are."""

    more: str = ""
    other: str = ""
    weights: str = ""


class FootLine(Part[FootShown]):
    """What is left on the left, whose judgement on the right; one below the other if narrow."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(FootShown(), parent)

    def words(self) -> str:
        """All of it."""
        shown = self.value
        return ". ".join(t.rstrip(".") for t in (shown.more, shown.other, shown.weights) if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Two texts."""
        shown = self.value
        left = Style(px=16, weight=600, color=palette.ink)
        right = Style(px=16, weight=400, color=palette.dim, align=RIGHT)
        text = left_of(shown)
        if room.height() > 1.5 * FOOT_LINE:
            half = room.height() / 2.0
            row(painter, QRectF(0, 0, room.width(), half), text, left, least=12)
            plain = Style(px=16, weight=400, color=palette.dim)
            row(painter, QRectF(0, half, room.width(), half), shown.weights, plain, least=12)
            return
        taken = row(painter, room, text, left, least=12)
        rest = room.adjusted(taken.width() + (18 if text else 0), 0, 0, 0)
        row(painter, rest, shown.weights, right, least=12)


def left_of(shown: FootShown) -> str:
    """The left text of the foot line."""
    return "   ".join(t for t in (shown.more, shown.other) if t)


def foot_height(shown: FootShown, width: float) -> float:
    """The height the foot line asks for."""
    text = left_of(shown)
    if not text and not shown.weights:
        return 0.0
    style = Style(px=15, weight=600, color="#000000")
    both = style.width(text) + style.width(shown.weights) + 24.0
    return (2.0 if text and shown.weights and both > width else 1.0) * FOOT_LINE + 4.0


ALOUD = 26.0
ALOUD_STYLE = Style(px=18, weight=600, color="#000000")
INSET = 36.0


def aloud_heights(texts: tuple[str, ...], width: float) -> tuple[float, ...]:
    """What each line takes: one row where it can be read on one, else two."""
    style = ALOUD_STYLE.sized(16)
    return tuple(ALOUD if style.width(text) <= width - INSET else 1.7 * ALOUD for text in texts)


class Aloud(Part[tuple[str, ...]]):
    """Contradictions, each behind the saw line that its mark carries."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__((), parent)

    def words(self) -> str:
        """All of them."""
        return " ".join(self.value)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """A line each, two where it is long."""
        y, style = 0.0, replace(ALOUD_STYLE, color=palette.out_text)
        for text, high in zip(self.value, aloud_heights(self.value, room.width()), strict=True):
            paint_saw(painter, QRectF(2, y, 24, ALOUD), palette)
            words = QRectF(INSET, y, room.width() - INSET, high)
            paragraph(painter, words, text, style, least=13, upright=0.5)
            y += high


def paint_saw(painter: QPainter, room: QRectF, palette: Palette) -> None:
    """The saw line: something says otherwise."""
    step, y = room.width() / 6.0, room.center().y()
    points = [(room.left() + i * step, y + (3.0 if i % 2 else -3.0)) for i in range(7)]
    shape(painter, polygon(points, closed=False), stroke=pen(palette.out_text, 2.4, cap=ROUND))


class DoneLine(Part[str]):
    """What was done just now: quiet, where a problem would stand inverted."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("", parent)

    def words(self) -> str:
        """The line."""
        return self.value

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """A bar in ink at its left, then the words."""
        painter.fillRect(room, QColor(palette.well))
        painter.fillRect(QRectF(0, 0, 5, room.height()), QColor(palette.ink))
        style = Style(px=19, weight=600, color=palette.ink)
        row(painter, room.adjusted(16, 0, -10, 0), self.value, style, least=13)
