"""A run under way: readings come in at the meters' readers and go to disk at the writer's thread.

    put > memory > (every PERIOD, one transaction) > run_tail > (thousands at once) > run_chunk

A portion that was begun to be written stays as it is until it is on disk, under the same row
numbers: a commit whose answer was lost is repeated, and still kept once.
"""

import logging
import threading
import time
from collections.abc import Mapping
from dataclasses import dataclass, field
from gettext import gettext as _
from typing import Final

import numpy as np
from sqlalchemy import Connection, select

from benchassist.core.reading import Reading
from benchassist.core.run import RunGap, RunHeader
from benchassist.errors import StoreError
from benchassist.storage import schema
from benchassist.storage.addition import add_rows
from benchassist.storage.chunk import TICKS_PER_SECOND, Chunk, pack_tail
from benchassist.storage.compaction import compact
from benchassist.storage.dial import Dial
from benchassist.storage.inlet import Inlet, Portion
from benchassist.storage.row import Row, dial_row, run_row
from benchassist.storage.track import Track
from benchassist.storage.writer import Writer

PERIOD: Final = 0.15
"""Seconds between two commits; with the commit itself a kill loses less than a quarter second."""

FIRST_PAUSE: Final = 0.05
LONGEST_PAUSE: Final = 0.8
GATHER_PAUSE: Final = 30.0
"""Seconds between two tries of a write, of gathering a tail."""

log = logging.getLogger(__name__)


@dataclass(slots=True)
class Batch:
    """What one transaction writes. It never changes, however often it is tried."""

    portion: Portion
    tail: list[Row] = field(default_factory=list)
    dials: list[Row] = field(default_factory=list)
    gaps: dict[int, Row] = field(default_factory=dict)
    added: list[tuple[Track, int]] = field(default_factory=list)


