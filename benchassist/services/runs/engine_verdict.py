"""Figures of an engine run held against their bands, by the one rule of `core.band`."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from math import sqrt
from typing import Final

from benchassist.core.accuracy import SQRT3, SQRT12, WORST_CASE, Accuracy, Contribution, Part
from benchassist.core.band import Band, BandSource, Judgement, Side, Verdict, judge
from benchassist.core.droop import overspeed_warning
from benchassist.core.estimate import Conditions, Estimate, meter_doubt
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.core.run import RunPlan
from benchassist.core.run_finding import EngineFinding, Load, SpeedLevel
from benchassist.services.bench.taking import judge_reading

_ONE_SAMPLE: Final = Accuracy(percent=0.0, counts=1.0)
"""An edge lies within one sample of where it is found, whatever the meter states in hertz."""


class Gauged(StrEnum):
    """What of an engine run is held against a band."""

    HIGH = "high"
    LOW = "low"
    FALL = "fall"
    LOWEST = "lowest"
    RECOVER = "recover"
    DROOP = "droop"
    OVERSPEED = "overspeed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """A figure with what is said of it. `cycle` counts from 1, 0 for what belongs to none.

    `reading` is in rpm or seconds; of a droop it holds the fraction, without a quantity.
    """

    gauged: Gauged
    reading: Reading
    judgement: Judgement
    band: Band | None = None
    cycle: int = 0

    @property
    def value(self) -> float:
        """The figure itself."""
        return self.reading.value or 0.0


_GRAVITY: Final = (
    Verdict.RECORDED,
    Verdict.IN_BAND,
    Verdict.TOO_CLOSE,
    Verdict.CANNOT_TELL,
    Verdict.OUT_OF_BAND,
)


def gravest(judged: tuple[Judged, ...]) -> Judged | None:
    """The figure whose verdict speaks for the run: the first of the gravest, None without any."""
    return max(judged, key=lambda j: _GRAVITY.index(j.judgement.verdict), default=None)


def judge_speed(
    gauged: Gauged,
    level: SpeedLevel,
    band: Band | None,
    *,
    resolution: float | None,
    accuracy: Accuracy | None,
    k: float = 2.0,
    cycle: int = 0,
) -> Judged:
    """A speed in rpm with the spread of the time it was held for."""
    reading = Reading(
        t_s=0.0,
        channel="run",
        quantity=Quantity.SPEED,
        value=level.rpm,
        resolution=resolution,
    )
    conditions = Conditions(accuracy=accuracy or WORST_CASE, spread=level.spread_rpm)
    judgement = judge_reading(reading, band, conditions, leads_proved=True, k=k)
    return Judged(gauged=gauged, reading=reading, judgement=judgement, band=band, cycle=cycle)


def judge_time(
    gauged: Gauged, seconds: float, band: Band | None, *, period: float | None, k: float, cycle: int
) -> Judged:
    """A time between two edges, each found within one sample; `period` is theirs in seconds."""
    reading = Reading(
        t_s=0.0,
        channel="run",
        quantity=Quantity.DURATION,
        value=seconds,
        resolution=period,
    )
    conditions = Conditions(accuracy=_ONE_SAMPLE)
    judgement = judge_reading(reading, band, conditions, leads_proved=True, k=k)
    return Judged(gauged=gauged, reading=reading, judgement=judgement, band=band, cycle=cycle)


def judge_droop(finding: EngineFinding, band: Band | None, *, k: float = 2.0) -> Judged | None:
    """The droop, None where it was not measured.

    u follows from the counts of both speeds; what the meter states in percent is common to both
    and leaves their ratio alone.
    """
    droop = finding.droop
    speeds = {p.load: p.rpm for p in finding.loads}
    free, loaded = speeds.get(Load.NONE), speeds.get(Load.FULL)
    if droop is None or free is None or loaded is None:
        return None
    count = finding.resolution
    counts = (finding.accuracy or WORST_CASE).counts
    u_speed = 0.0 if count is None else sqrt((counts * count / SQRT3) ** 2 + (count / SQRT12) ** 2)
    u = u_speed * sqrt(1.0 + (1.0 + droop) ** 2) / loaded
    reading = Reading(t_s=0.0, channel="run", quantity=None, value=droop)
    found = Estimate(
        y=droop,
        contributions=(Contribution(Part.COUNT, u),),
        meter=meter_doubt(0.0, fixed=0.0, u_constant=u),
        knowable=count is not None,
    )
    if band is None:
        judgement = Judgement(
            verdict=Verdict.RECORDED,
            reason=judge_reading(reading, None, Conditions(), leads_proved=True).reason,
            value=droop,
            expanded_uncertainty=k * u if count is not None else None,
            k=k,
        )
    else:
        judgement = judge(found, band, k=k)
    return Judged(gauged=Gauged.DROOP, reading=reading, judgement=judgement, band=band)


def judged_of(finding: EngineFinding, plan: RunPlan, *, k: float = 2.0) -> tuple[Judged, ...]:
    """The figures of a finding, judged: high, low, overspeed, droop, then the worst of the cycles.

    Of many idle-downs only those farthest from the middle of a band are judged here.
    """
    return tuple(_figures(finding, plan, k))


def _figures(finding: EngineFinding, plan: RunPlan, k: float) -> Iterator[Judged]:
    limits = plan.limits
    cycles = CycleJudge(finding, plan, k=k)
    if finding.high is not None:
        yield cycles.speed(Gauged.HIGH, finding.high, limits.high)
    if finding.low is not None:
        yield cycles.speed(Gauged.LOW, finding.low, limits.low)
    limit = overspeed_warning(limits.rated)
    if finding.overspeed_rpm is not None and limit is not None:
        plate = Band(quantity=Quantity.SPEED, high=limit, source=BandSource.COMMON_PRACTICE)
        top = SpeedLevel(rpm=finding.overspeed_rpm, spread_rpm=0.0)
        yield cycles.speed(Gauged.OVERSPEED, top, plate)
    droop = judge_droop(finding, limits.droop, k=k)
    if droop is not None:
        yield droop
    yield from cycles.extremes()


class CycleJudge:
    """Idle-downs of a finding held against the bands of its plan; cycles count from 1."""

    def __init__(self, finding: EngineFinding, plan: RunPlan, *, k: float = 2.0) -> None:
        self._finding = finding
        self._k = k
        self._period = finding.duration_s / finding.used if finding.used > 1 else None
        limits = plan.limits
        self._bands = {
            Gauged.FALL: limits.fall,
            Gauged.LOWEST: limits.low,
            Gauged.RECOVER: limits.recover,
        }
        whole = [(n, c) for n, c in enumerate(finding.cycles, start=1) if c.recover_s is not None]
        self._values: dict[Gauged, dict[int, float]] = {
            Gauged.FALL: {n: c.fall_s for n, c in enumerate(finding.cycles, start=1)},
            Gauged.LOWEST: {n: c.lowest_rpm for n, c in enumerate(finding.cycles, start=1)},
            Gauged.RECOVER: {n: c.recover_s or 0.0 for n, c in whole},
        }

    def speed(
        self, gauged: Gauged, level: SpeedLevel, band: Band | None, *, cycle: int = 0
    ) -> Judged:
        """A speed, with the meter's count and what is stated of it."""
        return judge_speed(
            gauged,
            level,
            band,
            resolution=self._finding.resolution,
            accuracy=self._finding.accuracy,
            k=self._k,
            cycle=cycle,
        )

    def figure(self, n: int, gauged: Gauged) -> Judged | None:
        """One figure of one cycle; None for a recovery that has not come."""
        value, band = self._values[gauged].get(n), self._bands[gauged]
        if value is None:
            return None
        if gauged is Gauged.LOWEST:
            lowest = SpeedLevel(rpm=value, spread_rpm=0.0)
            return self.speed(gauged, lowest, band, cycle=n)
        return judge_time(gauged, value, band, period=self._period, k=self._k, cycle=n)

    def extremes(self) -> Iterator[Judged]:
        """Of each figure that has a band the largest and the least: no other is graver."""
        for gauged, band in self._bands.items():
            values = self._values[gauged]
            if band is None or not values:
                continue
            for n in dict.fromkeys(
                (max(values, key=values.__getitem__), min(values, key=values.__getitem__))
            ):
                judged = self.figure(n, gauged)
                if judged is not None:
                    yield judged

    def out(self) -> frozenset[int]:
        """The cycles with a figure out of band; one inside its limits never is."""
        found = set()
        for gauged, band in self._bands.items():
            low = None if band is None else band.lower
            high = None if band is None else band.high
            for n, value in self._values[gauged].items():
                outside = (low is not None and value < low) or (high is not None and value > high)
                judged = self.figure(n, gauged) if outside and n not in found else None
                if judged is not None and judged.judgement.verdict is Verdict.OUT_OF_BAND:
                    found.add(n)
        return frozenset(found)


def failed_side(finding: EngineFinding, plan: RunPlan) -> Side | None:
    """HIGH where a fall or recovery with a time band never came: it is longer than any band."""
    limits = plan.limits
    never_fell = finding.failed_falls > 0 and limits.fall is not None
    never_came_back = finding.failed_recoveries > 0 and limits.recover is not None
    return Side.HIGH if never_fell or never_came_back else None
