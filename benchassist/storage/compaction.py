"""Gathers the tail of a channel into a chunk and raises the levels of bins above it.

What is gathered is what the tables hold, so it does not matter who does it, or how often: the
recorder of a run under way, or the next program after one that was killed.
"""

import logging
import time
from collections.abc import Container, Sequence
from typing import Any, Final

import numpy as np
from sqlalchemy import Connection, delete, func, insert, select

from benchassist.storage import bins as binned
from benchassist.storage import schema
from benchassist.storage.bins import FAN, ROW, Bins, bins_of, grouped, pack_bins, unpack_bins
from benchassist.storage.chunk import TAIL, Chunk, pack_chunk, unpack_tail
from benchassist.storage.codec import decode, from_text
from benchassist.storage.dial import Dial

Key = tuple[str, str]
"""A run and a channel of it."""

MOST: Final = 32768
"""Samples gathered at once: a few hundredths of a second of work."""

BREATH: Final = 0.05
"""Seconds between two pieces of what is not pressing."""

log = logging.getLogger(__name__)


def loose_ends(connection: Connection) -> list[Key]:
    """Return run and channel of every tail."""
    tail = schema.run_tail.c
    return [
        (row.run_id, row.channel)
        for row in connection.execute(select(tail.run_id, tail.channel).distinct())
    ]


class Leftovers:
    """Tails that a program which ended in mid-run left behind; done once, or given up.

    `ours` are the runs recorded here, which see to their own. A tail of a run that another program
    records just now may be gathered too: no harm is done.
    """

    def __init__(self, ours: Container[str]) -> None:
        self._ours = ours
        self._ends: list[Key] | None = None
        self.is_done = False
        self.due_s = time.monotonic() + BREATH
        """Samples of a run under way that are due go first."""

    def work(self, connection: Connection) -> None:
        """Look what there is, then gather one chunk. Raises DBAPIError."""
        with connection.begin():
            if self._ends is None:
                self._ends = [e for e in loose_ends(connection) if e[0] not in self._ours]
            elif self._ends and not compact(connection, *self._ends[-1]):
                self._ends.pop()
        self.is_done = not self._ends
        self.due_s = time.monotonic() + BREATH

    def failed(self, why: str) -> None:
        """Tails stay as they are, and read as well."""
        log.info("tails of runs were left as they are: %s", why)
        self.is_done = True

    def close(self) -> None:
        """What is not done is left for another time."""
        self.is_done = True


def compact(connection: Connection, run_id: str, channel: str) -> int:
    """Gather one chunk of a channel's tail, within the caller's transaction.

    Returns how many samples of the tail are in it, 0 where there was no tail. Raises DBAPIError.
    """
    run, tail = schema.run.c, schema.run_tail.c
    # Of two programs that gather the same tail on a server, one waits here for the other.
    connection.execute(select(run.id).where(run.id == run_id).with_for_update())
    here = (tail.run_id == run_id, tail.channel == channel)
    numbers, bodies, count = list[int](), list[bytes](), 0
    for number, body in connection.execute(
        select(tail.number, tail.body).where(*here).order_by(tail.number)
    ):
        numbers.append(number)
        bodies.append(body)
        count += len(body) // TAIL.itemsize
        if count >= MOST:
            break
    if not numbers:
        return 0
    chunk = unpack_tail(b"".join(bodies))
    used = usable(chunk, dials_of(connection, run_id))
    connection.execute(insert(schema.run_chunk), _row(run_id, channel, numbers[0], chunk, used))
    connection.execute(delete(schema.run_tail).where(*here, tail.number <= numbers[-1]))
    if len(used):
        _raise_bins(connection, (run_id, channel), bins_of(used.tick, used.value))
    return count


def dials_of(connection: Connection, run_id: str) -> list[Dial]:
    """Return the dials of a run, each at the place of its number."""
    dial = schema.run_dial.c
    bodies = connection.scalars(
        select(dial.body).where(dial.run_id == run_id).order_by(dial.number)
    )
    return [decode(Dial, from_text(body)) for body in bodies]


def usable(chunk: Chunk, dials: Sequence[Dial]) -> Chunk:
    """Return the samples that count, an overload as inf."""
    if not any(d.missing or d.overload for d in dials):
        return chunk
    counts = np.array([not d.missing for d in dials])[chunk.dial]
    overload = np.array([d.overload for d in dials])[chunk.dial]
    value = np.where(overload, np.inf, chunk.value) if overload.any() else chunk.value
    used = Chunk(chunk.tick, value, chunk.dial)
    return used if counts.all() else used.where(counts)


def _row(run_id: str, channel: str, number: int, chunk: Chunk, used: Chunk) -> dict[str, Any]:
    plain = used.value[np.isfinite(used.value)]
    return {
        "run_id": run_id,
        "channel": channel,
        "number": number,
        "count": len(chunk),
        "start_s": float(chunk.t_s[0]),
        "end_s": float(chunk.t_s[-1]),
        "low": float(plain.min()) if len(plain) else None,
        "high": float(plain.max()) if len(plain) else None,
        "body": pack_chunk(chunk),
    }


def _raise_bins(connection: Connection, key: Key, fresh: Bins) -> None:
    """Put bins at the end of level 1, and what follows from them into the levels above.

    The last bin of a level above may be of fewer than FAN and is made anew each time.
    """
    level, begin = 1, _length(connection, key)
    while True:
        row = begin // ROW
        there = _bins_row(connection, key, level, row)
        whole = binned.joined([there.part(slice(0, begin - row * ROW)), fresh])
        for number, start in enumerate(range(0, len(whole), ROW), row):
            _replace(connection, key, (level, number), whole.part(slice(start, start + ROW)))
        if row * ROW + len(whole) < FAN:
            return
        parent = begin // FAN
        children = whole.part(slice(parent * FAN - row * ROW, None))
        fresh = grouped(children, np.arange(0, len(children), FAN))
        level, begin = level + 1, parent


def _length(connection: Connection, key: Key) -> int:
    """How many bins level 1 has."""
    b = schema.run_bins.c
    last = connection.scalar(
        select(func.max(b.number)).where(b.run_id == key[0], b.channel == key[1], b.level == 1)
    )
    return 0 if last is None else int(last) * ROW + len(_bins_row(connection, key, 1, int(last)))


def _bins_row(connection: Connection, key: Key, level: int, number: int) -> Bins:
    b = schema.run_bins.c
    body = connection.scalar(
        select(b.body).where(
            b.run_id == key[0], b.channel == key[1], b.level == level, b.number == number
        )
    )
    return binned.joined([]) if body is None else unpack_bins(body)


def _replace(connection: Connection, key: Key, place: tuple[int, int], bins: Bins) -> None:
    """Write the row at a level and a number in it, whether it was there or not."""
    table, (level, number) = schema.run_bins, place
    row = {"run_id": key[0], "channel": key[1], "level": level, "number": number}
    start_s, end_s = binned.seconds(bins)
    connection.execute(delete(table).where(*(table.c[name] == row[name] for name in row)))
    connection.execute(
        insert(table), row | {"start_s": start_s, "end_s": end_s, "body": pack_bins(bins)}
    )
