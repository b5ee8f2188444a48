"""The temperature beside a resistance: a second meter's readings, or marks typed now and then."""

from bisect import bisect_left
from collections import deque
from math import isfinite
from typing import Final, NamedTuple

import numpy as np

from benchassist.core.samples import Column

DENSE: Final = 2.0
"""Readings closer than this many seconds are averaged over about as long."""
FRESH: Final = 5.0
"""Seconds for which the last slope may be carried on."""
RATE_SPAN: Final = 20.0
RATE_RISE: Final = 3.0
"""The rate is taken over so many seconds, or so many kelvin if they come sooner."""
LEAP: Final = 15.0
LEAP_RATE: Final = 5.0
"""A reading off by so many kelvin, and kelvin a second, is not the part's temperature..."""
LEAPS: Final = 3
"""...until so many in a row say so."""


class Point(NamedTuple):
    """A temperature in celsius at a moment, with its standard uncertainty in kelvin."""

    t_s: float
    celsius: float
    u: float


class Thermometer:
    """Averages what comes often, keeps what comes seldom, and interpolates between."""

    __slots__ = ("_count", "_first_s", "_last_s", "_leaps", "_sum", "last", "points")

    def __init__(self) -> None:
        self.points: deque[Point] = deque(maxlen=128)
        self.last: float | None = None
        """The last reading in celsius, as it came."""
        self._last_s = float("-inf")
        self._sum = self._first_s = 0.0
        self._count = self._leaps = 0

    def gather(
        self, times: list[float], readings: list[float], u: float
    ) -> list[tuple[int, Point]]:
        """Take in readings in celsius; the points they make, each with the place it came at.

        The caller appends them to `points`. What is not finite is left out.
        """
        made: list[tuple[int, Point]] = []
        last, last_s, total, count = self.last, self._last_s, self._sum, self._count
        first_s = self._first_s
        for place, (t_s, celsius) in enumerate(zip(times, readings, strict=True)):
            if not isfinite(celsius):
                continue
            apart = t_s - last_s
            if last is not None:
                off = celsius - last
                if not -LEAP <= off <= LEAP and abs(off) > LEAP + LEAP_RATE * apart:
                    self._leaps += 1
                    if self._leaps <= LEAPS:
                        continue
                self._leaps = 0
            if apart >= DENSE:
                if count:
                    made.append((place, Point(0.5 * (first_s + last_s), total / count, u)))
                    count = 0
                made.append((place, Point(t_s, celsius, u)))
            elif count:
                total += celsius
                count += 1
                if t_s - first_s >= DENSE:
                    made.append((place, Point(0.5 * (first_s + t_s), total / count, u)))
                    count = 0
            else:
                first_s, total, count = t_s, celsius, 1
            last, last_s = celsius, t_s
        self.last, self._last_s, self._sum, self._count = last, last_s, total, count
        self._first_s = first_s
        return made

    def gather_block(self, times: Column, readings: Column, u: float) -> list[tuple[int, Point]]:
        """The same for columns; readings that come often and leap nowhere are summed at once."""
        last = self.last
        if last is None or not len(times):
            return self.gather(times.tolist(), readings.tolist(), u)
        with np.errstate(invalid="ignore"):
            calm = np.abs(np.diff(readings, prepend=last)) <= LEAP
            calm &= np.diff(times, prepend=self._last_s) < DENSE
        if self._leaps or not calm.all():
            return self.gather(times.tolist(), readings.tolist(), u)
        made: list[tuple[int, Point]] = []
        t, c, start, total, count = times.tolist(), readings.tolist(), 0, self._sum, self._count
        first_s = self._first_s
        while start < len(t):
            if not count:
                first_s, total, count = t[start], 0.0, 0
            end = bisect_left(t, first_s + DENSE, start)
            # The sum may round to the other side of what the difference says.
            while end > start and t[end - 1] - first_s >= DENSE:
                end -= 1
            while end < len(t) and t[end] - first_s < DENSE:
                end += 1
            stop = min(end + 1, len(t))
            total, count = sum(c[start:stop], total), count + stop - start
            if end < len(t) and count > 1:
                made.append((end, Point(0.5 * (first_s + t[end]), total / count, u)))
                count = 0
            start = stop
        self.last, self._last_s, self._sum, self._count = c[-1], t[-1], total, count
        self._first_s = first_s
        return made

    def at(self, t_s: float) -> float | None:
        """The temperature at a moment: as just read, between two points, or a little beyond."""
        if self.last is not None and 0.0 <= t_s - self._last_s <= DENSE:
            return self.last
        points = self.points
        if points and 0.0 <= t_s - points[-1].t_s <= FRESH:
            return self._ahead(t_s)
        return self.inside(t_s)

    def inside(self, t_s: float) -> float | None:
        """The temperature at a moment between two points; None before the first, after the last."""
        points = self.points
        if not points or t_s > points[-1].t_s:
            return None
        after = points[-1]
        for before in reversed(points):
            if before.t_s <= t_s:
                return between(before, after, t_s)
            after = before
        return None

    def ahead(self, t_s: float) -> tuple[float, float] | None:
        """The temperature now by the last slope, and how far it may be off; None without any."""
        if not self.points:
            return None
        last = self.points[-1]
        age = max(t_s - last.t_s, 0.0)
        doubt = 0.5 * abs(self.rate or 0.0) * age if age > FRESH else 0.0
        return self._ahead(t_s), last.u + doubt

    def _ahead(self, t_s: float) -> float:
        last = self.points[-1]
        return last.celsius + (self.rate or 0.0) * (t_s - last.t_s)

    @property
    def rate(self) -> float | None:
        """Kelvin a second of the last few points; None of fewer than two."""
        points = self.points
        if len(points) < 2:
            return None
        last = points[-1]
        first = last
        for point in reversed(points):
            first = point
            rise = abs(last.celsius - point.celsius)
            if last.t_s - point.t_s >= RATE_SPAN or rise >= RATE_RISE:
                break
        span = last.t_s - first.t_s
        return (last.celsius - first.celsius) / span if span > 0.0 else None


def between(before: Point, after: Point, t_s: float) -> float:
    """Celsius on the straight line between two points."""
    span = after.t_s - before.t_s
    if span <= 0.0:
        return after.celsius
    return before.celsius + (after.celsius - before.celsius) * ((t_s - before.t_s) / span)
