"""A whole run for its plot: the exact lowest and highest of any stretch, however long the run.

Above the samples stand levels of the lowest and highest of every four rows below. A stretch is put
together from whole rows as high up as they fit, so a window costs a few steps for each of its
buckets and next to nothing for the length of the run.
"""

import numpy as np

from benchassist.core.extremes import Rows
from benchassist.core.samples import Column

FAN = 4
_FEW = 48
"""Samples a bucket, up to which climbing the levels takes longer than looking at each."""
Indices = np.ndarray[tuple[int], np.dtype[np.intp]]


class Pyramid:
    """Samples of one channel and the levels above them, which take two thirds of their memory.

    nan is a gap: what follows is not joined to what came before. +inf is an overload.
    """

    def __init__(self, t_s: Column | None = None, value: Column | None = None) -> None:
        """From times in seconds (rising) and values, of one length; both None for none."""
        self._t_s = _Growing()
        self._lows = [_Growing()]
        self._highs = self._lows[:]
        """Level 0 is the samples themselves: low and high are one column."""
        if t_s is not None and value is not None:
            self.extend(t_s, value)

    def __len__(self) -> int:
        """How many samples."""
        return len(self._t_s)

    def extend(self, t_s: Column, value: Column) -> None:
        """Samples after those that are there."""
        self._t_s.extend(t_s)
        self._lows[0].extend(value)
        level = 0
        while len(self._lows[level]) >= FAN:
            if level + 1 == len(self._lows):
                self._lows.append(_Growing())
                self._highs.append(_Growing())
            done = FAN * len(self._lows[level + 1])
            self._lows[level + 1].extend(_by_fours(np.fmin, self._lows[level].values[done:]))
            self._highs[level + 1].extend(_by_fours(np.fmax, self._highs[level].values[done:]))
            level += 1

    def window(self, start_s: float, end_s: float, buckets: int) -> Rows:
        """Times, lows and highs of the samples from start to end, one row a bucket of equal time.

        A row's time is its first sample's. A bucket without samples has no row; one that ends in a
        gap is followed by a row of nan. One sample more on each side, so that a line enters and
        leaves the picture. Where there are fewer samples than buckets they come as they are.
        """
        times = self._t_s.values
        first = max(0, int(np.searchsorted(times, start_s)) - 1)
        last = min(len(times), int(np.searchsorted(times, end_s, side="right")) + 1)
        if last - first <= max(2, buckets):
            value = self._lows[0].values[first:last]
            return times[first:last].copy(), value.copy(), value.copy()
        inner = np.linspace(start_s, end_s, buckets + 1)[1:-1]
        edges = first + 1 + np.searchsorted(times[first + 1 : last - 1], inner)
        edges = np.concatenate(([first, first + 1], edges, [last - 1, last]))
        filled = edges[1:] > edges[:-1]
        starts, ends = edges[:-1][filled], edges[1:][filled]
        low, high = self._extremes(starts, ends)
        t_s = times[starts]
        broken = np.isnan(self._lows[0].values[ends - 1]) & ~np.isnan(high)
        if not broken.any():
            return t_s, low, high
        places = np.flatnonzero(broken) + 1
        return (
            np.insert(t_s, places, times[ends[broken] - 1]),
            np.insert(low, places, np.nan),
            np.insert(high, places, np.nan),
        )

    def _extremes(self, starts: Indices, ends: Indices) -> tuple[Column, Column]:
        """The lowest and highest of samples [start, end), side by side and none of them empty.

        At each level the rows that stick out of whole groups of four are taken, at most three at
        each end (one row may be taken from both); what is left is the same question one level up.
        Few samples are simply looked at.
        """
        if ends[-1] - starts[0] <= _FEW * len(starts):
            value = self._lows[0].values[starts[0] : ends[-1]]
            places = starts - starts[0]
            return np.fmin.reduceat(value, places), np.fmax.reduceat(value, places)
        buckets = len(starts)
        place = np.concatenate((starts, ends))
        step = np.repeat((1, -1), buckets)
        first = np.repeat((0, -1), buckets)
        low = np.full(2 * buckets, np.nan)
        high = low.copy()
        for lows, highs in zip(self._lows, self._highs, strict=True):
            for _ in range(FAN - 1):
                open_still = np.tile(place[:buckets] < place[buckets:], 2)
                taken = np.flatnonzero(open_still & (place % FAN != 0))
                rows = place[taken] + first[taken]
                low[taken] = np.fmin(low[taken], lows.values[rows])
                high[taken] = np.fmax(high[taken], highs.values[rows])
                place[taken] += step[taken]
            place //= FAN
            if not (place[:buckets] < place[buckets:]).any():
                break
        return np.fmin(low[:buckets], low[buckets:]), np.fmax(high[:buckets], high[buckets:])


class _Growing:
    """A column that is appended to; its room doubles."""

    def __init__(self) -> None:
        self._room = np.empty(0)
        self._used = 0

    def __len__(self) -> int:
        return self._used

    @property
    def values(self) -> Column:
        """A view of what is there; good until the next extend."""
        return self._room[: self._used]

    def extend(self, more: Column) -> None:
        needed = self._used + len(more)
        if needed > len(self._room):
            room = np.empty(max(needed, 2 * self._used))
            room[: self._used] = self.values
            self._room = room
        self._room[self._used : needed] = more
        self._used = needed


def _by_fours(extreme: np.ufunc, rows: Column) -> Column:
    """The extreme of every four rows; what is left over is not."""
    whole = rows[: len(rows) // FAN * FAN]
    halves = extreme(whole[0::2], whole[1::2])
    found: Column = extreme(halves[0::2], halves[1::2])
    return found
