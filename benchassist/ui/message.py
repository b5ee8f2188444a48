"""The one line that says what is wrong now; nothing pops up."""

from dataclasses import replace

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint import lettering
from benchassist.paint.palette import Palette
from benchassist.ui.lettering import Style, paragraph, row
from benchassist.ui.part import Part


class Message(Part[str]):
    """What is wrong now, inverted: one line, two where it must be."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("", parent)

    def words(self) -> str:
        """The message."""
        return self.value

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Light on dark, or dark on light at night."""
        painter.fillRect(room, QColor(palette.ink))
        px = 28 if room.height() > 40.0 else 19
        style = Style(px=px, weight=600, color=palette.bench)
        words = room.adjusted(14, 0, -14, 0)
        if lettering.fit(self.value, words.width(), style, least=16)[0] == self.value:
            row(painter, words, self.value, style, least=16)
        else:
            small = replace(style, px=min(px, 15))
            paragraph(painter, words, self.value, small, least=12, upright=0.5)
