"""What was done last, in a sentence or two."""

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.ui.lettering import Style, paragraph
from benchassist.ui.part import Part


class SaidLine(Part[str]):
    """Set smaller where it is long, down to `least`."""

    def __init__(self, parent: QWidget | None = None, *, px: int = 22, least: int = 14) -> None:
        self._px, self._least = px, least
        super().__init__("", parent)

    def words(self) -> str:
        """The line."""
        return self.value

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """A sentence or two."""
        style = Style(px=self._px, weight=500, color=palette.ink)
        paragraph(painter, room, self.value, style, least=self._least)
