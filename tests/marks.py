"""What a store must say of marks, folded from whole visits: an oracle, and a fake's answer."""

from collections.abc import Iterable

from benchassist.core.entry import PartFitted, PartMarked, Taken
from benchassist.core.own_mark import MarkedReading
from benchassist.core.procedure import Check
from benchassist.core.visit import Visit


def marks_of(visits: Iterable[Visit], check_key: str) -> tuple[MarkedReading, ...]:
    """The latest mark of every reading of a check, by visit; `visits` in any order."""
    ordered = sorted(visits, key=lambda v: (v.header.opened_at, v.header.slip_number))
    found: list[MarkedReading] = []
    for visit in ordered:
        check = next((c for c in visit.procedure.checks if c.key == check_key), None)
        if check is None:
            continue
        found += _of_visit(visit, check, [v for v in ordered if v.header.machine.id == _id(visit)])
    return tuple(found)


def _id(visit: Visit) -> str:
    return visit.header.machine.id


def _of_visit(visit: Visit, check: Check, machine: list[Visit]) -> list[MarkedReading]:
    readings = {e.stamp.id: e for e in visit.entries if isinstance(e, Taken)}
    latest: dict[str, PartMarked] = {}
    for entry in visit.entries:
        if isinstance(entry, PartMarked) and entry.check_key == check.key:
            latest[entry.entry_id] = entry
    return [
        MarkedReading(
            taken=readings[target],
            machine_id=_id(visit),
            machine_tag=visit.header.machine.tag,
            slip_number=visit.header.slip_number,
            engine_class=visit.procedure.engine_class,
            part=check.part or check.key,
            renewals=_renewals(machine, visit, readings[target], check),
            marked_at=mark.stamp.at,
            option_key=_option(visit, check, readings[target]),
            good=mark.good,
            reason=mark.reason,
            struck=visit.is_struck(readings[target]),
        )
        for target, mark in latest.items()
        if target in readings and readings[target].check_key == check.key
    ]


def _renewals(machine: list[Visit], here: Visit, taken: Taken, check: Check) -> int:
    """Parts fitted in earlier visits of the machine, and in this one before the reading."""
    return sum(
        isinstance(entry, PartFitted)
        and (entry.check_key == check.key or entry.part == (check.part or check.key))
        and (
            entry.stamp.seq < taken.stamp.seq
            if visit is here
            else visit.header.opened_at < here.header.opened_at
        )
        for visit in machine
        for entry in visit.entries
    )


def _option(visit: Visit, check: Check, taken: Taken) -> str:
    """The marking as the visit itself has it, replayed up to the reading."""
    then = Visit(visit.header, [e for e in visit.entries if e.stamp.seq < taken.stamp.seq])
    chosen = then.option(check) if check.options else None
    return chosen.key if chosen is not None else ""
