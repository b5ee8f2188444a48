"""What a person adds to an engine run: loads, typed figures, pressures, falls and recoveries."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from benchassist.core.run import MarkKind
from benchassist.core.run_finding import IdleCycle, Load, LoadPoint, PressurePoint

AT_ONCE: Final = 10.0
"""A mark and what it marks are no further apart than this, in seconds."""

LATEST: Final = 30.0
"""A throttle that moves later than this (seconds) after a gauge mark does not answer it."""

LOAD_SETTLES: Final = 2.0
"""Seconds left out after a load was changed."""


@dataclass(frozen=True, slots=True)
class EngineMark:
    """A mark at a moment of the run; what value and text mean is said at `MarkKind`."""

    kind: MarkKind
    t_s: float
    value: float | None = None
    text: str = ""


@dataclass(frozen=True, slots=True)
class LoadSpan:
    """The load between two moments, the time it takes to settle left out; seconds of the run."""

    load: Load
    start_s: float
    end_s: float


def load_spans(marks: Sequence[EngineMark], end_s: float) -> tuple[LoadSpan, ...]:
    """Which load was on when, until `end_s`. Marks with another text than a load's end a span."""
    changes = [m for m in marks if m.kind is MarkKind.LOAD]
    if not changes:
        return ()
    ends = [m.t_s for m in changes[1:]] + [max(end_s, changes[-1].t_s)]
    return tuple(
        LoadSpan(Load(mark.text), mark.t_s + LOAD_SETTLES, end)
        for mark, end in zip(changes, ends, strict=True)
        if mark.text in {load.value for load in Load}
    )


def load_points(
    marks: Sequence[EngineMark], measured: dict[Load, float | None]
) -> tuple[LoadPoint, ...]:
    """The loads with what was measured at each, in rpm, and what was typed; typed figures win."""
    points = {load: LoadPoint(load=load, rpm=rpm) for load, rpm in measured.items() if rpm}
    load: Load | None = None
    for mark in marks:
        if mark.kind is MarkKind.LOAD:
            load = Load(mark.text) if mark.text in {known.value for known in Load} else None
            continue
        if load is None or mark.value is None:
            continue
        now = points.get(load, LoadPoint(load=load))
        match mark.kind:
            case MarkKind.SPEED:
                points[load] = LoadPoint(
                    load=load, rpm=mark.value, hertz=now.hertz, volts=now.volts
                )
            case MarkKind.HERTZ:
                points[load] = LoadPoint(load=load, rpm=now.rpm, hertz=mark.value, volts=now.volts)
            case MarkKind.VOLTS:
                points[load] = LoadPoint(load=load, rpm=now.rpm, hertz=now.hertz, volts=mark.value)
            case _:
                pass
    return tuple(points[load] for load in Load if load in points)


def pressure_points(
    marks: Sequence[EngineMark], cycles: Sequence[IdleCycle], *, high: float | None
) -> tuple[PressurePoint, ...]:
    """At which gauge pressure the throttle fell and came back, by the pressure marked last.

    The lag is from the pressure's mark to leaving the level by 10 % of the step; None where no
    such move was seen. `high` is the speed it came back to, in rpm.
    """
    points: list[PressurePoint] = []
    pressure: EngineMark | None = None
    for mark in marks:
        if mark.kind is MarkKind.PRESSURE and mark.value is not None:
            pressure = mark
        if mark.kind not in {MarkKind.FALL, MarkKind.RECOVER}:
            continue
        pascal = mark.value
        if pascal is None and pressure is not None:
            pascal = pressure.value
        if pascal is None:
            continue
        falls = mark.kind is MarkKind.FALL
        cycle = _answering(mark, cycles)
        moved = None if cycle is None else _start(cycle, falls=falls)
        since = pressure.t_s if pressure else mark.t_s
        lag = None if moved is None or not 0.0 <= moved - since <= LATEST else moved - since
        reached = cycle.lowest_rpm if cycle and falls else high
        points.append(
            PressurePoint(falls=falls, pascal=pascal, lag_s=lag, rpm=reached if cycle else None)
        )
    return tuple(points)


def unanswered(
    marks: Iterable[EngineMark],
    cycles: Sequence[IdleCycle],
    *,
    kind: MarkKind,
    tried: Sequence[float],
    until_s: float,
) -> int:
    """How many falls or recoveries were marked that the speed does not show.

    `tried` are the moves begun only, which are counted elsewhere; a mark nearer than ten seconds
    to `until_s` may still be answered.
    """
    return sum(
        mark.kind is kind
        and mark.t_s + AT_ONCE <= until_s
        and _answering(mark, cycles) is None
        and not any(abs(mark.t_s - t) <= AT_ONCE for t in tried)
        for mark in marks
    )


def _answering(mark: EngineMark, cycles: Sequence[IdleCycle]) -> IdleCycle | None:
    """The cycle whose fall or recovery is nearest to a mark, if near."""
    falls = mark.kind is MarkKind.FALL
    near: list[tuple[float, IdleCycle]] = []
    for cycle in cycles:
        start = _start(cycle, falls=falls)
        took = cycle.fall_s if falls else cycle.recover_s
        if start is not None and start - AT_ONCE <= mark.t_s <= start + (took or 0.0) + AT_ONCE:
            near.append((abs(mark.t_s - start), cycle))
    return min(near, key=lambda pair: pair[0])[1] if near else None


def _start(cycle: IdleCycle, *, falls: bool) -> float | None:
    return cycle.fall_start_s if falls else cycle.recover_start_s
