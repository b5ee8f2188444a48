"""A live channel for its plot, in bounded memory: fine for what is new, coarser for what is old.

Level 0 holds the newest samples as they came, every level above it the newest rows of four rows
joined to one. So the last minute of a day is there sample by sample, the whole day as at least
`capacity` / 2 rows, and a day costs a few levels, not 86 million samples.
"""

import numpy as np

from benchassist.core.extremes import Rows, joined
from benchassist.core.samples import Column

CAPACITY = 4096
FAN = 4
_BLOCK = 256
"""Samples that wait in a list until they are worth a call of numpy."""
_BATCH = 32
"""Rows that wait at a level until they are passed up together."""
Mask = np.ndarray[tuple[int], np.dtype[np.bool_]]


class Envelope:
    """The lowest and highest values over time of one channel, appended live.

    nan is a gap: from then on nothing is known until the next value. +inf is an overload; a row
    that holds one has a high of +inf and still its lowest reading.
    """

    def __init__(self, capacity: int = CAPACITY) -> None:
        """`capacity`: rows kept at each level. Raises ValueError below 16."""
        if capacity < 16:
            raise ValueError(f"capacity {capacity}: at least 16 rows")
        self._capacity = capacity
        self._levels = [_Level(capacity)]
        self._new_t_s: list[float] = []
        self._new: list[float] = []
        self._block = min(_BLOCK, capacity)
        self._count = 0

    def __len__(self) -> int:
        """How many samples it has been given."""
        return self._count + len(self._new)

    @property
    def nbytes(self) -> int:
        """Bytes of all levels; grows by one level each time four times as much has come."""
        return sum(level.nbytes for level in self._levels)

    def append(self, t_s: float, value: float) -> None:
        """One sample; times rise."""
        self._new_t_s.append(t_s)
        self._new.append(value)
        if len(self._new) >= self._block:
            self._settle()

    def extend(self, t_s: Column, value: Column) -> None:
        """Many samples at once."""
        self._settle()
        self._count += len(t_s)
        for start in range(0, len(t_s), self._capacity):
            part = slice(start, start + self._capacity)
            self._pass_up((t_s[part], value[part], value[part]))

    def columns(self, start_s: float | None = None, end_s: float | None = None) -> Rows:
        """Times, lows and highs from start to end (the whole by default), as fine as is kept.

        One row more on each side, so that a line enters and leaves the picture. New arrays.
        """
        self._settle()
        rows = self._rows(self._finest(start_s))
        first, last = 0, len(rows[0])
        if start_s is not None:
            first = max(0, int(np.searchsorted(rows[0], start_s)) - 1)
        if end_s is not None:
            last = int(np.searchsorted(rows[0], end_s, side="right")) + 1
        t_s, low, high = (column[first:last].copy() for column in rows)
        return t_s, low, high

    def _settle(self) -> None:
        if self._new:
            t_s, value = np.array(self._new_t_s), np.array(self._new)
            self._count += len(value)
            self._new_t_s.clear()
            self._new.clear()
            self._pass_up((t_s, value, value))

    def _pass_up(self, rows: Rows) -> None:
        """Into level 0, and what is complete into the levels above."""
        for level in self._levels:
            level.append(rows)
            if level is self._levels[-1]:
                break
            rows = level.ready()
            if not len(rows[0]):
                return
        while self._levels[-1].is_full:
            above = _Level(self._capacity)
            above.append(self._levels[-1].ready())
            self._levels.append(above)

    def _finest(self, start_s: float | None) -> int:
        """The lowest level that reaches back to start_s."""
        for height, level in enumerate(self._levels):
            if not level.forgets or (start_s is not None and level.start_s <= start_s):
                return height
        return len(self._levels) - 1

    def _rows(self, height: int) -> Rows:
        """A level, and what has not been passed up to it yet."""
        parts = [self._levels[height].rows]
        parts += [level.waiting for level in reversed(self._levels[:height])]
        t_s, low, high = (np.concatenate(column) for column in zip(*parts, strict=True))
        return t_s, low, high


class _Level:
    """The newest rows, at least `capacity` and at most twice as many; the last few still wait."""

    def __init__(self, capacity: int) -> None:
        self._capacity = capacity
        self._batch = min(_BATCH, capacity // 2)
        self._table = np.empty((3, 2 * capacity))
        self._used = 0
        self._passed = 0
        self.forgets = False
        """Whether rows were dropped: it no longer reaches back to the beginning."""

    @property
    def nbytes(self) -> int:
        return self._table.nbytes

    @property
    def is_full(self) -> bool:
        """Whether a level above is needed, long before anything is dropped."""
        return self._used > self._capacity // 2

    @property
    def start_s(self) -> float:
        return float(self._table[0, 0])

    @property
    def rows(self) -> Rows:
        t_s, low, high = self._table[:, : self._used]
        return t_s, low, high

    @property
    def waiting(self) -> Rows:
        """Rows not passed up yet."""
        t_s, low, high = self._table[:, self._passed : self._used]
        return t_s, low, high

    def append(self, rows: Rows) -> None:
        """At most `capacity` rows."""
        fresh = len(rows[0])
        if self._used + fresh > self._table.shape[1]:
            dropped = self._used - self._capacity
            self._table[:, : self._capacity] = self._table[:, dropped : self._used].copy()
            self._used, self._passed = self._capacity, self._passed - dropped
            self.forgets = True
        for column, new in zip(self._table, rows, strict=True):
            column[self._used : self._used + fresh] = new
        self._used += fresh

    def ready(self) -> Rows:
        """Every `FAN` waiting rows joined to one, passed up now; what is incomplete waits on.

        No row joins what lies before and after a gap. Gaps shorter than `FAN` rows are left out,
        and all but the longest where more than every `FAN`th row is one: so each level is shorter
        than the one below, whatever comes.
        """
        rows = self.waiting
        if len(rows[0]) < self._batch:
            return rows[0][:0], rows[1][:0], rows[2][:0]
        gap = np.isnan(rows[2])
        kept = np.arange(len(gap))
        if gap.any():
            kept = np.flatnonzero(~gap | _long_gaps(rows[0], gap))
            rows = (rows[0][kept], rows[1][kept], rows[2][kept])
            gap = gap[kept]
        order = np.arange(len(kept))
        since_gap = order - np.maximum.accumulate(np.where(gap, order, -1)) - 1
        starts = np.flatnonzero(gap | (since_gap % FAN == 0))
        done = len(kept)
        if gap[-1] or done - starts[-1] < FAN:
            # The last group may grow; how long the last gap is shows only with the next value.
            done, starts = int(starts[-1]), starts[:-1]
        self._passed += int(kept[done]) if done < len(kept) else len(self.waiting[0])
        return joined((rows[0][:done], rows[1][:done], rows[2][:done]), starts)


def _long_gaps(t_s: Column, gap: Mask) -> Mask:
    """Which rows are gaps worth keeping; the last, whose end is not known yet, counts as long."""
    widths = np.diff(t_s, append=np.inf)
    seen_s = widths[:-1][~gap[:-1]].sum()
    long: Mask = gap & (widths >= FAN * seen_s / max(1, int((~gap).sum())))
    places = np.flatnonzero(long)
    most = len(t_s) // FAN
    if len(places) > most:
        long[places[np.argsort(widths[places])[: len(places) - most]]] = False
    return long
