"""The room of replace or keep: the break-even first, what moves it, the figures it stands on."""

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.break_even import SwingBar, paint_break_even, paint_swings
from benchassist.paint.palette import Palette
from benchassist.paint.stroke import line, pen
from benchassist.services.findings.view import FindingsView, StakeCard
from benchassist.services.translation import _
from benchassist.ui.bench_layout import Place
from benchassist.ui.bench_part import Heading
from benchassist.ui.findings_card import break_even_of
from benchassist.ui.findings_room import GAP, FindingsRoom, paint_heading
from benchassist.ui.findings_text import Piece, paint_column
from benchassist.ui.lettering import RIGHT, Style, paragraph, row
from benchassist.ui.panel import paint_panel
from benchassist.ui.part import Part

FIGURE = 32.0
DRAWING = 132.0


class StakePanel(Part[StakeCard | None]):
    """What pays, drawn and said; below it what each figure does to the break-even."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(None, parent)

    def words(self) -> str:
        """Break-even first, then how it moves."""
        card = self.value
        if card is None:
            return ""
        swings = (one.text for one in card.swings)
        parts = (card.head, card.sentence, card.break_even_text, card.chance_text, *swings)
        return ". ".join(t.rstrip(".") for t in parts if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Words, drawing, sensitivity."""
        card = self.value
        if card is None:
            return
        paint_panel(painter, room, palette)
        inner = room.adjusted(20, 14, -20, -14)
        swings = min(40.0 * len(card.swings), 0.38 * inner.height()) if card.swings else 0.0
        foot = swings + 40.0 if swings else 0.0
        shown = break_even_of(card)
        drawing = min(DRAWING, 0.3 * inner.height()) if shown is not None else 0.0
        strong = Style(px=32, weight=800, color=palette.ink)
        said = Style(px=20, weight=500, color=palette.ink)
        quiet = Style(px=17, weight=400, color=palette.dim)
        words = inner.adjusted(0, 0, 0, -foot - drawing - (GAP if drawing else 0.0))
        y = paint_column(
            painter,
            words,
            (
                Piece(text=card.head, style=strong, least=22),
                Piece(text=card.sentence, style=said, above=4.0),
                Piece(text=card.chance_text, style=quiet, above=6.0),
            ),
        )
        if shown is not None:
            y += 14.0
            place = QRectF(inner.left() + 10, y, inner.width() - 20, drawing)
            paint_break_even(painter, place, shown, palette)
        if swings and card.break_even is not None:
            top = inner.bottom() - foot + 6.0
            title = _("The break-even with each figure half, and half again")
            below = paint_heading(
                painter, QRectF(inner.left(), top, inner.width(), 30), title, palette
            )
            bars = tuple(
                SwingBar(
                    name=one.name,
                    low=one.low,
                    high=one.high,
                    text=one.text.partition(": ")[2] or one.text,
                )
                for one in card.swings
            )
            place = QRectF(inner.left(), below + 4, inner.width(), inner.bottom() - below - 4)
            paint_swings(painter, place, bars, card.break_even, palette)


class StakeFigures(Part[StakeCard | None]):
    """The figures, what age says, and what was decided."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(None, parent)

    def words(self) -> str:
        """All of it."""
        card = self.value
        if card is None:
            return ""
        figures = (f"{name}: {amount}" for name, amount in card.figures)
        parts = (*figures, card.wear, card.choice or undecided())
        return ". ".join(t.rstrip(".") for t in parts if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """A table, then sentences."""
        card = self.value
        if card is None:
            return
        paint_panel(painter, room, palette)
        inner = room.adjusted(18, 12, -18, -14)
        y = inner.top()
        if card.figures:
            y = paint_heading(painter, inner, _("Figures"), palette)
            high = min(FIGURE, 0.5 * inner.height() / len(card.figures))
            for name, amount in card.figures:
                place = QRectF(inner.left(), y, inner.width(), high)
                label = Style(px=18, weight=400, color=palette.ink)
                left = QRectF(place.left(), y, 0.68 * place.width(), high)
                taken = row(painter, left, name, label, least=13)
                value = Style(px=18, weight=700, color=palette.ink, align=RIGHT)
                rest = place.adjusted(taken.width() + 10, 0, 0, 0)
                paragraph(painter, rest, amount, value, least=13, upright=0.5)
                y += high
                line(painter, (inner.left(), y), (inner.right(), y), pen(palette.panel_edge, 1.0))
            y += 12.0
        said = Style(px=19, weight=400, color=palette.ink)
        decided = card.choice or undecided()
        pieces = (
            Piece(lead=_("By age:"), text=card.wear, style=said, above=8.0) if card.wear else None,
            Piece(lead=_("Decided:"), text=decided, style=said, above=12.0),
        )
        below = QRectF(inner.left(), y, inner.width(), inner.bottom() - y)
        paint_column(painter, below, tuple(piece for piece in pieces if piece is not None))


def undecided() -> str:
    """What stands where nothing was decided."""
    return _("Not decided yet.")


class StakeRoom(FindingsRoom):
    """Replace or keep."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.panel = StakePanel(self)
        self.figures = StakeFigures(self)
        self.parts = (self.panel, self.figures)

    def heading(self, view: FindingsView) -> Heading:
        """Which part."""
        card = view.stake
        return Heading(card.label, card.title) if card is not None else Heading()

    def put_view(self, view: FindingsView, cursor: int) -> None:
        """The card of the part."""
        self.panel.put(view.stake)
        self.figures.put(view.stake)

    def place(self) -> None:
        """What pays left, what it stands on right."""
        wide, high = self.units
        left = 0.62 * (wide - GAP)
        self.put_at(self.panel, Place(0, 0, left, high))
        self.put_at(self.figures, Place(left + GAP, 0, wide - left - GAP, high))
