"""The painted parts of the bench besides number and slip: each one piece of a `BenchView`."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.core.band import Side, Verdict
from benchassist.core.ruler import Ruler
from benchassist.paint.band_ruler import paint_band_ruler
from benchassist.paint.glyph import paint_verdict_glyph
from benchassist.paint.palette import Palette
from benchassist.paint.sketch import paint_sketch
from benchassist.paint.strip_plot import paint_strip_plot
from benchassist.services.bench_view import RibbonItem, Strip
from benchassist.services.translation import _
from benchassist.ui.cap import paint_triangle
from benchassist.ui.crowd import Crowd
from benchassist.ui.lettering import CENTRE, RIGHT, Style, paragraph, row, runs, wrapped_height
from benchassist.ui.panel import paint_panel
from benchassist.ui.part import Part, Target
from benchassist.ui.sketch_words import sketch_words

NAMED = 70.0
"""Width from which a step of the ribbon shows its name."""


# --- ribbon -------------------------------------------------------------------------------------


class RibbonTarget(Target[RibbonItem]):
    """One step of the ribbon; a press goes there."""

    def words(self) -> str:
        """Number and name."""
        return f"{self.value.number} {self.value.short}"

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Number, verdict sign, name; only number and sign where it is narrow."""
        item = self.value
        ground = palette.ink if item.current else palette.well
        done = item.ink.value in {"ink", "pencil", "struck"}
        colour = palette.bench if item.current else (palette.ink if done else palette.faint)
        painter.fillRect(room, QColor(ground))
        narrow = room.width() < NAMED
        number = Style(px=15, weight=800, color=colour)
        low = room.height() < 30.0
        if narrow:
            number = replace(number, align=CENTRE)
        left = 1 if narrow else 8
        row(
            painter,
            QRectF(left, 2, room.width() - 1.5 * left, 19),
            str(item.number),
            number,
            least=9,
        )
        if item.verdict is not None and not item.current and not (narrow and low):
            sign = QRectF(room.width() - 35, 4, 27, 13)
            if narrow and not low:
                sign = QRectF(1, 25, room.width() - 2, 14)
            paint_verdict_glyph(painter, sign, item.verdict, item.side, palette)
        elif item.ink.value == "skipped" and not item.current:
            dash = QRectF(room.width() - 22, 10, 12, 2.5)
            painter.fillRect(dash, QColor(palette.faint))
        if not narrow and not low:
            name = Style(px=15, weight=500, color=colour)
            row(painter, QRectF(8, 20, room.width() - 14, 20), item.short, name, least=11)


class Ribbon(Crowd[tuple[RibbonItem, ...], RibbonItem]):
    """All steps in a row. Where they are many, only the current one keeps its name."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__((), parent)

    def items(self) -> Sequence[RibbonItem]:
        """The steps."""
        return self.value

    def make(self, item: RibbonItem) -> RibbonTarget:
        """A step."""
        return RibbonTarget(item)

    def token(self, item: RibbonItem) -> str:
        """The check's key."""
        return item.key

    def places(self, items: Sequence[RibbonItem], room: QRectF) -> list[QRectF | None]:
        """Side by side, all of one width while names fit."""
        gap = 4.0
        wide = room.width() - gap * (len(items) - 1)
        even = current = wide / max(1, len(items))
        if even < NAMED and len(items) > 1:
            current = min(150.0, max(even, wide * 0.18))
            even = (wide - current) / (len(items) - 1)
        x, places = 0.0, list[QRectF | None]()
        for item in items:
            width = current if item.current else even
            places.append(QRectF(x, 0, width, room.height()))
            x += width + gap
        return places


# --- title and instructions ---------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Heading:
    """The step's title and where it stands."""

    title: str = ""
    step_text: str = ""


class Title(Part[Heading]):
    """The title, as large as fits beside the step's number."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Heading(), parent)

    def words(self) -> str:
        """Title and step."""
        return f"{self.value.title}. {self.value.step_text}"

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Title left, step right, on one line."""
        big = room.height() > 60.0
        step = Style(px=40 if big else 24, weight=700, color=palette.dim, align=RIGHT)
        taken = row(painter, room.adjusted(0, 4, 0, 4), self.value.step_text, step)
        left = room.adjusted(0, 0, -taken.width() - 24, 0)
        title = Style(px=68 if big else 40, weight=800, color=palette.ink)
        row(painter, left, self.value.title, title, least=20)


