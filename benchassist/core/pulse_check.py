"""Whether readings of an engine's speed can be: lost, doubled and halved pulses.

A clamp that rings counts a spark twice, one that sits badly misses every other, and a lost signal
reads zero. A flywheel cannot double or halve its speed for a reading or two and come back.
"""

from enum import StrEnum
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from benchassist.core.samples import Column

Mask = NDArray[np.bool_]

STANDING: Final = 200.0
"""Slower than this (rpm) no small engine turns by itself: no signal, or it stands."""

DOUBLED: Final = 1.7
HALVED: Final = 0.6
"""A reading so far from the median of the five around it is a doubled or a missed pulse."""

OUT: Final = 1.12
OFF: Final = 0.6
"""One that is so far outside of both neighbours, and so much nearer to them halved or doubled."""

COMPARED: Final = 1.0
"""Readings (seconds apart) that still tell something about their neighbours."""

AT_ONCE: Final = 0.25
EXACT: Final = 0.03
BURST: Final = 3.0
"""Seconds in which no flywheel doubles its speed, how exactly it seems to, and for how long."""

JUMPS: Final = 3
"""So many jumps by a factor of two are no accident."""


class PulseDoubt(StrEnum):
    """What the readings suggest about the pulses; a person confirms it once."""

    DOUBLE = "double"
    """They read twice the speed: pulses per revolution should be twice as many, or it rings."""
    HALF = "half"
    """They read half the speed: pulses per revolution should be half as many."""
    RINGING = "ringing"
    """They jump to twice or half and back between neighbours."""


def plausible(t_s: Column, rpm: Column, *, high: float | None = None) -> Mask:
    """Which readings, at rising seconds, can be speeds of a running engine.

    Left out: not a number, standing, one or two in a row at twice or at half of those around them,
    a few seconds of readings that jump there and back between neighbours, and everything above 1.7
    times the high speed where that is known. Readings more than a second apart are not compared.
    """
    with np.errstate(invalid="ignore"):
        good = np.isfinite(rpm) & (rpm >= STANDING)
    if high is not None:
        good[good] = rpm[good] <= DOUBLED * high
    if len(t_s) < 5 or float(np.median(np.diff(t_s))) > COMPARED:
        return good
    good[good] = ~_spikes(rpm[good])
    good[good] = ~_bursts(t_s[good], rpm[good])
    return good


def _bursts(t_s: Column, rpm: Column) -> Mask:
    """Where readings jump by a factor of two and shortly back again, faster than metal can."""
    burst: Mask = np.zeros(len(rpm), dtype=np.bool_)
    if len(rpm) < 5:
        return burst
    ratio = rpm[1:] / rpm[:-1]
    at_once = np.diff(t_s) <= AT_ONCE
    up = at_once & (np.abs(ratio / 2.0 - 1.0) < EXACT)
    down = at_once & (np.abs(ratio * 2.0 - 1.0) < EXACT)
    jumps = np.flatnonzero(up | down)
    for a, b in pairwise(jumps.tolist()):
        if up[a] != up[b] and t_s[b] - t_s[a + 1] <= BURST and not burst[a]:
            burst[a + 1 : b + 1] = True
    return burst


def _spikes(rpm: Column) -> Mask:
    """Where a reading is a doubled or halved one among its neighbours.

    One alone stands out of both neighbours and fits better between them when halved or doubled;
    two in a row are far from the median of five.
    """
    spikes: Mask = np.zeros(len(rpm), dtype=np.bool_)
    if len(rpm) < 5:
        return spikes
    padded = np.concatenate((rpm[2:0:-1], rpm, rpm[-2:-4:-1]))
    jumps = np.maximum(padded[1:], padded[:-1]) > OUT * np.minimum(padded[1:], padded[:-1])
    # None without a jump within two readings, which leaves few to look at.
    near = np.flatnonzero(jumps[:-3] | jumps[1:-2] | jumps[2:-1] | jumps[3:])
    two_before, before, x, after, two_after = (padded[near + k] for k in range(5))
    around = _median_of_five(two_before, before, x, after, two_after)
    found = (x > DOUBLED * around) | (x < HALVED * around)
    between = 0.5 * (before + after)
    off = OFF * np.abs(x - between)
    up = (x > OUT * np.maximum(before, after)) & (np.abs(0.5 * x - between) < off)
    down = (OUT * x < np.minimum(before, after)) & (np.abs(2.0 * x - between) < off)
    spikes[near] = found | ((up | down) & (near > 0) & (near < len(rpm) - 1))
    return spikes


def _median_of_five(a: Column, b: Column, c: Column, d: Column, e: Column) -> Column:
    """The medians of five columns, by a network of comparisons."""
    low_ab, high_ab = np.minimum(a, b), np.maximum(a, b)
    low_de, high_de = np.minimum(d, e), np.maximum(d, e)
    # The least of four and the greatest of four cannot be the median of five.
    f = np.maximum(low_ab, low_de)
    g = np.minimum(high_ab, high_de)
    low_fg, high_fg = np.minimum(f, g), np.maximum(f, g)
    middle: Column = np.maximum(low_fg, np.minimum(high_fg, c))
    return middle


def plausible_pulses(
    rpm: Column, *, low: float | None = None, high: float | None = None
) -> PulseDoubt | None:
    """What the readings suggest about pulses per revolution; None where nothing is odd.

    `low` and `high` are the speeds the machine should run at. Half the high speed is no doubt where
    it may be the low one. Both None: only jumps between neighbours are looked at.
    """
    with np.errstate(invalid="ignore"):
        running = rpm[np.isfinite(rpm) & (rpm >= STANDING)]
    if len(running) < 3:
        return None
    ratio = running[1:] / running[:-1]
    jumps = np.flatnonzero(((ratio > 1.8) & (ratio < 2.2)) | ((ratio > 0.45) & (ratio < 0.56)))
    # There and back within two readings; a fall to idle stays down.
    if np.count_nonzero(np.diff(jumps) <= 2) >= JUMPS:
        return PulseDoubt.RINGING
    typical = float(np.median(running))
    if high is not None and typical > DOUBLED * high:
        return PulseDoubt.DOUBLE
    if low is not None:
        return PulseDoubt.HALF if typical < HALVED * low else None
    if high is not None and float(np.quantile(running, 0.95)) < HALVED * high:
        return PulseDoubt.HALF
    return None
