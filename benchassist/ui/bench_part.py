"""The painted parts of the bench besides number and slip: each one piece of a `BenchView`."""

from dataclasses import dataclass, replace

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QWidget

from benchassist.core.band import Side, Verdict
from benchassist.core.ruler import Ruler
from benchassist.paint.band_ruler import paint_band_ruler
from benchassist.paint.glyph import paint_verdict_glyph
from benchassist.paint.palette import Palette
from benchassist.paint.sketch import paint_sketch
from benchassist.paint.strip_plot import paint_strip_plot
from benchassist.services.bench.view import Strip
from benchassist.services.translation import _
from benchassist.ui.lettering import RIGHT, Style, paragraph, row, runs
from benchassist.ui.panel import paint_panel
from benchassist.ui.part import Part
from benchassist.ui.sketch_words import sketch_words

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
            t
            for t in (
                ruler.reading_label,
                ruler.band_label,
                ruler.own_label,
                ruler.earlier_label,
            )
            if t
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
        if shown.text:
            wide = -18.0
            if shown.verdict is not None:
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
            x = words.left() + self._paint_word(painter, words, tuple(parts)) + 24
        self._paint_reasons(painter, QRectF(x, 0, room.width() - x, high), palette, big=big)

    def _paint_word(
        self, painter: QPainter, room: QRectF, parts: tuple[tuple[str, Style], ...]
    ) -> float:
        """On one line, never under 24 units; what is longer takes two. Returns its width."""
        if sum(style.sized(24).width(text) for text, style in parts) <= room.width():
            return runs(painter, room, parts, least=24)
        text = "".join(text for text, _style in parts)
        paragraph(painter, room, text, parts[0][1].sized(24), least=17, upright=0.5)
        return room.width()

    def _paint_reasons(
        self, painter: QPainter, room: QRectF, palette: Palette, *, big: bool
    ) -> None:
        reasons = self.value.reasons
        if not reasons or room.width() < 40.0:
            return
        style = Style(px=28 if big else 20, weight=400, color=palette.dim, align=RIGHT)
        if not self.value.text:
            style = replace(style, align=0.0, color=palette.ink, px=34 if big else 24)
        paragraph(painter, room, "\n".join(reasons), style, upright=0.5)
