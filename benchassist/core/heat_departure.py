"""Slow departures: the resistance leaves its line without a jump.

Two ticks in a row beyond the alarm limit are a departure; so is a cumulative sum that says the mean
has left the line for good, at about the limit. The sum's decision interval follows from the average
run length of a sound part whose thermometer is off by six tenths of the limit all the time.
"""

from typing import Final, NamedTuple

from benchassist.core.cusum import Cusum, decision_interval
from benchassist.core.heat_event import Excursion, Sample
from benchassist.core.run_finding import HeatEvent, HeatEventKind, Leg

UNITS: Final = 8.0
"""Units of the sum in one limit: a sound part's ticks spread by less than an eighth of it."""
SOUND_MEAN: Final = 4.8
"""Units by which thermometer and meter may pull a sound part off its line for long."""
SHIFT: Final = 1.5
"""The sum's k beyond that mean: midway to about the limit."""
RUN_LENGTH: Final = 216_000.0
"""Ticks to a false alarm of such a part: ten days at one every four seconds."""
MOST_UNITS: Final = 12.0
"""A single tick counts for no more."""
BACK: Final = 0.6
"""Of the limit: two ticks in a row within it end a departure."""


class Residual(NamedTuple):
    """A tick against the line: `off` is the distance in limits, after thermometer and lag."""

    t_s: float
    ohms: float
    expected: float
    celsius: float
    off: float
    leg: Leg


class DepartureWatch:
    """Fed one residual at a time; returns the departure that opened or ended with it."""

    def __init__(self) -> None:
        self._sum = Cusum(SOUND_MEAN + SHIFT, decision_interval(SHIFT, RUN_LENGTH))
        self._rise: Residual | None = None
        self._last: Residual | None = None
        self.departure: Excursion | None = None
        """The one that goes on."""
        self.departures: list[Excursion] = []

    def feed(self, residual: Residual) -> tuple[HeatEvent, ...]:
        """Take in the next residual."""
        last, self._last = self._last, residual
        if self.departure is not None:
            return self._follow(self.departure, last, residual)
        units = max(-MOST_UNITS, min(MOST_UNITS, UNITS * residual.off))
        rested = self._sum.at_rest
        alarm = self._sum.feed(units) != 0
        if self._sum.at_rest:
            self._rise = None
        elif rested or self._rise is None:
            self._rise = residual
        two = (0.0 if last is None else last.off), residual.off
        if not (alarm or min(two) > 1.0 or max(two) < -1.0):
            return ()
        start = self._rise or residual
        self.departure = departure = Excursion(
            HeatEventKind.DEPARTURE,
            start.t_s,
            start.expected,
            residual.ohms * start.expected / residual.expected,
            start.celsius,
            start.leg,
            largest=residual.ohms / residual.expected - 1.0,
        )
        self.departures.append(departure)
        self._sum.reset()
        self._rise = None
        return (departure.event(),)

    def _follow(
        self, departure: Excursion, last: Residual | None, residual: Residual
    ) -> tuple[HeatEvent, ...]:
        """A departure goes on until two ticks in a row are back."""
        size = residual.ohms / residual.expected - 1.0
        if abs(size) > abs(departure.largest or 0.0):
            departure.largest = size
        if last is None or abs(last.off) > BACK or abs(residual.off) > BACK:
            return ()
        self.departure = None
        return (departure.end(Sample(last.t_s, last.ohms, last.celsius)),)
