"""An engine run whose speeds were typed off a tachometer: levels and loads, nothing in between."""

from collections.abc import Sequence
from dataclasses import replace
from math import fsum, sqrt

from benchassist.core.band import Band
from benchassist.core.droop import overspeed_warning
from benchassist.core.entry import RunMarked
from benchassist.core.run import MarkKind, RunPlan
from benchassist.core.run_finding import Doubt, EngineFinding, Hunting, Level, Load, SpeedLevel
from benchassist.services.runs.engine_log import SpeedNow

IDLES_BELOW = 2500.0
"""Where no band says otherwise a typed speed below this is taken for the low one (rpm)."""
FAR = 0.3
"""A speed this share away from the only band there is belongs to the other level."""


def level_at(rpm: float, plan: RunPlan) -> Level:
    """Which of the two governed speeds this is nearer to."""
    low, high = (
        middle_of(band) if band is not None else None
        for band in (plan.limits.low, plan.limits.high)
    )
    if low is not None and high is not None:
        return Level.HIGH if rpm > (low + high) / 2.0 else Level.LOW
    if high is not None:
        return Level.HIGH if rpm > (1.0 - FAR) * high else Level.LOW
    if low is not None:
        return Level.LOW if rpm < (1.0 + FAR) * low else Level.HIGH
    return Level.HIGH if rpm > IDLES_BELOW else Level.LOW


def typed_finding(
    found: EngineFinding, plan: RunPlan, marks: Sequence[RunMarked], *, end_s: float
) -> EngineFinding:
    """The finding of a run without a meter: `found` holds its loads, droop and pressures.

    Between two typed speeds nothing is known, so there are no idle-downs and no hunting.
    """
    speeds = _unloaded(marks)
    by_level: dict[Level, list[float]] = {Level.LOW: [], Level.HIGH: []}
    for rpm in speeds:
        by_level[level_at(rpm, plan)].append(rpm)
    counts = [m.resolution for m in marks if m.kind is MarkKind.SPEED and m.resolution is not None]
    limit = overspeed_warning(plan.limits.rated)
    every = [m.value for m in marks if m.kind is MarkKind.SPEED and m.value is not None]
    top = max(every, default=0.0)
    return replace(
        found,
        low=_level(by_level[Level.LOW]),
        high=_level(by_level[Level.HIGH]),
        cycles=(),
        hunting=Hunting(),
        failed_falls=0,
        failed_recoveries=0,
        overspeed_rpm=top if limit is not None and top > limit else None,
        pulses_per_rev=None,
        duration_s=end_s,
        used=len(every),
        rejected=0,
        doubts=tuple(d for d in found.doubts if d not in {Doubt.SHORT, Doubt.ONE_CYCLE, Doubt.GAP}),
        resolution=max(counts, default=None),
        typed=True,
    )


def _unloaded(marks: Sequence[RunMarked]) -> list[float]:
    """Speeds that were typed with no load on."""
    load, speeds = Load.NONE.value, []
    for mark in marks:
        if mark.kind is MarkKind.LOAD:
            load = mark.text
        elif mark.kind is MarkKind.SPEED and mark.value is not None and load == Load.NONE.value:
            speeds.append(mark.value)
    return speeds


def _level(speeds: Sequence[float]) -> SpeedLevel | None:
    if not speeds:
        return None
    mean = fsum(speeds) / len(speeds)
    spread = sqrt(fsum((rpm - mean) ** 2 for rpm in speeds) / len(speeds))
    return SpeedLevel(rpm=mean, spread_rpm=spread)


def middle_of(band: Band) -> float:
    """The middle of a band, or its only side."""
    sides = [side for side in (band.low, band.high) if side is not None]
    return sum(sides) / len(sides)


def typed_now(marks: Sequence[RunMarked]) -> SpeedNow | None:
    """The speed typed last; None before the first."""
    last = next((m for m in reversed(marks) if m.kind is MarkKind.SPEED), None)
    if last is None or last.value is None:
        return None
    return SpeedNow(
        rpm=last.value,
        last_rpm=last.value,
        spread_rpm=0.0,
        t_s=last.t_s,
        resolution=last.resolution,
        steady=True,
    )
