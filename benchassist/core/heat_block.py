"""A log in blocks: quiet stretches are screened by whole columns with the rule of `heat_trend.py`.

Every arithmetic step is the one the trend takes sample by sample, in the same order, so that a log
fed in blocks is judged to the last bit as one fed sample by sample.
"""

from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import dataclass
from math import isfinite, nan
from typing import Final

import numpy as np
from numpy.typing import NDArray

from benchassist.core.heat_detector import Detector
from benchassist.core.heat_thermometer import Point
from benchassist.core.heat_trend import (
    DEPTH,
    DRIFT,
    JUMP,
    LEAN,
    LIMIT_COUNTS,
    LIMIT_SHARE,
    LocalTrend,
)
from benchassist.core.run_finding import HeatEvent
from benchassist.core.samples import Column, Samples

FEWEST: Final = 16
FIRST: Final = 256
MOST: Final = 1024
"""Buckets that are screened at once: fewer the sooner something happened, else more and more."""

SCALAR: Final = 64
STRETCH: Final = 4096
"""Samples that are fed one by one, and overloads that are skipped, before looking again."""


@dataclass(frozen=True, slots=True, eq=False)
class QuietBuckets:
    """Moments and medians of buckets in a row in which every sample was where it was expected."""

    times: list[float]
    medians: list[float]
    samples: int


