"""A list of rows kept so that the one under the cursor is in view; a wheel moves the cursor."""

from collections.abc import Sequence
from typing import Generic, TypeVar

from PySide6.QtCore import QRectF, Signal
from PySide6.QtGui import QColor, QPainter, QWheelEvent

from benchassist.paint.palette import Palette
from benchassist.ui.crowd import Crowd
from benchassist.ui.lettering import CENTRE, Style, paragraph
from benchassist.ui.panel import paint_panel

ROW = 50.0
_NOTCH = 120.0

Value = TypeVar("Value")
Item = TypeVar("Item")


class ScrollList(Crowd[Value, Item], Generic[Value, Item]):
    """Rows below each other beside a bar. Says how many there are, and where the cursor is."""

    moved = Signal(int)

    @property
    def count(self) -> int:
        """How many rows there are."""
        raise NotImplementedError

    @property
    def here(self) -> int:
        """The place of the cursor; 0 where it is on none."""
        raise NotImplementedError

    def nothing(self) -> str:
        """What is said where there are none."""
        raise NotImplementedError

    @property
    def most(self) -> int:
        """How many show at once."""
        return max(1, int((self.height() / self.look.s - 4.0) / ROW))

    @property
    def first(self) -> int:
        """The first in view."""
        return max(0, min(self.here - self.most // 2, self.count - self.most))

    def places(self, items: Sequence[Item], room: QRectF) -> list[QRectF | None]:
        """One below the other, beside the bar."""
        wide = room.width() - 18
        return [QRectF(2, 2 + i * ROW, wide, ROW) for i in range(len(items))]

    def wheelEvent(self, event: QWheelEvent) -> None:
        """A notch is three rows."""
        self.moved.emit(-3 * round(event.angleDelta().y() / _NOTCH))
        event.accept()

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """The panel, the bar at the right, or what to do where there is nothing."""
        paint_panel(painter, room, palette)
        if not self.count:
            style = Style(px=22, weight=400, color=palette.dim, align=CENTRE)
            words = room.adjusted(60, 0, -60, 0)
            paragraph(painter, words, self.nothing(), style, upright=0.5)
        if self.count > self.most:
            track = QRectF(room.width() - 11, 6, 5, room.height() - 12)
            size = max(14.0, track.height() * self.most / self.count)
            top = track.top() + (track.height() - size) * self.first / (self.count - self.most)
            painter.fillRect(track, QColor(palette.well))
            painter.fillRect(QRectF(track.left(), top, track.width(), size), QColor(palette.dim))
