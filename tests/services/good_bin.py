"""A shop whose store has machines with marked caps, as if the seasons before had filled it."""

from dataclasses import replace
from datetime import timedelta
from statistics import NormalDist

from benchassist.core.entry import (
    Closed,
    Interview,
    Machine,
    OptionChosen,
    PartMarked,
    Stamp,
    Taken,
)
from benchassist.core.estimate import PartTemperature
from benchassist.core.procedure import Procedure
from benchassist.core.visit import Visit
from benchassist.services.bench.taking import conditions_of, judge_reading
from benchassist.services.needs import Store
from tests.core import entries

CAPS = tuple(round(NormalDist(5000.0, 150.0).inv_cdf((i + 0.5) / 14), -1) for i in range(14))
"""Fourteen caps as normal as can be, in ohms."""


def past_visit(
    number: int,
    ohms: float,
    *,
    marking: str = "5k",
    engine_class: str = "a",
    good: bool = True,
    reason: str = "",
) -> Visit:
    """A closed visit of a machine of its own whose cap was read and marked."""
    checks = entries.procedure().checks[:2]
    procedure = replace(entries.procedure(), engine_class=engine_class, checks=checks)
    visit = marked_visit(number, ohms, procedure, "cap", marking=marking)
    if not good:
        mark(visit, reason=reason)
    return visit


def marked_visit(
    number: int, ohms: float, procedure: Procedure, key: str, *, marking: str = ""
) -> Visit:
    """A closed visit of a machine of its own: one reading at a check, marked known-good."""
    head = entries.header()
    visit = Visit(
        replace(
            head,
            id=f"past-{number}",
            slip_number=f"{9000 + number}",
            machine=Machine(
                id=f"machine-{number}",
                tag=f"P-{number:03d}",
                engine_class=procedure.engine_class,
            ),
            interview=Interview(complaint="Quits hot"),
            procedure=replace(procedure, checks=(procedure.check(key),)),
            opened_at=head.opened_at - timedelta(days=400 - number),
        )
    )
    check = visit.procedure.check(key)
    if marking:
        visit.apply(
            OptionChosen(stamp=_stamp(visit), option_group=check.option_group, option_key=marking)
        )
    band, reading = visit.band(check), entries.ohms(ohms)
    conditions = conditions_of(
        reading,
        band=band,
        accuracy=entries.ACCURACY,
        zero=None,
        temperature=PartTemperature(celsius=20.0, u=1.0),
    )
    visit.apply(
        Taken(
            stamp=_stamp(visit),
            check_key=key,
            reading=reading,
            conditions=conditions,
            judgement=judge_reading(reading, band, conditions, leads_proved=True),
            band=band,
            meter=f"meter {number % 3}",
        )
    )
    visit.apply(Closed(stamp=_stamp(visit)))
    mark(visit)
    return visit


def mark(visit: Visit, *, reason: str = "") -> None:
    """Its part is known good; with a reason: not."""
    taken = next(e for e in visit.entries if isinstance(e, Taken))
    visit.apply(
        PartMarked(
            stamp=_stamp(visit),
            check_key=taken.check_key,
            entry_id=taken.stamp.id,
            good=not reason,
            reason=reason,
        )
    )


def fill(store: Store, *visits: Visit) -> None:
    """Keep them; a store that acknowledges at once."""
    for visit in visits:
        store.submit_visit(visit.header)
        store.submit(*visit.entries)
    store.acknowledgements()


def filled(store: Store, values: tuple[float, ...] = CAPS) -> None:
    """One visit each value."""
    fill(store, *(past_visit(i, ohms) for i, ohms in enumerate(values)))


def _stamp(visit: Visit) -> Stamp:
    seq = visit.next_seq
    return replace(
        entries.stamp(visit),
        id=f"{visit.header.id}.{seq}",
        at=visit.header.opened_at + timedelta(minutes=seq),
    )
