"""The speeds of an engine run as they come: to what is found in them, and to their plot.

Everything is kept at the pulses per revolution of the plan. Where a person settles on another
number the run is told again from its readings, so that the finding is the same as if that number
had been set from the start.
"""

from array import array
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import isfinite, nan, sqrt
from typing import Final

import numpy as np

from benchassist.core.engine_run import EngineRun
from benchassist.core.entry import RunMarked
from benchassist.core.envelope import Envelope
from benchassist.core.extremes import Rows
from benchassist.core.pulse_check import PulseDoubt
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.core.run import MarkKind, RunGap, RunPlan
from benchassist.core.run_finding import EngineFinding
from benchassist.core.samples import Samples
from benchassist.core.speed import rpm_per_hertz

KEEP: Final = 4096
"""Readings analysed anew for each finding; what is older is analysed once."""
RETOLD: Final = 65_536
"""Readings of a run that can still be told again: nearly two hours at ten a second."""
BUCKETS: Final = 1000
"""Rows of the plot, at most twice as many."""
WINDOW: Final = 2.0
"""Seconds of readings that a speed now is the mean of."""
SETTLED: Final = 0.04
"""A window that spans less than this share of its mean is one speed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeedNow:
    """The last two seconds, in rpm. `steady` is False while the speed is on its way elsewhere.

    `period` is the seconds between readings, 0.0 for a single one.
    """

    rpm: float
    last_rpm: float
    spread_rpm: float
    t_s: float
    resolution: float | None
    steady: bool
    period: float = 0.0


class SpeedLog:
    """Readings and marks in, finding and plot columns out."""

    def __init__(self, plan: RunPlan) -> None:
        self.plan = plan
        self.planned = plan.pulses_per_rev if plan.pulses_per_rev is not None else 1.0
        self.pulses = self.planned
        self.coarsest = 0.0
        """The largest count seen, in rpm at the pulses of the plan; 0.0 for none."""
        self._envelope = Envelope(BUCKETS)
        self._columns = (array("d"), array("d"), array("d"))
        self._recent: deque[tuple[float, float, float]] = deque(maxlen=4096)
        self._gaps: list[RunGap] = []
        self._marks: list[RunMarked] = []
        self._count = 0
        self._last_s = 0.0
        self._run = self._fresh()

    def _fresh(self) -> EngineRun:
        plan = self.plan
        return EngineRun(plan.limits, pulses_per_rev=self.pulses, cycles=plan.cycles, keep=KEEP)

    @property
    def scale(self) -> float:
        """What a speed at the plan's pulses is multiplied with."""
        return self.planned / self.pulses

    @property
    def count(self) -> int:
        """How many readings came from the meter."""
        return self._count

    @property
    def is_over(self) -> bool:
        """Whether the last two readings are above the overspeed warning."""
        return self._run.is_over

    @property
    def gaps(self) -> tuple[RunGap, ...]:
        """What is missing."""
        return tuple(self._gaps)

    def doubt(self) -> PulseDoubt | None:
        """What the last readings suggest about the pulses."""
        return self._run.pulse_doubt()

    def take(self, reading: Reading) -> None:
        """A reading in hertz, or in rpm; an overload counts as refused."""
        factor = rpm_per_hertz(self.planned) if reading.quantity is Quantity.FREQUENCY else 1.0
        count = nan if reading.resolution is None else reading.resolution * factor
        value = nan if reading.value is None else reading.value * factor
        self._keep_one(reading.t_s, value, count)

    def _keep_one(self, t_s: float, rpm: float, count: float) -> None:
        scale = self.scale
        known = isfinite(count)
        self._run.feed(
            t_s, rpm * scale if isfinite(rpm) else None, count * scale if known else None
        )
        if self._count < RETOLD:
            for column, number in zip(self._columns, (t_s, rpm, count), strict=True):
                column.append(number)
        self._count += 1
        if not isfinite(rpm):
            return
        if known:
            self.coarsest = max(self.coarsest, count)
        self._recent.append((t_s, rpm, count))
        t_s = max(t_s, self._last_s)
        self._last_s = t_s
        self._envelope.append(t_s, rpm)

    def take_block(self, samples: Samples) -> None:
        """Many readings in hertz at once."""
        factor = rpm_per_hertz(self.planned)
        value = np.where(np.isfinite(samples.value), samples.value * factor, nan)
        count = samples.resolution * factor
        scale = self.scale
        self._run.feed_block(Samples(samples.t_s, value * scale, count * scale))
        room = max(0, RETOLD - self._count)
        for column, numbers in zip(self._columns, (samples.t_s, value, count), strict=True):
            column.frombytes(numbers[:room].astype(np.float64).tobytes())
        self._count += len(samples)
        good = np.isfinite(value)
        t_s, value, count = samples.t_s[good], value[good], count[good]
        if not len(t_s):
            return
        known = count[np.isfinite(count)]
        if len(known):
            self.coarsest = max(self.coarsest, float(known.max()))
        self._recent.extend(
            zip(t_s[-4096:].tolist(), value[-4096:].tolist(), count[-4096:].tolist(), strict=True)
        )
        self._envelope.extend(np.maximum(t_s, self._last_s), value)
        self._last_s = max(self._last_s, float(t_s[-1]))

    def gap(self, gap: RunGap) -> None:
        """Readings are missing: the line breaks there."""
        self._gaps.append(gap)
        self._run.gap(gap)
        self._recent.clear()
        self._last_s = max(self._last_s, gap.start_s)
        self._envelope.append(self._last_s, nan)

    def mark(self, mark: RunMarked) -> None:
        """A mark for the finding: a load, a pressure, a typed figure."""
        self._marks.append(mark)
        self._tell(mark)

    def _tell(self, mark: RunMarked) -> None:
        self._run.mark(mark.kind, mark.t_s, value=mark.value, text=mark.text)

    def settle(self, pulses: float) -> None:
        """A person says how many pulses a turn there are; too late for a run of many hours."""
        if self.can_retell:
            self.pulses = pulses
            self.retell(self._marks)

    @property
    def can_retell(self) -> bool:
        """Whether every reading is still at hand."""
        return self._count <= RETOLD

    def retell(self, marks: Sequence[RunMarked]) -> None:
        """The same readings with other marks or pulses."""
        self._marks = list(marks)
        if not self.can_retell:
            return
        self._run = self._fresh()
        t_s, value, count = (np.array(column) for column in self._columns)
        self._run.feed_block(Samples(t_s, value * self.scale, count * self.scale))
        for gap in self._gaps:
            self._run.gap(gap)
        for mark in self._marks:
            self._tell(mark)

    def now(self) -> SpeedNow | None:
        """The speed over the two seconds before the last reading; None before the first."""
        if not self._recent:
            return None
        scale, last_s = self.scale, self._recent[-1][0]
        first_s = last_s
        window: list[tuple[float, float]] = []
        for t_s, rpm, count in reversed(self._recent):
            if t_s < last_s - WINDOW:
                break
            window.append((rpm * scale, count * scale))
            first_s = t_s
        speeds = [rpm for rpm, _count in window]
        mean = sum(speeds) / len(speeds)
        counts = [count for _rpm, count in window if isfinite(count)]
        coarsest = max(counts, default=0.0)
        span = max(speeds) - min(speeds)
        return SpeedNow(
            rpm=mean,
            last_rpm=speeds[0],
            spread_rpm=sqrt(sum((rpm - mean) ** 2 for rpm in speeds) / len(speeds)),
            t_s=last_s,
            resolution=coarsest or None,
            steady=len(speeds) > 2 and span <= max(SETTLED * mean, 3.0 * coarsest),
            period=(last_s - first_s) / (len(speeds) - 1) if len(speeds) > 1 else 0.0,
        )

    def columns(self, start_s: float | None = None, end_s: float | None = None) -> Rows:
        """Times, lowest and highest speeds in rpm, as fine as is kept."""
        t_s, low, high = self._envelope.columns(start_s, end_s)
        return t_s, low * self.scale, high * self.scale

    def finding(self) -> EngineFinding:
        """What was found in the readings and marks so far."""
        found = self._run.finding()
        count = self.coarsest * self.scale
        return replace(found, resolution=count or None)

    def typed(self, kind: MarkKind) -> tuple[RunMarked, ...]:
        """The marks of a kind that stand."""
        return tuple(mark for mark in self._marks if mark.kind is kind)
