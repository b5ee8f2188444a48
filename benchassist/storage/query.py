"""What is asked of a shop's tables."""

from collections.abc import Collection, Sequence
from dataclasses import fields
from datetime import datetime
from gettext import gettext as _
from itertools import islice
from typing import Any, Final

from sqlalchemy import (
    ColumnElement,
    Connection,
    CursorResult,
    Select,
    Subquery,
    and_,
    case,
    distinct,
    func,
    or_,
    select,
)
from sqlalchemy.exc import DBAPIError

from benchassist.core.entry import Entry, Machine
from benchassist.core.record import History, VisitBrief, VisitSummary
from benchassist.core.visit import VisitHeader
from benchassist.errors import BenchError, NotFoundError
from benchassist.storage import schema
from benchassist.storage.codec import decode_entry, from_text
from benchassist.storage.frozen import HEADER_COLUMNS, Thaw
from benchassist.storage.search_words import Field, number_word

ANSWERS: Final = ("taken", "looked", "run_ended")
GOES_TO: Final = ("taken", "looked", "struck", "moved_to", "run_started", "run_ended")
NOT_APART: Final = '"apart_of":""'
"""In a header, where nothing that was typed can stand without a sign before its quotes."""
MACHINE: Final = tuple(schema.machine.c[field.name] for field in fields(Machine))
NAMES: Final = tuple(column.name for column in MACHINE)


def machine_of(row: Sequence[Any]) -> Machine:
    """The machine whose columns, `MACHINE`, a row begins with."""
    return Machine(**dict(zip(NAMES, row, strict=False)))


def values_of(found: CursorResult[Any]) -> list[Any]:
    """The values of a single column as the driver has them: a row around each costs more than it.

    Raises DBAPIError, as the rows would.
    """
    cursor: Any = found.cursor
    try:
        return [value for (value,) in cursor.fetchall()]
    except found.dialect.loaded_dbapi.Error as error:
        raise DBAPIError(None, None, error) from None
    finally:
        found.close()


def visit(
    connection: Connection, visit_id: str, thaw: Thaw
) -> tuple[VisitHeader, tuple[Entry, ...]]:
    """A visit by id, or by slip number ('412' finds 0412). Raises NotFoundError."""
    v, e = schema.visit.c, schema.entry.c
    number = visit_id.zfill(4) if visit_id.isdecimal() else visit_id
    found = connection.execute(
        select(v.id, *HEADER_COLUMNS)
        .where(or_(v.id == visit_id, v.slip_number.in_((visit_id, number))))
        .order_by(case((v.id == visit_id, 0), (v.slip_number == visit_id, 1), else_=2))
        .limit(1)
    ).first()
    if found is None:
        raise NotFoundError(
            _("there is no visit '{visit}': give a slip number such as 0001").format(visit=visit_id)
        )
    told = select(e.body).where(e.visit_id == found.id).order_by(e.seq)
    bodies = values_of(connection.execute(told))
    header = thaw.header(connection, found)
    return header, tuple(decode_entry(from_text(body)) for body in bodies)


def history(
    connection: Connection, machine_id: str, thaw: Thaw, *, but: Collection[str] = ()
) -> History:
    """The visits of a machine with all their entries, oldest first, without those in `but`."""
    v, e = schema.visit.c, schema.entry.c
    count = select(func.count()).where(e.visit_id == v.id).scalar_subquery()
    asked = select(v.id, v.slip_number, *HEADER_COLUMNS, count.label("entries"))
    told = select(e.body).join(schema.visit, v.id == e.visit_id)
    wanted = [v.machine_id == machine_id, *([v.id.not_in(but)] if but else [])]
    rows = connection.execute(asked.where(*wanted).order_by(v.opened_at, v.id)).fetchall()
    told = told.where(*wanted).order_by(v.opened_at, v.id, e.seq)
    bodies = iter(values_of(connection.execute(told)))
    visits, unread = list[tuple[VisitHeader, tuple[Entry, ...]]](), list[str]()
    for row in rows:
        own = list(islice(bodies, row.entries))
        try:
            header = thaw.header(connection, row)
            entries = tuple(decode_entry(from_text(body)) for body in own)
        except BenchError:
            unread.append(row.slip_number)
        else:
            visits.append((header, entries))
    return History(tuple(visits), tuple(unread))


