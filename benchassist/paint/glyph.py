"""The small signs: a verdict as a shape, told apart by shape alone, and the pictures beside words.

Each fills the rectangle it is given as far as its own shape allows, centred.
"""

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter, QPainterPath

from benchassist.core.band import Side, Verdict
from benchassist.paint.palette import Palette
from benchassist.paint.stroke import (
    ROUND,
    arrow,
    block,
    design,
    fitted,
    hatch,
    line,
    pen,
    polygon,
    shape,
)

GLYPH_WIDTH, GLYPH_HEIGHT = 48.0, 20.0
_BLOCK_WIDTH, _BLOCK_HEIGHT = 22.0, 14.0
_MID = 10.0


def paint_verdict_glyph(
    painter: QPainter,
    rect: QRectF,
    verdict: Verdict,
    side: Side | None,
    palette: Palette,
) -> None:
    """The sign of a verdict, 48 x 20 units; out of band needs its side, high if it has none."""
    box, scale = fitted(rect, GLYPH_WIDTH, GLYPH_HEIGHT)
    with design(painter, box, scale):
        match verdict:
            case Verdict.IN_BAND:
                _axis(painter, 2.0, 46.0, palette)
                _band(painter, 13.0, palette)
                _dot(painter, 24.0, 4.8, palette.in_text, "")
            case Verdict.OUT_OF_BAND:
                _out_of_band(painter, side, palette)
            case Verdict.TOO_CLOSE:
                _axis(painter, 2.0, 13.0, palette)
                _band(painter, 13.0, palette)
                diamond = polygon([(24.0, 10.0), (35.0, 2.5), (46.0, 10.0), (35.0, 17.5)])
                edge = pen(palette.ink, 1.8)
                shape(painter, diamond, fill=palette.close_mark, stroke=edge)
            case Verdict.CANNOT_TELL:
                _cannot_tell(painter, palette)
            case Verdict.BY_EYE:
                _eye(painter, palette.ink)
            case Verdict.RECORDED:
                _axis(painter, 4.0, 44.0, palette)
                block(painter, (22.2, 2.0), (25.8, 18.0), palette.ink)


def _axis(painter: QPainter, left: float, right: float, palette: Palette) -> None:
    line(painter, (left, _MID), (right, _MID), pen(palette.band_edge, 2.0))


def _band(painter: QPainter, x: float, palette: Palette) -> None:
    path = QPainterPath()
    path.addRect(x, _MID - _BLOCK_HEIGHT / 2.0, _BLOCK_WIDTH, _BLOCK_HEIGHT)
    shape(painter, path, fill=palette.band, stroke=pen(palette.band_edge, 2.0))


def _dot(painter: QPainter, x: float, radius: float, color: str, outline: str) -> None:
    path = QPainterPath()
    path.addEllipse(QPointF(x, _MID), radius, radius)
    shape(painter, path, fill=color, stroke=pen(outline, 1.6) if outline else None)


def _out_of_band(painter: QPainter, side: Side | None, palette: Palette) -> None:
    painter.save()
    if side is Side.LOW:
        painter.translate(GLYPH_WIDTH, 0.0)
        painter.scale(-1.0, 1.0)
    _axis(painter, 1.0, 46.0, palette)
    _band(painter, 4.0, palette)
    _dot(painter, 39.0, 5.4, palette.out_mark, palette.ink)
    painter.restore()


def _cannot_tell(painter: QPainter, palette: Palette) -> None:
    _axis(painter, 2.0, 46.0, palette)
    _band(painter, 13.0, palette)
    lozenge = polygon(
        [(1.0, 10.0), (9.5, 1.0), (38.5, 1.0), (47.0, 10.0), (38.5, 19.0), (9.5, 19.0)]
    )
    hatch(painter, lozenge, palette.cannot_text, gap=5.4, width=1.9)
    shape(painter, lozenge, stroke=pen(palette.cannot_text, 1.8))


def _eye(painter: QPainter, color: str) -> None:
    path = QPainterPath(QPointF(5.0, _MID))
    path.cubicTo(QPointF(14.0, -1.0), QPointF(34.0, -1.0), QPointF(43.0, _MID))
    path.cubicTo(QPointF(34.0, 21.0), QPointF(14.0, 21.0), QPointF(5.0, _MID))
    shape(painter, path, stroke=pen(color, 2.0))
    pupil = QPainterPath()
    pupil.addEllipse(QPointF(24.0, _MID), 4.6, 4.6)
    shape(painter, pupil, fill=color)


