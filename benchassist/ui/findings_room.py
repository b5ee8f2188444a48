"""What every room behind the front has: parts that are placed, and a cursor over its rows."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QRectF, Signal
from PySide6.QtGui import QColor, QPainter, QResizeEvent
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import LIGHT, Palette
from benchassist.services.findings.view import FindingsView
from benchassist.ui.bench_layout import Place
from benchassist.ui.bench_part import Heading
from benchassist.ui.lettering import Style, paragraph, row
from benchassist.ui.look import Look
from benchassist.ui.part import Part, Target

GAP = 16.0

Act = tuple[str, str]
"""Action and argument."""


class FindingsRoom(QWidget):
    """One room of the findings, filled from a view."""

    acted = Signal(str, str)
    """A click asks for an action with its argument."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.look = Look(LIGHT)
        self.parts: tuple[Part[Any] | Target[Any], ...] = ()
        self.hide()

    def heading(self, view: FindingsView) -> Heading:
        """The title above the room."""
        raise NotImplementedError

    def put_view(self, view: FindingsView, cursor: int) -> None:
        """Show the room's part of a view."""
        raise NotImplementedError

    def length(self, view: FindingsView) -> int:
        """How many rows the cursor walks over."""
        return 0

    def opened(self, view: FindingsView, cursor: int) -> Act | None:
        """What Right does at the cursor."""
        return None

    def place(self) -> None:
        """Place the parts for the present size."""
        raise NotImplementedError

    def put_at(self, part: QWidget, place: Place | None) -> None:
        """A part in its place; None hides it."""
        part.setVisible(place is not None)
        if place is not None:
            part.setGeometry(self.look.rect(place))

    @property
    def units(self) -> tuple[float, float]:
        """Width and height in design units."""
        return self.width() / self.look.s, self.height() / self.look.s

    def dress(self, look: Look) -> None:
        """Dress every part and place it."""
        self.look = look
        for part in self.parts:
            part.dress(look)
        self.place()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Place the parts anew."""
        self.place()


@dataclass(frozen=True, slots=True)
class Stretch:
    """Which rows of a list show: from `first`, `count` of them."""

    first: int
    count: int


def stretch_of(heights: Sequence[float], cursor: int, room: float) -> Stretch:
    """The rows that fit a room, beginning as early as keeps the cursor's row whole."""
    first = 0
    while first < cursor and sum(heights[first : cursor + 1]) > room:
        first += 1
    count, taken = 0, 0.0
    for high in heights[first:]:
        if count and taken + high > room + 0.5:
            break
        taken += high
        count += 1
    return Stretch(first, count)


def paint_heading(painter: QPainter, room: QRectF, text: str, palette: Palette) -> float:
    """A small heading over a strong line; returns where what stands under it begins."""
    style = Style(px=17, weight=700, color=palette.ink)
    high = 22.0 if style.sized(15).width(text) <= room.width() else 42.0
    place = QRectF(room.left(), room.top(), room.width(), high)
    if high > 30.0:
        paragraph(painter, place, text, style, least=14)
    else:
        row(painter, place, text, style)
    rule = QRectF(room.left(), room.top() + high + 3, room.width(), 2)
    painter.fillRect(rule, QColor(palette.ink))
    return room.top() + high + 8.0