@dataclass(frozen=True, slots=True)
class Instructions:
    """Pairs of lead word and sentence."""

    pairs: tuple[tuple[str, str], ...] = ()


class Lines(Part[Instructions]):
    """What to set and where to touch: 28 units where they fit, never under 20 on one line."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Instructions(), parent)

    def words(self) -> str:
        """Both, in order."""
        return " ".join(f"{label} {text}" for label, text in self.value.pairs)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """One row each, of one size; broken into more rows where one will not do."""
        pairs = self.value.pairs
        if not pairs:
            return
        big = room.height() > 90.0
        px, least = (48, 34) if big else (28, 22)
        while px > least and any(self._width(pair, px) > room.width() for pair in pairs):
            px -= 1
        high = room.height() / max(2, len(pairs))
        for i, pair in enumerate(pairs):
            rect = QRectF(0, i * high, room.width(), high)
            lead = Style(px=px, weight=800, color=palette.ink)
            rest = Style(px=px, weight=500, color=palette.ink)
            if self._width(pair, 18) <= room.width():
                runs(painter, rect, ((f"{pair[0]} ", lead), (pair[1], rest)), least=18)
            else:
                text = f"{pair[0]} {pair[1]}"
                paragraph(painter, rect, text, rest, least=15, upright=0.5)

    def _width(self, pair: tuple[str, str], px: int) -> float:
        lead = Style(px=px, weight=800, color="#000000").width(f"{pair[0]} ")
        return lead + Style(px=px, weight=500, color="#000000").width(pair[1])


# --- what must be seen ---------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Cautions:
    """The cautions of a step, `shorts` in a few words each.

    `waiting`: they stand in full in the panel below.
    """

    texts: tuple[str, ...] = ()
    shorts: tuple[str, ...] = ()
    waiting: bool = False


class CautionRow(Part[Cautions]):
    """Every caution in a few words, while the work is done; before it, where to read."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Cautions(), parent)

    def words(self) -> str:
        """All cautions in full, whatever shows."""
        return " ".join(self.value.texts)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Triangle and text."""
        paint_panel(painter, room, palette, edge=2.0)
        big = room.height() > 60.0
        wide = 60.0 if big else 30.0
        sign = QRectF(10, 5, wide, room.height() - 11)
        paint_triangle(painter, sign, palette.ink, palette.panel)
        words = room.adjusted(wide + 22, 2, -10, -2)
        style = Style(px=32 if big else 20, weight=600, color=palette.ink)
        if self.value.waiting and not big:
            row(painter, words, _("Read the cautions below before you touch."), style)
            return
        shorts = self.value.shorts or tuple(first_sentence(text) for text in self.value.texts)
        text = " · ".join(short.rstrip(".") for short in shorts)
        paragraph(painter, words, text, style, least=11, upright=0.5)


def first_sentence(text: str) -> str:
    """A text up to its first full stop, that included."""
    head, stop, _rest = text.partition(". ")
    return head + stop.strip()


class CautionPanel(Part[tuple[str, ...]]):
    """All cautions of the step in full: read before the probes touch."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__((), parent)

    def words(self) -> str:
        """All of them."""
        return " ".join(self.value)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """One below the other beside one triangle, as large as they all fit."""
        paint_panel(painter, room, palette, edge=2.0)
        inner = room.adjusted(CAUTION_INSET, 9, -14, -9)
        style = Style(px=24, weight=500, color=palette.ink)
        while style.px > 13 and _cautions_height(self.value, inner.width(), style) > inner.height():
            style = style.sized(style.px - 1)
        spare = inner.height() - _cautions_height(self.value, inner.width(), style)
        y = inner.top() + max(0.0, spare) / 2.0
        paint_triangle(painter, QRectF(14, y, 44, 40), palette.ink, palette.panel)
        for text in self.value:
            high = wrapped_height(text, inner.width(), style)
            where = QRectF(inner.left(), y, inner.width(), high)
            paragraph(painter, where, text, style, least=style.px)
            y += high + 6.0