def paint_eye(painter: QPainter, rect: QRectF, color: str) -> None:
    """An open eye, 48 x 20 units."""
    box, scale = fitted(rect, GLYPH_WIDTH, GLYPH_HEIGHT)
    with design(painter, box, scale):
        _eye(painter, color)


def paint_logo(painter: QPainter, rect: QRectF, palette: Palette) -> None:
    """The program's sign for the dark bar: a band with a tick, 44 x 22 units."""
    box, scale = fitted(rect, 44.0, 22.0)
    with design(painter, box, scale):
        line(painter, (0.0, 11.0), (44.0, 11.0), pen(palette.bar_text, 2.0))
        block(painter, (10.0, 4.0), (34.0, 18.0), "#56B4E9")
        block(painter, (25.0, 0.0), (29.0, 22.0), palette.bar_text)


def paint_meter(painter: QPainter, rect: QRectF, color: str, *, linked: bool = True) -> None:
    """A plug in its socket, or apart from it where the meter is not linked; 38 x 16 units."""
    box, scale = fitted(rect, 38.0, 16.0)
    gap = 0.0 if linked else 4.0
    with design(painter, box, scale):
        lead = pen(color, 3.4)
        line(painter, (4.0 - gap, 8.0), (12.0 - gap, 8.0), lead)
        block(painter, (11.0 - gap, 1.0), (18.4 - gap, 15.0), color)
        if not linked:
            for y in (4.8, 11.2):
                line(painter, (18.0 - gap, y), (22.4 - gap, y), pen(color, 2.4))
        socket = QPainterPath(QPointF(20.6 + gap, 2.0))
        socket.lineTo(22.6 + gap, 2.0)
        socket.arcTo(QRectF(17.0 + gap, 2.0, 12.0, 12.0), 90.0, -180.0)
        socket.lineTo(20.6 + gap, 14.0)
        socket.closeSubpath()
        shape(painter, socket, stroke=pen(color, 2.4))
        line(painter, (29.6 + gap, 8.0), (34.0 + gap, 8.0), lead)


def paint_pedal(painter: QPainter, rect: QRectF, color: str) -> None:
    """A foot pedal, 26 x 15 units."""
    box, scale = fitted(rect, 26.0, 15.0)
    with design(painter, box, scale):
        line(painter, (3.0, 11.5), (23.0, 3.0), pen(color, 4.6, cap=ROUND))
        line(painter, (2.0, 13.6), (24.5, 13.6), pen(color, 2.2))


def paint_pencil(painter: QPainter, rect: QRectF, color: str, fill: str) -> None:
    """A pencil with its point down to the right, 20 x 20 units."""
    box, scale = fitted(rect, 20.0, 20.0)
    with design(painter, box, scale):
        body = polygon([(1.6, 4.8), (5.2, 1.8), (16.6, 13.2), (18.6, 18.6), (13.4, 16.8)])
        shape(painter, body, fill=fill, stroke=pen(color, 1.7, cap=ROUND))
        point = polygon([(15.0, 17.4), (17.3, 15.0), (18.6, 18.6)])
        shape(painter, point, fill=color, stroke=pen(color, 1.2, cap=ROUND))


def paint_magnifier(painter: QPainter, rect: QRectF, color: str) -> None:
    """A magnifying glass, 36 x 36 units."""
    box, scale = fitted(rect, 36.0, 36.0)
    with design(painter, box, scale):
        glass = QPainterPath()
        glass.addEllipse(QPointF(14.0, 14.0), 10.5, 10.5)
        shape(painter, glass, stroke=pen(color, 4.0))
        line(painter, (22.0, 22.0), (32.5, 32.5), pen(color, 5.0, cap=ROUND))


def paint_arrow(painter: QPainter, rect: QRectF, color: str, *, degrees: float = 0.0) -> None:
    """An arrow as wide as 22 x 14 units allow; 0 points right, 90 down, 180 left."""
    box, scale = fitted(rect, 22.0, 14.0)
    with design(painter, box, scale):
        painter.translate(11.0, 7.0)
        painter.rotate(degrees)
        arrow(painter, QPointF(-10.0, 0.0), QPointF(10.0, 0.0), color, width=3.0, head=10.0)
