"""Key caps and the warning triangle, in design units."""

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QPainter, QPainterPath

from benchassist.paint.glyph import paint_arrow, paint_pedal
from benchassist.paint.palette import Palette
from benchassist.paint.stroke import NO_PEN, ROUND, pen, polygon, shape
from benchassist.services.translation import _
from benchassist.ui.key_map import standard_press
from benchassist.ui.lettering import CENTRE, Style, row

CAP = 34.0
"""Height of a cap on the key strip."""
DEGREES = {"Right": 0.0, "Down": 90.0, "Left": 180.0, "Up": 270.0}


def press_text(press: str) -> str:
    """What is printed on the cap of a key that is not drawn as an arrow."""
    return {
        "Space": _("Space"),
        "Backspace": _("Backspace"),
        "Enter": _("Enter"),
        "Esc": _("Esc"),
    }.get(press, press)


@dataclass(frozen=True, slots=True)
class CapColours:
    """Fill, outline, the thicker lower edge, text."""

    fill: str
    edge: str
    foot: str
    text: str


def bar_cap(palette: Palette) -> CapColours:
    """A cap on the dark key strip."""
    return CapColours("#2B343B", palette.bar_dim, palette.bar_dim, palette.bar_text)


def main_cap(palette: Palette) -> CapColours:
    """The key to press now: the only yellow thing."""
    return CapColours(
        palette.main_key, palette.main_key, palette.main_key_edge, palette.main_key_text
    )


def paper_cap(palette: Palette) -> CapColours:
    """A cap on a panel or on paper."""
    return CapColours(palette.panel, palette.ink, palette.ink, palette.ink)


def _style(height: float, color: str) -> Style:
    return Style(px=round(0.49 * height), weight=700, color=color, align=CENTRE)


def cap_width(press: str, height: float = CAP, *, pedal: bool = False) -> float:
    """Width of a cap of that height."""
    press = standard_press(press)
    if press in DEGREES:
        wide = 1.36 * height
    elif len(press) == 1:
        wide = 1.06 * height
    else:
        wide = _style(height, "#000000").width(press_text(press)) + 0.7 * height
    return wide + (1.0 * height if pedal else 0.0)


def paint_cap(
    painter: QPainter, rect: QRectF, press: str, colours: CapColours, *, pedal: bool = False
) -> None:
    """Draw a key cap that fills `rect`."""
    press = standard_press(press)
    unit = rect.height() / CAP
    painter.setPen(NO_PEN)
    painter.setBrush(QColor(colours.foot))
    painter.drawRoundedRect(rect, 5.0 * unit, 5.0 * unit)
    face = rect.adjusted(0.0, 0.0, 0.0, -3.0 * unit)
    painter.setBrush(QColor(colours.edge))
    painter.drawRoundedRect(face, 5.0 * unit, 5.0 * unit)
    if colours.edge != colours.fill:
        inner = face.adjusted(2.0 * unit, 2.0 * unit, -2.0 * unit, -2.0 * unit)
        painter.setBrush(QColor(colours.fill))
        painter.drawRoundedRect(inner, 3.5 * unit, 3.5 * unit)
    if press in DEGREES:
        side = QRectF(0.0, 0.0, 20.0 * unit, 20.0 * unit)
        side.moveCenter(face.center())
        paint_arrow(painter, side, colours.text, degrees=DEGREES[press])
        return
    if pedal:
        sign = QRectF(face.right() - 37.0 * unit, face.top(), 26.0 * unit, face.height())
        paint_pedal(painter, sign, colours.text)
        face = face.adjusted(0.0, 0.0, -34.0 * unit, 0.0)
    row(painter, face, press_text(press), _style(rect.height(), colours.text), least=8)


def paint_triangle(painter: QPainter, rect: QRectF, ink: str, fill: str) -> None:
    """The warning triangle that stands before a caution."""
    side = min(rect.width(), rect.height() * 1.15)
    high = 0.87 * side
    c = rect.center()
    top = c.y() - high / 2.0
    corners = [(c.x(), top), (c.x() + side / 2.0, top + high), (c.x() - side / 2.0, top + high)]
    shape(painter, polygon(corners), fill=fill, stroke=pen(ink, 0.1 * side, cap=ROUND))
    bar = QPainterPath()
    bar.addRoundedRect(
        QRectF(c.x() - 0.05 * side, top + 0.36 * high, 0.1 * side, 0.3 * high), 1.0, 1.0
    )
    bar.addEllipse(QPointF(c.x(), top + 0.82 * high), 0.06 * side, 0.06 * side)
    shape(painter, bar, fill=ink)
