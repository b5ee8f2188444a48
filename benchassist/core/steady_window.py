"""Readings that have come to rest: how long they must agree, and which of them stands for all."""

from collections import deque
from dataclasses import dataclass
from enum import StrEnum
from math import sqrt
from typing import Final

from benchassist.core.reading import Flag, Reading

LEAST_READINGS: Final = 3
LEAST_SPAN: Final = 1.0
"""Seconds a window must last."""
LONGEST_SPAN: Final = 3.0
"""Seconds of readings kept in the window; older ones say nothing about now."""
LEAST_STEP: Final = LONGEST_SPAN / 128
"""Seconds between readings that are kept; the newest stands for what came within less."""
COUNTS: Final = 2.0
SHARE: Final = 0.003


class Phase(StrEnum):
    """How the reading stands."""

    EMPTY = "empty"
    """Nothing, or nothing touched."""
    OVERLOAD = "overload"
    BARRED = "barred"
    """A flag, a mode or a quantity that is not to be taken."""
    MOVING = "moving"
    STEADYING = "steadying"
    STEADY = "steady"
    LIFT = "lift"
    """Taken: waits for the probes to be lifted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Steadiness:
    """Where the window stands. `fraction` runs from 0 to 1; `spread` is its standard deviation.

    `reading` is one that the meter displayed: the last one, and of a STEADY window the middle one,
    so that a digit that a cable damaged within the allowance is not the one that is taken. Only a
    STEADY one may be taken unasked.
    """

    phase: Phase
    reading: Reading | None = None
    fraction: float = 0.0
    mean: float | None = None
    spread: float = 0.0
    readings: int = 0
    barred_by: frozenset[Flag] = frozenset()
    wrong_function: bool = False


class SteadyWindow:
    """Readings on one range that lie within the allowance of each other, the newest at the end.

    Neither its size nor the work that a reading costs grows with how fast they come.
    """

    def __init__(self) -> None:
        self._readings: deque[Reading] = deque()
        self._values: deque[float] = deque()
        self._low = self._high = 0.0

    def clear(self) -> None:
        """Forget them all."""
        self._readings.clear()
        self._values.clear()

    def add(self, item: Reading, value: float) -> None:
        """Add a value, drop from the front what is on another range, too far off or too old."""
        readings = self._readings
        if readings and not _same_range(readings[-1], item):
            self.clear()
        if len(readings) > 1 and readings[-1].t_s - readings[-2].t_s < LEAST_STEP:
            readings.pop()
            self._lose(self._values.pop())
        if readings:
            self._low, self._high = min(self._low, value), max(self._high, value)
        else:
            self._low = self._high = value
        readings.append(item)
        self._values.append(value)
        while len(readings) > LEAST_READINGS and item.t_s - readings[0].t_s > LONGEST_SPAN:
            self._drop()
        allowed = _allowance(value, item.resolution)
        while self._high - self._low > allowed:
            self._drop()

    def _drop(self) -> None:
        self._readings.popleft()
        self._lose(self._values.popleft())

    def _lose(self, gone: float) -> None:
        """A value left: find the ends anew where it was one, unless others stand there too."""
        values = self._values
        if gone in {self._low, self._high} and gone != values[-1] and gone != values[0]:
            self._low, self._high = min(values), max(values)

    def standing(self) -> Steadiness:
        """How a window with a reading in it stands."""
        readings, values = self._readings, self._values
        item = readings[-1]
        n, span = len(values), item.t_s - readings[0].t_s
        mean = sum(values) / n
        spread = sqrt(sum((v - mean) ** 2 for v in values) / (n - 1)) if n > 1 else 0.0
        fraction = min(1.0, (n - 1) / (LEAST_READINGS - 1), span / LEAST_SPAN)
        steady = n >= LEAST_READINGS and span >= LEAST_SPAN
        phase = Phase.STEADY if steady else Phase.STEADYING if n > 1 else Phase.MOVING
        return Steadiness(
            phase=phase,
            reading=self._middle() if steady else item,
            fraction=fraction,
            mean=mean,
            spread=spread,
            readings=n,
        )

    def _middle(self) -> Reading:
        """The reading whose value is the middle one, of two the one displayed last."""
        values = sorted(self._values)
        middle = {values[(len(values) - 1) // 2], values[len(values) // 2]}
        return next(one for one in reversed(self._readings) if one.value in middle)


def _allowance(value: float, resolution: float | None) -> float:
    """How far apart values at rest may lie: the wider of two counts and 0.3 % of the newest."""
    allowed = max(COUNTS * (resolution or 0.0), SHARE * abs(value))
    # Two counts as floats may differ by two counts and a rounding.
    return allowed * (1.0 + 1e-9) + 1e-12 * abs(value)


def _same_range(one: Reading, other: Reading) -> bool:
    return (
        one.resolution == other.resolution
        and one.full_scale == other.full_scale
        and one.quantity is other.quantity
        and one.channel == other.channel
    )
