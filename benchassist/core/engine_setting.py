"""Where an engine's levels should be, as its limits or a person say."""

from dataclasses import dataclass
from math import isfinite

from benchassist.core.band import Band
from benchassist.core.droop import overspeed_warning
from benchassist.core.run import SpeedLimits


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What a run is analysed with, in rpm: the levels, when to warn, what cannot be a speed.

    `top` is the high or the rated speed, whichever is known.
    """

    low: float | None = None
    high: float | None = None
    warn_above: float | None = None
    top: float | None = None

    def with_levels(self, low: float | None, high: float | None) -> "Setting":
        """The same with levels found, where not both were stated."""
        if low is None or high is None or (self.low is not None and self.high is not None):
            return self
        top = high if self.top is None else self.top
        return Setting(low=low, high=high, warn_above=self.warn_above, top=top)


def setting_of(
    limits: SpeedLimits, *, low: float | None = None, high: float | None = None
) -> Setting:
    """The setting of a run: levels as given, else the middle of their bands.

    Raises ValueError for a speed not above zero and where low is not below high.
    """
    low = _middle(limits.low) if low is None else low
    high = _middle(limits.high) if high is None else high
    for speed in (low, high):
        if speed is not None and not (isfinite(speed) and speed > 0.0):
            raise ValueError("a speed must be above zero")
    if low is not None and high is not None and not low < high:
        raise ValueError("the low speed must be below the high speed")
    top = limits.rated if high is None else high
    return Setting(low=low, high=high, warn_above=overspeed_warning(limits.rated), top=top)


def _middle(band: Band | None) -> float | None:
    """The middle of a band, or its only side; None without a band."""
    if band is None:
        return None
    sides = [side for side in (band.low, band.high) if side is not None]
    return sum(sides) / len(sides)
