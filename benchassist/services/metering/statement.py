"""Which of a meter's typed accuracy statements holds for a reading."""

from collections.abc import Sequence
from math import inf
from typing import Final

from benchassist.core.reading import Reading
from benchassist.units import Statement

SAME_RANGE: Final = 0.11
"""A booklet says 200 ohm of a range that the display runs to 220: the same one."""
LEAST_COUNTS, MOST_COUNTS = 500.0, 120_000.0
"""What a display can count to that does not say its range; further is another range."""


def statement_for(reading: Reading, stated: Sequence[Statement]) -> Statement | None:
    """The statement of the reading's own range, else that of its function; None without either.

    Where the meter does not say its range, the widest of those that it could be on.
    """
    fitting = [one for one in stated if one.quantity is reading.quantity]
    whole = next((one for one in fitting if one.full_scale is None), None)
    ranges = [one for one in fitting if one.full_scale is not None]
    if reading.full_scale is not None:
        return min(
            (one for one in ranges if same_range(one.full_scale or 0.0, reading.full_scale)),
            key=lambda one: _gap(one.full_scale or 0.0, reading.full_scale or 0.0),
            default=whole,
        )
    possible = [one for one in ranges if _holds(one, reading)]
    if whole is not None:
        possible.append(whole)
    return max(possible, key=lambda one: _width(one, reading), default=None)


def same_range(top: float, other: float) -> bool:
    """Whether two tops of a range are of the same one."""
    return _gap(top, other) <= SAME_RANGE


def _gap(top: float, other: float) -> float:
    """How far apart two tops of a range are, to the larger."""
    return abs(top - other) / max(top, other)


def _holds(one: Statement, reading: Reading) -> bool:
    """Whether a range can show this value in these counts."""
    top = one.full_scale or 0.0
    fits = reading.value is None or abs(reading.value) <= top * (1.0 + SAME_RANGE)
    if not reading.resolution:
        return fits
    return fits and LEAST_COUNTS <= top / reading.resolution <= MOST_COUNTS


def _width(one: Statement, reading: Reading) -> float:
    """How wide a statement is at a reading; one that cannot be worked out is the widest."""
    value = abs(reading.value or 0.0)
    width = one.accuracy.half_width(value, resolution=reading.resolution, full_scale=one.full_scale)
    return inf if width is None else width
