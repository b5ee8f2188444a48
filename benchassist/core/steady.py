"""Hands-free taking: when a reading has come to rest, and when the probes have been lifted.

Nothing here takes a reading; it says that one may be taken. A touch that was taken once is never
offered again: after `taken` the probes must be seen lifted before the next window can begin.
"""

from collections import deque
from dataclasses import dataclass
from enum import StrEnum
from math import sqrt
from statistics import median
from typing import Final

from benchassist.core.quantity import Quantity
from benchassist.core.reading import (
    BARS_TAKING,
    Flag,
    Gap,
    LinkChange,
    LinkItem,
    Mode,
    Reading,
)

LEAST_READINGS: Final = 3
LEAST_SPAN: Final = 1.0
"""Seconds a window must last."""
LONGEST_SPAN: Final = 3.0
"""Seconds of readings kept in the window; older ones say nothing about now."""
COUNTS: Final = 2.0
SHARE: Final = 0.003
LIFTED_SHARE: Final = 0.2
LIFTED_FOR: Final = 0.5
"""Seconds the probes must be off."""
SHORTED_BELOW: Final = 1.0
"""Ohm; or two counts where the count is coarser."""
SHORTED_FOR: Final = 60.0
"""Seconds for which shorted probes prove the leads."""

ZERO_WHEN_OPEN: Final = frozenset(
    {Quantity.VOLTAGE, Quantity.CURRENT, Quantity.FREQUENCY, Quantity.SPEED}
)
"""What a meter shows as zero when its probes touch nothing."""


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

    `reading` is the last one, a value the meter displayed; only a STEADY one may be taken unasked.
    """

    phase: Phase
    reading: Reading | None = None
    fraction: float = 0.0
    mean: float | None = None
    spread: float = 0.0
    readings: int = 0
    barred_by: frozenset[Flag] = frozenset()
    wrong_function: bool = False


class SteadyDetector:
    """Fed one item of a channel at a time, says whether the value has come to rest."""

    def __init__(self, quantity: Quantity | None = None, *, mode: Mode = Mode.PLAIN) -> None:
        self._quantity = quantity
        self._mode = mode
        self._window: deque[Reading] = deque()
        self._periods: deque[float] = deque(maxlen=9)
        self._last: Reading | None = None
        self._taken: Reading | None = None
        self._off_since: float | None = None

    def expect(self, quantity: Quantity | None, *, mode: Mode = Mode.PLAIN) -> None:
        """What the check wants from here on. A taken touch stays taken."""
        self._quantity, self._mode = quantity, mode
        self._window.clear()

    @property
    def longest_silence(self) -> float:
        """Seconds without news after which a reading is old: max(3 measured periods, 2 s)."""
        return max(3.0 * median(self._periods), 2.0) if self._periods else 2.0

    def is_stale(self, now_s: float) -> bool:
        """Whether nothing has come for too long. Nothing at all yet is not stale but empty."""
        return self._last is not None and now_s - self._last.t_s > self.longest_silence

    def feed(self, item: LinkItem) -> Steadiness:
        """Take in the next item and say how things stand."""
        if isinstance(item, LinkChange | Gap):
            self.reset()
            return Steadiness(phase=Phase.EMPTY)
        self._note_time(item)
        if self._taken is not None and not self._lifted(self._taken, item):
            return Steadiness(phase=Phase.LIFT, reading=item)
        return self._judge(item)

    def taken(self, reading: Reading) -> None:
        """This reading was taken, by itself or by key: its touch is used up."""
        self._taken, self._off_since = reading, None
        self._window.clear()

    def reset(self) -> None:
        """Forget the window: a gap, a link change, silence. A taken touch stays taken."""
        self._window.clear()
        self._last = None
        self._off_since = None

    def _note_time(self, item: Reading) -> None:
        """Measure the period; silence, or a clock that went back, empties the window."""
        if self._last is not None:
            passed = item.t_s - self._last.t_s
            if passed < 0.0 or passed > self.longest_silence:
                self.reset()
            if passed > 0.0:
                self._periods.append(passed)
        self._last = item

    def _lifted(self, taken: Reading, item: Reading) -> bool:
        """Whether the probes have been off the taken touch for half a second.

        What is on hold is not news. A meter turned to another function says nothing of the probes,
        unless the check now wants that function.
        """
        live = self._mode_fits(item) and not item.flags & BARS_TAKING
        turned = item.quantity is not taken.quantity
        wanted = self._quantity is not None and self._wanted(item)
        off = wanted if turned else _is_off(taken, item)
        if not (live and off):
            self._off_since = None
            return False
        if self._off_since is None:
            self._off_since = item.t_s
        if item.t_s - self._off_since < LIFTED_FOR:
            return False
        self._taken, self._off_since = None, None
        return True

    def _wanted(self, item: Reading) -> bool:
        """Whether the check wants this function; a speed may be read in hertz."""
        by_hertz = self._quantity is Quantity.SPEED and item.quantity is Quantity.FREQUENCY
        fits = self._quantity is None or item.quantity is self._quantity or by_hertz
        return fits and self._mode_fits(item)

    def _mode_fits(self, item: Reading) -> bool:
        """Hertz are counted on alternating signals; everything else in the mode asked for."""
        counted = item.mode is Mode.AC and item.quantity is Quantity.FREQUENCY
        return counted or item.mode is self._mode

    def _judge(self, item: Reading) -> Steadiness:
        barred_by = item.flags & BARS_TAKING
        wrong = not self._wanted(item)
        if barred_by or wrong:
            self._window.clear()
            return Steadiness(
                phase=Phase.BARRED, reading=item, barred_by=barred_by, wrong_function=wrong
            )
        if item.value is None:
            self._window.clear()
            return Steadiness(phase=Phase.OVERLOAD, reading=item)
        if item.quantity in ZERO_WHEN_OPEN and abs(item.value) <= COUNTS * (item.resolution or 0.0):
            self._window.clear()
            return Steadiness(phase=Phase.EMPTY, reading=item)
        return self._extend(item)

    def _extend(self, item: Reading) -> Steadiness:
        """Add a value, drop from the front what is on another range, too far off or too old."""
        window = self._window
        if window and not _same_range(window[-1], item):
            window.clear()
        window.append(item)
        while len(window) > LEAST_READINGS and item.t_s - window[0].t_s > LONGEST_SPAN:
            window.popleft()
        values = [r.value for r in window if r.value is not None]
        while not _at_rest(values, item.resolution):
            window.popleft()
            values.pop(0)
        n, span = len(values), item.t_s - window[0].t_s
        mean = sum(values) / n
        spread = sqrt(sum((v - mean) ** 2 for v in values) / (n - 1)) if n > 1 else 0.0
        fraction = min(1.0, (n - 1) / (LEAST_READINGS - 1), span / LEAST_SPAN)
        steady = n >= LEAST_READINGS and span >= LEAST_SPAN
        phase = Phase.STEADY if steady else Phase.STEADYING if n > 1 else Phase.MOVING
        return Steadiness(
            phase=phase, reading=item, fraction=fraction, mean=mean, spread=spread, readings=n
        )


class ProbeTouch:
    """Remembers when each channel last saw its probes held together."""

    def __init__(self) -> None:
        self._seen: dict[str, float] = {}

    def feed(self, item: LinkItem) -> None:
        """Note a reading near zero ohm. A channel that opens anew starts a new clock: forgotten."""
        if isinstance(item, LinkChange):
            self._seen.pop(item.channel, None)
        elif isinstance(item, Reading) and is_shorted(item):
            self._seen[item.channel] = item.t_s

    def proved(self, channel: str, now_s: float) -> bool:
        """Whether the probes were held together within the minute before `now_s`."""
        seen = self._seen.get(channel)
        return seen is not None and 0.0 <= now_s - seen <= SHORTED_FOR


def is_shorted(reading: Reading) -> bool:
    """Whether a reading in ohms is what probes held together show."""
    if reading.quantity is not Quantity.RESISTANCE or reading.value is None:
        return False
    if reading.mode is not Mode.PLAIN or reading.flags & BARS_TAKING:
        return False
    return abs(reading.value) < max(SHORTED_BELOW, COUNTS * (reading.resolution or 0.0) * 1.001)


def _at_rest(values: list[float], resolution: float | None) -> bool:
    """Whether all values lie within max(2 counts, 0.3 %) of each other."""
    allowed = max(COUNTS * (resolution or 0.0), SHARE * abs(values[-1]))
    # Two counts as floats may differ by two counts and a rounding.
    return max(values) - min(values) <= allowed * (1.0 + 1e-9) + 1e-12 * abs(values[-1])


def _same_range(one: Reading, other: Reading) -> bool:
    return (
        one.resolution == other.resolution
        and one.full_scale == other.full_scale
        and one.quantity is other.quantity
        and one.channel == other.channel
    )


def _is_off(taken: Reading, item: Reading) -> bool:
    """Whether an item shows the probes off the taken touch: overload, zero or a change over 20 %.

    A touch that itself read near zero, or above range, cannot be told from lifted probes by that.
    """
    if item.value is None or taken.value is None:
        return item.overload is not taken.overload
    counts = COUNTS * max(item.resolution or 0.0, taken.resolution or 0.0)
    if abs(item.value - taken.value) <= counts:
        return False
    return abs(item.value) <= counts or (
        abs(item.value - taken.value) > LIFTED_SHARE * abs(taken.value)
    )
