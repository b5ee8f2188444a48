"""One visit's value on the axis of all visits: a piece of the band's column, its lozenge, its tick.

Rows that stand on each other make one column of band where the band stayed the same.
"""

from math import pi

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter, QPainterPath

from benchassist.core.band import Verdict
from benchassist.core.ruler import Ruler, Scale
from benchassist.paint.lozenge import paint_lozenge
from benchassist.paint.palette import Palette
from benchassist.paint.ruler_axis import Axis
from benchassist.paint.stroke import arrow_head, block, design, line, pen, shape

_POST = 3.0
_LEAST = 3.0
"""A band narrower than this is still seen."""


def paint_history_row(
    painter: QPainter, rect: QRectF, ruler: Ruler, scale: Scale, palette: Palette
) -> None:
    """The ruler of one visit in `rect`, or the band alone where it has no value.

    The row fills its height: the next one below goes on where it ends.
    """
    with design(painter, rect, 1.0) as room:
        axis = Axis(ruler, scale, room.width(), 0.0)
        high, middle = room.height(), room.height() / 2.0
        hatched = ruler.verdict is Verdict.CANNOT_TELL and ruler.value is not None
        lozenge = axis.lozenge(middle, min(0.42 * high, 13.0))
        if not hatched:
            _paint_block(painter, axis, high, palette)
        line(painter, (0.0, middle), (room.width(), middle), pen(palette.faint, 1.0))
        if lozenge is not None:
            paint_lozenge(painter, lozenge, ruler.verdict, palette, hatch_gap=6.0)
        if hatched:
            _paint_block(painter, axis, high, palette, solid=True)
        _paint_before(painter, axis, middle, palette)
        _paint_tick(painter, axis, (middle, min(0.84 * high, 26.0) / 2.0), palette)


def _paint_block(
    painter: QPainter, axis: Axis, high: float, palette: Palette, *, solid: bool = False
) -> None:
    part = axis.block
    if part is None:
        return
    grow = max(0.0, _LEAST - part.width) / 2.0
    left, right = part.left - grow, part.right + grow
    if solid:
        block(painter, (left, 0.3 * high), (right, 0.7 * high), palette.band_edge)
    else:
        block(painter, (left, 0.0), (right, high), palette.band)
    for stands, x in ((part.low_post, part.left), (part.high_post, part.right)):
        if stands:
            block(painter, (x - _POST / 2.0, 0.0), (x + _POST / 2.0, high), palette.band_edge)


def _paint_before(painter: QPainter, axis: Axis, middle: float, palette: Palette) -> None:
    """What it read before the work, as a dashed tick without a filling."""
    before = axis.ruler.before
    if before is None:
        return
    x = min(axis.width - 3.0, max(3.0, axis.x(before)))
    half = min(8.0, 0.7 * middle)
    outline = QPainterPath()
    outline.addRect(QRectF(x - 2.0, middle - half, 4.0, 2.0 * half))
    shape(painter, outline, fill=palette.panel, stroke=pen(palette.ink, 1.2, dash=(2.4, 1.6)))


def _paint_tick(painter: QPainter, axis: Axis, at: tuple[float, float], palette: Palette) -> None:
    """The value itself; an arrow at the end of the axis where it lies beyond, or is an overload."""
    middle, half = at
    if axis.tick is not None:
        block(
            painter, (axis.tick - 1.7, middle - half), (axis.tick + 1.7, middle + half), palette.ink
        )
    elif axis.beyond:
        tip = QPointF(axis.width if axis.beyond > 0 else 0.0, middle)
        head = arrow_head(tip, 0.0 if axis.beyond > 0 else pi, 10.0, min(7.0, half))
        shape(painter, head, fill=palette.ink)
