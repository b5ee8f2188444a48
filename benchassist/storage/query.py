"""What is asked of a shop's tables."""

from gettext import gettext as _
from typing import Final

from sqlalchemy import Connection, and_, case, distinct, exists, func, or_, select

from benchassist.core.entry import Entry, Machine
from benchassist.core.record import VisitSummary
from benchassist.core.visit import VisitHeader
from benchassist.errors import NotFoundError
from benchassist.storage import schema
from benchassist.storage.codec import decode, decode_entry, from_text

ANSWERS: Final = ("taken", "looked", "run_ended")
GOES_TO: Final = ("taken", "looked", "struck", "moved_to", "run_started", "run_ended")
DOORS: Final = ("closed", "reopened")


def visit(connection: Connection, visit_id: str) -> tuple[VisitHeader, tuple[Entry, ...]]:
    """A visit by id, or by slip number ('412' finds 0412). Raises NotFoundError."""
    v, e = schema.visit.c, schema.entry.c
    number = visit_id.zfill(4) if visit_id.isdecimal() else visit_id
    found = connection.execute(
        select(v.id, v.header)
        .where(or_(v.id == visit_id, v.slip_number.in_((visit_id, number))))
        .order_by(case((v.id == visit_id, 0), (v.slip_number == visit_id, 1), else_=2))
        .limit(1)
    ).first()
    if found is None:
        raise NotFoundError(
            _("there is no visit '{visit}': give a slip number such as 0001").format(visit=visit_id)
        )
    bodies = connection.scalars(select(e.body).where(e.visit_id == found.id).order_by(e.seq))
    header = decode(VisitHeader, from_text(found.header))
    return header, tuple(decode_entry(from_text(body)) for body in bodies)


def visits(connection: Connection, *, open_only: bool, machine_id: str) -> tuple[VisitSummary, ...]:
    """Visits, newest first. Counts as the fold of the entries would, without reading them."""
    v, m, e = schema.visit.c, schema.machine.c, schema.entry.c
    later = schema.entry.alias("later").c
    struck = exists().where(later.strikes == e.id)
    done = (
        select(func.count(distinct(e.check_key)))
        .where(
            e.visit_id == v.id,
            or_(e.kind == "skipped", and_(e.kind.in_(ANSWERS), ~struck)),
        )
        .scalar_subquery()
    )
    at_check = (
        select(e.check_key)
        .where(e.visit_id == v.id, e.kind.in_(GOES_TO))
        .order_by(e.seq.desc())
        .limit(1)
        .scalar_subquery()
    )
    closed_at = (
        select(case((e.kind == "closed", e.at)))
        .where(e.visit_id == v.id, e.kind.in_(DOORS))
        .order_by(e.seq.desc())
        .limit(1)
        .scalar_subquery()
    )
    asked = (
        select(
            *(column.label(f"machine_{column.name}") for column in m if column.name != "search"),
            v.id,
            v.slip_number,
            v.complaint,
            v.words,
            v.opened_at,
            v.steps,
            done.label("done"),
            func.coalesce(at_check, v.first_check).label("current_check"),
            closed_at.label("closed_at"),
        )
        .join(schema.machine, m.id == v.machine_id)
        .order_by(v.opened_at.desc(), v.slip_number.desc())
    )
    if open_only:
        asked = asked.where(closed_at.is_(None))
    if machine_id:
        asked = asked.where(v.machine_id == machine_id)
    return tuple(
        VisitSummary(
            id=row.id,
            slip_number=row.slip_number,
            machine=Machine(
                id=row.machine_id,
                tag=row.machine_tag,
                customer=row.machine_customer,
                phone=row.machine_phone,
                unit=row.machine_unit,
                engine=row.machine_engine,
                serial=row.machine_serial,
                engine_class=row.machine_engine_class,
            ),
            complaint=row.complaint,
            words=row.words,
            opened_at=row.opened_at,
            closed_at=row.closed_at,
            done=row.done,
            steps=row.steps,
            current_check=row.current_check,
        )
        for row in connection.execute(asked)
    )


def machines(connection: Connection, words: str) -> tuple[Machine, ...]:
    """Machines in whose texts every word is found, whatever its case; the last one seen first."""
    v, m = schema.visit.c, schema.machine.c
    seen = select(func.max(v.opened_at)).where(v.machine_id == m.id).scalar_subquery()
    asked = select(*(column for column in m if column.name != "search"))
    for word in words.casefold().split():
        asked = asked.where(m.search.contains(word, autoescape=True))
    asked = asked.order_by(seen.desc().nulls_last(), m.tag)
    return tuple(Machine(**row) for row in connection.execute(asked).mappings())


def next_slip_number(connection: Connection) -> str:
    """One more than the highest number without a bench's letter."""
    v = schema.visit.c
    highest = connection.scalar(select(func.max(v.slip_serial)).where(v.slip_letter == ""))
    return f"{(highest or 0) + 1:04d}"
