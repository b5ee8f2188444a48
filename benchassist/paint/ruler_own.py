"""The shop's own band beside the one in force: a thin caliper over the block, and its words."""

from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from benchassist.paint.caliper import SIGN, paint_caliper, paint_caliper_sign
from benchassist.paint.lettering import SMALLEST, Style, draw
from benchassist.paint.palette import Palette
from benchassist.paint.ruler_axis import Axis
from benchassist.paint.ruler_label import READING_BASELINE, free_spans

LEVEL: Final = 28.0
_AIR: Final = 14.0
"""Between the words and whatever else stands in their row."""
_GAP: Final = 7.0


def paint_own_band(painter: QPainter, axis: Axis, palette: Palette) -> None:
    """The caliper along the axis; an open side, or one off the scale, has no jaw."""
    low, high = axis.ruler.own_low, axis.ruler.own_high
    left = 0.0 if low is None else axis.x(low)
    right = axis.width if high is None else axis.x(high)
    if right < 0.0 or left > axis.width:
        return
    ends = ((left, low), (right, high))
    paint_caliper(
        painter,
        max(0.0, left),
        min(axis.width, right),
        level=LEVEL,
        jaws=[x for x, limit in ends if limit is not None and 0.0 <= x <= axis.width],
        palette=palette,
    )


def paint_own_label(
    painter: QPainter, axis: Axis, reading: QRectF | None, palette: Palette
) -> bool:
    """Its words in the row of the reading's figures; whether there was room for them.

    At the right end where they fit, else at the left one, so that they stand still while the
    reading moves.
    """
    style = Style(px=SMALLEST, color=palette.dim)
    wide = SIGN + _GAP + style.width(axis.ruler.own_label) + 1.0
    for begin, end in reversed(free_spans(0.0, axis.width, _taken(axis, reading))):
        if end - begin >= wide:
            left = end - wide if end >= axis.width - 1.0 else begin
            paint_caliper_sign(painter, left, READING_BASELINE - 5.5, palette)
            draw(painter, left + SIGN + _GAP, READING_BASELINE, axis.ruler.own_label, style)
            return True
    return False


def _taken(axis: Axis, reading: QRectF | None) -> list[tuple[float, float]]:
    """What else stands in the row: the reading's figures, its tick, the arrow from before."""
    taken: list[tuple[float, float]] = []
    if reading is not None:
        taken.append((reading.left() - _AIR, reading.right() + _AIR))
    if axis.tick is not None:
        taken.append((axis.tick - _AIR, axis.tick + _AIR))
        if axis.ruler.before is not None:
            before = min(axis.width, max(0.0, axis.x(axis.ruler.before)))
            taken.append((min(before, axis.tick) - _AIR, max(before, axis.tick) + _AIR))
    return taken
