"""Where a resistance is expected to be next, from its last few seconds alone.

Samples gather in buckets of at least five and about half a second; the medians of the last eight
give a level and a slope. A lone spike does not reach a median; no time is tied to a sample rate.
"""

from math import ceil, isinf
from typing import Final

LIMIT_SHARE: Final = 0.02
LIMIT_COUNTS: Final = 5.0
"""The alarm limit: two percent or five counts, whichever is more."""
LEAST: Final = 5
"""Samples of a bucket at least."""
BUCKET: Final = 0.5
"""Seconds of a bucket at least."""
MOST: Final = 4000
"""Samples of a bucket at most."""
DEPTH: Final = 8
"""Buckets the slope is taken from: four against four."""
JUMP: Final = 0.5
"""Of the limit: what goes by less from one sample to the next creeps, it does not jump."""
SETTLED: Final = 2.0
"""A level has settled where five samples lie within so many limits of each other."""
LEAN: Final = 0.85
"""Of the limit: medians of two buckets in a row beyond it, on one side, are a step too..."""
LEVEL: Final = 1.5
"""...unless the second is so many times further off: that is a slope."""
DRIFT: Final = 2.0
"""The slope may turn by so many times the steepest seen: heating may become cooling."""
SILENCE: Final = 5.0
"""Periods without a sample that make a gap, and one second at least."""


class LocalTrend:
    """The level and slope of the last few seconds, and how far they can be trusted."""

    __slots__ = (
        "halfway",
        "latest",
        "level",
        "level_s",
        "medians",
        "period",
        "resolution",
        "settled",
        "silence",
        "size",
        "slope",
        "steepest",
        "times",
        "values",
        "values_s",
    )

    def __init__(self) -> None:
        self.level: float | None = None
        self.level_s = self.slope = self.steepest = self.latest = 0.0
        self.resolution = 0.0
        self.medians: list[float] = []
        self.times: list[float] = []
        self.values: list[float] = []
        self.values_s: list[float] = []
        self.size = LEAST
        self.silence = float("inf")
        self.period = 0.0
        """Seconds from sample to sample, as last seen."""
        self.halfway = float("inf")
        """Share at which a bucket may belong to a level that a step left; inf where none did."""
        self.settled = False
        """Whether all eight buckets stand."""

    def expected(self, t_s: float) -> float:
        """Where the resistance should be at a moment. Only where a level stands."""
        level = self.level
        return (0.0 if level is None else level) + self.slope * (t_s - self.level_s)

    def allowed(self, t_s: float, expected: float) -> float:
        """How far from there it may be: the limit, and what the slope may have turned since."""
        return limit(expected, self.resolution) + DRIFT * self.steepest * (t_s - self.level_s)

    def leaning(self, t_s: float, expected: float) -> float:
        """How far from there the median of a bucket may be."""
        drift = self.steepest * (t_s - self.level_s)
        lean = min(LEAN * limit(expected, self.resolution), self.halfway * abs(expected))
        return lean + drift

    def is_beyond(self, t_s: float, value: float) -> bool:
        """Whether a sample has jumped off the line: from there, and from the sample before it."""
        expected = self.expected(t_s)
        if abs(value - expected) <= self.allowed(t_s, expected):
            return False
        return abs(value - self.latest) > JUMP * limit(expected, self.resolution)

    def restart(self) -> None:
        """Begin new buckets; the level stands, the more doubted the longer ago."""
        self.medians.clear()
        self.times.clear()
        self.values.clear()
        self.values_s.clear()
        self.size, self.silence, self.settled = LEAST, float("inf"), False

    def anchor(self, t_s: float, level: float, slope: float) -> None:
        """Begin anew from a level."""
        self.restart()
        self.level, self.level_s, self.slope, self.latest = level, t_s, slope, level

    def seek(self, t_s: float, value: float) -> bool:
        """Look for the first level: five samples that agree; whether these do. Overloads do not."""
        if isinf(value):
            self.restart()
            return False
        values = self.values
        if len(values) == LEAST - 1:
            five = sorted([*values, value])
            if five[-1] - five[0] > SETTLED * limit(five[LEAST // 2], self.resolution):
                del values[0], self.values_s[0]
        return self.add(t_s, value)

    def add(self, t_s: float, value: float) -> bool:
        """Take in a sample that is where it was expected; whether the bucket is full."""
        self.values_s.append(t_s)
        self.values.append(value)
        self.latest = value
        return len(self.values) >= self.size

    def empty(self) -> tuple[float, float]:
        """Empty a full bucket: its moment and its median."""
        first, last = self.values_s[0], self.values_s[-1]
        median = sorted(self.values)[len(self.values) // 2]
        if not self.medians:
            self._pace((last - first) / (len(self.values) - 1))
        self.values.clear()
        self.values_s.clear()
        return 0.5 * (first + last), median

    @property
    def is_sloped(self) -> bool:
        """Whether enough buckets stand for a slope."""
        return len(self.medians) >= DEPTH // 2

    def _pace(self, period: float) -> None:
        """Set the size of the buckets and what a gap is by the pace of the samples."""
        self.period = period
        wanted = ceil(BUCKET / period - 1e-6) if period > BUCKET / MOST else MOST
        self.size = max(LEAST, wanted)
        self.silence = max(SILENCE * period, 1.0)

    def note(self, middle_s: float, median: float) -> None:
        """Take in the moment and the median of a bucket."""
        q, t = self.medians, self.times
        q.append(median)
        t.append(middle_s)
        count = len(q)
        if count == 1:
            self.level, self.level_s = median, middle_s
            return
        if count > DEPTH:
            del q[0], t[0]
            count = DEPTH
        self.level, self.level_s = 0.5 * (q[-1] + q[-2]), 0.5 * (t[-1] + t[-2])
        if count == DEPTH:
            rise = ((q[-1] + q[-2]) + (q[-3] + q[-4])) - ((q[-5] + q[-6]) + (q[-7] + q[-8]))
            run = ((t[-1] + t[-2]) + (t[-3] + t[-4])) - ((t[-5] + t[-6]) + (t[-7] + t[-8]))
            self.slope = rise / run if run > 0.0 else 0.0
            self.steepest = max(self.steepest, abs(self.slope))
            self.settled = True
        elif count >= DEPTH // 2:
            run = t[-1] - t[0]
            self.slope = (q[-1] - q[0]) / run if run > 0.0 else 0.0


def limit(expected: float, resolution: float) -> float:
    """The alarm limit in ohm at an expected value: max(2 %, 5 counts)."""
    return max(LIMIT_SHARE * abs(expected), LIMIT_COUNTS * resolution)