def slips_of(connection: Connection, machine_id: str) -> tuple[tuple[str, str], ...]:
    """Id and slip number of a machine's visits, oldest first."""
    v = schema.visit.c
    asked = select(v.id, v.slip_number).where(v.machine_id == machine_id)
    return tuple(
        (row.id, row.slip_number) for row in connection.execute(asked.order_by(v.opened_at, v.id))
    )


def visits(connection: Connection, *, open_only: bool, machine_id: str) -> tuple[VisitSummary, ...]:
    """Visits, newest first. Counts as the fold of the entries would, without reading them."""
    v, m, e = schema.visit.c, schema.machine.c, schema.entry.c
    wanted = _wanted(open_only=open_only, machine_id=machine_id)
    told = _done(wanted)
    at_check = (
        select(e.check_key)
        .where(e.visit_id == v.id, e.kind.in_(GOES_TO))
        .order_by(e.seq.desc())
        .limit(1)
        .scalar_subquery()
    )
    asked = (
        select(
            *(column.label(f"machine_{column.name}") for column in MACHINE),
            v.id,
            v.slip_number,
            v.complaint,
            v.words,
            v.opened_at,
            v.steps,
            func.coalesce(told.c.done, 0).label("done"),
            func.coalesce(at_check, v.first_check).label("current_check"),
            v.closed_at,
            # Such a visit has a number beside another's, and so no serial: few headers are read.
            and_(v.slip_serial.is_(None), ~v.header.contains(NOT_APART)).label("apart"),
        )
        .join(schema.machine, m.id == v.machine_id)
        .outerjoin(told, told.c.visit_id == v.id)
        .where(*wanted)
        .order_by(v.opened_at.desc(), v.slip_number.desc())
    )
    return tuple(
        VisitSummary(
            id=row.id,
            slip_number=row.slip_number,
            machine=machine_of(row),
            complaint=row.complaint,
            words=row.words,
            opened_at=row.opened_at,
            closed_at=row.closed_at,
            done=row.done,
            steps=row.steps,
            current_check=row.current_check,
            apart=bool(row.apart),
        )
        for row in connection.execute(asked)
    )


def _wanted(*, open_only: bool, machine_id: str) -> list[ColumnElement[bool]]:
    """What a visit is asked for."""
    v = schema.visit.c
    return [
        *([v.closed_at.is_(None)] if open_only else ()),
        *([v.machine_id == machine_id] if machine_id else ()),
    ]


def _done(wanted: Sequence[ColumnElement[bool]]) -> Subquery:
    """How many checks of each visit are answered or skipped: one pass over all their entries."""
    e, strikes = schema.entry.c, schema.entry.c.strikes
    struck = select(strikes).where(strikes.is_not(None)).subquery()
    asked = (
        select(e.visit_id, func.count(distinct(e.check_key)).label("done"))
        .outerjoin(struck, struck.c.strikes == e.id)
        .where(
            e.kind.in_(("skipped", *ANSWERS)),
            or_(e.kind == "skipped", struck.c.strikes.is_(None)),
        )
        .group_by(e.visit_id)
    )
    if wanted:
        asked = asked.where(e.visit_id.in_(select(schema.visit.c.id).where(*wanted)))
    return asked.subquery()


def visit_ids(connection: Connection, *, machine_id: str = "") -> tuple[str, ...]:
    """The ids of all visits, or of a machine's, oldest first."""
    v = schema.visit.c
    asked = select(v.id).order_by(v.opened_at, v.id)
    if machine_id:
        asked = asked.where(v.machine_id == machine_id)
    return tuple(connection.scalars(asked))


def visits_in_all(connection: Connection) -> tuple[int, datetime | None]:
    """How many visits there are, and when the newest was opened."""
    v = schema.visit.c
    count, newest = connection.execute(select(func.count(), func.max(v.opened_at))).one()
    return int(count), newest


