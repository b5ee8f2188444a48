"""The ruler without words: for lines of a slip, tiles and tables. 176 x 22 units."""

from math import pi

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter, QPainterPath

from benchassist.core.band import Verdict
from benchassist.core.ruler import Ruler
from benchassist.paint.lozenge import paint_lozenge
from benchassist.paint.palette import Palette
from benchassist.paint.ruler_axis import Axis, Block
from benchassist.paint.stroke import arrow, arrow_head, block, design, line, pen, shape

HEIGHT = 22.0
ARROW_HEIGHT = 12.0
_MIDDLE, _TOP, _BOTTOM = 11.0, 4.0, 18.0
_INSET = 4.0
_SLIVER = 4.0


def paint_mini_ruler(painter: QPainter, rect: QRectF, ruler: Ruler, palette: Palette) -> None:
    """Line, block, lozenge and tick in `rect`, whose height sets the scale.

    With a `before`, the upper third carries the arrow from the dashed tick to the new one.
    """
    with_arrow = ruler.before is not None
    height = HEIGHT + (ARROW_HEIGHT if with_arrow else 0.0)
    with design(painter, rect, rect.height() / height) as room:
        if with_arrow:
            painter.translate(0.0, ARROW_HEIGHT)
        axis = Axis.of(ruler, room.width(), _INSET)
        _paint_axis(painter, axis, palette)
        hatched = ruler.verdict is Verdict.CANNOT_TELL and ruler.value is not None
        lozenge = axis.lozenge(_MIDDLE, 9.0)
        if hatched and lozenge is not None:
            paint_lozenge(painter, lozenge, ruler.verdict, palette, hatch_gap=6.0)
        if axis.block is not None:
            _paint_block(painter, axis.block, palette, sliver=hatched)
        _paint_earlier(painter, axis, palette)
        if not hatched and lozenge is not None:
            paint_lozenge(painter, lozenge, ruler.verdict, palette, hatch_gap=6.0)
        _paint_before(painter, axis, palette)
        _paint_tick(painter, axis, palette)


def _paint_axis(painter: QPainter, axis: Axis, palette: Palette) -> None:
    line(painter, (0.0, _MIDDLE), (axis.width, _MIDDLE), pen(palette.band_edge, 1.6))


def _paint_block(painter: QPainter, part: Block, palette: Palette, *, sliver: bool) -> None:
    if sliver or part.width < _SLIVER:
        grow = max(0.0, _SLIVER - part.width) / 2.0
        left, right = part.left - grow, part.right + grow
        block(painter, (left - 1.4, _TOP - 0.6), (right + 1.4, _BOTTOM + 0.6), palette.paper)
        block(painter, (left, _TOP), (right, _BOTTOM), palette.band_edge)
        return
    path = part.path(_TOP, _BOTTOM, depth=4.0)
    shape(painter, path, fill=palette.band)
    for y in (_TOP, _BOTTOM):
        line(painter, (part.left, y), (part.right, y), pen(palette.band_edge, 1.0))
    for post, x in ((part.low_post, part.left), (part.high_post, part.right)):
        if post:
            line(painter, (x, _TOP - 1.5), (x, _BOTTOM + 1.5), pen(palette.band_edge, 2.0))


def _paint_earlier(painter: QPainter, axis: Axis, palette: Palette) -> None:
    for value in axis.ruler.earlier:
        if axis.shows(value):
            x = axis.x(value)
            line(painter, (x, 12.0), (x, 21.0), pen(palette.faint, 1.5))


def _paint_before(painter: QPainter, axis: Axis, palette: Palette) -> None:
    before, value = axis.ruler.before, axis.ruler.value
    if before is None:
        return
    x = min(axis.width - 3.0, max(3.0, axis.x(before)))
    outline = QPainterPath()
    outline.addRect(QRectF(x - 2.0, 1.5, 4.0, 19.0))
    shape(painter, outline, fill=palette.paper, stroke=pen(palette.ink, 1.2, dash=(2.4, 1.6)))
    if value is None or not axis.shows(value):
        return
    y = -0.5 * ARROW_HEIGHT
    arrow(painter, QPointF(x, y), QPointF(axis.x(value), y), palette.ink, width=1.7, head=8.0)


def _paint_tick(painter: QPainter, axis: Axis, palette: Palette) -> None:
    if axis.tick is not None:
        block(painter, (axis.tick - 1.5, 1.0), (axis.tick + 1.5, 21.0), palette.ink)
    elif axis.beyond:
        tip = QPointF(axis.width - 0.5 if axis.beyond > 0 else 0.5, _MIDDLE)
        angle = 0.0 if axis.beyond > 0 else pi
        shape(painter, arrow_head(tip, angle, 8.5, 5.5), fill=palette.ink)
