"""A thin caliper: the stretch of the shop’s own band. It judges nothing and has no such colour."""

from collections.abc import Sequence
from typing import Final

from PySide6.QtGui import QPainter

from benchassist.paint.palette import Palette
from benchassist.paint.stroke import line, pen

JAW: Final = 5.0
"""How far a jaw reaches up and down from the bar."""
SIGN: Final = 26.0
"""The width of the small one that stands before words."""


def paint_caliper(
    painter: QPainter,
    left: float,
    right: float,
    *,
    level: float,
    jaws: Sequence[float],
    palette: Palette,
) -> None:
    """A bar from left to right with jaws where it really ends."""
    stroke = pen(palette.dim, 2.0)
    line(painter, (left, level), (right, level), stroke)
    for x in jaws:
        line(painter, (x, level - JAW), (x, level + JAW), stroke)


def paint_caliper_sign(painter: QPainter, x: float, middle: float, palette: Palette) -> None:
    """The small one, `SIGN` wide."""
    left, right = x + 1.0, x + SIGN - 1.0
    paint_caliper(painter, left, right, level=middle, jaws=(left, right), palette=palette)
