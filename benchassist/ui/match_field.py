"""The line in which a display is typed: large digits, U for another unit."""

from typing import ClassVar

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFontMetricsF, QKeyEvent
from PySide6.QtWidgets import QWidget

from benchassist.paint.font import font
from benchassist.services.translation import _
from benchassist.ui.entry import LineField
from benchassist.ui.look import Look

SIZES = (92, 64, 44, 30)
"""Of the digits, the largest that fits; in design units."""
CARET = 14.0
MOST = 18


class MatchField(LineField):
    """As wide as what stands in it, so that the unit follows the digits."""

    HANDED_ON: ClassVar[frozenset[str]] = frozenset({"U", "Z", "Backspace"})
    unit_asked = Signal()
    zero_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent, px=SIZES[0], weight=800)
        self._look: Look | None = None
        self.setMaxLength(MOST)
        self.setAccessibleName(_("Type what you see"))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """U is no digit and in no unit; Z zeroes the leads while nothing is typed."""
        plain = not event.modifiers() & ~Qt.KeyboardModifier.ShiftModifier
        if plain and event.key() == Qt.Key.Key_U:
            self.unit_asked.emit()
        elif plain and event.key() == Qt.Key.Key_Z and not self.text():
            self.zero_asked.emit()
        else:
            super().keyPressEvent(event)

    def fit(self, look: Look, room: float) -> float:
        """Set the text as large as `room` allows; returns the width it takes, caret included."""
        for px in SIZES:
            face = font(look.px(px), 800)
            wide = QFontMetricsF(face).horizontalAdvance(self.text()) / look.s + CARET
            if wide <= room or px == SIZES[-1]:
                if self.font() != face:
                    self.setFont(face)
                return min(wide, room)
        return room
