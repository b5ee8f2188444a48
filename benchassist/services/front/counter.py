"""The counter: machines found and made, visits opened and come back to."""

import uuid
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import timedelta

from benchassist.core.entry import Machine
from benchassist.core.record import Found, Refused, Stored, VisitBrief, VisitSummary
from benchassist.core.slip_number import following
from benchassist.core.visit import VisitHeader
from benchassist.errors import NotFoundError, StoreError
from benchassist.services import wording
from benchassist.services.bench.leases import BenchLeases
from benchassist.services.bench.pen import RETRY_AFTER
from benchassist.services.desk import (
    CounterView,
    Field,
    SlipCard,
)
from benchassist.services.front.counter_card import MachineCards
from benchassist.services.front.interview import fields_of, interview_of
from benchassist.services.front.lease_text import slip_text
from benchassist.services.metering.meter import Meter
from benchassist.services.needs import Clock, SpecBook, Store
from benchassist.services.receipt import Receipts
from benchassist.services.record.machine_form import machine_fields, read_machine
from benchassist.services.settings import Settings
from benchassist.services.tags.search import find_machines
from benchassist.services.translation import _, ngettext
from benchassist.units import UnitChoice

MOST_SHOWN = 3


class Counter:
    """Machines and visits, as the counter page asks for them."""

    def __init__(
        self,
        *,
        store: Store,
        receipts: Receipts,
        book: SpecBook,
        clock: Clock,
        meter: Meter,
        settings: Settings,
        units: UnitChoice,
        settle: Callable[[], None],
        leases: BenchLeases,
    ) -> None:
        self._store, self._receipts, self._settle = store, receipts, settle
        self._leases = leases
        self._book = book
        self._clock = clock
        self._meter = meter
        self._settings = settings
        self._cards = MachineCards(store, units)
        self._briefs: tuple[VisitBrief, ...] = ()
        self._shown = CounterView()
        self._open: tuple[VisitSummary, ...] = ()
        self._fresh: dict[str, Machine] = {}
        self._opened: dict[str, VisitHeader] = {}
        self._headers: list[VisitHeader] = []
        """Every visit opened since the program started; the store may not have it yet."""
        self._tickets: dict[int, Machine] = {}
        self._refused: list[Machine] = []
        self._retry_at = 0.0
        self._banner = ""
        self._remark = ""

    def tell_faults(self, faults: Sequence[str]) -> None:
        """The shop's own profiles have faults and were left out: say so while nothing else is."""
        if not faults:
            self._remark = ""
            return
        self._remark = _("Left out: {fault}").format(fault=faults[0])
        if more := len(faults) - 1:
            self._remark += ngettext(" (and {n} more)", " (and {n} more)", more).format(n=more)

    def tell(self, line: str) -> None:
        """Something the shop has to know until it is so no more; from any thread."""
        self._remark = line

    def untell(self, line: str) -> None:
        """What was told is so no more."""
        if self._remark == line:
            self._remark = ""

    def tick(self) -> None:
        """Take in what the store says of new machines, and what the meter says."""
        for said in self._receipts.claim(self._tickets):
            machine = self._tickets.pop(said.ticket)
            match said:
                case Stored():
                    self._banner = "" if not self._refused else self._banner
                case Refused(why=why):
                    self._banner = _("Machine {tag} is not saved: {why}").format(
                        tag=machine.tag, why=why
                    )
                    self._refused.append(machine)
                    self._retry_at = self._clock.monotonic() + RETRY_AFTER
        if self._refused and self._clock.monotonic() >= self._retry_at:
            self.hand_over()
        self._settle()
        self._meter.take_in()

    def hand_over(self) -> None:
        """Hand the machines that the store refused to it once more."""
        refused, self._refused = self._refused, []
        for machine in refused:
            self._tickets[self._store.submit_machine(machine)] = machine

    def view(self, query: str, selected: str = "") -> CounterView:
        """Open slips, and the machines that fit every word; the selected one's card is whole.

        From a server that does not answer just now: what was shown last, and a line that says so.
        """
        try:
            self._shown = self._looked(query, selected)
        except StoreError as error:
            machines = self._shown.machines if query == self._shown.query else ()
            return replace(
                self._shown,
                query=query,
                machines=machines,
                found_text="",
                nothing_text=self._leases.unread_text(str(error)),
                banner=str(error),
            )
        return self._shown

    def _looked(self, query: str, selected: str) -> CounterView:
        found, fault = find_machines(self._store, query, MOST_SHOWN)
        elsewhere = self._leases.elsewhere()
        return CounterView(
            query=query,
            slips=tuple(self._slip(v, elsewhere.get(v.id, "")) for v in self._open_visits()),
            machines=self._cards.of(found.machines, selected),
            found_text=(fault or _found_text(found)) if query.strip() else "",
            close=found.close,
            nothing_text=self._leases.partial_text(),
            closed_text=self._closed_text(),
            home_text=self._leases.home_text(),
            meter_text=wording.link_text(self._meter.link_state, self._meter.age),
            meter_live=self._meter.live is not None,
            banner=self._banner or self._leases.counter_notice() or self._remark,
        )

    def _open_visits(self) -> tuple[VisitSummary, ...]:
        """Asked for anew where anything was written since."""
        briefs = self._store.briefs(open_only=True)
        if briefs != self._briefs:
            self._open, self._briefs = self._store.visits(open_only=True), briefs
        return self._open

    def _closed_text(self) -> str:
        closed = self._store.closed_since(self._clock.now() - timedelta(days=7))
        return _("Closed this week: {n}").format(n=closed)

    def _slip(self, visit: VisitSummary, where: str) -> SlipCard:
        """`where`: the other bench that has it on."""
        machine = visit.machine
        place = (
            _("ready to print")
            if visit.done >= visit.steps
            else _("step {n} of {steps}").format(n=visit.done + 1, steps=visit.steps)
        )
        return SlipCard(
            visit_id=visit.id,
            slip_text=slip_text(visit.slip_number, apart=visit.apart),
            customer=machine.customer or machine.tag,
            unit_text=", ".join(t for t in (machine.unit, machine.engine) if t),
            said=f"“{visit.words}”" if visit.words else visit.complaint,
            done=visit.done,
            steps=visit.steps,
            place_text=f"{place} · {where}" if where else place,
            elsewhere=bool(where),
        )

    # --- new machine ---------------------------------------------------------------------------

    def machine_form(self) -> tuple[Field, ...]:
        """Fields of a new machine, a free tag suggested."""
        return machine_fields(Machine(id="", tag=self._free_tag()), self._book.engine_classes())

    def _free_tag(self) -> str:
        """The first number that no machine's tag holds; under the bench's letter, if it has one.

        So two benches that make a card at the same time are not offered the same tag.
        """
        letter = self._settings.bench_letter
        on_the_way = len(self._tickets) + len(self._refused)
        number = self._store.machine_count() + on_the_way + 1
        while self._is_taken(tag := f"M{letter}-{number:03d}"):
            number += 1
        return tag

    def _is_taken(self, tag: str) -> bool:
        fresh = any(m.tag.casefold() == tag.casefold() for m in self._fresh.values())
        return fresh or bool(self._store.machines_of_tag(tag))

    def new_machine(self, fields: Mapping[str, str]) -> str:
        """Keep a new machine; returns its id. Raises InputError naming the field."""
        machine = read_machine(
            Machine(id=str(uuid.uuid4()), tag=""),
            fields,
            classes=self._book.engine_classes(),
            is_taken=self._is_taken,
            free_tag=self._free_tag,
        )
        self._fresh[machine.id] = machine
        self._tickets[self._store.submit_machine(machine)] = machine
        return machine.id

    def _machine(self, machine_id: str) -> Machine:
        found = self._store.machine(machine_id) or self._fresh.get(machine_id)
        if found is None:
            raise NotFoundError(_("no machine '{id}' on file").format(id=machine_id))
        return found

    # --- interview and visit -------------------------------------------------------------------

    def interview(self, machine_id: str, answers: Mapping[str, str]) -> tuple[Field, ...]:
        """The complaint first; its answer decides the other questions."""
        self._machine(machine_id)
        return fields_of(self._book.complaints(), answers)

    def open_visit(self, machine_id: str, answers: Mapping[str, str]) -> str:
        """Open a visit; returns its id. Raises InputError naming the answer that is wrong."""
        machine = self._machine(machine_id)
        engine_class = machine.engine_class or "unknown"
        complaint, told = interview_of(self._book.complaints(), answers)
        earlier = {v.id for v in self._store.visits(machine_id=machine.id)}
        earlier |= {h.id for h in self._headers if h.machine.id == machine.id}
        header = VisitHeader(
            id=str(uuid.uuid4()),
            slip_number=self._slip_number(),
            machine=machine,
            interview=told,
            procedure=self._book.procedure(complaint.procedure, engine_class),
            opened_at=self._clock.now(),
            visit_of_machine=len(earlier) + 1,
            shop=self._settings.shop_name,
            bench=self._settings.bench_label,
            done_by=self._settings.done_by,
            k=self._settings.k,
            causes=self._book.causes(complaint.key, engine_class),
        )
        self._opened[header.id] = header
        self._headers.append(header)
        return header.id

    def _slip_number(self) -> str:
        """The store's next number, or the next one that no visit still on its way to it carries."""
        number = self._store.next_slip_number(self._settings.bench_letter)
        given = {header.slip_number for header in self._headers}
        while number in given:
            number = following(number)
        return number

    def has_header(self, visit_id: str) -> bool:
        """Whether a visit was just opened, and `header_of` has it."""
        return visit_id in self._opened

    def header_of(self, visit_id: str) -> VisitHeader | None:
        """The header of a visit that was just opened and is not handed to the store yet."""
        return self._opened.pop(visit_id, None)


def _found_text(found: Found) -> str:
    """How many machines there are; that there are more, or none with the words as typed."""
    n = found.count
    if found.close:
        text = _("No machine has exactly these words. Close to them: {n}")
    elif found.more:
        text = _("At least {n} machines found. Type on to narrow it")
    elif n > len(found.machines):
        text = _("{n} machines found, the best {shown} here")
    else:
        text = ngettext("{n} machine found", "{n} machines found", n)
    return text.format(n=n, shown=len(found.machines))
