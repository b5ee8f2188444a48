"""What is asked of the runs on file: headers, samples, gaps.

A sample stands in the tail or in a chunk, never in both: the caller's transaction sees one or the
other. What a function below is given as `key` is a run and a channel of it.
"""

from collections.abc import Iterator, Sequence
from gettext import gettext as _

import numpy as np
from sqlalchemy import Connection, func, select

from benchassist.core.run import RunGap, RunHeader
from benchassist.core.samples import Samples
from benchassist.errors import NotFoundError, ShopFileError
from benchassist.storage import schema
from benchassist.storage.chunk import TICKS_PER_SECOND, Chunk, unpack_chunk, unpack_tail
from benchassist.storage.codec import decode, from_text
from benchassist.storage.compaction import Key, dials_of, usable
from benchassist.storage.dial import Dial


def find_header(connection: Connection, run_id: str) -> RunHeader | None:
    """The header of a run, None where there is no such run."""
    run = schema.run.c
    text = connection.scalar(select(run.header).where(run.id == run_id))
    return None if text is None else decode(RunHeader, from_text(text))


def header(connection: Connection, run_id: str) -> RunHeader:
    """The header of a run. Raises NotFoundError."""
    found = find_header(connection, run_id)
    if found is None:
        raise NotFoundError(
            _("there is no run '{run}' on file: open it from its visit").format(run=run_id)
        )
    return found


def channels(connection: Connection, run_id: str) -> tuple[str, ...]:
    """The channels of a run, in the order in which they came. Raises NotFoundError."""
    header(connection, run_id)
    dial = schema.run_dial.c
    asked = (
        select(dial.channel)
        .where(dial.run_id == run_id)
        .group_by(dial.channel)
        .order_by(func.min(dial.number))
    )
    return tuple(connection.scalars(asked))


def samples(connection: Connection, key: Key, *, start_s: float, end_s: float) -> Samples:
    """The samples of a channel that count, between two moments. Raises NotFoundError."""
    header(connection, key[0])
    dials = dials_of(connection, key[0])
    counts = np.array([np.nan if d.resolution is None else d.resolution for d in dials])
    parts = list(chunks(connection, key, dials, start_s=start_s, end_s=end_s))
    parts.append(tail(connection, key).part(start_s, end_s))
    # Each part goes straight to its place: a million samples are moved once.
    length = sum(map(len, parts))
    t_s, value, resolution = np.empty(length), np.empty(length), np.empty(length)
    resolution.fill(counts[0] if len(counts) else np.nan)
    one_count, at = len(set(counts)) == 1, 0
    for part in parts:
        used = usable(part, dials)
        here = slice(at, at + len(used))
        np.multiply(used.tick, 1.0 / TICKS_PER_SECOND, out=t_s[here])
        value[here] = used.value
        if not one_count:
            np.take(counts, used.dial, out=resolution[here], mode="clip")
        at = here.stop
    return Samples(t_s[:at], value[:at], resolution[:at])


def chunks(
    connection: Connection, key: Key, dials: Sequence[Dial], *, start_s: float, end_s: float
) -> Iterator[Chunk]:
    """The gathered samples of a channel between two moments, those that do not count as well.

    Raises ShopFileError where they cannot be read.
    """
    c = schema.run_chunk.c
    here = (c.run_id == key[0], c.channel == key[1])
    # The chunk that the first moment falls into begins before it, and is the last one that does.
    since = select(func.max(c.start_s)).where(*here, c.start_s < start_s).scalar_subquery()
    asked = (
        select(c.body, c.start_s, c.end_s)
        .where(*here, c.start_s <= end_s, c.start_s >= func.coalesce(since, start_s))
        .order_by(c.start_s, c.number)
    )
    overloads = np.array([d.overload for d in dials], bool)
    for row in connection.execute(asked):
        try:
            chunk = unpack_chunk(row.body, overloads)
        except ValueError as error:
            raise damaged(key[0], error) from None
        inside = start_s <= row.start_s and row.end_s <= end_s
        yield chunk if inside else chunk.part(start_s, end_s)


def everything(connection: Connection, key: Key, dials: Sequence[Dial]) -> Chunk:
    """All samples of a channel, those that do not count as well."""
    parts = list(chunks(connection, key, dials, start_s=-np.inf, end_s=np.inf))
    parts.append(tail(connection, key))
    return Chunk(
        np.concatenate([part.tick for part in parts]),
        np.concatenate([part.value for part in parts]),
        np.concatenate([part.dial for part in parts]),
    )


def tail(connection: Connection, key: Key) -> Chunk:
    """The samples that no chunk has yet. Raises ShopFileError."""
    t = schema.run_tail.c
    asked = select(t.body).where(t.run_id == key[0], t.channel == key[1]).order_by(t.number)
    try:
        return unpack_tail(b"".join(connection.scalars(asked)))
    except ValueError as error:
        raise damaged(key[0], error) from None


def gaps(connection: Connection, run_id: str) -> tuple[RunGap, ...]:
    """What is missing of a run, in order of time. Raises NotFoundError."""
    header(connection, run_id)
    g = schema.run_gap.c
    asked = (
        select(g.channel, g.start_s, g.end_s, g.reason)
        .where(g.run_id == run_id)
        .order_by(g.start_s, g.end_s, g.number)
    )
    return tuple(RunGap(**row) for row in connection.execute(asked).mappings())


def extent(connection: Connection, run_id: str) -> tuple[float, float]:
    """Seconds of the first and the last sample of any channel. Raises NotFoundError."""
    found = [
        moment
        for channel in channels(connection, run_id)
        for moment in channel_extent(connection, (run_id, channel))
    ]
    if not found:
        raise NotFoundError(_("the run '{run}' has no samples on file").format(run=run_id))
    return min(found), max(found)


def channel_extent(connection: Connection, key: Key) -> tuple[float, ...]:
    """Seconds of first and last samples, none where there are none."""
    c = schema.run_chunk.c
    asked = select(c.start_s, c.end_s).where(c.run_id == key[0], c.channel == key[1])
    found = list[float]()
    for end in (c.number.asc(), c.number.desc()):
        found += connection.execute(asked.order_by(end).limit(1)).first() or ()
    t_s = tail(connection, key).t_s
    return tuple(found) if not len(t_s) else (*found, float(t_s[0]), float(t_s[-1]))


def damaged(run_id: str, error: ValueError) -> ShopFileError:
    """What bytes that cannot be read mean to the technician, in one line."""
    return ShopFileError(
        _("samples of the run '{run}' are damaged ({said}): restore the shop from a backup").format(
            run=run_id, said=error
        )
    )
