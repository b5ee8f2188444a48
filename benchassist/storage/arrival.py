"""One visit from elsewhere is written beside what is on file, which it never changes."""

from dataclasses import replace
from gettext import gettext as _
from itertools import count
from typing import Final

import numpy as np
from sqlalchemy import Connection, insert, select, update

from benchassist.core.entry import Closed, Reopened
from benchassist.core.personal import is_same_entry, is_same_header, names_nobody
from benchassist.core.visit import VisitHeader
from benchassist.errors import StoreError
from benchassist.storage import query, run_query, schema, search
from benchassist.storage.chunk import Chunk, pack_tail
from benchassist.storage.codec import decode_entry, encode, from_text
from benchassist.storage.compaction import compact
from benchassist.storage.frozen import HEADER_COLUMNS, HeaderRow, Thaw, freeze, keep
from benchassist.storage.ledger import note_door
from benchassist.storage.parcel import Parcel
from benchassist.storage.photo_query import KeepCopy, add_photos
from benchassist.storage.row import beside_row, dial_row, machine_row, run_row, visit_rows
from benchassist.storage.run_record import RunRecord, record_account, record_of
from benchassist.storage.unnamed import unnamed

TAIL_SAMPLES: Final = 4096
MOST_ASKED: Final = 500
"""Ids in one question."""


class ConflictError(StoreError):
    """A visit that cannot be taken in beside what is on file."""


def take_in(
    connection: Connection, parcel: Parcel, keep_copy: KeepCopy | None = None
) -> VisitHeader | None:
    """Write what is not on file yet; return the header as it is kept, None where all was there.

    A photo's file is no news: it is kept in passing.
    """
    v = schema.visit.c
    parcel, erased = unnamed(connection, parcel)
    asked = select(*HEADER_COLUMNS).where(v.id == parcel.header.id)
    found = connection.execute(asked.with_for_update()).first()
    if found is None:
        here, known, is_news = _add_visit(connection, parcel), 0, True
    else:
        here = _header_on_file(connection, parcel, found)
        erased |= names_nobody(parcel.header) and not names_nobody(here)
        if not is_same_header(
            replace(here, slip_number=parcel.header.slip_number), parcel.header, erased=erased
        ):
            raise _other(here)
        known = _known_entries(connection, parcel, here, erased=erased)
        is_news = known < len(parcel.rows)
    if is_news:
        _add_entries(connection, parcel, known)
    for run in parcel.runs:
        is_news |= _add_run(connection, parcel, run)
    if not erased:
        add_photos(connection, parcel.photos, keep_copy, visit_is_new=found is None)
    return here if is_news else None


def _header_on_file(connection: Connection, parcel: Parcel, found: HeaderRow) -> VisitHeader:
    """What an earlier program wrote may say the same in other words."""
    columns, _texts = freeze(parcel.header)
    if all(getattr(found, name) == told for name, told in columns.items()):
        return parcel.header
    return Thaw().header(connection, found)


def _known_entries(
    connection: Connection, parcel: Parcel, here: VisitHeader, *, erased: bool
) -> int:
    """How many entries are on file. Raises ConflictError where they are others."""
    e = schema.entry.c
    bodies = connection.scalars(select(e.body).where(e.visit_id == here.id).order_by(e.seq)).all()
    for body, row, entry in zip(bodies, parcel.rows, parcel.entries, strict=False):
        if body != row["body"] and not is_same_entry(
            decode_entry(from_text(body)), entry, erased=erased
        ):
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
    header, number = parcel.header, parcel.header.slip_number
    if _number_is_taken(connection, number):
        free = next(n for i in count(2) if not _number_is_taken(connection, n := f"{number}-{i}"))
        header = replace(header, slip_number=free)
    row, texts = visit_rows(header)
    keep(connection, texts)
    connection.execute(insert(schema.visit), row)
    search.index_visit(connection, row["machine_id"], row["complaint"], row["words"])
    return header


def _number_is_taken(connection: Connection, number: str) -> bool:
    v = schema.visit.c
    return connection.scalar(select(v.id).where(v.slip_number == number)) is not None


def _add_machine(connection: Connection, parcel: Parcel) -> None:
    table, told = schema.machine, parcel.machine
    names = [column.name for column in query.MACHINE]
    here = connection.execute(select(table).where(table.c.id == told["id"])).mappings().first()
    if here is None:
        connection.execute(insert(table), told)
        search.index_machine(connection, parcel.header.machine)
        return
    blanks = {name: told[name] for name in names if not here[name] and told[name]}
    if blanks:
        machine = replace(parcel.header.machine, **{n: here[n] or told[n] for n in names})
        connection.execute(update(table).where(table.c.id == told["id"]), machine_row(machine))
        search.index_machine(connection, machine)


def _add_entries(connection: Connection, parcel: Parcel, known: int) -> None:
    fresh = parcel.rows[known:]
    ids = [row["id"] for row in fresh]
    for start in range(0, len(ids), MOST_ASKED):
        some = schema.entry.c.id.in_(ids[start : start + MOST_ASKED])
        if connection.scalar(select(schema.entry.c.id).where(some).limit(1)) is not None:
            raise ConflictError(
                _("visit {number} holds entries that are on file in another visit").format(
                    number=parcel.header.slip_number
                )
            )
    if fresh:
        connection.execute(insert(schema.entry), list(fresh))
    for entry in parcel.entries[known:]:
        if (beside := beside_row(entry)) is not None:
            table, row = beside
            connection.execute(insert(table), row)
        elif isinstance(entry, Closed | Reopened):
            note_door(connection, entry)


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
    run_id = run.header.id
    connection.execute(insert(schema.run), run_row(run.header))
    first = 0
    for told in run.channels:
        for number, dial in enumerate(told.dials, first):
            connection.execute(insert(schema.run_dial), dial_row(run_id, number, dial))
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
