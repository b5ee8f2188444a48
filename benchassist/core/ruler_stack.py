"""Rulers of one quantity over each other on one axis: what the axis has to show."""

from collections.abc import Sequence
from typing import Final

from benchassist.core.ruler import Ruler, Scale

REACH: Final = 2.0
"""How many widths of the band the axis goes on past it at most: farther values lie off its end."""
PAD: Final = 0.18


def stack_scale(rulers: Sequence[Ruler], limits: Sequence[float] = ()) -> Scale:
    """The axis for all of them, without ticks; `limits` are shown whatever else is.

    It shows every value with its doubt, as far as the band stays to be seen; an open side goes on
    by as much as the values need. Never below zero where none of them is.
    """
    edges = [v for r in rulers for v in (r.low, r.high) if v is not None]
    edges += limits
    values = [
        end for r in rulers if r.value is not None for end in (r.value - r.doubt, r.value + r.doubt)
    ]
    points = edges + [_within(value, edges) for value in values]
    low, high = min(points, default=0.0), max(points, default=1.0)
    span = high - low
    if not span > 0.0:
        span = abs(high) or 1.0
    one_sided = any((r.low is None) != (r.high is None) for r in rulers)
    pad = (0.4 if one_sided and len(set(edges)) < 2 else PAD) * span
    start, end = low - pad, high + pad
    if all(r.floor_at_zero for r in rulers):
        start = max(0.0, start)
    return Scale(start, end, (), 0)


def _within(value: float, edges: Sequence[float]) -> float:
    """A value, or how far towards it the axis may go."""
    if len(set(edges)) < 2:
        return value
    low, high = min(edges), max(edges)
    reach = REACH * (high - low)
    return min(max(value, low - reach), high + reach)
