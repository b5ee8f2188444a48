"""Ways to find a fault in a log of a heat run: ours, a plain threshold, a library of change points.

Each says where something began and at which sample it was told.
"""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from math import inf

import numpy as np
import ruptures

from benchassist.core.copper import ALPHA_20
from benchassist.core.heat_block import part_of
from benchassist.core.heat_run import REPRODUCED, HeatRun, analyse_heat
from benchassist.core.heat_trend import LIMIT_COUNTS, LIMIT_SHARE
from benchassist.core.run import HeatedPart
from benchassist.core.run_finding import HeatEvent
from benchassist.core.samples import Column
from tests.benchmarks.heat_log import HeatLog

WINDING = HeatedPart.WINDING
PLAIN_OVERLOAD = 10.0
"""An overload is ten times the first value to peers that know no overload."""
PENALTY = 30.0
"""Of ruptures, times log n: with less it breaks noise, with more it misses as much."""


@dataclass(frozen=True, slots=True)
class Alarm:
    """Where something is said to have begun, and at which sample it was told."""

    begin: int
    told: int
    event: HeatEvent | None = None


Detector = Callable[[HeatLog], list[Alarm]]


def by_ours(log: HeatLog) -> list[Alarm]:
    """Each event that is more than a spike, as it was first told."""
    run, samples = HeatRun(WINDING), log.samples
    place = max(log.start - int(120.0 * log.meter.hertz), 0)
    alarms: dict[float, Alarm] = {}

    def note(at: int, events: tuple[HeatEvent, ...]) -> None:
        for event in events:
            if event.kind in REPRODUCED:
                begin = int(np.searchsorted(samples.t_s, event.start_s))
                alarms.setdefault(event.start_s, Alarm(begin, at, event))

    note(place, run.feed_block(part_of(samples, slice(place)), log.celsius[:place]))
    rest = part_of(samples, slice(place, None))
    columns = (rest.t_s, rest.value, rest.resolution, log.celsius[place:])
    rows = zip(*(column.tolist() for column in columns), strict=True)
    for at, (t_s, value, resolution, celsius) in enumerate(rows, place):
        note(at, run.feed(t_s, None if value == inf else value, resolution, celsius))
    return list(alarms.values())


def in_a_block(log: HeatLog, *, warm: bool = True) -> list[Alarm]:
    """The same of the whole log at once, with its temperatures or without; told at the start."""
    finding = analyse_heat(log.samples, log.celsius if warm else None, WINDING)
    begins = [e.start_s for e in finding.events if e.kind in REPRODUCED]
    return [Alarm(int(place), int(place)) for place in np.searchsorted(log.samples.t_s, begins)]


def without_temperature(log: HeatLog) -> list[Alarm]:
    """The same without its temperatures."""
    return in_a_block(log, warm=False)


def alarm_limit(expected: float, resolution: Column) -> Column:
    """The alarm limit in ohm at a value, on each sample's range."""
    limit: Column = np.maximum(LIMIT_SHARE * expected, LIMIT_COUNTS * resolution)
    return limit


def by_threshold(log: HeatLog) -> list[Alarm]:
    """A plain threshold against the first value: it sounds when two in a row are beyond."""
    value = log.samples.value
    first = float(value[0])
    beyond = np.abs(value - first) > alarm_limit(first, log.samples.resolution)
    out = beyond[1:] & beyond[:-1]
    begins = np.flatnonzero(out & ~np.concatenate(([False], out[:-1])))
    return [Alarm(place, place + 1) for place in begins.tolist()]


def by_ruptures(log: HeatLog) -> list[Alarm]:
    """Change points of the level over the copper line that are beyond the alarm limit."""
    samples = log.samples
    plain = np.minimum(samples.value, PLAIN_OVERLOAD * samples.value[0])
    level = np.log(plain / (1.0 + ALPHA_20 * (log.celsius - 20.0)))
    noise = np.diff(level)
    scale = 1.4826 * float(np.median(np.abs(noise - np.median(noise)))) / 2.0**0.5
    signal = (level / max(scale, 3e-4)).reshape(-1, 1)
    search = ruptures.KernelCPD(kernel="linear", min_size=2).fit(signal)
    ends = search.predict(pen=PENALTY * np.log(len(level)))
    segments = list(pairwise([0, *map(int, ends)]))
    levels = [float(np.median(level[start:end])) for start, end in segments]
    counts = LIMIT_COUNTS * samples.resolution / plain
    return [
        Alarm(start, start)
        for (start, _), (before, after) in zip(segments[1:], pairwise(levels), strict=True)
        if abs(after - before) > max(LIMIT_SHARE, float(counts[start]))
    ]


PEERS: tuple[tuple[str, Detector], ...] = (
    ("plain threshold", by_threshold),
    ("ruptures", by_ruptures),
)
