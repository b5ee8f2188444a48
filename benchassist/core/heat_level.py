"""The levels that a resistance left, and whether it is back on one of them."""

from collections.abc import Callable
from math import inf
from typing import Final, NamedTuple

from benchassist.core.heat_event import Excursion, Sample
from benchassist.core.heat_trend import DRIFT, LocalTrend, limit

LARGE: Final = 0.25
"""A step beyond this share does not follow copper any more: its way back is not scaled."""
RETURN: Final = 1.5
RETURN_SHARE: Final = 0.1
"""Back on a line by its temperature: within so many limits, and this share of the change since."""
HALFWAY: Final = 0.6
"""Of a step's size: nearer to the level it left than to the one it went to."""
SIZE_DOUBT: Final = 0.25
"""Of a step's size: how much of it may have changed while it stood."""


class Level:
    """A level that was left: where it was, how fast it moved, how warm it was."""

    __slots__ = ("celsius", "ohms", "ratio", "resolution", "slope", "steepest", "t_s")

    def __init__(self, trend: LocalTrend, sample: Sample) -> None:
        """The level that `trend` followed when `sample` left it."""
        self.t_s, self.celsius = sample.t_s, sample.celsius
        self.ohms = trend.expected(sample.t_s)
        self.slope, self.steepest = trend.slope, trend.steepest
        self.resolution = trend.resolution
        self.ratio = 1.0
        """To the level followed now."""


class Standing(NamedTuple):
    """A step that stands, and the level it left."""

    excursion: Excursion
    level: Level


class Levels:
    """The levels that steps left and have not come back to, oldest first."""

    def __init__(self, trend: LocalTrend, shape: Callable[[float], float]) -> None:
        self.standing: list[Standing] = []
        self._trend = trend
        self._shape = shape

    @property
    def ratio(self) -> float:
        """What brings the level followed now back to the one before all steps."""
        return self.standing[0].level.ratio if self.standing else 1.0

    def returned(self, left: Level | None, one: Sample, other: Sample) -> int | None:
        """Which level two samples in a row are on: how many steps stand below it; None: on none.

        `left` is the level that was left last, whose event goes on.
        """
        lines = [standing.level for standing in self.standing]
        if left is not None:
            lines.append(left)
        for depth, line in enumerate(lines):
            if self.is_near(line, one) and self.is_near(line, other):
                return depth
        return None

    def is_near(self, line: Level, sample: Sample) -> bool:
        """Whether a sample is on a level that was left."""
        trend = self._trend
        counts = max(line.resolution, trend.resolution)
        apart = sample.t_s - line.t_s
        if line.ratio != 1.0 and abs(line.ratio - 1.0) <= LARGE:
            expected = trend.expected(sample.t_s) * line.ratio
            drift = DRIFT * trend.steepest * max(sample.t_s - trend.level_s, 0.0)
            allowed = drift + SIZE_DOUBT * abs(1.0 - line.ratio) * abs(expected)
        elif line.celsius is not None and sample.celsius is not None:
            expected = self.expected(line, sample)
            allowed = (RETURN - 1.0) * limit(expected, counts)
            allowed += RETURN_SHARE * abs(expected - line.ohms)
        else:
            expected = self.expected(line, sample)
            allowed = DRIFT * line.steepest * apart
        return abs(sample.value - expected) <= limit(expected, counts) + allowed

    def expected(self, line: Level, sample: Sample) -> float:
        """What a level that was left would read at a sample."""
        if line.celsius is not None and sample.celsius is not None:
            return line.ohms * self._shape(sample.celsius) / self._shape(line.celsius)
        return line.ohms + line.slope * (sample.t_s - line.t_s)

    def fall_back(self, depth: int) -> list[Excursion]:
        """Follow the level below which `depth` steps stand; the steps that end with that."""
        ended = self.standing[depth:]
        if ended:
            scale = ended[0].level.ratio
            for standing in self.standing[:depth]:
                standing.level.ratio /= scale
        del self.standing[depth:]
        self._look_halfway()
        return [excursion for excursion, _ in ended]

    def stand(self, excursion: Excursion, left: Level, scale: float) -> None:
        """A step stands; `scale` brings the new level back to the one it left."""
        for standing in self.standing:
            standing.level.ratio *= scale
        left.ratio = scale
        self.standing.append(Standing(excursion, left))
        self._look_halfway()

    def _look_halfway(self) -> None:
        """Tell the trend how far the nearest level is that a small step left."""
        sizes = [abs(1.0 - level.ratio) for _, level in self.standing]
        small = [HALFWAY * size for size in sizes if size <= LARGE]
        self._trend.halfway = min(small, default=inf)
