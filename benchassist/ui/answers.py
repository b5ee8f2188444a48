"""A question and its answers, each on a tile with its number key; and ways to settle a reading."""

from collections.abc import Sequence

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.services.bench.view import Choice, Fix
from benchassist.ui.crowd import Crowd
from benchassist.ui.lettering import Style, columns_of, paragraph, wrapped_height
from benchassist.ui.tile import ChoiceTile, FixTile

GAP = 8.0
TALLEST, SHORTEST = 80.0, 44.0


class Answers(Crowd[tuple[str, tuple[Choice, ...]], Choice]):
    """The question above, its answers below in one column, or two where they are many."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(("", ()), parent)

    def words(self) -> str:
        """The question."""
        return self.value[0]

    def items(self) -> Sequence[Choice]:
        """The answers."""
        return self.value[1]

    def make(self, item: Choice) -> ChoiceTile:
        """An answer."""
        return ChoiceTile(item)

    def token(self, item: Choice) -> str:
        """Its key."""
        return item.press

    def _question_style(self, width: float, colour: str) -> Style:
        return Style(px=44 if width > 1000.0 else 26, weight=700, color=colour)

    def _question_height(self, width: float) -> float:
        question = self.value[0]
        if not question:
            return 0.0
        style = self._question_style(width, "#000000")
        return min(wrapped_height(question, width, style), 2.6 * style.px) + 12.0

    def places(self, items: Sequence[Choice], room: QRectF) -> list[QRectF | None]:
        """As tall as fits, never under 44."""
        top = self._question_height(room.width())
        high = room.height() - top
        tallest = 96.0 if room.width() > 1000.0 else TALLEST
        columns, rows = 1, max(1, len(items))
        if (high + GAP) / rows - GAP < SHORTEST:
            columns, rows = 2, (rows + 1) // 2
        each = min(tallest, (high + GAP) / rows - GAP)
        across = columns_of(QRectF(0, 0, room.width(), each), columns, GAP)
        return [
            across[i // rows].translated(0.0, top + (i % rows) * (each + GAP))
            for i in range(len(items))
        ]

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """The question; the tiles paint themselves."""
        high = self._question_height(room.width())
        where = QRectF(0, 0, room.width(), max(0.0, high - 8.0))
        paragraph(painter, where, self.value[0], self._question_style(room.width(), palette.ink))


class Fixes(Crowd[tuple[Fix, ...], Fix]):
    """Ways to settle a reading, side by side."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__((), parent)

    def items(self) -> Sequence[Fix]:
        """The ways."""
        return self.value

    def make(self, item: Fix) -> FixTile:
        """A way."""
        return FixTile(item)

    def token(self, item: Fix) -> str:
        """Its key."""
        return item.press

    def places(self, items: Sequence[Fix], room: QRectF) -> Sequence[QRectF]:
        """Columns of one width."""
        return columns_of(room, max(1, len(items)), 16.0)
