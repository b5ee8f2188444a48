"""The band ruler: one reading with its doubt against its band. 792 x 106 units, 142 with a legend.

It draws the verdict it is given and decides nothing. Used on screen and on paper alike.
"""

from math import pi

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter, QPainterPath

from benchassist.core.band import Verdict
from benchassist.core.ruler import Ruler
from benchassist.paint.lettering import Style, draw
from benchassist.paint.lozenge import paint_lozenge
from benchassist.paint.palette import Palette
from benchassist.paint.ruler_axis import Axis, Block
from benchassist.paint.ruler_label import paint_band_label, paint_legend, place_reading_label
from benchassist.paint.ruler_own import paint_own_band, paint_own_label
from benchassist.paint.stroke import arrow, arrow_head, block, design, line, pen, shape

WIDTH = 792.0
HEIGHT = 106.0
HEIGHT_WITH_LEGEND = 142.0
AXIS_Y = 76.0
TOP = 34.0
MIDDLE = (TOP + AXIS_Y) / 2.0
HALF_HEIGHT = 27.0
SLIVER = 5.0
_NARROWEST = 360.0
_INSET = 12.0


def paint_band_ruler(
    painter: QPainter, rect: QRectF, ruler: Ruler, palette: Palette, *, legend: bool = True
) -> None:
    """The full ruler in `rect`: its height sets the scale, its width is used as it is."""
    height = HEIGHT_WITH_LEGEND if legend else HEIGHT
    scale = min(rect.height() / height, rect.width() / _NARROWEST)
    with design(painter, rect, scale) as room:
        axis = Axis.of(ruler, room.width(), _INSET)
        hatched = ruler.verdict is Verdict.CANNOT_TELL and ruler.value is not None
        part = axis.block
        if not hatched and part is not None:
            _paint_block(painter, part, palette)
        labels = _paint_axis(painter, axis, palette)
        _paint_earlier(painter, axis, labels, palette)
        reading = place_reading_label(axis)
        lozenge = axis.lozenge(MIDDLE, HALF_HEIGHT)
        if lozenge is not None:
            paint_lozenge(painter, lozenge, ruler.verdict, palette, hatch_gap=11.0)
        if hatched and part is not None:
            _paint_solid(painter, part, palette)
        solid = hatched or (part is not None and part.width < SLIVER)
        above = paint_band_label(painter, axis, part, reading, palette, above=solid)
        beside = bool(ruler.own_label) and not hatched
        if beside:
            paint_own_band(painter, axis, palette)
        told = beside and not above and paint_own_label(painter, axis, reading, palette)
        if part is not None:
            _paint_posts(painter, part, palette, hatched=hatched)
        _paint_before(painter, axis, palette)
        _paint_tick(painter, axis, palette)
        if reading is not None:
            style = Style(px=16, weight=700, color=palette.ink)
            draw(painter, reading.left(), reading.bottom(), ruler.reading_label, style)
        if legend:
            paint_legend(painter, axis, palette, own=beside and not told)


def _paint_axis(painter: QPainter, axis: Axis, palette: Palette) -> tuple[QRectF, ...]:
    """The line, its ticks, and as many labels as there is room for; the unit on the last.

    Returns where the labels stand.
    """
    ink = pen(palette.ink, 2.0)
    line(painter, (0.0, AXIS_Y), (axis.width, AXIS_Y), ink)
    style = Style(px=16, color=palette.ink)
    scale, ruler = axis.scale, axis.ruler
    free_to = axis.width
    labels: list[QRectF] = []
    for tick in reversed(scale.ticks):
        x = axis.x(tick)
        line(painter, (x, AXIS_Y), (x, AXIS_Y + 8.0), ink)
        text = f"{tick / ruler.factor + 0.0:.{scale.decimals}f}".replace("-", "−")
        if tick == scale.ticks[-1] and ruler.unit_text:
            text = f"{text} {ruler.unit_text}"
        width = style.width(text)
        left = max(0.0, min(x - width / 2.0, axis.width - width))
        if left + width <= free_to:
            labels.append(draw(painter, left, AXIS_Y + 25.0, text, style))
            free_to = left - 10.0
    return tuple(labels)


def _paint_block(painter: QPainter, part: Block, palette: Palette) -> None:
    if part.width < SLIVER:
        _paint_solid(painter, part, palette)
        return
    shape(painter, part.path(TOP, AXIS_Y), fill=palette.band)
    line(painter, (part.left, TOP + 1.0), (part.right, TOP + 1.0), pen(palette.band_edge, 2.0))
    line(painter, (part.left, AXIS_Y), (part.right, AXIS_Y), pen(palette.band_edge, 2.0))


def _paint_solid(painter: QPainter, part: Block, palette: Palette) -> None:
    """The band as a solid piece with a light rim: it must show through a hatch, however thin."""
    grow = max(0.0, SLIVER - part.width) / 2.0
    left, right = part.left - grow, part.right + grow
    block(painter, (left - 2.0, TOP - 2.0), (right + 2.0, AXIS_Y - 1.0), palette.panel)
    block(painter, (left, TOP), (right, AXIS_Y - 3.0), palette.band_edge)


def _paint_posts(painter: QPainter, part: Block, palette: Palette, *, hatched: bool) -> None:
    if hatched or part.width < SLIVER:
        return
    for post, x in ((part.low_post, part.left), (part.high_post, part.right)):
        if post:
            line(painter, (x, TOP - 6.0), (x, AXIS_Y + 6.0), pen(palette.band_edge, 4.0))


def _paint_earlier(
    painter: QPainter, axis: Axis, labels: tuple[QRectF, ...], palette: Palette
) -> None:
    """A tick for each earlier visit, shorter over a figure of the scale."""
    for value in axis.ruler.earlier:
        if axis.shows(value):
            x = axis.x(value)
            over = any(label.left() - 4.0 < x < label.right() + 4.0 for label in labels)
            length = 12.0 if over else 20.0
            line(painter, (x, AXIS_Y), (x, AXIS_Y + length), pen(palette.faint, 3.0))


def _paint_before(painter: QPainter, axis: Axis, palette: Palette) -> None:
    """The reading before the work: a dashed tick, and an arrow from it to the new one."""
    before, value = axis.ruler.before, axis.ruler.value
    if before is None:
        return
    x = min(axis.width - 4.0, max(4.0, axis.x(before)))
    outline = QPainterPath()
    outline.addRect(QRectF(x - 3.0, 22.0, 6.0, 56.0))
    shape(painter, outline, fill=palette.panel, stroke=pen(palette.ink, 2.0, dash=(4.0, 3.0)))
    if value is not None and axis.shows(value):
        arrow(
            painter,
            QPointF(x, 5.0),
            QPointF(axis.x(value), 5.0),
            palette.ink,
            width=2.4,
            head=11.0,
        )


def _paint_tick(painter: QPainter, axis: Axis, palette: Palette) -> None:
    """The reading itself; an arrow at the end of the axis where it lies beyond, or is overload."""
    if axis.tick is not None:
        x = axis.tick
        block(painter, (x - 2.5, 20.0), (x + 2.5, 78.0), palette.ink)
        shape(painter, arrow_head(QPointF(x, 23.0), pi / 2.0, 11.0, 9.0), fill=palette.ink)
    elif axis.beyond:
        tip = QPointF(axis.width - 1.0 if axis.beyond > 0 else 1.0, MIDDLE)
        angle = 0.0 if axis.beyond > 0 else pi
        shape(painter, arrow_head(tip, angle, 18.0, 12.0), fill=palette.ink)
