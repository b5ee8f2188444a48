"""A part of an engine run, analysed: everything that adds up with the part after it."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from benchassist.core.engine_mark import LoadSpan
from benchassist.core.engine_setting import Setting
from benchassist.core.hunting import Windows, windows
from benchassist.core.idle_down import Moves, cycles, moves, overshoot
from benchassist.core.pulse_check import STANDING, plausible
from benchassist.core.run import RunGap
from benchassist.core.run_finding import IdleCycle, Load, SpeedLevel
from benchassist.core.samples import Column, Samples
from benchassist.core.speed_level import Speeds, find_speeds
from benchassist.core.speed_stay import Stays, stays
from benchassist.core.speed_trace import Index, Trace

STANDS: Final = 1.0
"""Without a speed for so long (seconds) the engine stood, or the signal was gone."""

HOLE: Final = 5.0
"""So many intervals (and two seconds) between readings are a hole in them."""


AS_STATED: Final = 0.03
"""A level found so near (share of the step) to where it should be is taken to be there."""


SAME: Final = 0.001
"""Levels nearer than this, of the speed, are not looked at again."""


@dataclass(frozen=True, slots=True)
class Tally:
    """Readings added up: how many, their sum and sum of squares about `about`, over how long."""

    n: int = 0
    total: float = 0.0
    squares: float = 0.0
    seconds: float = 0.0

    def and_(self, other: "Tally") -> "Tally":
        """Both together."""
        return Tally(
            self.n + other.n,
            self.total + other.total,
            self.squares + other.squares,
            self.seconds + other.seconds,
        )

    @property
    def level(self) -> SpeedLevel | None:
        """Mean and standard deviation; None without readings."""
        if self.n == 0:
            return None
        mean = self.total / self.n
        spread = max(0.0, self.squares / self.n - mean * mean) ** 0.5
        return SpeedLevel(rpm=mean, spread_rpm=spread, seconds=self.seconds)


@dataclass(frozen=True, slots=True, kw_only=True)
class Recovery:
    """A rise whose fall lies before this part."""

    start_s: float
    took_s: float
    overshoot_rpm: float
    lowest_rpm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """What was found in a part. `seams` counts moves that nobody saw for missing readings."""

    speeds: Speeds = field(default_factory=Speeds)
    low: Tally = Tally()
    high: Tally = Tally()
    loads: tuple[Tally, ...] = (Tally(), Tally(), Tally())
    cycles: tuple[IdleCycle, ...] = ()
    recovery: Recovery | None = None
    failed_falls: tuple[float, ...] = ()
    failed_recoveries: tuple[float, ...] = ()
    low_windows: Windows = field(default_factory=Windows.none)
    high_windows: Windows = field(default_factory=Windows.none)
    overspeed: float | None = None
    used: int = 0
    seams: int = 0
    moved: bool = False
    ends_low: bool = False
    """Whether there was a move, and whether the last one is a fall that stands in `cycles`."""

    def then(self, later: "Part") -> "Part":
        """Both together, a cycle open at the seam closed."""
        found = list(self.cycles)
        back = later.recovery
        if self.ends_low and found and back is not None:
            found[-1] = replace(
                found[-1],
                lowest_rpm=min(found[-1].lowest_rpm, back.lowest_rpm),
                recover_start_s=back.start_s,
                recover_s=back.took_s,
                overshoot_rpm=back.overshoot_rpm,
                completed=True,
            )
        over = [rpm for rpm in (self.overspeed, later.overspeed) if rpm is not None]
        return Part(
            speeds=Speeds(
                low=self.speeds.low if later.speeds.low is None else later.speeds.low,
                high=self.speeds.high if later.speeds.high is None else later.speeds.high,
            ),
            low=self.low.and_(later.low),
            high=self.high.and_(later.high),
            loads=tuple(a.and_(b) for a, b in zip(self.loads, later.loads, strict=True)),
            cycles=(*found, *later.cycles),
            recovery=self.recovery if self.cycles or self.recovery else later.recovery,
            failed_falls=self.failed_falls + later.failed_falls,
            failed_recoveries=self.failed_recoveries + later.failed_recoveries,
            low_windows=Windows.joined((self.low_windows, later.low_windows)),
            high_windows=Windows.joined((self.high_windows, later.high_windows)),
            overspeed=max(over) if over else None,
            used=self.used + later.used,
            seams=self.seams + later.seams,
            ends_low=later.ends_low or (self.ends_low and not later.moved),
            moved=self.moved or later.moved,
        )


def trace_of(samples: Samples, gaps: Sequence[RunGap], *, top: float | None) -> tuple[Trace, Index]:
    """The usable readings in their unbroken pieces, and where each stood in the samples."""
    good = plausible(samples.t_s, samples.value, high=top)
    at = np.flatnonzero(good)
    t, rpm = samples.t_s[at], samples.value[at]
    if len(t) < 2:
        return Trace(t, rpm, np.zeros(len(t), dtype=np.int64), 0.0), at
    apart = np.diff(t)
    usual = apart[apart <= 1.5 * np.median(apart)]
    interval = float(usual.mean())
    broken = apart > max(2.0, HOLE * interval)
    left_out = np.diff(at) > 3
    for k in np.flatnonzero(left_out & (apart > STANDS)):
        broken[k] |= bool((samples.value[at[k] + 1 : at[k + 1]] < STANDING).any())
    for gap in gaps:
        after = int(np.searchsorted(t, gap.start_s, side="right"))
        if 0 < after < len(t):
            broken[after - 1] = True
    return Trace(t, rpm, np.concatenate(([0], np.cumsum(broken))), interval), at


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """Where the levels are, the moves between them and the stays at them."""

    speeds: Speeds
    moved: Moves
    stretches: Stays

    def quiet_place(self, before: int) -> int | None:
        """The last reading within a stay, not after `before`; None where none is."""
        ends = self.stretches.within(0, before).end
        return int(ends.max()) if len(ends) else None


def course(trace: Trace, setting: Setting) -> Course:
    """Follow the speed through a part."""
    speeds = find_speeds(trace.rpm, low=setting.low, high=setting.high)
    moved = _moves(trace, speeds, setting)
    stretches = stays(trace, moved.edges, speeds)
    # First the levels are where most readings are, then where the stays end.
    for _ in range(2):
        late = stretches.last_thirds()
        better = Speeds(
            low=_stated(_tally(trace, late.at(high=False)).level, setting.low, setting),
            high=_stated(_tally(trace, late.at(high=True)).level, setting.high, setting),
        )
        if _same(better, speeds):
            break
        speeds = better
        moved = _moves(trace, speeds, setting)
        stretches = stays(trace, moved.edges, speeds)
    return Course(speeds=speeds, moved=moved, stretches=stretches)


def analysed(trace: Trace, setting: Setting, *, count: float, spans: Sequence[LoadSpan]) -> Part:
    """Everything in a part. `count` is one count of the readings in rpm, 0 if unknown."""
    followed = course(trace, setting)
    speeds, moved, stretches = followed.speeds, followed.moved, followed.stretches
    at_low, at_high = stretches.at(high=False), stretches.at(high=True)
    low, high = _tally(trace, at_low), _tally(trace, at_high)
    level = high.level
    top, spread = (level.rpm, level.spread_rpm) if level else (0.0, 0.0)
    first = moved.edges[0] if moved.edges else None
    recovery = None
    if first is not None and not first.falls and first.timed:
        recovery = Recovery(
            start_s=first.start_s,
            took_s=first.end_s - first.start_s,
            overshoot_rpm=overshoot(trace, moved.edges, 0, high=top, spread=spread),
            lowest_rpm=float(trace.rpm[: first.last + 1].min()),
        )
    return Part(
        speeds=speeds,
        low=low,
        high=high,
        loads=tuple(_loaded(trace, at_high, spans, load) for load in Load),
        cycles=cycles(trace, moved.edges, high=top, spread=spread),
        recovery=recovery,
        failed_falls=moved.failed_falls,
        failed_recoveries=moved.failed_recoveries,
        low_windows=windows(trace, at_low, count=count),
        high_windows=windows(trace, at_high, count=count),
        overspeed=_overspeed(trace.rpm, setting.warn_above),
        used=len(trace),
        seams=sum(bool(trace.piece[e.last] != trace.piece[e.first]) for e in moved.edges),
        moved=bool(moved.edges),
        ends_low=bool(moved.edges) and moved.edges[-1].falls and moved.edges[-1].timed,
    )


def _same(a: Speeds, b: Speeds) -> bool:
    """Whether levels agree to a thousandth, which moves no edge."""
    return all(
        x is y or (x is not None and y is not None and abs(x - y) <= SAME * y)
        for x, y in ((a.low, b.low), (a.high, b.high))
    )


def _stated(found: SpeedLevel | None, stated: float | None, setting: Setting) -> float | None:
    """A level as stated where it was found there, else as found; None if it never occurred."""
    if found is None or stated is None or setting.low is None or setting.high is None:
        return None if found is None else found.rpm
    near = AS_STATED * (setting.high - setting.low)
    return stated if abs(found.rpm - stated) <= near else found.rpm


def _moves(trace: Trace, speeds: Speeds, setting: Setting) -> Moves:
    """The moves between the levels found, or, for one that never occurred, where it should be."""
    low = speeds.low if speeds.low is not None else setting.low
    high = speeds.high if speeds.high is not None else setting.high
    if low is None or high is None or not low < high:
        return Moves()
    return moves(trace, low, high)


def _tally(trace: Trace, stretches: Stays) -> Tally:
    """The readings in these stretches."""
    if len(stretches) == 0:
        return Tally()
    rpm = trace.rpm[stretches.mask(len(trace))]
    seconds = trace.t_s[stretches.end - 1] - trace.t_s[stretches.start]
    return Tally(len(rpm), float(rpm.sum()), float(rpm @ rpm), float(seconds.sum()))


def _loaded(trace: Trace, at_high: Stays, spans: Sequence[LoadSpan], load: Load) -> Tally:
    """The readings at the high level while a load was on."""
    total = Tally()
    for span in spans:
        if span.load is load:
            start = int(np.searchsorted(trace.t_s, span.start_s))
            end = int(np.searchsorted(trace.t_s, span.end_s, side="right"))
            total = total.and_(_tally(trace, at_high.within(start, end)))
    return total


def _overspeed(rpm: Column, warn_above: float | None) -> float | None:
    """The highest of readings above the warning, two in a row at least."""
    if warn_above is None or len(rpm) < 2:
        return None
    both = np.minimum(rpm[1:], rpm[:-1]) > warn_above
    return float(np.maximum(rpm[1:], rpm[:-1])[both].max()) if both.any() else None
