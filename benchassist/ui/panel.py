"""The ground that panels, cards and the slip stand on."""

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter, QPen

from benchassist.paint.palette import Palette
from benchassist.paint.stroke import NO_BRUSH


def paint_panel(painter: QPainter, room: QRectF, palette: Palette, *, edge: float = 1.0) -> None:
    """A panel's ground with its edge; an edge of 2 or more is in ink."""
    painter.fillRect(room, QColor(palette.panel))
    painter.setPen(QPen(QColor(palette.panel_edge if edge < 2.0 else palette.ink), edge))
    painter.setBrush(NO_BRUSH)
    half = edge / 2.0
    painter.drawRect(room.adjusted(half, half, -half, -half))


def paint_chosen(painter: QPainter, room: QRectF, palette: Palette) -> None:
    """The ground of the row that the page's keys are about: a shade, and a bar at its left."""
    painter.fillRect(room, QColor(palette.well))
    painter.fillRect(QRectF(room.left(), room.top(), 5.0, room.height()), QColor(palette.live))


def paint_main(painter: QPainter, room: QRectF, palette: Palette) -> None:
    """The ground of the one thing to do now: dark in both palettes, so that yellow stands out."""
    painter.fillRect(room, QColor(palette.bar))
    painter.setPen(QPen(QColor(palette.ink), 2.0))
    painter.setBrush(NO_BRUSH)
    painter.drawRect(room.adjusted(1.0, 1.0, -1.0, -1.0))
