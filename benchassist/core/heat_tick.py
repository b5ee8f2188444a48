"""Ticks: which buckets of a run are held against the line, and at which temperature."""

from collections import deque
from typing import Final, NamedTuple

from benchassist.core.heat_thermometer import FRESH, Point, between

TICK: Final = 4.0
TICK_STILL: Final = 12.0
"""A bucket is looked at after so many seconds, or so many where nothing moves..."""
STILL_SHARE: Final = 0.0015
STILL_COUNTS: Final = 0.6
"""...(less than this share, or so many counts, whichever is more)..."""
ALL_AT_FIRST: Final = 60
"""Ticks at the start of a run, where the line is learned, that no stillness puts off."""
TICK_RISE: Final = 0.005
TICK_COUNTS: Final = 2.0
"""...or at once where the resistance has moved by this share and so many counts."""
LONGEST_BRACKET: Final = 1200.0
"""Seconds between two temperatures beyond which nothing in between is judged."""


class Tick(NamedTuple):
    """A bucket that is looked at: its moment, ohms as if no step stood, one count.

    `ratio` is what brought it there from the ohms that were measured.
    """

    t_s: float
    ohms: float
    resolution: float
    broken: bool
    ratio: float


class Warmth(NamedTuple):
    """The temperature of a moment, the thermometer's doubt in kelvin, and how far a bend may be.

    `bend` is the distance that a bend between two points may have from the straight line.
    """

    celsius: float
    u: float
    bend: float


class TickClock:
    """Says which buckets are due."""

    def __init__(self) -> None:
        self._last_s = self._last = self._still = self._most = 0.0
        self._count = 0

    def due(self, times: list[float], ohms: list[float], resolution: float) -> list[int]:
        """Take in buckets in a row; the places of those that are to be judged."""
        places: list[int] = []
        last_s, last, still, most = self._last_s, self._last, self._still, self._most
        for place, (t_s, ohm) in enumerate(zip(times, ohms, strict=True)):
            passed, moved = t_s - last_s, abs(ohm - last)
            if moved <= most and (passed < TICK or (moved <= still and passed < TICK_STILL)):
                continue
            places.append(place)
            last_s, last = t_s, ohm
            if self._count > ALL_AT_FIRST:
                still = max(STILL_SHARE * ohm, STILL_COUNTS * resolution)
            self._count += 1
            most = max(TICK_RISE * ohm, TICK_COUNTS * resolution)
        self._last_s, self._last, self._still, self._most = last_s, last, still, most
        return places


def temperature(points: deque[Point], t_s: float) -> Warmth | None:
    """Celsius between the two points about a moment; None outside, or where they are too far."""
    place = len(points) - 1
    while place > 0 and points[place - 1].t_s > t_s:
        place -= 1
    if place == 0:
        return Warmth(points[0].celsius, points[0].u, 0.0) if points[0].t_s == t_s else None
    before, after = points[place - 1], points[place]
    span = after.t_s - before.t_s
    if span > LONGEST_BRACKET:
        return None
    bend = 0.0
    if span > FRESH:
        slope = (after.celsius - before.celsius) / span
        earlier = points[place - 2] if place > 1 else before
        run = before.t_s - earlier.t_s
        turned = slope - (before.celsius - earlier.celsius) / run if run > 0.0 else slope
        bend = 0.5 * span * abs(turned)
    return Warmth(between(before, after, t_s), after.u, bend)
