"""A heat run: a part's resistance, and its temperature if known, while it is warmed and cooled.

Opens, steps and spikes are found against the last few seconds (`heat_watch.py`), with or without a
temperature. With one, the line a sound part follows is fitted together with the thermometer's lag
(`heat_line.py`), and slow departures from it are found. Samples may come one at a time or in
blocks: the findings are the same.
"""

from collections.abc import Iterator, Sequence
from math import inf, isfinite, isnan
from typing import Final

import numpy as np

from benchassist.core.heat_block import feed_block, part_of
from benchassist.core.heat_detector import Detector
from benchassist.core.run import HeatedPart, RunGap
from benchassist.core.run_finding import Doubt, HeatEvent, HeatEventKind, HeatFinding, Leg
from benchassist.core.samples import Column, Samples

SHORTEST: Final = 20
"""Samples below which there is no line."""
ASSESSED: Final = 0.5
"""Share of the run that must have been judged against the line."""
REPRODUCED: Final = frozenset(HeatEventKind) - {HeatEventKind.SPIKE}
COPPER_SHARE: Final = {
    HeatedPart.WINDING: 1.0,
    HeatedPart.CAP: 0.0,
    HeatedPart.LEAD: 0.0,
    HeatedPart.PATH: None,
}


class HeatRun:
    """The detector of a heat run, fed live or from a log."""

    def __init__(
        self,
        part: HeatedPart,
        *,
        ceiling: float = 95.0,
        cycles: int = 2,
        coil_share: float | None = None,
        cold_celsius: float | None = None,
    ) -> None:
        """`ceiling` in celsius, `cycles` asked for; `coil_share` of a path is coil to whole at 20.

        `cold_celsius` is the temperature of the part at its first reading: where no thermometer
        runs along, a winding is then its own.
        """
        self.part = part
        self._share = coil_share if part is HeatedPart.PATH else COPPER_SHARE[part]
        self._asked = cycles
        self._detector = Detector(self._share, ceiling=ceiling, cold_celsius=cold_celsius)
        self._detector.follow_legs(lambda: self.leg)
        self._turned = Leg.UNKNOWN
        self._turned_cycles = 0
        self._gaps: list[RunGap] = []
        self._rejected = 0

    def feed(
        self,
        t_s: float,
        value: float | None,
        resolution: float | None = None,
        celsius: float | None = None,
        *,
        celsius_u: float = 1.0,
    ) -> tuple[HeatEvent, ...]:
        """Take in a sample: ohms (None: overload), one count, the part's celsius if just read.

        Returns the events that opened, changed or ended with it; an event that ends comes again
        with the same start. A sample older than the last, or no number, is rejected.
        """
        detector = self._detector
        if not (t_s >= detector.last_s and (value is None or value > -inf)):
            self._rejected += 1
            return ()
        told: list[HeatEvent] = []
        if celsius is not None and isfinite(celsius):
            told = detector.warm(t_s, celsius, celsius_u)
        count = 0.0 if resolution is None or isnan(resolution) else resolution
        told += detector.take(t_s, inf if value is None else value, count)
        return tuple(told)

    def mark(self, t_s: float, celsius: float, *, celsius_u: float = 2.0) -> tuple[HeatEvent, ...]:
        """Take in a temperature by itself: typed off a thermometer, or of a second meter."""
        if not isfinite(celsius):
            return ()
        return tuple(self._detector.warm(t_s, celsius, celsius_u))

    def feed_block(
        self, samples: Samples, celsius: Column | None = None, *, celsius_u: float = 1.0
    ) -> tuple[HeatEvent, ...]:
        """Take in many samples at once; `celsius` is a column beside them, nan where not read.

        The same findings as from `feed`, one by one.
        """
        clean, warm = self._clean(samples, celsius)
        return tuple(feed_block(self._detector, clean, warm, celsius_u))

    def gap(self, gap: RunGap, *, thermometer: bool = False) -> None:
        """Samples are missing: of the resistance, or of the thermometer beside it."""
        self._gaps.append(gap)
        if not thermometer:
            self._detector.interrupt()

    def turn(self, leg: Leg) -> None:
        """The person says that a leg begins; it counts cycles where no temperature does."""
        if self._turned is Leg.HEATING and leg is Leg.COOLING:
            self._turned_cycles += 1
        self._turned = leg

    def _clean(self, samples: Samples, celsius: Column | None) -> tuple[Samples, Column | None]:
        """The samples that `feed` would not reject, and their temperatures if there are any."""
        with np.errstate(invalid="ignore"):
            number = np.flatnonzero((samples.value > -inf) & ~np.isnan(samples.t_s))
        t = samples.t_s[number]
        latest = np.maximum.accumulate(np.concatenate(([self._detector.last_s], t)))[:-1]
        kept = number[t >= latest]
        self._rejected += len(samples) - len(kept)
        resolution = np.nan_to_num(samples.resolution[kept], nan=0.0)
        clean = Samples(samples.t_s[kept], samples.value[kept], resolution)
        if celsius is None or not np.isfinite(celsius).any():
            return clean, None
        return clean, celsius[kept]

    @property
    def events(self) -> tuple[HeatEvent, ...]:
        """All events so far in the order of their starts."""
        detector = self._detector
        found = [*detector.watch.events, *detector.line.watch.departures]
        found.sort(key=lambda excursion: excursion.start_s)
        return tuple(detector.dressed([excursion.event() for excursion in found]))

    @property
    def is_out(self) -> bool:
        """Whether the resistance is off its line now: open, stepped or departed."""
        detector = self._detector
        return detector.watch.is_out or detector.line.watch.departure is not None

    @property
    def celsius(self) -> float | None:
        """The part's temperature now; a winding's own only where its cold temperature was given."""
        known = self._detector.has_thermometer or self._detector.is_own_thermometer
        return self._detector.celsius if known else None

    @property
    def leg(self) -> Leg:
        """Which way the temperature goes."""
        detector = self._detector
        if detector.has_thermometer or self._turned is Leg.UNKNOWN:
            return detector.cycle.leg
        return self._turned

    @property
    def rate(self) -> float | None:
        """Kelvin a second; None where no temperature comes."""
        return self._detector.thermometer.rate

    @property
    def cycles_done(self) -> int:
        """Cycles in which the part was heated to its ceiling and cooled."""
        detector = self._detector
        typed = 0 if detector.has_thermometer else self._turned_cycles
        return max(detector.cycle.cycles, typed)

    def line(self) -> tuple[float, float] | None:
        """What a sound part would read now and half the ribbon's width, in ohm; None so far."""
        detector = self._detector
        line, ahead = detector.line, detector.thermometer.ahead(detector.last_s)
        if ahead is not None and (expected := line.expected(ahead[0])) is not None:
            return expected, line.half_width(*ahead, detector.watch.trend.resolution)
        return detector.watch.line_at(detector.last_s)

    def ribbon(self, celsius: float, *, celsius_u: float = 1.0) -> tuple[float, float] | None:
        """The same at a temperature, for either leg; None without a line over temperature."""
        line = self._detector.line
        expected = line.expected(celsius, on_leg=False)
        if expected is None:
            return None
        half = line.half_width(celsius, celsius_u, self._detector.watch.trend.resolution)
        return expected, half + line.reach * expected

    def finding(self) -> HeatFinding:
        """What was found up to now."""
        detector = self._detector
        line, events = detector.line, self.events
        duration = 0.0 if detector.first_s is None else detector.last_s - detector.first_s
        by_winding = detector.is_own_thermometer
        assessed = line.stands and line.judged_s >= ASSESSED * duration
        return HeatFinding(
            part=self.part,
            reproduced=any(event.kind in REPRODUCED for event in events),
            departure_assessed=assessed,
            events=events,
            r20=line.r20 if assessed and self._share != 0.0 else None,
            largest_departure=line.largest if assessed else None,
            hysteresis=line.hysteresis if assessed else None,
            hottest=detector.cycle.hottest if detector.has_thermometer or by_winding else None,
            cycles=self.cycles_done,
            winding_thermometer=by_winding,
            duration_s=duration,
            used=detector.used,
            rejected=self._rejected,
            gaps=tuple(self._gaps),
            doubts=tuple(self._doubts()),
        )

    def _doubts(self) -> Iterator[Doubt]:
        """Why the run may not say what it was made for."""
        detector = self._detector
        if detector.blind:
            yield Doubt.GAP
        if detector.used < SHORTEST or detector.watch.trend.level is None:
            yield Doubt.SHORT
        typed = not detector.has_thermometer and self._turned_cycles > 0
        if not (typed or detector.cycle.reached(detector.cycle.hottest)):
            yield Doubt.NOT_HOT
        elif self.cycles_done < self._asked:
            yield Doubt.ONE_CYCLE


def analyse_heat(
    samples: Samples,
    celsius: Column | None,
    part: HeatedPart,
    *,
    gaps: Sequence[RunGap] = (),
    ceiling: float = 95.0,
    cycles: int = 2,
    coil_share: float | None = None,
    cold_celsius: float | None = None,
    celsius_u: float = 1.0,
) -> HeatFinding:
    """What a whole log holds; `celsius` is a column beside the samples, nan where not read."""
    run = HeatRun(
        part, ceiling=ceiling, cycles=cycles, coil_share=coil_share, cold_celsius=cold_celsius
    )
    start = 0
    for gap in sorted(gaps, key=lambda gap: gap.start_s):
        end = max(int(np.searchsorted(samples.t_s, gap.end_s, side="left")), start)
        run.feed_block(*_part(samples, celsius, slice(start, end)), celsius_u=celsius_u)
        run.gap(gap)
        start = end
    run.feed_block(*_part(samples, celsius, slice(start, None)), celsius_u=celsius_u)
    return run.finding()


def _part(samples: Samples, celsius: Column | None, part: slice) -> tuple[Samples, Column | None]:
    """Some of the samples, and the temperatures beside them."""
    return part_of(samples, part), None if celsius is None else celsius[part]
