"""The two governed speeds, found in what an engine did.

Two clusters are told apart by the split of a histogram with the most variance between its sides
(Otsu 1979); they count as two levels only where they stand far apart for how wide each is, which a
governor that hunts about one speed does not reach.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from benchassist.core.samples import Column

BINS: Final = 512

LEAST_STEP: Final = 0.12
"""Two levels are apart by this share of the higher one; a governor's droop is less."""

APART: Final = 4.0
HARDLY_APART: Final = 1.5
"""And by so many times the width (middle half) of the narrower, of the wider. The halves of a sine
about one speed are 2.6 widths apart; short stays between slow moves are wide, but not at both."""

NEAR: Final = 0.3
"""A level is met within this share of the step (of an eighth of its speed, with no step)."""

IDLES_BELOW: Final = 2500.0
"""A single level under this (rpm, common practice) is the low one, where nothing is stated."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Speeds:
    """Where the levels are, in rpm; None for one that never occurred."""

    low: float | None = None
    high: float | None = None


def find_speeds(rpm: Column, *, low: float | None = None, high: float | None = None) -> Speeds:
    """The levels in usable readings. `low` and `high` are where they should be, if known.

    With both known a level is looked for within 30 % of the step about each. Raises ValueError
    unless low is below high.
    """
    if low is not None and high is not None and not low < high:
        raise ValueError("the low speed must be below the high speed")
    if len(rpm) == 0:
        return Speeds()
    if low is not None and high is not None:
        return Speeds(
            low=_met(rpm, low, NEAR * (high - low)), high=_met(rpm, high, NEAR * (high - low))
        )
    found = _two(rpm)
    if found is not None:
        return Speeds(low=found[0], high=found[1])
    only = _mode(rpm)
    if low is not None:
        is_low = only < low * (1.0 + LEAST_STEP)
    elif high is not None:
        is_low = only < high * (1.0 - LEAST_STEP)
    else:
        is_low = only < IDLES_BELOW
    return Speeds(low=only) if is_low else Speeds(high=only)


def _met(rpm: Column, hint: float, near: float) -> float | None:
    """The commonest speed within a distance of where a level should be."""
    inside = rpm[np.abs(rpm - hint) <= near]
    return _mode(inside) if len(inside) else None


def _two(rpm: Column) -> tuple[float, float] | None:
    """The two levels, None where there is one."""
    bottom, top = float(rpm.min()), float(rpm.max())
    if len(rpm) < 4 or top - bottom < LEAST_STEP * top:
        return None
    width = (top - bottom) / BINS
    bins = np.minimum(((rpm - bottom) / width).astype(np.intp), BINS - 1)
    count = np.bincount(bins, minlength=BINS).astype(np.float64)
    centre = bottom + width * (np.arange(BINS) + 0.5)
    below = np.cumsum(count)[:-1]
    above = len(rpm) - below
    moment = np.cumsum(count * centre)
    with np.errstate(invalid="ignore", divide="ignore"):
        gap = (moment[-1] - moment[:-1]) / above - moment[:-1] / below
        between = np.nan_to_num(below * above * gap**2)
    # Between two levels every split is as good: the middle one.
    best = np.flatnonzero(between >= between.max() * (1.0 - 1e-9))
    cut = centre[best[len(best) // 2]] + width / 2.0
    under, over = rpm[rpm <= cut], rpm[rpm > cut]
    if min(len(under), len(over)) < 2:
        return None
    low, high = _mode(under), _mode(over)
    narrow, wide = sorted((_middle_half(under), _middle_half(over)))
    step = high - low
    if step < max(LEAST_STEP * high, APART * narrow, HARDLY_APART * wide):
        return None
    return low, high


def _middle_half(rpm: Column) -> float:
    quarter, three = np.quantile(rpm, (0.25, 0.75))
    return float(three - quarter)


def _mode(rpm: Column) -> float:
    """The commonest speed: the median about the fullest of bins one fiftieth wide."""
    middle = float(np.median(rpm))
    width = middle / 50.0
    bottom = float(rpm.min())
    bins = ((rpm - bottom) / width).astype(np.intp)
    count = np.bincount(bins)
    # A peak on a bin's border is shared by both.
    pairs = np.convolve(count, (1, 2, 1), mode="same") if len(count) > 2 else count
    peak = bottom + width * (float(np.argmax(pairs)) + 0.5)
    inside = rpm[np.abs(rpm - peak) <= 1.5 * width]
    return float(np.median(inside)) if len(inside) else middle
