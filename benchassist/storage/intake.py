"""Visits from another shop are taken in, each in one transaction, by the writer's thread.

What is on file is never changed by it. A visit that is there already is compared:

- the same, or further on here: nothing is to be done;
- further on there: the entries that are missing here are added;
- worked on in both places: refused by its number, and what is here stays.

Another visit's slip number is no reason to refuse: two shops both count from 0001. The visit that
comes is then numbered 0001-2; a number of that make does not count towards the shop's next one.
A machine of the same id is the same machine: what is said of it here stays, what is blank here is
filled in.
"""

import threading
import time
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from gettext import gettext as _
from itertools import count
from typing import Final

import numpy as np
from sqlalchemy import Connection, insert, select, update

from benchassist.core.visit import VisitHeader
from benchassist.errors import StoreError
from benchassist.storage import run_query, schema
from benchassist.storage.chunk import Chunk, pack_tail
from benchassist.storage.codec import decode, decode_entry, encode, from_text, to_text
from benchassist.storage.compaction import compact
from benchassist.storage.parcel import Parcel
from benchassist.storage.row import machine_row, visit_row
from benchassist.storage.run_record import RunRecord, record_account, record_of

TRIES: Final = 3
PAUSE_S: Final = 0.5
"""Between two tries of a visit, besides what the database itself waits for a lock."""

TAIL_SAMPLES: Final = 4096
MOST_ASKED: Final = 500
"""Ids in one question."""


class ConflictError(StoreError):
    """A visit that cannot be taken in beside what is on file."""


@dataclass(slots=True)
class Taking:
    """What has become of a file's visits so far. `renumbered` holds a line each."""

    imported: int = 0
    unchanged: int = 0
    conflicts: list[str] = field(default_factory=list)
    renumbered: list[str] = field(default_factory=list)
    failure: str = ""
    """Why the rest was not tried; empty where all was."""


class Intake:
    """A chore of the writer's thread, a visit a piece.

    The newest visit goes first, so that of a new machine what was said last is what stays.
    """

    def __init__(self, parcels: Sequence[Parcel]) -> None:
        self._left = sorted(parcels, key=lambda parcel: parcel.header.opened_at)
        self._taking = Taking()
        self._tries = 0
        self._ended = threading.Event()
        self.due_s = 0.0
        if not self._left:
            self._ended.set()

    @property
    def is_done(self) -> bool:
        """Whether every visit was looked at, or the rest given up."""
        return self._ended.is_set()

    def wait(self) -> Taking:
        """Return what has become of the visits, once that is known."""
        self._ended.wait()
        return self._taking

    def work(self, connection: Connection) -> None:
        """Take in one visit. Raises DBAPIError."""
        if not self._left:
            return
        parcel = self._left[-1]
        try:
            with connection.begin():
                header = _take_in(connection, parcel)
        except ConflictError as error:
            self._taking.conflicts.append(str(error))
        else:
            self._tell(parcel, header)
        self._left.pop()
        self._tries = 0
        if not self._left:
            self._ended.set()

    def _tell(self, parcel: Parcel, header: VisitHeader | None) -> None:
        if header is None:
            self._taking.unchanged += 1
            return
        self._taking.imported += 1
        if header.slip_number != parcel.header.slip_number:
            self._taking.renumbered.append(
                _("visit {number} is kept as {other}: its number was taken").format(
                    number=parcel.header.slip_number, other=header.slip_number
                )
            )

    def failed(self, why: str) -> None:
        """The visit is tried again a few times; then it and the rest are left."""
        self._tries += 1
        self.due_s = time.monotonic() + PAUSE_S
        if self._tries >= TRIES:
            self._give_up(why)

    def close(self) -> None:
        """The shop closes: what is not taken in is left."""
        if self._left:
            self._give_up(_("the shop was closed"))

    def _give_up(self, why: str) -> None:
        self._taking.failure = why
        self._left.clear()
        self._ended.set()


def _take_in(connection: Connection, parcel: Parcel) -> VisitHeader | None:
    """Write what is not on file yet; return the header as it is kept, None where all was there."""
    v = schema.visit.c
    found = connection.scalar(select(v.header).where(v.id == parcel.header.id).with_for_update())
    if found is None:
        here, known, is_news = _add_visit(connection, parcel), 0, True
    else:
        here = _same_header(parcel, found)
        known = _known_entries(connection, parcel, here)
        is_news = known < len(parcel.rows)
    if is_news:
        _add_entries(connection, parcel, known)
    for run in parcel.runs:
        is_news |= _add_run(connection, parcel, run)
    return here if is_news else None