def machines(connection: Connection) -> tuple[Machine, ...]:
    """Every machine, the last one seen first."""
    return _seen_first(connection, select(*MACHINE))


def machines_of_tag(connection: Connection, tag: str) -> tuple[Machine, ...]:
    """Machines with this very tag, whatever its case: one, unless shops were put together."""
    m, p = schema.machine.c, schema.search_place.c
    word = number_word(tag)
    tagged = select(p.machine_id).where(p.word == word, p.field == Field.TAG)
    asked = select(*MACHINE).where(m.id.in_(tagged) if word else m.tag == tag)
    found = _seen_first(connection, asked)
    return tuple(machine for machine in found if machine.tag.casefold() == tag.casefold())


def machine_count(connection: Connection) -> int:
    """How many machines there are."""
    return int(connection.scalar(select(func.count()).select_from(schema.machine)) or 0)


def _seen_first(connection: Connection, asked: Select[Any]) -> tuple[Machine, ...]:
    v, m = schema.visit.c, schema.machine.c
    seen = select(func.max(v.opened_at)).where(v.machine_id == m.id).scalar_subquery()
    asked = asked.order_by(seen.desc().nulls_last(), m.tag)
    return tuple(machine_of(row) for row in connection.execute(asked))


def machine(connection: Connection, machine_id: str) -> Machine | None:
    """A machine by its id, None where there is none."""
    found = connection.execute(select(*MACHINE).where(schema.machine.c.id == machine_id)).first()
    return None if found is None else machine_of(found)


def entry_counts(connection: Connection, machine_id: str) -> tuple[tuple[str, int], ...]:
    """How far each visit of a machine is written: its id and the number of its last entry."""
    v, e = schema.visit.c, schema.entry.c
    last = select(func.max(e.seq)).where(e.visit_id == v.id).scalar_subquery()
    asked = select(v.id, func.coalesce(last, 0)).where(v.machine_id == machine_id)
    return tuple((row[0], int(row[1])) for row in connection.execute(asked.order_by(v.id)))


def briefs(connection: Connection, *, open_only: bool, machine_id: str) -> tuple[VisitBrief, ...]:
    """Visits by their outside, newest first; looks into no entry."""
    v, m, e = schema.visit.c, schema.machine.c, schema.entry.c
    last = select(func.max(e.seq)).where(e.visit_id == v.id).scalar_subquery()
    asked = (
        select(v.id, v.slip_number, v.opened_at, v.closed_at, func.coalesce(last, 0), *MACHINE)
        .join(schema.machine, m.id == v.machine_id)
        .where(*_wanted(open_only=open_only, machine_id=machine_id))
        .order_by(v.opened_at.desc(), v.slip_number.desc())
    )
    return tuple(
        VisitBrief(
            id=visit_id,
            slip_number=number,
            opened_at=opened_at,
            closed_at=closed_at,
            entries=int(entries),
            machine=Machine(**dict(zip(NAMES, known, strict=True))),
        )
        for visit_id, number, opened_at, closed_at, entries, *known in connection.execute(asked)
    )


def closed_since(connection: Connection, moment: datetime) -> int:
    """How many visits were closed at that moment or later, and are."""
    asked = select(func.count()).where(schema.visit.c.closed_at >= moment)
    return int(connection.scalar(asked) or 0)


def parts_fitted(connection: Connection, machine_id: str) -> int:
    """How many parts were fitted at a machine's visits."""
    v, e = schema.visit.c, schema.entry.c
    asked = (
        select(func.count())
        .select_from(schema.visit.join(schema.entry, e.visit_id == v.id))
        .where(v.machine_id == machine_id, e.kind == "part_fitted")
    )
    return int(connection.scalar(asked) or 0)


def highest_serial(connection: Connection, letter: str) -> int:
    """The highest serial among the slip numbers of a bench's letter, or without one; 0 for none."""
    v = schema.visit.c
    return connection.scalar(select(func.max(v.slip_serial)).where(v.slip_letter == letter)) or 0
