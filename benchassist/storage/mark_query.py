"""Marks of known-good parts across visits, joined to what they were set on.

A handful of queries, whatever the number of marks: the readings with their visits, what was said
of them, the markings chosen in those visits and the parts fitted to those machines.
"""

from collections.abc import Sequence
from typing import Any, Final

from sqlalchemy import Connection, Select, exists, func, select

from benchassist.core.entry import OptionChosen, PartFitted, Taken
from benchassist.core.own_mark import MarkedReading
from benchassist.core.procedure import Check
from benchassist.storage import schema
from benchassist.storage.codec import decode_entry, from_text
from benchassist.storage.frozen import Thaw

Place = tuple[Any, int]
"""When a visit was opened, and the number of an entry in it: the order of a machine's entries."""

MARKED: Final = select(schema.part_mark.c.visit_id)


def part_marks(connection: Connection, check_key: str, thaw: Thaw) -> tuple[MarkedReading, ...]:
    """What was last said of every reading of a check that was ever marked, in order of visits.

    A mark on what is no taken reading of that check says nothing. Raises ShopFileError.
    """
    marked = MARKED.where(schema.part_mark.c.check_key == check_key)
    rows = connection.execute(_asked(check_key)).all()
    if not rows:
        return ()
    checks = thaw.checks(connection, {row.procedure_digest for row in rows}, check_key)
    has_options = any(check is not None and check.options for check in checks.values())
    options = _options(connection, marked) if has_options else {}
    fitted = _fitted(connection, marked)
    found: dict[str, MarkedReading] = {}  # a later mark takes the place of an earlier one
    for row in rows:
        taken = decode_entry(from_text(row.body))
        if not isinstance(taken, Taken) or taken.check_key != check_key:
            continue
        check = checks[row.procedure_digest]
        if check is None:
            continue
        here = (row.opened_at, taken.stamp.seq)
        found[taken.stamp.id] = MarkedReading(
            taken=taken,
            machine_id=row.machine_id,
            machine_tag=row.tag,
            slip_number=row.slip_number,
            engine_class=row.engine_class,
            part=check.part or check.key,
            renewals=sum(
                1
                for place, one in fitted.get(row.machine_id, ())
                if place < here and _renews(one, check)
            ),
            marked_at=row.marked_at,
            option_key=_option(check, options.get(row.visit_id, ()), taken.stamp.seq),
            good=row.good,
            reason=row.reason,
            struck=row.struck,
        )
    return tuple(found.values())


def mark_count(connection: Connection, check_key: str) -> int:
    """How many marks were ever set at a check."""
    asked = select(func.count()).where(schema.part_mark.c.check_key == check_key)
    return connection.scalar(asked) or 0


def _asked(check_key: str) -> Select[Any]:
    """Every mark with the entry it was set on, oldest first."""
    p, v, m = schema.part_mark.c, schema.visit.c, schema.machine.c
    mark, target = schema.entry.alias("mark"), schema.entry.alias("target")
    later = schema.entry.alias("later").c
    return (
        select(
            p.good,
            p.reason,
            p.visit_id,
            mark.c.at.label("marked_at"),
            target.c.body,
            exists().where(later.strikes == target.c.id).label("struck"),
            v.machine_id,
            v.slip_number,
            v.engine_class,
            v.opened_at,
            v.procedure_digest,
            m.tag,
        )
        .join(mark, mark.c.id == p.entry_id)
        .join(target, target.c.id == p.target_id)
        .join(schema.visit, v.id == p.visit_id)
        .join(schema.machine, m.id == v.machine_id)
        .where(p.check_key == check_key, target.c.kind == "taken", target.c.visit_id == p.visit_id)
        .order_by(v.opened_at, v.slip_number, mark.c.seq)
    )


def _options(connection: Connection, marked: Select[Any]) -> dict[str, list[OptionChosen]]:
    """The markings chosen in these visits, each visit's in order."""
    e = schema.entry.c
    asked = select(e.visit_id, e.body).where(e.visit_id.in_(marked), e.kind == "option_chosen")
    found: dict[str, list[OptionChosen]] = {}
    for row in connection.execute(asked.order_by(e.visit_id, e.seq)):
        entry = decode_entry(from_text(row.body))
        if isinstance(entry, OptionChosen):
            found.setdefault(row.visit_id, []).append(entry)
    return found


def _fitted(
    connection: Connection, marked: Select[Any]
) -> dict[str, list[tuple[Place, PartFitted]]]:
    """The parts fitted to the machines of these visits, and when."""
    e, v = schema.entry.c, schema.visit.c
    machines = select(v.machine_id).where(v.id.in_(marked))
    asked = (
        select(v.machine_id, v.opened_at, e.seq, e.body)
        .join(schema.visit, v.id == e.visit_id)
        .where(v.machine_id.in_(machines), e.kind == "part_fitted")
    )
    found: dict[str, list[tuple[Place, PartFitted]]] = {}
    for row in connection.execute(asked):
        entry = decode_entry(from_text(row.body))
        if isinstance(entry, PartFitted):
            found.setdefault(row.machine_id, []).append(((row.opened_at, row.seq), entry))
    return found


def _renews(entry: PartFitted, check: Check) -> bool:
    """Whether a part fitted is the one a check measures."""
    return entry.check_key == check.key or entry.part == (check.part or check.key)


def _option(check: Check, chosen: Sequence[OptionChosen], seq: int) -> str:
    """The key of the marking that held at an entry's number; empty for a check without any."""
    group = (c for c in chosen if c.option_group == check.option_group and c.stamp.seq < seq)
    last = max(group, key=lambda c: c.stamp.seq, default=None)
    key = last.option_key if last is not None else ""
    return key if any(option.key == key for option in check.options) else ""
