"""A part shown inverted for a moment: something has just been taken, or an alarm has come."""

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QWidget

FLASH_MS = 140
"""It lasts this long; nothing else moves on its own."""


class Flash(QTimer):
    """Repaints its part when it begins and when it ends."""

    def __init__(self, part: QWidget) -> None:
        super().__init__(part)
        self._part = part
        self.setSingleShot(True)
        self.setInterval(FLASH_MS)
        self.timeout.connect(part.update)

    def begin(self) -> None:
        """Show inverted from now on."""
        self.start()
        self._part.update()
