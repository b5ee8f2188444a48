"""A tile to press: its key on a cap, its words; inverted where it stands."""

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter, QPen

from benchassist.paint.lettering import CENTRE, Style, draw, draw_fitted, wrap
from benchassist.paint.palette import Palette
from benchassist.paint.stroke import NO_BRUSH, NO_PEN


def paint_key_tile(
    painter: QPainter,
    room: QRectF,
    palette: Palette,
    *,
    press: str,
    text: str,
    inverted: bool,
    has_focus: bool = False,
) -> None:
    """Draw ground, cap and words in `room`, in design units."""
    painter.fillRect(room, QColor(palette.ink if inverted else palette.panel))
    paint_frame(painter, room, palette.ink if inverted else palette.panel_edge, 1.0)
    _cap(painter, QRectF(6.0, room.center().y() - 14.0, 26.0, 28.0), press, palette)
    color = palette.bench if inverted else palette.ink
    _words(painter, room.adjusted(38.0, 0.0, -3.0, 0.0), text, color)
    if has_focus:
        paint_frame(painter, room, palette.live, 3.0)


def paint_frame(painter: QPainter, room: QRectF, color: str, width: float) -> None:
    """Draw the outline of a rectangle, inside it."""
    painter.setPen(QPen(QColor(color), width))
    painter.setBrush(NO_BRUSH)
    half = width / 2.0
    painter.drawRect(room.adjusted(half, half, -half, -half))


def _cap(painter: QPainter, box: QRectF, press: str, palette: Palette) -> None:
    """A key cap on a panel: outline, thicker foot, the letter."""
    painter.setPen(NO_PEN)
    painter.setBrush(QColor(palette.ink))
    painter.drawRoundedRect(box, 4.0, 4.0)
    painter.setBrush(QColor(palette.panel))
    painter.drawRoundedRect(box.adjusted(1.6, 1.6, -1.6, -4.0), 3.0, 3.0)
    letter = Style(px=16, weight=700, color=palette.ink, align=CENTRE)
    draw(painter, box.center().x(), box.center().y() + 4.5, press, letter)


def _words(painter: QPainter, room: QRectF, text: str, color: str) -> None:
    """One or two lines, centred in the height of `room`."""
    style = Style(px=16, weight=600, color=color)
    lines = wrap(text, room.width(), style, lines=2)
    y = room.center().y() + 0.33 * style.px - 9.0 * (len(lines) - 1)
    for i, line in enumerate(lines):
        draw_fitted(painter, room.left(), y + 18.0 * i, line, style, width=room.width())