def quiet_buckets(trend: LocalTrend, samples: Samples, last_s: float, most: int) -> QuietBuckets:
    """Take in the leading quiet buckets of `samples`, at most `most`, all at once.

    `trend` stands between two buckets and is settled; `last_s` is the moment of the sample before.
    A resolution of 0 is not known. Of the samples, those of quiet buckets only are used.
    """
    size = trend.size
    count = min(len(samples) // size, most)
    if not count:
        return QuietBuckets([], [], 0)
    used = count * size
    t = samples.t_s[:used].reshape(count, size)
    value = samples.value[:used].reshape(count, size)
    ranked = np.sort(value, axis=1)
    medians = ranked[:, size // 2]
    middles = 0.5 * (t[:, 0] + t[:, -1])
    q = np.concatenate((trend.medians, medians))
    m = np.concatenate((trend.times, middles))
    # Row k is what the trend says after bucket k - 1 (row 0: as it stands).
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        rise, run = _four_less_four(q), _four_less_four(m)
        slope = np.where(run > 0.0, rise / run, 0.0)
        steepest = np.maximum.accumulate(np.abs(slope))
        steepest = np.maximum(steepest, trend.steepest)
        level, level_s = 0.5 * (q[7:] + q[6:-1]), 0.5 * (m[7:] + m[6:-1])
        rows = _Rows(level[:-1], level_s[:-1], slope[:-1], steepest[:-1], trend.resolution)
        whole = rows.surely_quiet(t, ranked)
        doubted = np.flatnonzero(~whole)
        if len(doubted):
            latest = np.concatenate(([trend.latest], samples.value[: used - 1]))
            before = latest.reshape(count, size)[doubted]
            whole[doubted] = rows.at(doubted).quiet(t[doubted], value[doubted], before)
        steady = np.diff(samples.t_s[:used], prepend=last_s) <= trend.silence
        steady &= samples.resolution[:used] == trend.resolution
        if not steady.all():
            whole &= steady.reshape(count, size).all(axis=1)
        whole &= rows.level_medians(middles, medians, trend.halfway)
    found = int(count if whole.all() else np.argmin(whole))
    if found:
        end = found + DEPTH
        trend.medians[:] = q[end - DEPTH : end].tolist()
        trend.times[:] = m[end - DEPTH : end].tolist()
        trend.level, trend.level_s = float(level[found]), float(level_s[found])
        trend.latest = float(value[found - 1, -1])
        trend.slope, trend.steepest = float(slope[found]), float(steepest[found])
    return QuietBuckets(middles[:found].tolist(), medians[:found].tolist(), found * size)


@dataclass(frozen=True, slots=True, eq=False)
class _Rows:
    """What the trend says of each bucket: its level and slope, and the steepest so far."""

    level: Column
    level_s: Column
    slope: Column
    steepest: Column
    resolution: float

    def at(self, rows: NDArray[np.intp]) -> "_Rows":
        """Some of the buckets."""
        return _Rows(
            self.level[rows],
            self.level_s[rows],
            self.slope[rows],
            self.steepest[rows],
            self.resolution,
        )

    def limit(self, expected: Column) -> Column:
        """The alarm limit at what is expected."""
        counts = LIMIT_COUNTS * self.resolution
        most: Column = np.maximum(LIMIT_SHARE * np.abs(expected), counts)
        return most

    def surely_quiet(self, t: Column, ranked: Column) -> NDArray[np.bool_]:
        """Whether the highest and lowest of a bucket are near all that is expected in it.

        What is expected goes straight, and rounding keeps order: where this holds, `quiet` does.
        """
        first = self.level + self.slope * (t[:, 0] - self.level_s)
        last = self.level + self.slope * (t[:, -1] - self.level_s)
        low, high = np.minimum(first, last), np.maximum(first, last)
        allowed = self.limit(low) + DRIFT * self.steepest * (t[:, 0] - self.level_s)
        sure = (ranked[:, -1] - low <= allowed) & (high - ranked[:, 0] <= allowed) & (low > 0.0)
        return np.asarray(sure)

    def quiet(self, t: Column, value: Column, before: Column) -> NDArray[np.bool_]:
        """Whether no sample of a bucket is beyond; `before` are the samples before each."""
        ahead = t - self.level_s[:, None]
        expected = self.level[:, None] + self.slope[:, None] * ahead
        limits = self.limit(expected)
        allowed = limits + (DRIFT * self.steepest)[:, None] * ahead
        quiet = np.abs(value - expected) <= allowed
        quiet |= np.abs(value - before) <= JUMP * limits
        return np.asarray(quiet.all(axis=1))

    def level_medians(self, middles: Column, medians: Column, halfway: float) -> NDArray[np.bool_]:
        """Whether the median of a bucket does not lean away."""
        ahead = middles - self.level_s
        expected = self.level + self.slope * ahead
        lean = np.minimum(LEAN * self.limit(expected), halfway * np.abs(expected))
        return np.asarray(np.abs(medians - expected) <= lean + self.steepest * ahead)


def _four_less_four(x: Column) -> Column:
    """Sum of each four in a row less the four before, from the eighth on."""
    pairs = x[1:] + x[:-1]
    fours = pairs[2:] + pairs[:-2]
    less: Column = fours[4:] - fours[:-4]
    return less


def feed_block(
    detector: Detector, samples: Samples, heat: Column | None, u: float
) -> list[HeatEvent]:
    """Feed a detector samples in order of time, and the temperatures beside them (nan: none)."""
    told: list[HeatEvent] = []
    place, most = 0, FIRST
    watch = detector.watch
    while place < len(samples):
        rest = part_of(samples, slice(place, None))
        warm = None if heat is None else heat[place:]
        if watch.quiet:
            found = quiet_buckets(watch.trend, rest, detector.last_s, most)
            place += found.samples
            count = len(found.times)
            if count:
                told += _take_quiet(detector, found, rest.t_s, warm, u)
            if count == most:
                most = min(4 * most, MOST)
                continue
            # The next bucket is not quiet, or not whole.
            most = max(2 * count, FEWEST)
            rest = part_of(rest, slice(found.samples, None))
            warm = None if warm is None else warm[found.samples :]
        elif watch.is_open and (skipped := _open_stretch(rest, detector)):
            place += skipped
            if warm is not None:
                told += _warm(detector, rest.t_s[:skipped], warm[:skipped], u)
            detector.skip(float(rest.t_s[skipped - 1]), samples=skipped, buckets=0)
            continue
        place += _one_by_one(detector, part_of(rest, slice(SCALAR)), warm, u, told)
    return told


def part_of(samples: Samples, part: slice) -> Samples:
    """Some of the samples."""
    return Samples(samples.t_s[part], samples.value[part], samples.resolution[part])


def _one_by_one(
    detector: Detector, samples: Samples, heat: Column | None, u: float, told: list[HeatEvent]
) -> int:
    """Feed samples until all is quiet, or open, again; returns how many."""
    count = len(samples)
    warm = [nan] * count if heat is None else heat[:count].tolist()
    columns = (samples.t_s.tolist(), samples.value.tolist(), samples.resolution.tolist(), warm)
    watch = detector.watch
    for done, (t_s, value, resolution, celsius) in enumerate(zip(*columns, strict=True), 1):
        if isfinite(celsius):
            told += detector.warm(t_s, celsius, u)
        told += detector.take(t_s, value, resolution)
        if watch.quiet or watch.is_open:
            return done
    return count


def _take_quiet(
    detector: Detector, found: QuietBuckets, t_s: Column, heat: Column | None, u: float
) -> list[HeatEvent]:
    """Feed buckets in which nothing happened, and the temperatures beside them, as they came."""
    told: list[HeatEvent] = []
    watch, size = detector.watch, detector.watch.trend.size
    used = found.samples
    points: list[tuple[int, Point]] = []
    if heat is not None:
        points = detector.thermometer.gather_block(t_s[:used], heat[:used], u)
    # After an interruption the first bucket is due, and a step that stands may end on the way.
    one_by_one = watch.broken or watch.is_out
    due: Iterable[int] = range(len(found.times))
    if not one_by_one:
        due = detector.line.clock.due(found.times, found.medians, watch.trend.resolution)
    take = detector.bucket if one_by_one else detector.tick
    next_point = 0
    for place in due:
        known = bisect_left(points, ((place + 1) * size,), next_point)
        told += detector.keep([point for _, point in points[next_point:known]])
        next_point = known
        told += take(found.times[place], found.medians[place])
    told += detector.keep([point for _, point in points[next_point:]])
    detector.skip(float(t_s[used - 1]), samples=used, buckets=len(found.times))
    return told


def _warm(detector: Detector, t_s: Column, heat: Column, u: float) -> list[HeatEvent]:
    """Feed temperatures alone."""
    points = detector.thermometer.gather_block(t_s, heat, u)
    return detector.keep([point for _, point in points])


def _open_stretch(rest: Samples, detector: Detector) -> int:
    """How many overloads in a row come next, none after a silence."""
    most = min(len(rest), STRETCH)
    over = np.isinf(rest.value[:most])
    over &= np.diff(rest.t_s[:most], prepend=detector.last_s) <= detector.silence
    return most if over.all() else int(np.argmin(over))
