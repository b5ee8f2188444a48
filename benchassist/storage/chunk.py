"""Samples as they are kept: a time, a value and the number of a dial each."""

import struct
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from benchassist.storage.column import (
    Real,
    Whole,
    pack_real,
    pack_whole,
    unpack_real,
    unpack_whole,
)

TICKS_PER_SECOND: Final = 16384
"""A power of two, so that a time read back is exact: within 31 µs of the one that was put in."""

TAIL: Final = np.dtype([("tick", "<i8"), ("value", "<f8"), ("dial", "<u2")])
"""A sample in the tail: rows of it are joined by joining their bytes."""

HEAD: Final = struct.Struct("<BIIII")
"""Version, how many samples, and the bytes of ticks, dials and values."""

VERSION: Final = 1

MOST_SAMPLES: Final = 2**22
"""Nothing makes a chunk of more; one that says so would fill the memory before it is read."""


@dataclass(frozen=True, slots=True, eq=False)
class Chunk:
    """Columns of one length, in order of time. The value of an overload is nan."""

    tick: Whole
    value: Real
    dial: NDArray[np.uint16]

    def __len__(self) -> int:
        """How many samples."""
        return len(self.tick)

    @property
    def t_s(self) -> Real:
        """Seconds of the run."""
        return self.tick / TICKS_PER_SECOND

    def part(self, start_s: float, end_s: float) -> "Chunk":
        """The samples from one moment to another, both included."""
        first = int(np.searchsorted(self.tick, start_s * TICKS_PER_SECOND))
        last = int(np.searchsorted(self.tick, end_s * TICKS_PER_SECOND, side="right"))
        return self.where(slice(first, last))

    def where(self, which: "slice | NDArray[np.bool_]") -> "Chunk":
        """Some of the samples."""
        return Chunk(self.tick[which], self.value[which], self.dial[which])


def pack_tail(chunk: Chunk) -> bytes:
    """Return a few samples as bytes, quickly."""
    rows = np.empty(len(chunk), TAIL)
    rows["tick"], rows["value"], rows["dial"] = chunk.tick, chunk.value, chunk.dial
    return rows.tobytes()


def unpack_tail(data: bytes) -> Chunk:
    """Return the samples of rows of the tail, joined. Raises ValueError for other bytes."""
    rows = np.frombuffer(data, TAIL)
    return Chunk(rows["tick"], rows["value"], rows["dial"])


def pack_chunk(chunk: Chunk) -> bytes:
    """Return samples as few bytes."""
    parts = (
        pack_whole(chunk.tick),
        pack_whole(chunk.dial.astype(np.int64)),
        # An overload has no value: its dial says all.
        pack_real(chunk.value[~np.isnan(chunk.value)]),
    )
    return HEAD.pack(VERSION, len(chunk), *map(len, parts)) + b"".join(parts)


def unpack_chunk(data: bytes, overloads: NDArray[np.bool_]) -> Chunk:
    """Return the samples `pack_chunk` made bytes of; `overloads` tells it for each dial.

    Raises ValueError for other bytes.
    """
    try:
        version, count, *sizes = HEAD.unpack_from(data)
    except struct.error as error:
        raise ValueError(str(error)) from None
    if version != VERSION:
        raise ValueError(f"a chunk of version {version}, known here: {VERSION}")
    if count > MOST_SAMPLES:
        raise ValueError(f"a chunk of {count} samples, up to {MOST_SAMPLES} would be right")
    view, parts, at = memoryview(data), list[memoryview](), HEAD.size
    for size in sizes:
        parts.append(view[at : at + size])
        at += size
    dial = unpack_whole(parts[1], count)
    if dial.size and not 0 <= dial.min() <= dial.max() < len(overloads):
        raise ValueError("a dial that is not there")
    over = overloads[dial]
    if over.any():
        value = np.full(count, np.nan)
        value[~over] = unpack_real(parts[2], count - int(over.sum()))
    else:
        value = unpack_real(parts[2], count)
    return Chunk(unpack_whole(parts[0], count), value, dial.astype(np.uint16))
