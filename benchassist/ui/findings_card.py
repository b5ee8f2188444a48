"""The cards beside the next test: the series check, replace or keep, and rows that open rooms."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QWidget

from benchassist.core.path import Closure
from benchassist.paint import break_even, series_bar
from benchassist.paint.break_even import BreakEven, paint_break_even
from benchassist.paint.palette import Palette
from benchassist.paint.series_bar import SeriesBar, paint_series_bar
from benchassist.services.findings.view import SeriesCard, StakeCard
from benchassist.ui.findings_text import Piece, paint_column
from benchassist.ui.lettering import Style, row
from benchassist.ui.panel import paint_panel
from benchassist.ui.part import Part, Target

INSET = 18.0


class SeriesPanel(Part[SeriesCard | None]):
    """Coil and cap against the path, drawn and said."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(None, parent)

    def words(self) -> str:
        """Everything on it, the pieces by name."""
        card = self.value
        if card is None:
            return ""
        pieces = ", ".join(part.text for part in card.parts)
        parts = (card.label, card.title, pieces, card.path_text, card.head, card.sentence)
        return ". ".join(t.rstrip(".") for t in (*parts, card.conditions) if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Label, title, drawing, verdict."""
        card = self.value
        if card is None:
            return
        paint_panel(painter, room, palette)
        inner = room.adjusted(INSET, 12, -INSET, -12)
        y = _paint_heading(painter, inner, card.label, card.title, palette)
        bar = series_bar_of(card)
        below = QRectF(inner.left(), y + 8, inner.width(), inner.bottom() - y - 8)
        if bar is not None:
            high = min(118.0, max(series_bar.HEIGHT, 0.46 * below.height()))
            paint_series_bar(
                painter, QRectF(below.left(), below.top(), below.width(), high), bar, palette
            )
            below.setTop(below.top() + high + 8)
        said = Style(px=18, weight=400, color=palette.ink)
        quiet = Style(px=15, weight=400, color=palette.dim)
        pieces = (
            Piece(lead=card.head, text=card.sentence, style=said),
            Piece(text=card.conditions, style=quiet, above=4.0, least=14, spare=1),
        )
        paint_column(painter, below, pieces)


def series_bar_of(card: SeriesCard) -> SeriesBar | None:
    """The drawing of a card that has one."""
    if not card.parts:
        return None
    return SeriesBar(
        pieces=tuple((part.text, part.value) for part in card.parts),
        path=card.path,
        doubt=card.doubt,
        path_label=card.path_text,
        closure=card.closure or Closure.UNDECIDED,
        unit=card.unit,
        top=card.top,
        ticks=card.ticks,
    )


def _paint_heading(
    painter: QPainter, inner: QRectF, label: str, title: str, palette: Palette
) -> float:
    """Label and title of a card, a row each where they fit; returns where they end."""
    quiet = Style(px=16, weight=400, color=palette.dim)
    row(painter, QRectF(inner.left(), inner.top(), inner.width(), 20), label, quiet, least=12)
    strong = Style(px=25, weight=800, color=palette.ink)
    below = QRectF(inner.left(), inner.top() + 22, inner.width(), 32)
    if strong.sized(19).width(title) <= below.width():
        row(painter, below, title, strong, least=19)
        return below.bottom()
    return paint_column(painter, below.adjusted(0, 2, 0, 24), (Piece(text=title, style=strong),))


@dataclass(frozen=True, slots=True, kw_only=True)
class StakeShown:
    """The stake, and the key that opens it."""

    card: StakeCard | None = None
    press: str = ""


class StakeTarget(Target[StakeShown]):
    """Replace or keep, the break-even first; a press opens its figures."""

    def words(self) -> str:
        """Everything on it."""
        card = self.value.card
        if card is None:
            return ""
        parts = (card.label, card.title, card.head, card.sentence, card.break_even_text)
        said = ". ".join(t.rstrip(".") for t in (*parts, card.chance_text, card.choice) if t)
        return f"{self.value.press}. {said}" if self.value.press else said

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Label, what pays, drawing, sentence; what its room says too may be left out."""
        card = self.value.card
        if card is None:
            return
        paint_panel(painter, room, palette)
        inner = room.adjusted(INSET, 12, -INSET, -12)
        y = _paint_heading(painter, inner, card.label, card.title, palette)
        below = QRectF(inner.left(), y + 8, inner.width(), inner.bottom() - y - 8)
        shown = break_even_of(card)
        if shown is not None:
            high = min(118.0, max(break_even.HEIGHT, 0.46 * below.height()))
            place = QRectF(below.left(), below.top(), below.width(), high)
            paint_break_even(painter, place, shown, palette)
            below.setTop(place.bottom() + 8)
        said = Style(px=18, weight=400, color=palette.ink)
        quiet = Style(px=15, weight=400, color=palette.dim)
        pieces = (
            Piece(text=card.choice, style=Style(px=18, weight=700, color=palette.ink)),
            Piece(text=card.head, style=Style(px=18, weight=600, color=palette.ink), above=2.0),
            Piece(text=card.sentence, style=said, above=2.0, spare=1),
            Piece(text=card.chance_text, style=quiet, above=4.0, least=14, spare=2),
        )
        paint_column(painter, below, pieces)


def break_even_of(card: StakeCard) -> BreakEven | None:
    """The drawing of a card that has one."""
    if not card.entered or card.break_even is None:
        return None
    return BreakEven(
        at=card.break_even,
        label=card.break_even_text,
        keep=card.keep_text,
        replace=card.replace_text,
        chance=card.chance,
        chance_low=card.chance_low,
        chance_high=card.chance_high,
    )
