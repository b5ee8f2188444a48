"""The cards of a machine's quantities, a page of them at a time; the selected one is in view."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.services.record.machine_file_view import QuantityCard
from benchassist.services.translation import _
from benchassist.ui.crowd import Crowd
from benchassist.ui.lettering import RIGHT, Style, paragraph, row
from benchassist.ui.machine_rows import SLACK, QuantityShown, paint_rows, row_words
from benchassist.ui.panel import paint_panel
from benchassist.ui.part import Target

PAD, HEAD, SAID = 16.0, 36.0, 20.5
GAP = 14.0
LEAST_WIDE, LEAST_HIGH = 256.0, 184.0
MOST_WIDE, MOST_HIGH = 420.0, 300.0


class QuantityTarget(Target[QuantityShown]):
    """Title and unit, a ruler a visit, the limits, what may be said of a change."""

    def words(self) -> str:
        """Title, every visit's value, what is said of a change."""
        card = self.value.card
        unit = " ".join(t for t in (card.title, card.unit_text, card.corrected_text) if t)
        rows = map(row_words, card.rows)
        return ". ".join(t for t in (unit, *rows, card.drift_text, card.detail) if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """From the top: heading, rows and limits; the words at the foot."""
        shown = self.value
        paint_panel(painter, room, palette, edge=3.0 if shown.selected else 1.0)
        inner = room.adjusted(PAD, 0.0, -PAD, 0.0)
        self._paint_head(painter, QRectF(inner.left(), 6.0, inner.width(), HEAD - 10.0), palette)
        said = Style(px=17, weight=700, color=palette.ink)
        text = shown.card.drift_text
        lines = 1 if said.sized(16).width(text) <= inner.width() else 2
        foot = room.height() - 8.0 - lines * SAID
        words = QRectF(inner.left(), foot, inner.width(), lines * SAID)
        if lines == 1:
            row(painter, words, text, said, least=16)
        else:
            paragraph(painter, words, text, said.sized(16), least=13)
        if lines < 2:
            quiet = Style(px=16, weight=400, color=palette.dim, align=RIGHT)
            free = inner.width() - said.width(text) - 12.0
            where = QRectF(inner.right() - free, foot, free, SAID)
            chosen = shown.card.row_of(shown.visit_id)
            marked = chosen.mark_text if chosen is not None and chosen.good else ""
            text = ", ".join(t for t in (marked, shown.card.corrected_text) if t)
            row(painter, where, text, quiet, least=13)
        body = QRectF(inner.left(), HEAD, inner.width(), foot - HEAD)
        paint_rows(painter, body, shown, palette)

    def _paint_head(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        card = self.value.card
        style = Style(px=16, weight=400, color=palette.dim, align=RIGHT)
        title = Style(px=20, weight=700, color=palette.ink)
        taken = row(painter, room, card.unit_text, style).width()
        row(painter, room.adjusted(0.0, 0.0, -taken - 10.0, 0.0), card.title, title)


@dataclass(frozen=True, slots=True)
class QuantitiesShown:
    """All quantities, the one at the cursor, the selected visit; what to say for none."""

    cards: tuple[QuantityCard, ...] = ()
    at: str = ""
    visit_id: str = ""
    empty_text: str = ""


class Quantities(Crowd[QuantitiesShown, QuantityShown]):
    """As many cards as fit; which, follows the cursor a page at a time."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(QuantitiesShown(), parent)

    @property
    def grid(self) -> tuple[int, int]:
        """Columns and rows of cards that fit, no more than there are cards for."""
        wide, high = self.width() / self.look.s, self.height() / self.look.s
        columns = max(1, int((wide + GAP) / (LEAST_WIDE + GAP) + SLACK))
        rows = max(1, int((high + GAP) / (LEAST_HIGH + GAP) + SLACK))
        count = max(1, len(self.value.cards))
        columns = min(columns, count)
        return columns, min(rows, -(-count // columns))

    @property
    def first(self) -> int:
        """The place of the first card in view."""
        fits = self.grid[0] * self.grid[1]
        keys = [card.check_key for card in self.value.cards]
        here = keys.index(self.value.at) if self.value.at in keys else 0
        return here // fits * fits

    @property
    def place_text(self) -> str:
        """Which of how many show: '1 to 6 of 14'; empty where all do."""
        count, shown = len(self.value.cards), len(self.items())
        if shown >= count:
            return ""
        return _("{first} to {last} of {count}").format(
            first=self.first + 1, last=self.first + shown, count=count
        )

    def items(self) -> Sequence[QuantityShown]:
        """The cards of the page in view."""
        shown, fits = self.value, self.grid[0] * self.grid[1]
        return [
            QuantityShown(card, card.check_key == shown.at, shown.visit_id)
            for card in shown.cards[self.first : self.first + fits]
        ]

    def make(self, item: QuantityShown) -> QuantityTarget:
        """A card."""
        return QuantityTarget(item)

    def token(self, item: QuantityShown) -> str:
        """Its check."""
        return item.card.check_key

    def places(self, items: Sequence[QuantityShown], room: QRectF) -> list[QRectF | None]:
        """Row by row; few cards are larger, up to a size that is still one look."""
        columns, rows = self.grid
        wide = min(MOST_WIDE, (room.width() - GAP * (columns - 1)) / columns)
        high = min(MOST_HIGH, (room.height() - GAP * (rows - 1)) / rows)
        return [
            QRectF(i % columns * (wide + GAP), i // columns * (high + GAP), wide, high)
            for i in range(len(items))
        ]

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """What stands where nothing was measured yet."""
        if not self.value.cards:
            quiet = Style(px=24, weight=500, color=palette.dim)
            paragraph(painter, room.adjusted(0, 8, 0, 0), self.value.empty_text, quiet)
