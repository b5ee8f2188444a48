"""Opens, steps and spikes: samples that leave the line of the last few seconds at once.

One sample beyond is a spike. Two in a row are an event, which lasts until two samples in a row are
back on the line it left, or until the resistance settles at another level: then the event stands,
the new level is followed, and a return to the old one ends it. Two buckets in a row whose medians
lean to one side by nearly the limit are a step too.
"""

from collections import deque
from collections.abc import Callable
from math import inf, isinf
from typing import Final

from benchassist.core.heat_event import Excursion, Lean, Sample, share
from benchassist.core.heat_level import Level, Levels
from benchassist.core.heat_trend import DEPTH, DRIFT, LEAN, LEAST, LEVEL, SETTLED, LocalTrend, limit
from benchassist.core.run_finding import HeatEvent, HeatEventKind, Leg

NOTHING: Final[tuple[HeatEvent, ...]] = ()
MOST_SPIKES: Final = 1000
"""Spikes that are kept; more say no more."""
LUKEWARM: Final = 64
"""Events that wait for a temperature at most."""


class Watch:
    """Fed one sample at a time; returns the events that opened, changed or ended with it."""

    def __init__(
        self, shape: Callable[[float], float], temperature: Callable[[float], float | None]
    ) -> None:
        """`shape` is how a sound part's resistance goes with celsius; `temperature` its celsius."""
        self.trend = LocalTrend()
        self.events: list[Excursion] = []
        self.lukewarm: deque[Excursion] = deque(maxlen=LUKEWARM)
        """Those whose temperature at the start or the end is not known yet."""
        self.broken = False
        """Whether an event was away from the line since the last tick."""
        self.closed: tuple[float, float] | None = None
        """Moment and median of the bucket that the last sample filled."""
        self.leg: Callable[[], Leg] = lambda: Leg.UNKNOWN
        self._levels = Levels(self.trend, shape)
        self._temperature = temperature
        self._settled = self._spikes = 0
        self._away: Excursion | None = None
        self._left: Level | None = None
        self._doubted: Sample | None = None
        self._lean: Lean | None = None
        self._recent: list[Sample] = []
        self._overloads = 0
        self._last_s = -inf

    @property
    def quiet(self) -> bool:
        """Whether every bucket stands, none is begun and nothing is in doubt."""
        trend = self.trend
        doubted = self._away or self._doubted or self._lean
        return trend.settled and not trend.values and doubted is None

    @property
    def is_open(self) -> bool:
        """Whether an open goes on and nothing else came since its last overload."""
        away = self._away
        return away is not None and away.kind is HeatEventKind.OPEN and not self._recent

    @property
    def is_out(self) -> bool:
        """Whether an event goes on."""
        return self._away is not None or bool(self._levels.standing)

    @property
    def ratio(self) -> float:
        """What brings the level followed now back to the line before all events."""
        return self._levels.ratio

    def line_at(self, t_s: float) -> tuple[float, float] | None:
        """Where the line before all events is now by the last seconds alone, and its half-width."""
        trend = self.trend
        if trend.level is None:
            return None
        if self._left is not None:
            standing = self._levels.standing
            left = standing[0].level if standing else self._left
            apart = t_s - left.t_s
            expected = left.ohms + left.slope * apart
            return expected, limit(expected, left.resolution) + DRIFT * left.steepest * apart
        expected = trend.expected(t_s)
        return expected * self.ratio, trend.allowed(t_s, expected) * self.ratio

    def skipped(self, t_s: float, *, buckets: int) -> None:
        """Samples up to a moment were taken in elsewhere: quiet buckets, overloads of an open."""
        self._last_s = t_s
        self._settled += buckets

    def interrupt(self) -> None:
        """Samples are missing here."""
        self.trend.restart()
        self._lean = None

    def back_by_line(self, t_s: float, celsius: float | None) -> tuple[HeatEvent, ...]:
        """The line over temperature says that the resistance crept back from where it stepped."""
        if not self._levels.standing or self._away is not None:
            return NOTHING
        back = Sample(t_s, self.trend.expected(t_s), celsius)
        self.broken = True
        return tuple(self._end(excursion, back) for excursion in self._levels.fall_back(0))

    def feed(self, t_s: float, value: float, resolution: float) -> tuple[HeatEvent, ...]:
        """Take in a sample; inf is an overload, a resolution of 0 is not known."""
        trend = self.trend
        if t_s - self._last_s > trend.silence:
            self.interrupt()
        self._last_s = t_s
        if resolution != trend.resolution and value != inf:
            # Another range: the level stands, to the counts of the range it is on now.
            self.interrupt()
            trend.resolution = resolution
        if self._away is not None:
            return self._while_away(self._away, self._sample(t_s, value))
        if trend.level is None:
            if trend.seek(t_s, value):
                self._note(*trend.empty())
            return NOTHING
        doubted = self._doubted
        if value == inf or trend.is_beyond(t_s, value):
            sample = self._sample(t_s, value)
            self._doubted = sample if doubted is None else None
            return NOTHING if doubted is None else self._leave(doubted, sample)
        told = self._fill() if trend.add(t_s, value) else NOTHING
        if doubted is None:
            return told
        self._doubted = None
        return (self._spike(doubted, self._sample(t_s, value)), *told)

    def _sample(self, t_s: float, value: float) -> Sample:
        return Sample(t_s, value, self._temperature(t_s))

    def _note(self, middle_s: float, median: float) -> None:
        """A bucket belongs to the level followed."""
        self.trend.note(middle_s, median)
        self.closed = middle_s, median
        self._settled += 1

    def _fill(self) -> tuple[HeatEvent, ...]:
        """A bucket is full: it belongs to the level followed, or it leans away from it."""
        trend, lean = self.trend, self._lean
        times, values = trend.values_s[-LEAST:], trend.values[-LEAST:]
        first_s = trend.values_s[0]
        middle_s, median = trend.empty()
        expected = trend.expected(middle_s)
        off = median - expected
        self._lean = None
        if not trend.is_sloped or abs(off) <= trend.leaning(middle_s, expected):
            self._note(middle_s, median)
            return NOTHING
        leaning = Lean(self._sample(first_s, median), middle_s, off)
        if lean is None or lean.off * off < 0.0:
            self._lean = leaning
            return NOTHING
        self._recent = [lean.sample, leaning.sample]
        if returned := self._returned():
            return returned
        self._recent = []
        slopes = abs(off) > LEVEL * abs(lean.off)
        if slopes or abs(off) <= LEAN * limit(expected, trend.resolution):
            self._note(lean.middle_s, lean.sample.value)
            self._note(middle_s, median)
            return NOTHING
        told = self._leave(lean.sample, leaning.sample)
        if self._away is None:
            return told
        self._recent = [self._sample(*pair) for pair in zip(times, values, strict=True)]
        return self._settle(self._away) or told

    def _spike(self, lone: Sample, back: Sample) -> HeatEvent:
        """One sample was beyond, the next is back."""
        spike = self._new(HeatEventKind.SPIKE, lone, self.trend.expected(lone.t_s))
        self._spikes += 1
        if self._spikes > MOST_SPIKES:
            self.events.pop()
        return self._end(spike, back)

    def _leave(self, first: Sample, second: Sample) -> tuple[HeatEvent, ...]:
        """Two samples in a row are beyond: an event, or the return from one that stood."""
        levels, over = self._levels, second.value == inf
        self._lean = None
        self._recent = [] if over else [s for s in (first, second) if s.value != inf]
        self._overloads = int(over) * (1 + int(first.value == inf))
        self.broken = True
        if returned := self._returned():
            return returned
        if levels.standing and self._settled < DEPTH:
            # It had not really settled: the same event goes on, from the level it left.
            self._away, self._left = levels.standing[-1]
            levels.fall_back(len(levels.standing) - 1)
        else:
            self._left = Level(self.trend, first)
            up = max(first.value, second.value) > self._left.ohms
            kind = HeatEventKind.STEP_UP if up else HeatEventKind.STEP_DOWN
            self._away = self._new(kind, first, self._left.ohms, second)
        if self._overloads > 1:
            self._away.kind = HeatEventKind.OPEN
        return (self._away.event(),)

    def _while_away(self, away: Excursion, sample: Sample) -> tuple[HeatEvent, ...]:
        """An event goes on: look for its return, or for a new level."""
        if sample.value == inf:
            self._recent.clear()
            self._overloads += 1
            if self._overloads < 2 or away.kind is HeatEventKind.OPEN:
                return NOTHING
            away.kind = HeatEventKind.OPEN
            return (away.event(),)
        self._overloads = 0
        self._recent.append(sample)
        size = share(sample.value, away.before)
        if size is not None and abs(size) > abs(away.largest or 0.0):
            away.largest = size
        if returned := self._returned():
            return returned
        return self._settle(away) if len(self._recent) >= LEAST else NOTHING

    def _returned(self) -> tuple[HeatEvent, ...]:
        """The events that end here because two samples in a row are on a level that was left."""
        if len(self._recent) < 2:
            return NOTHING
        one, other = self._recent[-2:]
        levels = self._levels
        depth = levels.returned(self._left, one, other)
        if depth is None:
            return NOTHING
        ended = levels.fall_back(depth)
        if self._away is not None:
            ended.append(self._away)
        self._away = None
        self._follow(0.5 * (one.value + other.value), other.t_s)
        return tuple(self._end(excursion, one) for excursion in ended)

    def _settle(self, away: Excursion) -> tuple[HeatEvent, ...]:
        """Five samples agree at another level: the event stands, and the level is followed."""
        del self._recent[:-LEAST]
        five, left = self._recent, self._left
        values = sorted(sample.value for sample in five)
        level, first, last = values[LEAST // 2], five[0], five[-1]
        if left is None or values[-1] - values[0] > SETTLED * limit(level, self.trend.resolution):
            return NOTHING
        before = self._levels.expected(left, first)
        kind = HeatEventKind.STEP_UP if level > before else HeatEventKind.STEP_DOWN
        told: list[HeatEvent] = []
        if away.kind is HeatEventKind.OPEN:
            told.append(self._end(away, first))
            away = self._new(kind, first, before)
        away.kind, away.after = kind, level
        self._levels.stand(away, left, before / level if before > 0.0 < level else 1.0)
        self._away = None
        self._settled = 0
        self._follow(level, last.t_s)
        return (*told, away.event())

    def _follow(self, level: float, t_s: float) -> None:
        """Follow a level from here on; its slope is not known yet."""
        self.trend.anchor(t_s, level, 0.0)
        self._recent = []
        self._overloads = 0
        self._left = self._lean = None
        self.broken = True

    def _new(
        self, kind: HeatEventKind, first: Sample, before: float, second: Sample | None = None
    ) -> Excursion:
        """A new event, kept."""
        value = first.value if second is None or isinf(second.value) else second.value
        excursion = Excursion(
            kind,
            first.t_s,
            before,
            None if isinf(value) else value,
            first.celsius,
            self.leg(),
            largest=share(value, before),
        )
        self.events.append(excursion)
        if first.celsius is None:
            self.lukewarm.append(excursion)
        return excursion

    def _end(self, excursion: Excursion, back: Sample) -> HeatEvent:
        """End an event with the first sample that is back."""
        if back.celsius is None and excursion not in self.lukewarm:
            self.lukewarm.append(excursion)
        return excursion.end(back)
