"""Cards of the machines found: what each is, and its last visit beside the new one."""

from collections import OrderedDict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import islice
from typing import Final

from benchassist.core.entry import Did, Entry, Machine, PartFitted, Serviced
from benchassist.core.photo_log import photos_of
from benchassist.core.record import VisitBrief
from benchassist.core.visit import Standing, Visit
from benchassist.errors import BenchError, StoreError
from benchassist.services import wording
from benchassist.services.findings.repair import service_text
from benchassist.services.front.counter_view import LastLine, MachineCard
from benchassist.services.needs import Store
from benchassist.services.slips.line import standing_line
from benchassist.services.translation import _, ngettext
from benchassist.units import UnitChoice

MOST_LINES: Final = 3
KEPT: Final = 64
"""Cards at hand: the same machines come up again at the next letter."""

Written = tuple[Machine, tuple[VisitBrief, ...]]
"""A machine, and how far each of its visits is written."""


class MachineCards:
    """Makes a card once, and anew where anything was written since."""

    def __init__(self, store: Store, units: UnitChoice) -> None:
        self._store, self._units = store, units
        self._kept: OrderedDict[str, tuple[Written, MachineCard]] = OrderedDict()

    def of(self, machines: Sequence[Machine], selected: str) -> tuple[MachineCard, ...]:
        """Cards as the machines stand on file, whole for the one selected, else for the first."""
        if not any(machine.id == selected for machine in machines):
            selected = machines[0].id if machines else ""
        return tuple(self._card(m, whole=m.id == selected) for m in machines)

    def _card(self, machine: Machine, *, whole: bool) -> MachineCard:
        written = (machine, self._store.briefs(machine_id=machine.id))
        before, card = self._kept.pop(machine.id, (None, None))
        if card is None or before != written or (whole and not card.whole):
            card = _row(*written)
            card = self._whole(card, written[1]) if whole else card
        self._kept[machine.id] = (written, card)
        if len(self._kept) > KEPT:
            self._kept.popitem(last=False)
        return card

    def _whole(self, card: MachineCard, visits: tuple[VisitBrief, ...]) -> MachineCard:
        last = self._last(visits)
        return replace(
            card,
            parts_text=self._parts_text(card.machine_id),
            last_title=_last_title(last, self._units) if last is not None else "",
            last_lines=_last_lines(last, self._units) if last is not None else (),
            whole=True,
        )

    def _last(self, visits: tuple[VisitBrief, ...]) -> Visit | None:
        """The last visit with an answer; a damaged one hides no machine, its file says so.

        Raises StoreError where a visit cannot be read just now: that is not to have none.
        """
        for brief in visits:
            if not brief.entries:
                continue
            try:
                visit = Visit(*self._store.visit(brief.id))
            except StoreError:
                raise
            except BenchError:
                continue
            keys = (check.key for check in visit.procedure.checks)
            if any(visit.standing(key) is not Standing.TO_DO for key in keys):
                return visit
        return None

    def _parts_text(self, machine_id: str) -> str:
        """'4 parts fitted, 5 photos'; what there is none of is left out."""
        fitted = self._store.parts_fitted(machine_id)
        photos = sum(len(photos_of(v.entries)) for v in self._store.photo_log(machine_id))
        told = (
            ngettext("{n} part fitted", "{n} parts fitted", fitted).format(n=fitted)
            if fitted
            else "",
            ngettext("{n} photo", "{n} photos", photos).format(n=photos) if photos else "",
        )
        return ", ".join(text for text in told if text)


def _row(machine: Machine, visits: tuple[VisitBrief, ...]) -> MachineCard:
    """What is known without looking into a visit."""
    still_open = next((v for v in visits if v.closed_at is None), None)
    return MachineCard(
        machine_id=machine.id,
        customer=machine.customer or machine.unit or machine.tag,
        tag_text=_("tag {tag}").format(tag=machine.tag),
        unit_text=" · ".join(t for t in (machine.unit, machine.engine) if t),
        visits_text=_visits_text(visits),
        open_visit_id=still_open.id if still_open is not None else "",
        open_visit_text=_("slip {number} is open").format(number=still_open.slip_number)
        if still_open is not None
        else "",
        whole=False,
    )


def _visits_text(visits: tuple[VisitBrief, ...]) -> str:
    """'3 visits on file since 2023'."""
    count = len(visits)
    if count < 2:
        return ngettext("{n} visit on file", "{n} visits on file", count).format(n=count)
    year = visits[-1].opened_at.astimezone().year
    return _("{n} visits on file since {year}").format(n=count, year=year)


def _last_title(visit: Visit, units: UnitChoice) -> str:
    """When it was and what was done; where nothing was, what was complained of."""
    told = visit.header.interview
    return _("Last visit, {day}: {what}").format(
        day=wording.day_text(visit.header.opened_at),
        what=", ".join(_done(visit.entries, units)) or told.words or told.complaint,
    )


def _done(entries: Iterable[Entry], units: UnitChoice) -> Iterator[str]:
    for entry in entries:
        match entry:
            case Did():
                yield entry.text
            case PartFitted():
                yield _("new {part}").format(part=entry.name or _(entry.part))
            case Serviced():
                yield service_text(entry, units)
            case _:
                pass


def _last_lines(visit: Visit, units: UnitChoice) -> tuple[LastLine, ...]:
    """The first readings that have a band."""
    lines = (
        standing_line(n, check, visit, units, frozenset())
        for n, check in enumerate(visit.procedure.checks, start=1)
    )
    measured = (line for line in lines if line.ruler is not None and line.value)
    return tuple(
        LastLine(
            name=line.name,
            value=line.value,
            ruler=line.ruler,
            verdict=line.verdict,
            side=line.side,
            verdict_text=line.verdict_text,
        )
        for line in islice(measured, MOST_LINES)
    )
