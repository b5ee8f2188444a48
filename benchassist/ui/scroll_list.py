"""A list of rows kept so that the one under the cursor is in view; a wheel moves the cursor."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QWheelEvent
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.paint.stroke import line, pen
from benchassist.ui.crowd import Crowd
from benchassist.ui.lettering import CENTRE, Style, paragraph
from benchassist.ui.panel import paint_chosen, paint_panel
from benchassist.ui.part import Target

ROW = 50.0
NOTCH = 120.0
"""What a wheel's event says of one step."""


class Keyed(Protocol):
    """A row that is told apart by a key."""

    @property
    def key(self) -> str:
        """Its key."""
        ...


Row = TypeVar("Row", bound=Keyed)


@dataclass(frozen=True, slots=True)
class Listed(Generic[Row]):
    """The rows, the key of the one under the cursor, and what is said where there is none."""

    rows: tuple[Row, ...] = ()
    cursor: str = ""
    empty: str = ""

    @property
    def here(self) -> int:
        """The place of the cursor; 0 where it is on none."""
        return next((i for i, one in enumerate(self.rows) if one.key == self.cursor), 0)


@dataclass(frozen=True, slots=True)
class RowShown(Generic[Row]):
    """A row; `cursor`: the page's keys are about it."""

    row: Row
    cursor: bool = False


class ScrollList(Crowd[Listed[Row], RowShown[Row]], Generic[Row]):
    """Rows below each other beside a bar. Says how a row is made."""

    moved = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Listed(), parent)

    def row_target(self, item: RowShown[Row]) -> Target[RowShown[Row]]:
        """A row that can be clicked."""
        raise NotImplementedError

    def counted(self, count: int) -> str:
        """How many there are, in words."""
        raise NotImplementedError

    @property
    def most(self) -> int:
        """How many show at once."""
        return max(1, int((self.height() / self.look.s - 4.0) / ROW))

    @property
    def first(self) -> int:
        """The first in view."""
        shown = self.value
        return max(0, min(shown.here - self.most // 2, len(shown.rows) - self.most))

    def words(self) -> str:
        """How many there are, or that there is none."""
        shown = self.value
        return self.counted(len(shown.rows)) if shown.rows else shown.empty

    def items(self) -> Sequence[RowShown[Row]]:
        """Those around the cursor."""
        shown = self.value
        rows = shown.rows[self.first : self.first + self.most]
        return [RowShown(one, one.key == shown.cursor) for one in rows]

    def make(self, item: RowShown[Row]) -> Target[RowShown[Row]]:
        """A row; the page has the focus for all of them."""
        target = self.row_target(item)
        target.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        return target

    def token(self, item: RowShown[Row]) -> str:
        """Its key."""
        return item.row.key

    def places(self, items: Sequence[RowShown[Row]], room: QRectF) -> list[QRectF | None]:
        """One below the other, beside the bar."""
        wide = room.width() - 18
        return [QRectF(2, 2 + i * ROW, wide, ROW) for i in range(len(items))]

    def wheelEvent(self, event: QWheelEvent) -> None:
        """A notch is three rows."""
        self.moved.emit(-3 * round(event.angleDelta().y() / NOTCH))
        event.accept()

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """The panel, the bar at the right, or what is said where there is none."""
        paint_panel(painter, room, palette)
        count = len(self.value.rows)
        if not count:
            style = Style(px=22, weight=400, color=palette.dim, align=CENTRE)
            words = room.adjusted(40, 8, -40, -8)
            paragraph(painter, words, self.value.empty, style, upright=0.5)
        paint_bar(painter, bar_of(room), palette, (self.first, self.most, count))


def paint_ground(painter: QPainter, room: QRectF, palette: Palette, *, cursor: bool) -> None:
    """A row's ground: the cursor has a shade and a bar, every row a line below."""
    if cursor:
        paint_chosen(painter, room, palette)
    high = room.height() - 1.0
    line(painter, (0, high), (room.width(), high), pen(palette.panel_edge, 1.0))


def bar_of(room: QRectF) -> QRectF:
    """Where the bar of a list stands."""
    return QRectF(room.width() - 11, room.top() + 6, 5, room.height() - 12)


def paint_bar(
    painter: QPainter, track: QRectF, palette: Palette, place: tuple[int, int, int]
) -> None:
    """Where a list stands: the first in view, how many show, how many there are."""
    first, most, count = place
    if count <= most:
        return
    size = max(14.0, track.height() * most / count)
    top = track.top() + (track.height() - size) * first / (count - most)
    painter.fillRect(track, QColor(palette.well))
    painter.fillRect(QRectF(track.left(), top, track.width(), size), QColor(palette.dim))
