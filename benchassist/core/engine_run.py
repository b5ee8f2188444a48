"""An engine run: a speed over time to its levels, idle-downs, hunting, droop and warnings.

`EngineRun` takes readings one by one or in blocks; both mean the same, because what is found is a
function of the readings kept. Of a run longer than it keeps, the older half is analysed once and
only its sums stay, so that memory and the time of `finding` are bounded. `analyse_speed` keeps all.
"""

from array import array
from collections.abc import Sequence
from math import inf, nan
from typing import Final

import numpy as np

from benchassist.core.droop import droop_of
from benchassist.core.engine_mark import (
    EngineMark,
    load_points,
    load_spans,
    pressure_points,
    unanswered,
)
from benchassist.core.engine_part import Part, analysed, course, trace_of
from benchassist.core.engine_setting import Setting, setting_of
from benchassist.core.hunting import hunting
from benchassist.core.pulse_check import PulseDoubt, plausible_pulses
from benchassist.core.run import MarkKind, RunGap, SpeedLimits
from benchassist.core.run_finding import Doubt, EngineFinding, Load
from benchassist.core.samples import Column, Samples
from benchassist.core.speed_level import Speeds

KEEP: Final = 32_768
"""Readings a live run keeps in full: nearly an hour at ten a second."""

LEAST_KEPT: Final = 1024
SPAN: Final = 60.0
"""Fewer readings, and less than so many seconds, are not let go: levels are found in them."""

PATIENCE: Final = 4
"""Times that many are kept at most, while no level is met at which to let go."""

DENSEST: Final = 262_144
"""Readings after which the span no longer matters."""

NO_LIMITS: Final = SpeedLimits()

FEW: Final = 12
"""Fewer usable readings than this say little about an engine."""


