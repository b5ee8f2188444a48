"""The line a sound part follows over temperature, its ribbon, and slow departures from it.

Departures are found by `heat_departure.py`; here stands what they are distances from.
"""

from collections import deque
from math import copysign
from typing import Final

from benchassist.core.copper import ALPHA_20
from benchassist.core.heat_departure import BACK, DepartureWatch, Residual
from benchassist.core.heat_lag import Guess, bank, neighbours, rested_twins
from benchassist.core.heat_thermometer import Point
from benchassist.core.heat_tick import Tick, TickClock, Warmth, temperature
from benchassist.core.heat_trend import limit
from benchassist.core.run_finding import HeatEvent, Leg

BEGIN: Final = 8
"""Ticks gathered before any guess is judged."""
BEGIN_SPAN: Final = 30.0
BEGIN_RISE: Final = 0.003
"""A run that begins by rising that share in so many seconds was at rest before, or was not."""
LEARN: Final = 20
"""Ticks from which the resistance at 20 celsius is learned; a slow joint would move it later."""
SPREAD: Final = 0.002
"""Relative spread of a sound part's ticks beside the counts and the thermometer's doubt."""
CORRELATED: Final = 2.0
"""Ticks that say together what one independent one would."""
CALM: Final = 0.3
"""Of the limit: with more left over by a settled guess nothing is learned from a tick."""
PLAUSIBLE: Final = 6.0
PLAUSIBLE_SHARE: Final = 0.1
HOPELESS: Final = 60.0
"""Costs above the least at which a guess stays plausible, and at which it is dropped."""
RECENT: Final = 4
"""Ticks from which the growth of what is left over is taken."""
COARSEST: Final = 10.0
"""Counts a resistance must have more of: with fewer the limit is half of it."""
MOST_WAITING: Final = 4096
JOINED: Final = 60.0
"""Seconds between two ticks over which the resistance went straight; beyond it begins anew."""
HYSTERESIS_BIN: Final = 5.0
"""Kelvin over which the legs are averaged before they are compared."""


