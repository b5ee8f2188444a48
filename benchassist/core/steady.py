"""Hands-free taking: when a reading has come to rest, and when the probes have been lifted.

Nothing here takes a reading; it says that one may be taken. A touch that was taken once is never
offered again: after `taken` the probes must be seen lifted before the next window can begin.
"""

from collections import deque
from collections.abc import Iterable
from statistics import median
from typing import Final

from benchassist.core.quantity import Quantity
from benchassist.core.reading import BARS_TAKING, LinkChange, LinkItem, Mode, Reading
from benchassist.core.steady_window import COUNTS, Phase, Steadiness, SteadyWindow

__all__ = ["LIFTED_FOR", "Phase", "ProbeTouch", "Steadiness", "SteadyDetector", "is_shorted"]

LEAST_SILENCE: Final = 2.0
"""Seconds without news that no meter is blamed for."""
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
NOTHING: Final = Steadiness(phase=Phase.EMPTY)


class SteadyDetector:
    """Fed one item of a channel at a time, says whether the value has come to rest."""

    def __init__(self, quantity: Quantity | None = None, *, mode: Mode = Mode.PLAIN) -> None:
        self._quantity = quantity
        self._mode = mode
        self._window = SteadyWindow()
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
        periods = self._periods
        return max(3.0 * median(periods), LEAST_SILENCE) if periods else LEAST_SILENCE

    def is_stale(self, now_s: float) -> bool:
        """Whether nothing has come for too long. Nothing at all yet is not stale but empty."""
        return self._last is not None and now_s - self._last.t_s > self.longest_silence

    def feed(self, item: LinkItem) -> Steadiness:
        """Take in the next item and say how things stand."""
        return self.feed_all((item,)) or NOTHING

    def feed_all(self, items: Iterable[LinkItem]) -> Steadiness | None:
        """Take in items in order and say how things stand after the last; None without any."""
        found: Steadiness | None = None
        standing = False
        for item in items:
            found = self._take_in(item)
            standing = found is None
        return self._window.standing() if standing else found

    def _take_in(self, item: LinkItem) -> Steadiness | None:
        """How things stand with an item, None where the window has it and tells."""
        if not isinstance(item, Reading):
            self.reset()
            return NOTHING
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
            if passed < 0.0 or (passed > LEAST_SILENCE and passed > self.longest_silence):
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

    def _judge(self, item: Reading) -> Steadiness | None:
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
        self._window.add(item, item.value)
        return None


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
    if reading.value is None or reading.quantity is not Quantity.RESISTANCE:
        return False
    if abs(reading.value) >= max(SHORTED_BELOW, COUNTS * (reading.resolution or 0.0) * 1.001):
        return False
    return reading.mode is Mode.PLAIN and not reading.flags & BARS_TAKING


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
