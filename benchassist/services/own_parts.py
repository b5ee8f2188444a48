"""From parts marked known-good to the values a band is learned from: one part, one name.

A part is told apart by its machine and by how often it was renewed there before the reading.
Work that renews nothing leaves it the same part.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from benchassist.core.band import Band
from benchassist.core.entry import PartFitted, Taken
from benchassist.core.own_band import Coverage, OwnBand, OwnPart, own_band, own_part
from benchassist.core.procedure import Check
from benchassist.core.visit import Visit
from benchassist.services.needs import Store


@dataclass(frozen=True, slots=True, kw_only=True)
class GoodMark:
    """A person says of a taken reading that its part is known to be good.

    `set_aside` is their reason for leaving the part out again, None while it counts.
    """

    machine_id: str
    visit_id: str
    entry_id: str
    set_aside: str | None = None


def learned_band(
    marks: Iterable[GoodMark],
    check: Check,
    *,
    store: Store,
    beside: Band | None = None,
    coverage: Coverage | None = None,
) -> OwnBand:
    """The band of a check from the parts marked, whatever engine they came from.

    `beside` is the band it will stand beside: it lends the temperature, the copper law and the
    probe points. Marks are of one engine class and one marking: who gathers them sees to that.
    Raises ValueError for a check of no quantity, NotFoundError for a visit that is gone.
    """
    if check.quantity is None:
        raise ValueError("a check of no quantity has no band")
    copper = beside is not None and beside.copper
    celsius = beside.reference_celsius if beside is not None else 20.0
    by_machine: dict[str, list[GoodMark]] = {}
    for mark in marks:
        by_machine.setdefault(mark.machine_id, []).append(mark)
    parts: list[OwnPart] = []
    for machine_id, own in by_machine.items():
        aside = {mark.entry_id: mark.set_aside for mark in own}
        wanted = frozenset(mark.visit_id for mark in own)
        for name, taken in named_parts(_visits(store, machine_id, wanted), check):
            if taken.stamp.id in aside:
                parts.append(
                    own_part(
                        taken,
                        part=f"{machine_id} {name}",
                        quantity=check.quantity,
                        copper=copper,
                        reference_celsius=celsius,
                        set_aside=aside[taken.stamp.id],
                    )
                )
    return own_band(
        parts,
        quantity=check.quantity,
        coverage=coverage,
        copper=copper,
        reference_celsius=celsius,
        probe_points=beside.probe_points if beside is not None else "",
    )


def named_parts(visits: Sequence[Visit], check: Check) -> Iterator[tuple[str, Taken]]:
    """Every reading that stands at a check with its part's name within the machine.

    `visits` are all of one machine, oldest first. The name is the part with how many were fitted
    before it: 'coil 0' came with the machine.
    """
    part, fitted = check.part or check.key, 0
    for visit in visits:
        for entry in visit.entries:
            if isinstance(entry, PartFitted) and (
                entry.check_key == check.key or entry.part == part
            ):
                fitted += 1
            elif (
                isinstance(entry, Taken)
                and entry.check_key == check.key
                and not visit.is_struck(entry)
            ):
                yield f"{part} {fitted}", entry


def _visits(store: Store, machine_id: str, wanted: frozenset[str]) -> tuple[Visit, ...]:
    """A machine's visits up to the newest one wanted, oldest first."""
    summaries = sorted(store.visits(machine_id=machine_id), key=lambda s: s.opened_at)
    last = max((i for i, s in enumerate(summaries) if s.id in wanted), default=-1)
    return tuple(Visit(*store.visit(summary.id)) for summary in summaries[: last + 1])