class Line:
    """Fed buckets and temperatures; returns the departures that opened or ended."""

    def __init__(self, share: float | None, points: deque[Point]) -> None:
        """`share` is the copper's, None where not known; `points` are the thermometer's."""
        self._guesses = bank(share)
        self._best = min(self._guesses, key=lambda guess: abs(guess.lag))
        self._likely = self._guesses
        self._beside: tuple[Guess, ...] = ()
        self._points = points
        self.waiting: list[Tick] = []
        """Ticks whose temperature is not known yet."""
        self._gathered: list[tuple[Tick, Warmth]] = []
        self._judged_at: float | None = None
        self._recent: deque[tuple[float, float]] = deque(maxlen=RECENT)
        self._recent_lag = 0.0
        self._offset = self._sum = 0.0
        self._residuals: dict[tuple[Leg, int], list[float]] = {}
        self.watch = DepartureWatch()
        self.reach = 0.0
        """The largest relative distance from the line that the lag has made so far."""
        self.largest: float | None = None
        """The largest relative distance from the line outside departures."""
        self.judged = 0
        self.judged_s = 0.0
        self.leg = Leg.UNKNOWN
        self.clock = TickClock()
        self.back: tuple[float, float] | None = None
        """Moment and celsius at which a step that stood was found back on the line."""
        self._was_back: tuple[float, float] | None = None

    @property
    def stands(self) -> bool:
        """Whether there is a line to judge by."""
        return self.judged > 0

    @property
    def r20(self) -> float | None:
        """Resistance at 20 celsius, from all ticks on the line."""
        return self._best.r20 * (1.0 + self._sum / self.judged) if self.stands else None

    @property
    def share(self) -> float:
        """Share of copper in it, as it is understood so far."""
        return self._best.share

    @property
    def lag(self) -> float:
        """Seconds by which the thermometer seems late; below zero, by which the winding is."""
        return self._best.lag

    def shape(self, celsius: float) -> float:
        """Resistance at a temperature to the one at 20 celsius, as it is understood so far."""
        return self._best.factor(celsius)

    def expected(self, celsius: float, *, on_leg: bool = True) -> float | None:
        """What a sound part would read at a temperature; `on_leg`: at the lag of the last tick."""
        if not self.stands:
            return None
        return self._best.r20 * self._best.factor(celsius) + (self._offset if on_leg else 0.0)

    def half_width(self, celsius: float, u: float, resolution: float) -> float:
        """Half the ribbon: the alarm limit, and what thermometer doubt and doubted lags allow."""
        best = self._best
        r = best.r20 * best.factor(celsius)
        doubt = best.share * ALPHA_20 * u * best.r20
        return limit(r, resolution) + doubt + 0.5 * self._least()[1] * r

    @property
    def hysteresis(self) -> float | None:
        """Largest relative distance between the legs at one temperature; None without both."""
        apart = []
        for (leg, place), heated in self._residuals.items():
            cooled = self._residuals.get((Leg.COOLING, place))
            if leg is Leg.HEATING and cooled and heated[1] >= 2.0 and cooled[1] >= 2.0:
                apart.append(abs(heated[0] / heated[1] - cooled[0] / cooled[1]))
        return max(apart, default=None)

    def tick(self, tick: Tick) -> list[HeatEvent]:
        """Take in a bucket that is due: it is judged once its temperature is known."""
        if not self._points or tick.ohms <= max(COARSEST * tick.resolution, 0.0):
            return []
        self.waiting.append(tick)
        if len(self.waiting) > MOST_WAITING:
            del self.waiting[::2]
        return self.judge()

    def judge(self) -> list[HeatEvent]:
        """Judge what waits and lies between two temperatures; call where a temperature came."""
        told: list[HeatEvent] = []
        waiting, points = self.waiting, self._points
        while waiting and points and waiting[0].t_s <= points[-1].t_s:
            tick = waiting.pop(0)
            if (warmth := temperature(points, tick.t_s)) is None:
                self._judged_at = None
                continue
            told += self._judge(tick, warmth)
        return told

    def _judge(self, tick: Tick, warmth: Warmth) -> list[HeatEvent]:
        """Judge a tick at its temperature; the first few are gathered to start the filters."""
        if self._gathered or not self._best.count:
            if tick.broken and not self._best.count:
                self._gathered.clear()
            self._gathered.append((tick, warmth))
            if len(self._gathered) < BEGIN:
                return []
            self._begin()
            gathered, self._gathered = self._gathered, []
            return [event for each in gathered for event in self._weigh(*each)]
        return self._weigh(tick, warmth)

    def _begin(self) -> None:
        """Start every filter with the mean rise of the ticks gathered."""
        half = BEGIN // 2
        early, late = self._gathered[:half], self._gathered[half:]
        span = sum(tick.t_s for tick, _ in late) - sum(tick.t_s for tick, _ in early)
        rise = sum(tick.ohms for tick, _ in late) - sum(tick.ohms for tick, _ in early)
        warming = sum(warmth.celsius for _, warmth in late)
        warming -= sum(warmth.celsius for _, warmth in early)
        tick, warmth = self._gathered[0]
        if BEGIN_SPAN * abs(rise) > BEGIN_RISE * tick.ohms * span:
            self._likely = self._guesses = self._guesses + rested_twins(self._guesses)
        for guess in self._guesses:
            guess.begin(tick.ohms, warmth.celsius, rise / span, warming / span)

    def _weigh(self, tick: Tick, warmth: Warmth) -> list[HeatEvent]:
        """Let every guess filter on, and judge by those that are plausible."""
        celsius, u, bend = warmth
        passed = 0.0 if self._judged_at is None else tick.t_s - self._judged_at
        learning = self._best.count < LEARN and self.watch.departure is None
        for guess in self._guesses:
            if tick.broken or passed > JOINED:
                guess.resume(tick.ohms, celsius)
            at_20 = guess.at_20(passed, tick.ohms, celsius)
            if learning:
                guess.count += 1
                guess.total += at_20
                guess.r20 = guess.total / guess.count
            guess.left = at_20 / guess.r20 - 1.0
        self._judged_at = tick.t_s
        best = self._best
        expected = best.r20 * best.factor(celsius)
        edge = limit(expected, tick.resolution) / expected
        per_kelvin = best.share * ALPHA_20 / best.factor(celsius)
        doubt = per_kelvin * (u + bend)
        # The line was learned with the same thermometer: what may differ since is half its doubt.
        taken = per_kelvin * (0.5 * u + bend)
        left, spread = self._least()
        if tick.ratio != 1.0 and self._comes_back(tick, celsius, edge):
            return []
        calm = abs(best.left) < CALM * edge + taken or spread > 0.5 * edge
        if calm and abs(left) < 0.5 * edge + doubt and self.watch.departure is None:
            self._charge(SPREAD + 0.5 * tick.resolution / expected + 0.25 * doubt)
            self._note(tick, celsius)
        self.judged += 1
        self.judged_s += passed
        left = self._ahead(tick.t_s, left)
        left = 0.0 if abs(left) <= taken else left - copysign(taken, left)
        sound = tick.ohms / (1.0 + best.left)
        residual = Residual(tick.t_s, tick.ohms, sound, celsius, left / edge, self.leg)
        told = self.watch.feed(residual)
        if self.watch.departure is None:
            self.largest = max(self.largest or 0.0, abs(best.left))
            key = self.leg, int(celsius // HYSTERESIS_BIN)
            place = self._residuals.setdefault(key, [0.0, 0.0])
            place[0] += best.left
            place[1] += 1.0
        return list(told)

    def _ahead(self, t_s: float, left: float) -> float:
        """What is left over now: what grows is seen late by as much as the filter delays it."""
        best, recent = self._best, self._recent
        if self._recent_lag != best.lag:
            recent.clear()
            self._recent_lag = best.lag
        recent.append((t_s, best.left))
        earlier_s, earlier = recent[0]
        if best.lag <= 0.0 or t_s == earlier_s:
            return left
        growth = best.lag * (best.left - earlier) / (t_s - earlier_s)
        return left + growth if left * growth > 0.0 else left

    def _comes_back(self, tick: Tick, celsius: float, edge: float) -> bool:
        """A step stands; whether what was measured creeps back from it, or is on the line again."""
        left = self._best.left
        step = 1.0 / tick.ratio - 1.0
        # Where between the line (0) and the level stepped to (1) it is.
        place = ((1.0 + left) * (1.0 + step) - 1.0) / step
        if place > 1.0 or abs(left) <= 0.5 * edge:
            self._was_back = None
            return False
        if abs(place * step) > BACK * edge:
            self._was_back = None
        elif self._was_back is None:
            self._was_back = tick.t_s, celsius
        else:
            self.back, self._was_back = self._was_back, None
        return True

    def _least(self) -> tuple[float, float]:
        """The least that any likely guess leaves over, 0 where they leave it on both sides.

        Beside it how far apart they are. The truth lies between the best lag and half the way to
        the next ones.
        """
        best = low = high = self._best.left
        for guess in self._likely:
            low, high = min(low, guess.left), max(high, guess.left)
        for guess in self._beside:
            half = 0.5 * (best + guess.left)
            low, high = min(low, half), max(high, half)
        if low <= 0.0 <= high:
            return 0.0, high - low
        return (low if low > 0.0 else high), high - low

    def _charge(self, spread: float) -> None:
        """Add up what each guess leaves over; tell the likely ones, drop the hopeless ones."""
        guesses, best = self._guesses, self._best
        least = best.charge(spread, CORRELATED)
        for guess in guesses:
            if guess is not best and guess.charge(spread, CORRELATED) < least:
                least = guess.cost
                self._best = guess
        if self._best is not best or not self._beside:
            self._beside = neighbours(guesses, self._best)
        hopeless, unlikely = HOPELESS + 2.0 * least, PLAUSIBLE + (1.0 + PLAUSIBLE_SHARE) * least
        if max([guess.cost for guess in guesses]) > unlikely:
            beside = self._beside
            self._guesses = [g for g in guesses if g.cost <= hopeless or g in beside]
            self._likely = [g for g in self._guesses if g.cost <= unlikely]
        else:
            self._likely = guesses

    def _note(self, tick: Tick, celsius: float) -> None:
        """Keep what the ribbon and the mean resistance are made of."""
        best = self._best
        on_line = best.r20 * best.factor(celsius)
        self._offset = best.expected(tick.ohms, celsius) - on_line
        self.reach = max(self.reach, abs(self._offset) / on_line)
        self._sum += best.left