def _same_header(parcel: Parcel, text: str) -> VisitHeader:
    """The header on file, which differs in its slip number at most. Raises ConflictError."""
    if text == parcel.visit["header"]:
        return parcel.header
    # What an earlier program wrote may say the same in other words.
    here = decode(VisitHeader, from_text(text))
    if replace(here, slip_number=parcel.header.slip_number) != parcel.header:
        raise _other(here)
    return here


def _known_entries(connection: Connection, parcel: Parcel, here: VisitHeader) -> int:
    """How many entries are on file. Raises ConflictError where they are others."""
    e = schema.entry.c
    bodies = connection.scalars(select(e.body).where(e.visit_id == here.id).order_by(e.seq)).all()
    for body, (row, _taken), entry in zip(bodies, parcel.rows, parcel.entries, strict=False):
        if body != row["body"] and decode_entry(from_text(body)) != entry:
            raise _other(here)
    return len(bodies)


def _other(here: VisitHeader) -> ConflictError:
    return ConflictError(
        _("visit {number} is on file and says something else: the one on file stays").format(
            number=here.slip_number
        )
    )


def _add_visit(connection: Connection, parcel: Parcel) -> VisitHeader:
    _add_machine(connection, parcel)
    header, row, number = parcel.header, parcel.visit, parcel.header.slip_number
    if _number_is_taken(connection, number):
        free = next(n for i in count(2) if not _number_is_taken(connection, n := f"{number}-{i}"))
        header = replace(header, slip_number=free)
        row = visit_row(header)
    connection.execute(insert(schema.visit), row)
    return header


def _number_is_taken(connection: Connection, number: str) -> bool:
    v = schema.visit.c
    return connection.scalar(select(v.id).where(v.slip_number == number)) is not None


def _add_machine(connection: Connection, parcel: Parcel) -> None:
    table, told = schema.machine, parcel.machine
    names = [column.name for column in table.c if column.name != "search"]
    here = connection.execute(select(table).where(table.c.id == told["id"])).mappings().first()
    if here is None:
        connection.execute(insert(table), told)
        return
    blanks = {name: told[name] for name in names if not here[name] and told[name]}
    if blanks:
        machine = replace(parcel.header.machine, **{n: here[n] or told[n] for n in names})
        connection.execute(update(table).where(table.c.id == told["id"]), machine_row(machine))


def _add_entries(connection: Connection, parcel: Parcel, known: int) -> None:
    fresh = parcel.rows[known:]
    ids = [row["id"] for row, _taken in fresh]
    for start in range(0, len(ids), MOST_ASKED):
        some = schema.entry.c.id.in_(ids[start : start + MOST_ASKED])
        if connection.scalar(select(schema.entry.c.id).where(some).limit(1)) is not None:
            raise ConflictError(
                _("visit {number} holds entries that are on file in another visit").format(
                    number=parcel.header.slip_number
                )
            )
    if fresh:
        connection.execute(insert(schema.entry), [row for row, _taken in fresh])
    taken = [taken for _row, taken in fresh if taken is not None]
    if taken:
        connection.execute(insert(schema.taken), taken)


def _add_run(connection: Connection, parcel: Parcel, run: RunRecord) -> bool:
    """Whether the samples of a run are news. Raises ConflictError where others are on file."""
    run_id = run.header.id
    if run_query.find_header(connection, run_id) is None:
        _write_run(connection, run)
        return True
    if record_account(record_of(connection, run_id)) != record_account(run):
        raise ConflictError(
            _("visit {number} has other samples of a run on file: those on file stay").format(
                number=parcel.header.slip_number
            )
        )
    return False


def _write_run(connection: Connection, run: RunRecord) -> None:
    """A run as its recorder would have left it: its tail gathered, its bins raised."""
    run_id, header = run.header.id, run.header
    connection.execute(
        insert(schema.run),
        {
            "id": run_id,
            "visit_id": header.visit_id,
            "kind": header.kind,
            "header": to_text(encode(header)),
        },
    )
    first = 0
    for told in run.channels:
        for number, dial in enumerate(told.dials, first):
            body = to_text(encode(dial))
            connection.execute(
                insert(schema.run_dial),
                {"run_id": run_id, "number": number, "channel": told.channel, "body": body},
            )
        chunk = told.chunk
        numbers = (chunk.dial.astype(np.int64) + first).astype(np.uint16)
        whole = Chunk(chunk.tick, chunk.value, numbers)
        for number, start in enumerate(range(0, len(whole), TAIL_SAMPLES), 1):
            rows = pack_tail(whole.where(slice(start, start + TAIL_SAMPLES)))
            connection.execute(
                insert(schema.run_tail),
                {"run_id": run_id, "channel": told.channel, "number": number, "body": rows},
            )
        while compact(connection, run_id, told.channel):
            pass
        first += len(told.dials)
    for number, gap in enumerate(run.gaps, 1):
        connection.execute(
            insert(schema.run_gap), encode(gap) | {"run_id": run_id, "number": number}
        )
