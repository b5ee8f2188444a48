"""The lowest and highest of a channel for a plot, at a cost that goes with the plot's width."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from sqlalchemy import Connection, func, select

from benchassist.core.samples import Column
from benchassist.storage import bins as binned
from benchassist.storage import run_query, schema
from benchassist.storage.bins import FAN, ROW, Bins, grouped, unpack_bins
from benchassist.storage.chunk import TICKS_PER_SECOND, Chunk
from benchassist.storage.column import Whole
from benchassist.storage.compaction import Key, dials_of, usable
from benchassist.storage.dial import Dial
from benchassist.storage.run_query import channel_extent, chunks, damaged, tail


@dataclass(frozen=True, slots=True)
class Window:
    """A stretch of time, in ticks, in buckets of so many."""

    start: float
    end: float
    bucket: float


def envelope(
    connection: Connection, key: Key, *, start_s: float, end_s: float, buckets: int
) -> tuple[Column, Column, Column]:
    """Times, lowest and highest values of at most so many buckets of equal length in time.

    Each row's time is that of its first sample; a bucket without samples has no row. A high of inf
    is an overload, a low of inf says that there was nothing else. Levels of bins are gone down from
    the top, and only where a bin is longer than a bucket; so at either end a bucket may reach
    beyond the window, by less than its own length. Raises NotFoundError.
    """
    run_query.header(connection, key[0])
    moments, buckets = channel_extent(connection, key), max(buckets, 1)
    start, end = max((start_s, *moments[:1])), min((end_s, *moments[-1:]))
    if not moments or not start <= end:
        return np.empty(0), np.empty(0), np.empty(0)
    length = (end - start) * TICKS_PER_SECOND
    window = Window(start * TICKS_PER_SECOND, end * TICKS_PER_SECOND, max(length / buckets, 1.0))
    dials = dials_of(connection, key[0])
    found = _gone_down(connection, key, dials, window)
    found.append(_single(tail(connection, key).part(start, end), dials))
    whole = binned.joined(found)
    whole = whole.part(np.argsort(whole.start, kind="stable"))
    place = np.clip((whole.start - window.start) // window.bucket, 0, buckets - 1)
    rows = grouped(whole, np.flatnonzero(np.diff(place, prepend=-1.0)))
    return rows.start / TICKS_PER_SECOND, rows.low, rows.high


def _gone_down(
    connection: Connection, key: Key, dials: Sequence[Dial], window: Window
) -> list[Bins]:
    """Bins of the gathered samples, none longer than a bucket."""
    b = schema.run_bins.c
    top = connection.scalar(
        select(func.max(b.level)).where(b.run_id == key[0], b.channel == key[1])
    )
    found, wide = list[Bins](), np.zeros(1, np.int64)
    for level in range(top or 0, 0, -1):
        bins, places = _children(connection, key, level, wide)
        inside = (bins.start <= window.end) & (bins.end >= window.start)
        bins, places = bins.part(inside), places[inside]
        long = bins.end - bins.start > window.bucket
        found.append(bins.part(~long))
        wide = places[long]
        if not len(wide):
            break
        if level == 1:
            for stretch in _stretches(bins.part(long), wide):
                start, end = binned.seconds(stretch)
                start = max(start, window.start / TICKS_PER_SECOND)
                end = min(end, window.end / TICKS_PER_SECOND)
                some = chunks(connection, key, dials, start_s=start, end_s=end)
                found += [_single(chunk, dials) for chunk in some]
    return found


def _children(connection: Connection, key: Key, level: int, parents: Whole) -> tuple[Bins, Whole]:
    """The bins of a level below some bins of the next one, and their places in the level."""
    b = schema.run_bins.c
    rows = connection.execute(
        select(b.number, b.body)
        .where(
            b.run_id == key[0],
            b.channel == key[1],
            b.level == level,
            b.number.in_(np.unique(parents * FAN // ROW).tolist()),
        )
        .order_by(b.number)
    ).all()
    try:
        bins = [unpack_bins(row.body) for row in rows]
    except ValueError as error:
        raise damaged(key[0], error) from None
    places = [row.number * ROW + np.arange(len(some)) for row, some in zip(rows, bins, strict=True)]
    place = np.concatenate([np.empty(0, np.int64), *places])
    asked = np.isin(place // FAN, parents)
    return binned.joined(bins).part(asked), place[asked]


def _stretches(bins: Bins, places: Whole) -> list[Bins]:
    """Bins that follow each other, together."""
    breaks = np.flatnonzero(np.diff(places) > 1) + 1
    edges = [0, *breaks.tolist(), len(bins)]
    return [bins.part(slice(a, b)) for a, b in pairwise(edges)]


def _single(chunk: Chunk, dials: Sequence[Dial]) -> Bins:
    """Each sample that counts as a bin of its own."""
    if not len(chunk):
        return binned.joined([])
    used = usable(chunk, dials)
    return Bins(used.tick, used.tick, used.value, used.value)
