"""The stretches in which an engine keeps one of its levels, clear of the moves beside them."""

from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from benchassist.core.idle_down import Edge
from benchassist.core.samples import Column
from benchassist.core.speed_level import NEAR, Speeds
from benchassist.core.speed_trace import Index, Trace

SETTLE: Final = 1.0
"""Seconds left out beside a move, at least; and as long again and a half as the move took."""

MOVING: Final = 0.7
"""A stretch that moves by more than this share of how near is near, in a second, is no stay."""

SPARSE: Final = 1.2
"""Readings further apart (seconds) were typed, or nearly so: each stands for itself."""


@dataclass(frozen=True, slots=True, eq=False)
class Stays:
    """Stretches of readings start <= i < end at one level, in order, a row each."""

    start: Index
    end: Index
    high: NDArray[np.bool_]

    def __len__(self) -> int:
        """How many."""
        return len(self.start)

    def at(self, *, high: bool) -> "Stays":
        """Those at one level."""
        chosen = self.high == high
        return Stays(self.start[chosen], self.end[chosen], self.high[chosen])

    def last_thirds(self) -> "Stays":
        """The end of each, where it has settled best."""
        return Stays((self.start + 2 * self.end) // 3, self.end, self.high)

    def within(self, start: int, end: int) -> "Stays":
        """What of them lies between two readings."""
        first, last = np.maximum(self.start, start), np.minimum(self.end, end)
        chosen = first < last
        return Stays(first[chosen], last[chosen], self.high[chosen])

    def mask(self, n: int) -> NDArray[np.bool_]:
        """Which of n readings are in one of them."""
        turns = np.zeros(n + 1, dtype=np.int64)
        np.add.at(turns, self.start, 1)
        np.add.at(turns, self.end, -1)
        inside: NDArray[np.bool_] = np.cumsum(turns[:-1]) > 0
        return inside


@dataclass(frozen=True, slots=True, eq=False)
class Visits:
    """Stretches between moves, a row each: readings start <= i < end, and at which level.

    `whole`: the speed was seen to come to it and to leave it again, and nothing is missing.
    """

    start: Index
    end: Index
    high: NDArray[np.bool_]
    whole: NDArray[np.bool_]


def stays(trace: Trace, edges: tuple[Edge, ...], speeds: Speeds) -> Stays:
    """The stretches at a level, trimmed beside each move and at the start.

    A stretch that keeps moving is no stay, unless the speed went to the level and came from it.
    """
    visits = _visits(trace, edges, speeds)
    tolerance = _tolerances(speeds)
    far = {
        high: np.concatenate(([0], np.cumsum(np.abs(trace.rpm - level) > tolerance[high])))
        for high, level in ((False, speeds.low), (True, speeds.high))
        if level is not None
    }
    found: list[tuple[int, int, bool]] = []
    columns = (visits.start, visits.end, visits.high, visits.whole)
    for start, end, high, whole in zip(*(c.tolist() for c in columns), strict=True):
        if high not in far or end <= start:
            continue
        if far[high][end] == far[high][start]:
            parts = [(start, end)]
        else:
            parts = _near(trace.t_s[start:end], np.diff(far[high][start : end + 1]) > 0, start)
        found += [
            (a, b, high) for a, b in parts if whole or _is_settled(trace, a, b, tolerance[high])
        ]
    rows = np.array(found, dtype=np.intp).reshape(-1, 3)
    return Stays(rows[:, 0], rows[:, 1], rows[:, 2] > 0)


def _visits(trace: Trace, edges: tuple[Edge, ...], speeds: Speeds) -> Visits:
    """The stretches between moves, cut where readings are missing, trimmed beside the moves."""
    n = len(trace)
    first = np.array([0, *(edge.first for edge in edges)], dtype=np.intp)
    last = np.array([*(edge.last + 1 for edge in edges), n], dtype=np.intp)
    starts_high = edges[0].falls if edges else _is_high(trace, speeds)
    cuts = np.flatnonzero(trace.piece[1:] != trace.piece[:-1]) + 1
    of_cut = np.searchsorted(first, cuts, side="right") - 1
    inside = (cuts > first[of_cut]) & (cuts < last[of_cut])
    # A visit that is cut goes on as another row of the same number.
    visit = np.concatenate((np.arange(len(first)), of_cut[inside]))
    start = np.concatenate((first, cuts[inside]))
    order = np.argsort(start, kind="stable")
    visit, start = visit[order], start[order]
    end = last[visit]
    goes_on = visit[1:] == visit[:-1]
    end[:-1][goes_on] = start[1:][goes_on]
    kept = end > start
    visit, start, end = visit[kept], start[kept], end[kept]
    none = np.zeros(1, dtype=np.bool_)
    timed = np.array([edge.timed for edge in edges], dtype=np.bool_)
    whole = (start == first[visit]) & (end == last[visit])
    whole &= np.concatenate((none, timed))[visit] & np.concatenate((timed, none))[visit]
    took = np.array([edge.end_s - edge.start_s if edge.timed else 0.0 for edge in edges])
    before, after = np.concatenate((none, took))[visit], np.concatenate((took, none))[visit]
    if len(start) and trace.interval <= SPARSE:
        t = trace.t_s
        length = t[end - 1] - t[start]
        # The middle fifth is kept, however short the visit was.
        head = np.minimum(np.maximum(SETTLE, 1.5 * before), 0.5 * length)
        tail = np.minimum(np.maximum(SETTLE / 2.0, 0.5 * after), 0.3 * length)
        led_to = (visit > 0) | (start == 0)
        trimmed_start = np.where(led_to, np.searchsorted(t, t[start] + head), start)
        left = visit < len(edges)
        end = np.where(left, np.searchsorted(t, t[end - 1] - tail, side="right"), end)
        start = trimmed_start
    return Visits(start, end, (visit % 2 == 0) == starts_high, whole)


def _is_high(trace: Trace, speeds: Speeds) -> bool:
    """Which level a run without a move was at."""
    if speeds.low is None or speeds.high is None or len(trace) == 0:
        return speeds.high is not None
    return float(np.median(trace.rpm)) > (speeds.low + speeds.high) / 2.0


def _tolerances(speeds: Speeds) -> dict[bool, float]:
    """How near is near, at the low and at the high level, in rpm."""
    if speeds.low is not None and speeds.high is not None:
        return dict.fromkeys((False, True), NEAR * (speeds.high - speeds.low))
    return {False: (speeds.low or 0.0) / 8.0, True: (speeds.high or 0.0) / 8.0}


def _near(t: Column, away: NDArray[np.bool_], offset: int) -> list[tuple[int, int]]:
    """The parts of a visit that are near its level, less what leads away and back."""
    borders = np.flatnonzero(away[1:] != away[:-1]) + 1
    found: list[tuple[int, int]] = []
    for a, b in pairwise((0, *borders.tolist(), len(t))):
        first = int(t.searchsorted(t[a] + SETTLE / 2.0)) if a else 0
        last = b if b == len(t) else int(t.searchsorted(t[b - 1] - SETTLE / 2.0, "right"))
        if last > first and not away[a]:
            found.append((offset + first, offset + last))
    return found


def _is_settled(trace: Trace, start: int, end: int, tolerance: float) -> bool:
    """Whether a stretch keeps its speed: its halves differ by little for the time between them."""
    if end - start < 2:
        return trace.interval > SPARSE
    middle = (start + end) // 2
    t, rpm = trace.t_s, trace.rpm
    moved = float(rpm[middle:end].mean() - rpm[start:middle].mean())
    took = 0.5 * float(t[end - 1] - t[start])
    return abs(moved) <= MOVING * tolerance * took