CAUTION_INSET = 74.0


def _cautions_height(texts: tuple[str, ...], width: float, style: Style) -> float:
    return sum(wrapped_height(text, width, style) + 6.0 for text in texts) - 6.0


def caution_panel_height(texts: tuple[str, ...], width: float) -> float:
    """The height in which cautions can be read at 16 units."""
    style = Style(px=16, weight=500, color="#000000")
    return _cautions_height(texts, width - CAUTION_INSET - 14.0, style) + 18.0 if texts else 0.0


# --- drawing, ruler, strip ----------------------------------------------------------------------


class Sketch(Part[str]):
    """The drawing of where the probes go."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("", parent)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """On a panel of its own."""
        paint_panel(painter, room, palette)
        if self.value:
            inner = room.adjusted(2, 2, -2, -2)
            paint_sketch(painter, inner, self.value, sketch_words(self.value), palette)


@dataclass(frozen=True, slots=True)
class PanelShown:
    """Band ruler, or the strip of the last minute in its place."""

    ruler: Ruler | None = None
    strip: Strip | None = None


class RulerPanel(Part[PanelShown]):
    """The reading against its band."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(PanelShown(), parent)

    def words(self) -> str:
        """The strip's summary, or the labels of the ruler."""
        strip, ruler = self.value.strip, self.value.ruler
        if strip is not None:
            return strip.summary
        if ruler is None:
            return ""
        return ". ".join(
            t for t in (ruler.reading_label, ruler.band_label, ruler.earlier_label) if t
        )

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """On a panel, inset by 16."""
        paint_panel(painter, room, palette)
        strip, ruler = self.value.strip, self.value.ruler
        inner = room.adjusted(16, 6, -16, -6)
        if strip is not None:
            marks = ((-60.0, _("60 s ago")), (-30.0, _("30 s ago")), (0.0, _("now")))
            paint_strip_plot(painter, inner, strip, palette, marks=marks)
        elif ruler is not None:
            paint_band_ruler(painter, inner, ruler, palette, legend=room.height() > 140.0)


# --- verdict ------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class VerdictShown:
    """The verdict in words, its sign, and why."""

    verdict: Verdict | None = None
    side: Side | None = None
    text: str = ""
    so_far: str = ""
    reasons: tuple[str, ...] = ()


class VerdictRow(Part[VerdictShown]):
    """Sign, word, and the reasons at the right."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(VerdictShown(), parent)

    def words(self) -> str:
        """Verdict and reasons."""
        shown = self.value
        return ". ".join((f"{shown.text} {shown.so_far}".strip(), *shown.reasons))

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """The word keeps its size; the reasons take what is left."""
        shown = self.value
        big = room.height() > 60.0
        high = room.height()
        x = 0.0
        if shown.verdict is not None and shown.text:
            wide = 170.0 if big else 106.0
            sign = QRectF(0, 2, wide, high - 4)
            paint_verdict_glyph(painter, sign, shown.verdict, shown.side, palette)
            colour = palette.text(shown.verdict)
            px = 64 if big else 40
            strong = Style(px=px, weight=800, color=colour)
            parts = [(shown.text, strong)]
            if shown.so_far:
                parts.append((f" {shown.so_far}", replace(strong, weight=400)))
            words = QRectF(wide + 18, -2, room.width() - wide - 18, high)
            x = words.left() + runs(painter, words, tuple(parts), least=24) + 24
        self._paint_reasons(painter, QRectF(x, 0, room.width() - x, high), palette, big=big)

    def _paint_reasons(
        self, painter: QPainter, room: QRectF, palette: Palette, *, big: bool
    ) -> None:
        reasons = self.value.reasons
        if not reasons or room.width() < 40.0:
            return
        style = Style(px=28 if big else 20, weight=400, color=palette.dim, align=RIGHT)
        if self.value.verdict is None or not self.value.text:
            style = replace(style, align=0.0, color=palette.ink, px=34 if big else 24)
        paragraph(painter, room, "\n".join(reasons), style, upright=0.5)
