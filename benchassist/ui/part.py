"""What every painted part of the window has in common: a look, a value, one paint.

A part repaints only when its value changed, so that a stream of readings stays cheap. Painting is
in design units (window height 768); the scale is the painter's.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Generic, TypeVar

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QWidget

from benchassist.core.plain_text import plain
from benchassist.paint.palette import LIGHT, Palette
from benchassist.paint.stroke import NO_BRUSH
from benchassist.ui.look import Look

Value = TypeVar("Value")

MOST_TOLD = 20_000
"""Characters that are told of one part; a slip has more than a line."""


class Part(QWidget, Generic[Value]):
    """A painted part. `put` a value, `dress` it in a look; subclasses say how to `paint`."""

    def __init__(self, value: Value, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.look = Look(LIGHT)
        self.value = value
        self.paints = 0
        """How often it has been painted; tests hold it still."""
        self.setAccessibleName(self.words())

    def setAccessibleName(self, name: str) -> None:
        """A name for who does not see it: as plain as what is drawn."""
        super().setAccessibleName(plain(name, MOST_TOLD))

    def setAccessibleDescription(self, description: str) -> None:
        """As plain as the name."""
        super().setAccessibleDescription(plain(description, MOST_TOLD))

    def put(self, value: Value) -> None:
        """Show a value; nothing happens if it is shown already."""
        if value == self.value:
            return
        before, self.value = self.value, value
        self.setAccessibleName(self.words())
        self.changed(before)

    def changed(self, before: Value) -> None:
        """React to a new value; repaints all of the part unless a subclass knows better."""
        self.update()

    def dress(self, look: Look) -> None:
        """Take a palette and scale."""
        if look != self.look:
            self.look = look
            self.update()

    def words(self) -> str:
        """The accessible name: what is shown, in words."""
        return ""

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Draw the value into `room`, in design units."""
        raise NotImplementedError

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint in design units, antialiased."""
        self.paints += 1
        with scaled_painter(self, self.look.s) as painter:
            self.paint(painter, room_of(self, self.look.s), self.look.palette)


class Target(QAbstractButton, Generic[Value]):
    """A painted part to click or to reach by Tab; Enter presses it, every other key goes on.

    Space stays the key that takes a reading, wherever the focus is.
    """

    def __init__(self, value: Value, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.look = Look(LIGHT)
        self.value = value
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setAccessibleName(self.words())

    def setAccessibleName(self, name: str) -> None:
        """A name for who does not see it: as plain as what is drawn."""
        super().setAccessibleName(plain(name, MOST_TOLD))

    def put(self, value: Value) -> None:
        """Show a value; nothing happens if it is shown already."""
        if value == self.value:
            return
        self.value = value
        self.setAccessibleName(self.words())
        self.update()

    def dress(self, look: Look) -> None:
        """Take a palette and scale."""
        if look != self.look:
            self.look = look
            self.update()

    def words(self) -> str:
        """The accessible name."""
        raise NotImplementedError

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Draw the value into `room`, in design units."""
        raise NotImplementedError

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint in design units, with a ring where the focus is."""
        room = room_of(self, self.look.s)
        with scaled_painter(self, self.look.s) as painter:
            self.paint(painter, room, self.look.palette)
            if self.hasFocus():
                painter.setPen(QPen(QColor(self.look.palette.live), 3.0))
                painter.setBrush(NO_BRUSH)
                painter.drawRoundedRect(room.adjusted(1.5, 1.5, -1.5, -1.5), 4.0, 4.0)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter presses; any other key is the page's."""
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            self.click()
        else:
            event.ignore()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        """Releases mean nothing here."""
        event.ignore()


@contextmanager
def scaled_painter(widget: QWidget, s: float) -> Iterator[QPainter]:
    """An antialiased painter on a widget, in design units; ended whatever happens."""
    painter = QPainter(widget)
    try:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setRenderHint(QPainter.RenderHint.TextAntialiasing)
        painter.scale(s, s)
        yield painter
    finally:
        painter.end()


def room_of(widget: QWidget, s: float) -> QRectF:
    """A widget's rectangle in design units."""
    return QRectF(0.0, 0.0, widget.width() / s, widget.height() / s)