class EngineRun:
    """Readings in, a finding out at any time. Speeds in rpm, times in seconds of the run."""

    def __init__(
        self,
        limits: SpeedLimits = NO_LIMITS,
        *,
        pulses_per_rev: float | None = None,
        low: float | None = None,
        high: float | None = None,
        cycles: int = 0,
        keep: int = KEEP,
    ) -> None:
        """A run against limits. `low` and `high` say where the levels should be, else the bands.

        `cycles` is how many idle-downs are asked for, `keep` how many readings are kept in full.
        Raises ValueError for pulses per revolution or speeds not above zero, and where low is not
        below high.
        """
        if pulses_per_rev is not None and not pulses_per_rev > 0.0:
            raise ValueError("pulses per revolution must be above zero")
        self.limits = limits
        self.pulses_per_rev = pulses_per_rev
        self._setting = setting_of(limits, low=low, high=high)
        self._asked = cycles
        self._keep = self._full = max(keep, LEAST_KEPT)
        self._t, self._rpm, self._count = array("d"), array("d"), array("d")
        self._sealed: Part | None = None
        self._sealed_samples = 0
        self._refused = 0
        self._first = nan
        self._last = -inf
        self._gaps: list[RunGap] = []
        self._marks: list[EngineMark] = []
        self._over = False

    @property
    def is_over(self) -> bool:
        """Whether the last two readings are above the overspeed warning."""
        return self._over

    @property
    def speed(self) -> float | None:
        """The last reading in rpm, plausible or not; None before the first."""
        return self._rpm[-1] if self._rpm else None

    def feed(self, t_s: float, rpm: float | None, resolution: float | None = None) -> None:
        """Take a reading and one count of it, both in rpm; None for no number (an overload).

        A reading that is none, or no later than the one before, is refused and counted.
        """
        if rpm is None or not 0.0 <= rpm < inf or not self._last < t_s < inf:
            self._refused += 1
            return
        warn = self._setting.warn_above
        if warn is not None:
            self._over = rpm > warn and bool(self._rpm) and self._rpm[-1] > warn
        if self._last == -inf:
            self._first = t_s
        self._last = t_s
        self._t.append(t_s)
        self._rpm.append(rpm)
        self._count.append(nan if resolution is None else resolution)
        if len(self._t) >= self._full:
            self._seal()

    def feed_block(self, samples: Samples) -> None:
        """Take a block of readings, with the same meaning as one by one."""
        with np.errstate(invalid="ignore"):
            good = (samples.value >= 0.0) & (samples.value < inf) & np.isfinite(samples.t_s)
        t = samples.t_s[good]
        before = np.maximum.accumulate(np.concatenate(([self._last], t)))[:-1]
        later = t > before
        good[good] = later
        self._refused += len(samples) - int(good.sum())
        columns = (samples.t_s[good], samples.value[good], samples.resolution[good])
        n, taken = len(columns[0]), 0
        while taken < n:
            room = min(self._full - len(self._t), n - taken)
            if self._last == -inf:
                self._first = float(columns[0][0])
            for kept, column in zip((self._t, self._rpm, self._count), columns, strict=True):
                kept.frombytes(column[taken : taken + room].astype(np.float64).tobytes())
            taken += room
            self._last = self._t[-1]
            if len(self._t) >= self._full:
                self._seal()
        warn = self._setting.warn_above
        if warn is not None and len(self._rpm) > 1 and n:
            self._over = self._rpm[-1] > warn and self._rpm[-2] > warn

    def gap(self, gap: RunGap) -> None:
        """Readings are missing between two moments."""
        self._gaps.append(gap)

    def mark(
        self, kind: MarkKind, t_s: float, *, value: float | None = None, text: str = ""
    ) -> None:
        """What a person marked: a load, a figure typed, a pressure, a fall, a recovery.

        A speed typed off a tachometer (`MarkKind.SPEED`, rpm) is a reading too where none is fed.
        """
        self._marks.append(EngineMark(kind, t_s, value, text))

    def pulse_doubt(self) -> PulseDoubt | None:
        """What the last readings suggest about pulses per revolution."""
        last = np.array(self._rpm[-512:], dtype=np.float64)
        return plausible_pulses(last, low=self._setting.low, high=self._setting.high)

    def finding(self) -> EngineFinding:
        """What was found so far."""
        part = self._analysed(self._columns())
        low, high = part.low.level, part.high.level
        until = max(self._last, self._marks[-1].t_s if self._marks else -inf)
        fed = self._sealed_samples + len(self._t)
        points = load_points(
            self._marks,
            {
                load: tally.level.rpm if tally.level else None
                for load, tally in zip(Load, part.loads, strict=True)
            },
        )
        return EngineFinding(
            pulses_per_rev=self.pulses_per_rev,
            low=low,
            high=high,
            cycles=part.cycles,
            hunting=hunting(part.low_windows, part.high_windows),
            failed_falls=len(part.failed_falls)
            + unanswered(
                self._marks,
                part.cycles,
                kind=MarkKind.FALL,
                tried=part.failed_falls,
                until_s=until,
            ),
            failed_recoveries=len(part.failed_recoveries)
            + unanswered(
                self._marks,
                part.cycles,
                kind=MarkKind.RECOVER,
                tried=part.failed_recoveries,
                until_s=until,
            ),
            droop=droop_of(points),
            loads=points,
            pressures=pressure_points(self._marks, part.cycles, high=high.rpm if high else None),
            overspeed_rpm=part.overspeed,
            duration_s=self._last - self._first if fed else 0.0,
            used=part.used,
            rejected=self._refused + (fed - part.used if fed else 0),
            gaps=tuple(self._gaps),
            doubts=self._doubts(part),
        )

    def _doubts(self, part: Part) -> tuple[Doubt, ...]:
        """Why it may say less than it was made for."""
        doubts = []
        if part.seams:
            doubts.append(Doubt.GAP)
        if part.used < FEW:
            doubts.append(Doubt.SHORT)
        if sum(cycle.completed for cycle in part.cycles) < self._asked:
            doubts.append(Doubt.ONE_CYCLE)
        return tuple(doubts)

    def _columns(self) -> Samples:
        """What is kept, with the typed speeds where nothing is fed."""
        if not self._t and self._sealed is None:
            typed = [m for m in self._marks if m.kind is MarkKind.SPEED and m.value is not None]
            t = np.array([m.t_s for m in typed])
            return Samples(t, np.array([m.value for m in typed], dtype=np.float64), t * nan)
        return Samples(np.array(self._t), np.array(self._rpm), np.array(self._count))

    def _known(self) -> Setting:
        """Where the levels should be, or where an older part found them."""
        speeds = self._sealed.speeds if self._sealed else Speeds()
        return self._setting.with_levels(speeds.low, speeds.high)

    def _analysed(self, samples: Samples) -> Part:
        """The older part and these samples together."""
        setting = self._known()
        trace, _ = trace_of(samples, self._gaps, top=setting.top)
        spans = load_spans(self._marks, self._last)
        part = analysed(trace, setting, count=_count(samples.resolution), spans=spans)
        return part if self._sealed is None else self._sealed.then(part)

    def _seal(self) -> None:
        """Analyse the older half once, up to where the speed is at a level, and let it go.

        Its levels are those of all that is kept. Where no level is met, more is kept for a while.
        """
        samples = self._columns()
        if samples.t_s[-1] - samples.t_s[0] < SPAN and len(samples) < DENSEST:
            self._full = len(samples) + self._keep // 2
            return
        setting = self._known()
        trace, at = trace_of(samples, self._gaps, top=setting.top)
        half = len(samples) // 2
        followed = course(trace, setting)
        quiet = followed.quiet_place(int(np.searchsorted(at, half)))
        if quiet is not None and quiet > 0:
            cut = int(at[quiet - 1]) + 1
        elif len(samples) < min(PATIENCE * self._keep, DENSEST):
            self._full = len(samples) + self._keep // 2
            return
        else:
            cut = half
        if self._sealed is None and followed.speeds.low and followed.speeds.high:
            self._sealed = Part(speeds=followed.speeds)
        older = Samples(samples.t_s[:cut], samples.value[:cut], samples.resolution[:cut])
        self._sealed = self._analysed(older)
        self._sealed_samples += cut
        self._full = max(self._keep, len(samples) - cut + self._keep // 2)
        for kept in (self._t, self._rpm, self._count):
            del kept[:cut]


def analyse_speed(
    t_s: Column,
    rpm: Column,
    resolution: Column | None = None,
    low: float | None = None,
    high: float | None = None,
    *,
    gaps: Sequence[RunGap] = (),
    limits: SpeedLimits = NO_LIMITS,
    pulses_per_rev: float | None = None,
) -> EngineFinding:
    """What a log of speeds holds: seconds, rpm, one count in rpm (nan or None: unknown).

    `low` and `high` are where the levels should be, in rpm; what is not given is found. Raises
    ValueError unless low is below high and pulses per revolution are above zero.
    """
    run = EngineRun(limits, pulses_per_rev=pulses_per_rev, low=low, high=high, keep=len(t_s) + 1)
    count = np.full(len(t_s), nan) if resolution is None else resolution
    run.feed_block(Samples(t_s, rpm, count))
    for gap in gaps:
        run.gap(gap)
    return run.finding()


def _count(resolution: Column) -> float:
    """The usual count, 0 if unknown."""
    known = resolution[np.isfinite(resolution)]
    return float(np.median(known)) if len(known) else 0.0
