"""The lowest and highest of every so many samples, and of every so many of those, and so on up."""

import struct
from dataclasses import dataclass, fields
from typing import Final

import numpy as np

from benchassist.storage.chunk import TICKS_PER_SECOND
from benchassist.storage.column import (
    Real,
    Whole,
    pack_real,
    pack_whole,
    unpack_real,
    unpack_whole,
)

SAMPLES: Final = 64
"""In a bin of level 1."""

FAN: Final = 16
"""Bins that make one of the next level."""

ROW: Final = 256
"""Bins in a row of the table; a multiple of FAN, so that no bin is made of two rows."""

HEAD: Final = struct.Struct("<IIIII")
"""How many bins, and the bytes of their four columns."""


@dataclass(frozen=True, slots=True, eq=False)
class Bins:
    """Columns of one length: ticks of the first and the last sample, lowest and highest value.

    Only samples that count are in it. `high` is inf where an overload is among them, `low` too
    where there is nothing else.
    """

    start: Whole
    end: Whole
    low: Real
    high: Real

    def __len__(self) -> int:
        """How many bins."""
        return len(self.start)

    def part(self, which: "slice | Whole | np.ndarray[tuple[int], np.dtype[np.bool_]]") -> "Bins":
        """Some of them."""
        return Bins(self.start[which], self.end[which], self.low[which], self.high[which])


def joined(bins: list[Bins]) -> Bins:
    """Return all bins in one; they may be none."""
    if not bins:
        return Bins(np.empty(0, np.int64), np.empty(0, np.int64), np.empty(0), np.empty(0))
    columns = [np.concatenate([getattr(b, f.name) for b in bins]) for f in fields(Bins)]
    return Bins(*columns)


def bins_of(tick: Whole, value: Real, size: int = SAMPLES) -> Bins:
    """Return the bins of samples that count, an overload being inf."""
    return grouped(Bins(tick, tick, value, value), np.arange(0, len(tick), size))


def grouped(bins: Bins, starts: Whole) -> Bins:
    """Return one bin for each group; a group goes from its start to the next one's."""
    if not len(starts):
        return joined([])
    ends = np.append(starts[1:], len(bins)) - 1
    return Bins(
        bins.start[starts],
        bins.end[ends],
        np.minimum.reduceat(bins.low, starts),
        np.maximum.reduceat(bins.high, starts),
    )


def pack_bins(bins: Bins) -> bytes:
    """Return bins as few bytes."""
    parts = (
        pack_whole(bins.start),
        # An end lies close before the next start, and differs from it by hardly ever the same.
        pack_whole(bins.end - bins.start),
        pack_real(bins.low),
        pack_real(bins.high),
    )
    return HEAD.pack(len(bins), *map(len, parts)) + b"".join(parts)


def unpack_bins(data: bytes) -> Bins:
    """Return the bins `pack_bins` made bytes of. Raises ValueError for other bytes."""
    try:
        count, *sizes = HEAD.unpack_from(data)
    except struct.error as error:
        raise ValueError(str(error)) from None
    view, parts, at = memoryview(data), list[memoryview](), HEAD.size
    for size in sizes:
        parts.append(view[at : at + size])
        at += size
    start = unpack_whole(parts[0], count)
    return Bins(
        start,
        start + unpack_whole(parts[1], count),
        unpack_real(parts[2], count),
        unpack_real(parts[3], count),
    )


def seconds(bins: Bins) -> tuple[float, float]:
    """Return when the first bin begins and the last one ends, in seconds of the run."""
    return float(bins.start[0]) / TICKS_PER_SECOND, float(bins.end[-1]) / TICKS_PER_SECOND
