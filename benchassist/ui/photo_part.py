"""The parts of the page of photos: one of them large, and what is said of it."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.ui.lettering import CENTRE, RIGHT, Style, paragraph, row
from benchassist.ui.part import Part
from benchassist.ui.photo_strip import paint_picture


@dataclass(frozen=True, slots=True, eq=False)
class Picture:
    """A decoded picture, or why there is none."""

    image: QImage
    text: str = ""


class LargePicture(Part[Picture]):
    """A picture as large as there is room, on its ground."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Picture(QImage()), parent)

    def words(self) -> str:
        """Why there is none."""
        return self.value.text

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """The whole picture, nothing of it cut off."""
        painter.fillRect(room, QColor(palette.well))
        paint_picture(painter, room, self.value.image)
        if self.value.image.isNull():
            style = Style(px=22, weight=400, color=palette.dim, align=CENTRE)
            words = room.adjusted(40.0, 0.0, -40.0, 0.0)
            paragraph(painter, words, self.value.text, style, upright=0.5)


@dataclass(frozen=True, slots=True)
class PhotoWords:
    """What a photo shows, when and how large it is, and what is to be said of its file."""

    text: str = ""
    detail: str = ""
    note: str = ""


class PhotoLine(Part[PhotoWords]):
    """Below the picture: its words left, its day and size right, a note below."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(PhotoWords(), parent)

    def words(self) -> str:
        """All of it."""
        shown = self.value
        return ". ".join(t for t in (shown.text, shown.detail, shown.note) if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Two lines."""
        shown = self.value
        first = QRectF(0.0, 0.0, room.width(), 30.0)
        quiet = Style(px=18, weight=400, color=palette.dim, align=RIGHT)
        taken = row(painter, first, shown.detail, quiet).width() + 20.0
        words = Style(px=24, weight=700, color=palette.ink)
        row(painter, first.adjusted(0.0, 0.0, -taken, 0.0), shown.text, words, least=15)
        note = Style(px=17, weight=500, color=palette.dim)
        below = QRectF(0.0, 32.0, room.width(), max(0.0, room.height() - 32.0))
        if shown.note and below.height() > 12.0:
            row(painter, below, shown.note, note, least=15)
