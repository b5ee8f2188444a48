"""Match the display: three different values typed from it agree with the link to the last digit.

Frames carry no checksum and a table can be wrong for a meter: a link may take by itself only once
this has been seen. What the link said in the last moments counts, for a display lags its frames.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from math import isclose, log10

from benchassist.core.reading import Reading

WANTED = 3
"""Different values that have to agree."""


class Mismatch(StrEnum):
    """What a value that does not agree points to."""

    SILENT = "silent"
    """The link showed nothing at that moment: family, line or lead."""
    OTHER_QUANTITY = "other_quantity"
    """Ohms here, volts there: the wrong family, or a wrong function table."""
    OVERLOAD = "overload"
    """One says above range and the other a number."""
    SIGN = "sign"
    """The same digits with another sign."""
    POINT = "point"
    """The same digits, ten or more times out: the table of decimal points."""
    LAST_DIGIT = "last_digit"
    """A count or two apart: the reading moved; hold it still and try again."""
    DIGITS = "digits"
    """Other digits: wrong family, speed or parity."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One typed value beside what the link said; `mismatch` is None where they agree."""

    typed: Reading
    link: Reading | None
    mismatch: Mismatch | None = None

    @property
    def same(self) -> bool:
        """Whether display and link agree to the last digit."""
        return self.mismatch is None


def compare(typed: Reading, recent: Iterable[Reading]) -> Trial:
    """Hold a typed value against the link's last readings, newest first; the best one counts."""
    trials = [Trial(typed=typed, link=link, mismatch=_mismatch(typed, link)) for link in recent]
    if not trials:
        return Trial(typed=typed, link=None, mismatch=Mismatch.SILENT)
    return next((t for t in trials if t.same), trials[0])


def _mismatch(typed: Reading, link: Reading) -> Mismatch | None:
    if typed.quantity is not link.quantity:
        return Mismatch.OTHER_QUANTITY
    if typed.value is None or link.value is None:
        return None if typed.overload is link.overload else Mismatch.OVERLOAD
    count = max(typed.resolution or 0.0, link.resolution or 0.0)
    off = abs(typed.value - link.value)
    if off <= 0.01 * count or isclose(typed.value, link.value, rel_tol=1e-12):
        return None if _same_count(typed, link) else Mismatch.POINT
    if isclose(typed.value, -link.value, rel_tol=1e-9):
        return Mismatch.SIGN
    if off <= 2.01 * count:
        return Mismatch.LAST_DIGIT
    if typed.value * link.value > 0.0 and _ten_times_out(typed.value / link.value):
        return Mismatch.POINT
    return Mismatch.DIGITS


def _same_count(typed: Reading, link: Reading) -> bool:
    """Whether the last digit stands for the same; unknown on one side cannot disagree."""
    if typed.resolution is None or link.resolution is None:
        return True
    return isclose(typed.resolution, link.resolution, rel_tol=1e-6)


def _ten_times_out(ratio: float) -> bool:
    places = log10(ratio)
    return abs(round(places)) >= 1 and isclose(places, round(places), abs_tol=1e-9)


def agreed(trials: Iterable[Trial]) -> tuple[Trial, ...]:
    """The trials in a row, from the newest back, that agree on different values."""
    kept: list[Trial] = []
    for trial in reversed(tuple(trials)):
        if not trial.same:
            break
        if all(_different(trial.typed, other.typed) for other in kept):
            kept.append(trial)
    return tuple(reversed(kept))


def is_matched(trials: Iterable[Trial]) -> bool:
    """Whether the last trials agree on enough different values."""
    return len(agreed(trials)) >= WANTED


def is_new(typed: Reading, trials: Iterable[Trial]) -> bool:
    """Whether a value differs from those that have agreed so far."""
    return all(_different(typed, other.typed) for other in agreed(trials))


def _different(one: Reading, other: Reading) -> bool:
    if one.quantity is not other.quantity:
        return True
    if one.value is None or other.value is None:
        return one.overload is not other.overload
    count = max(one.resolution or 0.0, other.resolution or 0.0)
    return abs(one.value - other.value) > 2.5 * count
