"""Falls to idle and recoveries, timed between the levels of a speed.

A fall runs from leaving the high level by 10 % of the step to 90 % of it, a rise the other way,
both interpolated between readings. Which level the engine is at is decided with the same two lines,
so that swings about one of them are no fall.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from benchassist.core.run_finding import IdleCycle
from benchassist.core.speed_trace import Index, Trace, crossings

EDGE: Final = 0.1
"""A level is left, and the other reached, at this share of the step."""

PARTIAL: Final = 0.3
"""Gone so far and no further: it was asked to and did not. Droop under load stays above it."""

FLAT: Final = 0.035
"""A speed that moves by less than this share of the way between two readings creeps."""

HANGING: Final = 5.0
"""Seconds between the levels after which a run's end still counts as a fall that failed."""

AFTER_RISE: Final = 5.0
"""Seconds after a rise within which the overshoot is looked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Edge:
    """A move from one level to the other: when it left and arrived, and the readings around it.

    `last` is the last reading at the level left, `first` the first at the level reached. `timed`
    is False where readings are missing in between.
    """

    falls: bool
    last: int
    first: int
    start_s: float
    end_s: float
    timed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Moves:
    """All moves between two levels, and the ones that were begun only."""

    edges: tuple[Edge, ...] = ()
    failed_falls: tuple[float, ...] = ()
    failed_recoveries: tuple[float, ...] = ()
    """When the level was left, in seconds."""


def moves(trace: Trace, low: float, high: float) -> Moves:
    """The moves between two levels in rpm. Raises ValueError unless low is below high."""
    if not low < high:
        raise ValueError("the low speed must be below the high speed")
    step = high - low
    upper, lower = high - EDGE * step, low + EDGE * step
    rpm = trace.rpm
    at_high = rpm >= upper
    there = np.flatnonzero(at_high | (rpm <= lower))
    if len(there) == 0:
        return Moves()
    side = at_high[there]
    there, side = _without_flickers(there, side)
    turns = np.flatnonzero(side[1:] != side[:-1])
    edges = _edges(trace, there[turns], there[turns + 1], upper, lower)
    edges = _without_stops(trace, edges, low - PARTIAL * step)
    falls, rises = _begun_only(trace, there, side, low=low, high=high)
    return Moves(edges=edges, failed_falls=falls, failed_recoveries=rises)


def _without_flickers(there: Index, side: NDArray[np.bool_]) -> tuple[Index, NDArray[np.bool_]]:
    """Single readings at the other level are no visit to it."""
    if len(side) < 3:
        return there, side
    lone = np.zeros(len(side), dtype=np.bool_)
    lone[1:-1] = (side[1:-1] != side[:-2]) & (side[1:-1] != side[2:])
    # Two in a row that alternate are one flicker each; the first settles the matter.
    lone[1:] &= ~lone[:-1]
    return there[~lone], side[~lone]


def _without_stops(trace: Trace, edges: tuple[Edge, ...], stopped: float) -> tuple[Edge, ...]:
    """The moves less a fall that went on below `stopped` until readings ended: it was shut off."""
    kept: list[Edge] = []
    ends = np.searchsorted(trace.piece, np.arange(trace.piece[-1] + 1), side="right") - 1
    for k, edge in enumerate(edges):
        end = int(ends[trace.piece[edge.first]])
        ends_here = k + 1 == len(edges) or edges[k + 1].last > end
        if not (edge.falls and ends_here and trace.rpm[end] < stopped):
            kept.append(edge)
        elif k + 1 < len(edges):
            # The start after the stop is no recovery either.
            kept.append(replace(edge, timed=False))
    return tuple(kept)


def _edges(trace: Trace, last: Index, first: Index, upper: float, lower: float) -> tuple[Edge, ...]:
    """The moves between the last readings at one level and the first at the other."""
    falls = trace.rpm[last] >= upper
    close = FLAT * (upper - lower)
    starts = crossings(trace, last, np.where(falls, upper, lower), close=close)
    ends = crossings(trace, first - 1, np.where(falls, lower, upper), close=close)
    timed = trace.piece[last] == trace.piece[first]
    columns = (c.tolist() for c in (falls, last, first, starts, ends, timed))
    return tuple(
        Edge(falls=f, last=a, first=b, start_s=start, end_s=end, timed=known)
        for f, a, b, start, end, known in zip(*columns, strict=True)
    )


def _begun_only(
    trace: Trace, there: Index, side: NDArray[np.bool_], *, low: float, high: float
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """When a fall, a rise was begun and not finished."""
    step = high - low
    t, rpm, piece = trace.t_s, trace.rpm, trace.piece
    falls: list[float] = []
    rises: list[float] = []
    away = np.flatnonzero((np.diff(there) > 2) & (side[1:] == side[:-1]))
    if len(away):
        spans = np.stack((there[away] + 1, there[away + 1]), axis=1).ravel()
        lowest, highest = (f.reduceat(rpm, spans)[::2] for f in (np.minimum, np.maximum))
        far = np.where(side[away], lowest < high - PARTIAL * step, highest > low + PARTIAL * step)
        away = away[far & (piece[there[away]] == piece[there[away + 1]])]
    for a, b, at_high in zip(there[away], there[away + 1], side[away], strict=True):
        # The second furthest: a lone reading is no attempt.
        if at_high and np.partition(rpm[a + 1 : b], 1)[1] < high - PARTIAL * step:
            falls.append(float(t[a]))
        if not at_high and np.partition(rpm[a + 1 : b], -2)[-2] > low + PARTIAL * step:
            rises.append(float(t[a]))
    last = int(there[-1])
    if len(trace) - last > 2 and t[-1] - t[last] >= HANGING:
        middle = float(np.median(rpm[last + 1 :]))
        if side[-1] and low < middle < high - PARTIAL * step:
            falls.append(float(t[last]))
        if not side[-1] and middle > low + PARTIAL * step:
            rises.append(float(t[last]))
    return tuple(falls), tuple(rises)


def cycles(
    trace: Trace, edges: tuple[Edge, ...], *, high: float, spread: float
) -> tuple[IdleCycle, ...]:
    """The idle-downs among the moves; one whose fall was not seen in full is left out.

    An overshoot within three times the spread (rpm, standard deviation) of the high level is none.
    """
    found: list[IdleCycle] = []
    for k, fall in enumerate(edges):
        if not (fall.falls and fall.timed):
            continue
        rise = edges[k + 1] if k + 1 < len(edges) else None
        end = rise.last + 1 if rise else len(trace)
        timed = rise is not None and rise.timed
        found.append(
            IdleCycle(
                fall_start_s=fall.start_s,
                fall_s=fall.end_s - fall.start_s,
                lowest_rpm=float(trace.rpm[fall.first : end].min()),
                recover_start_s=rise.start_s if rise and timed else None,
                recover_s=rise.end_s - rise.start_s if rise and timed else None,
                overshoot_rpm=(
                    overshoot(trace, edges, k + 1, high=high, spread=spread) if timed else 0.0
                ),
                completed=timed,
            )
        )
    return tuple(found)


def overshoot(
    trace: Trace, edges: tuple[Edge, ...], k: int, *, high: float, spread: float
) -> float:
    """How far it went above the high level within five seconds of the rise `edges[k]`, in rpm."""
    rise = edges[k]
    end = edges[k + 1].last + 1 if k + 1 < len(edges) else len(trace)
    until = int(np.searchsorted(trace.t_s, rise.end_s + AFTER_RISE))
    after = trace.rpm[rise.first : max(min(until, end), rise.first + 1)]
    over = float(after.max()) - high
    return over if over > 3.0 * spread else 0.0
