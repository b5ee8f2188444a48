"""What looks at a heat run: samples and temperatures in, events out, in the order of time."""

from collections.abc import Callable
from dataclasses import replace
from math import inf
from typing import Final

from benchassist.core.copper import winding_temperature
from benchassist.core.heat_cycle import CycleCount
from benchassist.core.heat_line import Line
from benchassist.core.heat_thermometer import Point, Thermometer
from benchassist.core.heat_tick import Tick
from benchassist.core.heat_watch import Watch
from benchassist.core.run_finding import HeatEvent, Leg

SILENT: Final = 5.0
SILENT_PERIODS: Final = 10.0
"""Seconds, and usual periods, without a sample that could hide a fault."""
ASSUMED_COLD: Final = 20.0
"""Celsius of a first reading nobody gave a temperature for; it counts cycles, nothing else."""

STEP: Final = 0.2
"""Kelvin below which a change counts for no leg and no cycle."""


class Detector:
    """Joins the watch on the last seconds, the thermometer and the line over temperature.

    `share` is the copper's, None where not known; `cold_celsius` the part's at its first reading.
    """

    def __init__(self, share: float | None, *, ceiling: float, cold_celsius: float | None) -> None:
        self._is_winding = share == 1.0
        self._is_cold_known = cold_celsius is not None
        self._cold_celsius = ASSUMED_COLD if cold_celsius is None else cold_celsius
        self._cold_ohms: float | None = None
        self._own_ohms: float | None = None
        self.thermometer = Thermometer()
        self.line = Line(share, self.thermometer.points)
        self.watch = Watch(self.line.shape, self.thermometer.at)
        self.by_thermometer = CycleCount(ceiling)
        self.by_winding = CycleCount(ceiling)
        self._counted = inf
        self.first_s: float | None = None
        self.last_s = -inf
        self.used = 0
        self.blind = False
        """Whether samples are missing where a fault might have shown."""

    @property
    def has_thermometer(self) -> bool:
        """Whether temperatures came from outside, more than one."""
        return len(self.thermometer.points) > 1

    @property
    def is_own_thermometer(self) -> bool:
        """Whether a winding is its own thermometer: none beside it, and its start known."""
        return self._is_winding and self._is_cold_known and not self.has_thermometer

    @property
    def cycle(self) -> CycleCount:
        """What counts cycles: the thermometer, else the winding by itself."""
        return self.by_thermometer if self.has_thermometer else self.by_winding

    @property
    def celsius(self) -> float | None:
        """The part's temperature now: the thermometer's, else a winding's own, else None."""
        if self.has_thermometer:
            ahead = self.thermometer.ahead(self.last_s)
            return None if ahead is None else ahead[0]
        return None if self._own_ohms is None else self.own_celsius(self._own_ohms)

    @property
    def silence(self) -> float:
        """Seconds without a sample that could hide a fault."""
        return max(SILENT, SILENT_PERIODS * self.watch.trend.period)

    def own_celsius(self, ohms: float) -> float | None:
        """Mean temperature of a winding from its resistance and its first one."""
        cold = self._cold_ohms
        if not self._is_winding or cold is None or cold <= 0.0:
            return None
        return winding_temperature(ohms, cold=cold, cold_celsius=self._cold_celsius)

    def dressed(self, told: list[HeatEvent]) -> list[HeatEvent]:
        """Events with the winding's own temperatures, where no others are known."""
        if not (told and self.is_own_thermometer):
            return told
        ended = {e.start_s: e.end_ohms for e in self.watch.events if e.end_ohms is not None}
        return [self._dress(event, ended.get(event.start_s)) for event in told]

    def _dress(self, event: HeatEvent, end_ohms: float | None) -> HeatEvent:
        start, end = event.celsius, event.end_celsius
        if start is None:
            start = self.own_celsius(event.before)
        if end is None and event.end_s is not None and end_ohms is not None:
            end = self.own_celsius(end_ohms)
        return replace(event, celsius=start, end_celsius=end)

    def follow_legs(self, leg: Callable[[], Leg]) -> None:
        """Where the legs come from."""
        self.watch.leg = leg

    def interrupt(self) -> None:
        """Samples are missing here."""
        self.note_silence()
        self.watch.interrupt()

    def note_silence(self) -> None:
        """Samples are missing; where nothing is known of the temperature, a fault might show."""
        self.blind = self.blind or self.cycle.hot(self.celsius)

    def warm(self, t_s: float, celsius: float, u: float) -> list[HeatEvent]:
        """Take in a temperature; what waited for it is judged."""
        points = self.thermometer.gather([t_s], [celsius], u)
        return self.keep([point for _, point in points]) if points else []

    def keep(self, points: list[Point]) -> list[HeatEvent]:
        """Take in points of the thermometer."""
        told: list[HeatEvent] = []
        kept, line = self.thermometer.points, self.line
        for point in points:
            kept.append(point)
            if not -STEP < point.celsius - self._counted < STEP:
                self._counted = point.celsius
                self.by_thermometer.feed(point.celsius)
                line.leg = self.by_thermometer.leg
            if line.waiting:
                told += self._back(line.judge())
            if self.watch.lukewarm:
                told += self._lukewarm()
        return told

    def take(self, t_s: float, value: float, resolution: float) -> list[HeatEvent]:
        """Take in a sample; inf is an overload, a resolution of 0 is not known."""
        if self.first_s is None:
            self.first_s = t_s
        elif t_s - self.last_s > self.silence:
            self.note_silence()
        self.last_s = t_s
        self.used += 1
        watch = self.watch
        told = list(watch.feed(t_s, value, resolution))
        if watch.closed is not None:
            closed, watch.closed = watch.closed, None
            told += self.bucket(*closed)
        return self.dressed(told)

    def bucket(self, t_s: float, median: float) -> list[HeatEvent]:
        """Take in the moment and the median of a bucket."""
        watch = self.watch
        ohms = median * watch.ratio
        if not self.line.clock.due([t_s], [ohms], watch.trend.resolution) and not watch.broken:
            return []
        return self.tick(t_s, ohms)

    def tick(self, t_s: float, ohms: float) -> list[HeatEvent]:
        """Take in a bucket that is to be judged, in ohms as if no step stood."""
        self._own_ohms = ohms
        if self._cold_ohms is None:
            self._cold_ohms = ohms
        if (own := self.own_celsius(ohms)) is not None:
            self.by_winding.feed(own)
        watch = self.watch
        broken, watch.broken = watch.broken, False
        tick = Tick(t_s, ohms, watch.trend.resolution, broken, watch.ratio)
        return self._back(self.line.tick(tick))

    def skip(self, last_s: float, *, samples: int, buckets: int) -> None:
        """Samples that were taken in as a block."""
        self.last_s = last_s
        self.used += samples
        self.watch.skipped(last_s, buckets=buckets)

    def _back(self, told: list[HeatEvent]) -> list[HeatEvent]:
        """Add the steps that the line has found back on it."""
        if self.line.back is not None:
            back, self.line.back = self.line.back, None
            told += self.watch.back_by_line(*back)
        return told

    def _lukewarm(self) -> list[HeatEvent]:
        """Events whose temperature was not known and now is: it lies between two marks."""
        told: list[HeatEvent] = []
        waiting, inside = self.watch.lukewarm, self.thermometer.inside
        for event in tuple(waiting):
            known = event.celsius, event.end_celsius
            if event.celsius is None:
                event.celsius = inside(event.start_s)
            if event.end_celsius is None and event.end_s is not None:
                event.end_celsius = inside(event.end_s)
            if known != (event.celsius, event.end_celsius):
                told.append(event.event())
            if not event.is_lukewarm:
                waiting.remove(event)
        return told