class Recorder:
    """The `Recording` of a run, and the work that its writer's thread does for it."""

    def __init__(self, header: RunHeader, origins: Mapping[str, float], writer: Writer) -> None:
        self.run_id = header.id
        self._run = run_row(header)
        self._inlet = Inlet(origins)
        self._writer = writer
        self._stored = threading.Condition()
        self._upto = 0
        self._why = ""
        self._is_begun = self._is_refused = self._is_urgent = self._is_away = False
        self._due_s = time.monotonic()
        self._pause_s = FIRST_PAUSE
        self._gathers, self._gather_from_s = False, 0.0
        self._tracks: dict[str, Track] = {}
        self._dials: list[Dial] = []
        self._open_gaps: dict[str, int] = {}
        self._gaps = 0
        self._batch: Batch | None = None

    # --- as a Recording -------------------------------------------------------------------------

    def put(self, reading: Reading) -> None:
        """Keep a reading, whatever its channel; from any thread, never blocking."""
        self._inlet.put(reading)

    def gap(self, gap: RunGap) -> None:
        """Keep that samples are missing; from any thread, never blocking."""
        self._inlet.gap(gap)

    @property
    def trouble(self) -> str:
        """Why samples are not on disk yet, in one line; empty while all is well."""
        if self._why and self._inlet.spills:
            return _("{why}; memory is full, so the run now loses samples").format(why=self._why)
        return self._why

    def flushed(self, timeout: float) -> bool:
        """Wait until all put so far is on disk; False where it is not within `timeout` seconds."""
        came = self._inlet.came
        self._hurry()
        with self._stored:
            return self._stored.wait_for(lambda: self._upto >= came and self._is_begun, timeout)

    def close(self) -> None:
        """No more comes; what was put is still written."""
        self._inlet.end()
        self._hurry()

    def moved(self, *, away: bool) -> None:
        """It goes on in another database, where the run and its dials are put down first.

        In the journal nothing is gathered: rows are brought to the server under their numbers.
        """
        self._is_away, self._is_begun = away, False
        self._due_s = time.monotonic()

    def _hurry(self) -> None:
        self._is_urgent = True
        self._writer.wake()

    # --- in the writer's thread -----------------------------------------------------------------

    @property
    def is_done(self) -> bool:
        """Whether it has ended and everything is in its place, or can never be."""
        everything = self._batch is None and self._upto >= self._inlet.came and self._is_begun
        return self._inlet.ended and (self._is_refused or (everything and not self._ripe()))

    @property
    def due_s(self) -> float:
        """The moment of time.monotonic from which on it has something to do."""
        hurries = self._is_urgent or self._inlet.is_behind or self._ripe() is not None
        return 0.0 if hurries and not self._why else self._due_s

    def work(self, connection: Connection) -> None:
        """Do one piece: a transaction of a few thousand samples. Raises DBAPIError, StoreError."""
        track = self._ripe()
        self._gathers = track is not None and (track.is_long or not self._has_more())
        if track is not None and self._gathers:
            with connection.begin():
                gathered = compact(connection, self.run_id, track.channel)
            track.was_gathered(gathered)
            return
        self._is_urgent = False
        self._due_s = time.monotonic() + PERIOD
        if self._batch is None and (portion := self._inlet.take()):
            self._batch = self._prepared(portion)
        if self._batch is not None or not self._is_begun:
            self._write(connection, self._batch)
        self._why, self._pause_s = "", FIRST_PAUSE

    def failed(self, why: str) -> None:
        """The last piece could not be done; it is tried again after a while."""
        now_s = time.monotonic()
        if self._gathers:
            # Nothing is lost by it, and it must not keep samples from being written.
            log.warning("the tail of a run could not be gathered: %s", why)
            self._gather_from_s = now_s + GATHER_PAUSE
            return
        self._why = why
        self._due_s = now_s + self._pause_s
        self._pause_s = min(2.0 * self._pause_s, LONGEST_PAUSE)

    def _has_more(self) -> bool:
        """Whether samples wait, and it is time for them."""
        waits = self._batch is not None or self._upto < self._inlet.came
        hurries = self._is_urgent or self._inlet.is_behind
        return waits and (hurries or self._due_s <= time.monotonic())

    def _ripe(self) -> Track | None:
        """A channel whose tail is to be gathered now."""
        if self._is_away or time.monotonic() < self._gather_from_s:
            return None
        ended = self._inlet.ended
        return next((t for t in self._tracks.values() if t.is_ripe(ended=ended)), None)

    def _prepared(self, portion: Portion) -> Batch:
        """The rows of a portion."""
        batch = Batch(portion)
        for number, dial in enumerate(portion.dials, len(self._dials)):
            batch.dials.append(dial_row(self.run_id, number, dial))
        self._dials += portion.dials
        for gap in portion.gaps:
            self._add_gap(batch, gap)
        block = portion.block
        if not len(block):
            return batch
        numbers = np.frombuffer(block.dial, np.uint16)
        tick = np.rint(np.frombuffer(block.t_s) * TICKS_PER_SECOND).astype(np.int64)
        whole = Chunk(tick, np.frombuffer(block.value), numbers)
        channels = np.array([d.channel for d in self._dials])[numbers]
        for channel in dict.fromkeys(d.channel for d in self._dials):
            here = channels == channel
            if here.any():
                self._add_samples(batch, channel, whole if here.all() else whole.where(here))
        return batch

    def _add_samples(self, batch: Batch, channel: str, chunk: Chunk) -> None:
        track = self._tracks.get(channel) or self._tracks.setdefault(channel, Track(channel))
        batch.tail.append(self._row(channel=channel, number=track.number(), body=pack_tail(chunk)))
        batch.added.append((track, len(chunk)))
        grows, gaps = track.missing(chunk, self._dials)
        for gap in gaps:
            number = self._open_gaps.get(channel) if grows else None
            self._open_gaps[channel] = self._add_gap(batch, gap, number)
            grows = False

    def _add_gap(self, batch: Batch, gap: RunGap, number: int | None = None) -> int:
        if number is None:
            number = self._gaps = self._gaps + 1
        batch.gaps[number] = self._row(
            number=number,
            channel=gap.channel,
            start_s=gap.start_s,
            end_s=gap.end_s,
            reason=gap.reason,
        )
        return number

    def _row(self, **values: object) -> Row:
        return {"run_id": self.run_id, **values}

    def _write(self, connection: Connection, batch: Batch | None) -> None:
        """Commit a batch, the first time together with the run."""
        with connection.begin():
            if not self._is_begun:
                self._begin(connection)
            if batch is not None:
                add_rows(connection, schema.run_dial, batch.dials)
                add_rows(connection, schema.run_tail, batch.tail)
                add_rows(connection, schema.run_gap, list(batch.gaps.values()), change="end_s")
        if batch is not None:
            self._inlet.free(batch.portion)
        self._batch, self._is_begun = None, True
        if batch is not None:
            for track, count in batch.added:
                track.rows += 1
                track.samples += count
        with self._stored:
            self._upto = self._upto if batch is None else batch.portion.upto
            self._stored.notify_all()

    def _begin(self, connection: Connection) -> None:
        add_rows(connection, schema.run, [self._run])
        dials = [dial_row(self.run_id, number, dial) for number, dial in enumerate(self._dials)]
        add_rows(connection, schema.run_dial, dials)
        run = schema.run.c
        if (
            connection.scalar(select(run.header).where(run.id == self.run_id))
            != self._run["header"]
        ):
            self._is_refused = True
            raise StoreError(_("the run is kept already, from another window: begin a new one"))
