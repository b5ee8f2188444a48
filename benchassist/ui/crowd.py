"""A part that holds targets, one an item: the key strip, the ribbon, answers, cards."""

from collections.abc import Sequence
from typing import Any, Generic, TypeVar

from PySide6.QtCore import QRect, QRectF, Signal
from PySide6.QtGui import QPainter, QResizeEvent
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.ui.look import Look
from benchassist.ui.part import Part, Target

Value = TypeVar("Value")
Item = TypeVar("Item")


class Crowd(Part[Value], Generic[Value, Item]):
    """Targets made as needed, reused, and laid out whenever value, look or size change."""

    chosen = Signal(str)

    def __init__(self, value: Value, parent: QWidget | None = None) -> None:
        super().__init__(value, parent)
        self.targets: list[Target[Any]] = []

    def items(self) -> Sequence[Item]:
        """What gets a target each."""
        raise NotImplementedError

    def make(self, item: Item) -> Target[Any]:
        """A new target."""
        raise NotImplementedError

    def token(self, item: Item) -> str:
        """What `chosen` says of an item."""
        raise NotImplementedError

    def places(self, items: Sequence[Item], room: QRectF) -> Sequence[QRectF | None]:
        """Where each target stands, in design units; None hides it."""
        raise NotImplementedError

    def changed(self, before: Value) -> None:
        """Hand the new items to their targets."""
        self.lay_out()
        self.update()

    def dress(self, look: Look) -> None:
        """Dress the targets too."""
        super().dress(look)
        for target in self.targets:
            target.dress(look)
        self.lay_out()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Lay out for the new size."""
        self.lay_out()

    def lay_out(self) -> None:
        """Give every item its target, in its place."""
        items = self.items()
        while len(self.targets) < len(items):
            target = self.make(items[len(self.targets)])
            target.setParent(self)
            target.dress(self.look)
            target.clicked.connect(lambda _=False, t=target: self.chosen.emit(self.token(t.value)))
            self.targets.append(target)
        s = self.look.s
        room = QRectF(0.0, 0.0, self.width() / s, self.height() / s)
        places = [*self.places(items, room)]
        for i, target in enumerate(self.targets):
            place = places[i] if i < len(items) else None
            if place is not None:
                target.put(items[i])
                target.setGeometry(pixels(place, s))
            target.setVisible(place is not None)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Nothing of its own: the targets paint themselves."""


def pixels(place: QRectF, s: float) -> QRect:
    """A place in whole pixels; neighbours that touch in units touch in pixels."""
    left, top = round(place.left() * s), round(place.top() * s)
    return QRect(left, top, round(place.right() * s) - left, round(place.bottom() * s) - top)
