"""All that is kept of a run's samples, as an export holds it: as columns, and without loss.

A channel's samples are told by `steps` (the first one's ticks, then the differences), `values` in
the base unit (null: an overload) and `spans`: so many samples in a row under a place in `settings`.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from gettext import gettext as _
from typing import Any, Final

import numpy as np
from sqlalchemy import Connection

from benchassist.core.reading import Reading
from benchassist.core.run import RunGap, RunHeader
from benchassist.errors import ShopFileError
from benchassist.storage import run_query
from benchassist.storage.account import unit_of
from benchassist.storage.chunk import TICKS_PER_SECOND, Chunk
from benchassist.storage.codec import Plain, decode, encode
from benchassist.storage.compaction import dials_of
from benchassist.storage.dial import Dial

LATEST_TICK: Final = 2.0**53
MOST_DIALS: Final = 65536


@dataclass(frozen=True, slots=True, eq=False)
class ChannelRecord:
    """The samples of a channel, those that do not count as well; `dials` are its own."""

    channel: str
    dials: tuple[Dial, ...]
    chunk: Chunk

    def readings(self) -> Iterator[Reading]:
        """The readings again, their times in seconds of the run."""
        columns = zip(self.chunk.t_s, self.chunk.value, self.chunk.dial, strict=True)
        for t_s, value, dial in columns:
            yield self.dials[dial].reading(float(t_s), float(value))


@dataclass(frozen=True, slots=True, eq=False)
class RunRecord:
    """A run's samples and gaps."""

    header: RunHeader
    channels: tuple[ChannelRecord, ...]
    gaps: tuple[RunGap, ...]


def record_of(connection: Connection, run_id: str) -> RunRecord:
    """Return everything kept of a run. Raises NotFoundError."""
    header, dials = run_query.header(connection, run_id), dials_of(connection, run_id)
    channels = tuple(
        _channel(channel, dials, run_query.everything(connection, (run_id, channel), dials))
        for channel in run_query.channels(connection, run_id)
    )
    return RunRecord(header, channels, run_query.gaps(connection, run_id))


def _channel(channel: str, dials: list[Dial], chunk: Chunk) -> ChannelRecord:
    """Number the dials of a channel from 0, in the order of the run's."""
    own = [number for number, dial in enumerate(dials) if dial.channel == channel]
    numbers = np.searchsorted(own, chunk.dial).astype(np.uint16)
    return ChannelRecord(
        channel, tuple(dials[n] for n in own), Chunk(chunk.tick, chunk.value, numbers)
    )


def record_account(record: RunRecord) -> Plain:
    """Return the samples of a run for the export."""
    return {
        "run": encode(record.header),
        "ticks_per_second": TICKS_PER_SECOND,
        "channels": [_channel_account(channel) for channel in record.channels],
        "gaps": [encode(gap) for gap in record.gaps],
    }


def _channel_account(channel: ChannelRecord) -> Plain:
    chunk = channel.chunk
    starts = np.flatnonzero(np.diff(chunk.dial.astype(np.int64), prepend=-1))
    lengths = np.diff(starts, append=len(chunk))
    return {
        "channel": channel.channel,
        "settings": [_setting(dial) for dial in channel.dials],
        "spans": np.column_stack((chunk.dial[starts], lengths)).tolist(),
        "steps": np.diff(chunk.tick, prepend=0).tolist(),
        "values": [None if value != value else value for value in chunk.value.tolist()],  # noqa: PLR0124 - nan
    }


def _setting(dial: Dial) -> Plain:
    told = encode(dial)
    del told["channel"]
    return told | {"unit": unit_of(dial.quantity)}


def read_record(document: object) -> RunRecord:
    """Return the run `record_account` told. Raises ShopFileError where it cannot be read."""
    try:
        told = _object(document)
        if told["ticks_per_second"] != TICKS_PER_SECOND:
            raise ValueError("ticks_per_second")  # noqa: TRY301 - told in the one line below
        record = RunRecord(
            decode(RunHeader, told["run"]),
            tuple(_read_channel(_object(channel)) for channel in _list(told["channels"])),
            tuple(decode(RunGap, gap) for gap in _list(told["gaps"])),
        )
        _refuse_unsound(record)
        return record
    except (KeyError, TypeError, ValueError, OverflowError) as error:
        raise ShopFileError(
            _("the samples of a run cannot be read ({said}): export the visit again").format(
                said=error
            )
        ) from None


def _refuse_unsound(record: RunRecord) -> None:
    names = {channel.channel for channel in record.channels}
    if len(names) != len(record.channels) or not all(c.dials for c in record.channels):
        raise ValueError("a channel that stands twice, or has no settings")
    if sum(len(channel.dials) for channel in record.channels) > MOST_DIALS:
        raise ValueError("too many settings")


def _read_channel(told: Mapping[str, object]) -> ChannelRecord:
    channel = str(told["channel"])
    dials = tuple(
        decode(Dial, {k: v for k, v in _object(s).items() if k != "unit"} | {"channel": channel})
        for s in _list(told["settings"])
    )
    values = [np.nan if v is None else v for v in _list(told["values"])]
    value = _numbers(values, "fi").astype(np.float64)
    steps = _numbers(_list(told["steps"]), "i")
    if (steps[1:] < 0).any() or np.abs(steps).sum(dtype=np.float64) > LATEST_TICK:
        raise ValueError("steps that go back in time")
    tick = np.cumsum(steps)
    spans = np.array(_list(told["spans"]) or np.empty((0, 2), np.int64))
    if spans.ndim != 2 or spans.shape[1] != 2 or spans.dtype.kind != "i":
        raise ValueError("a span that is no pair of whole numbers")
    places, lengths = spans[:, 0], spans[:, 1]
    # Looked at before anything of that length is made.
    if (lengths < 0).any() or lengths.sum(dtype=np.float64) != len(tick):
        raise ValueError(f"{len(tick)} steps, other lengths in spans")
    number = np.repeat(places, lengths)
    if len(value) != len(tick):
        raise ValueError(f"{len(tick)} steps, {len(value)} values")
    if len(number) and not 0 <= number.min() <= number.max() < len(dials):
        raise ValueError("a span of a setting that is not there")
    if not np.array_equal(np.isnan(value), np.array([d.overload for d in dials], bool)[number]):
        raise ValueError("an overload with a value, or a value missing")
    return ChannelRecord(channel, dials, Chunk(tick, value, number.astype(np.uint16)))


def _numbers(told: list[object], kinds: str) -> np.ndarray[tuple[int], np.dtype[Any]]:
    """A column of numbers and of nothing else: neither text nor a list within the list."""
    column = np.array(told or np.empty(0, np.int64))
    if column.ndim != 1 or column.dtype.kind not in kinds:
        raise ValueError("a column that is not of numbers")
    return column


def _object(document: object) -> Mapping[str, object]:
    if not isinstance(document, dict):
        raise TypeError("an object was expected")
    return document


def _list(document: object) -> list[object]:
    if not isinstance(document, list):
        raise TypeError("a list was expected")
    return document
