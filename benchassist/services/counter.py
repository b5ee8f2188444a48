"""The counter: machines found and made, visits opened and come back to."""

import uuid
from collections.abc import Callable, Mapping, Sequence
from datetime import timedelta

from benchassist.core.entry import Machine
from benchassist.core.record import Refused, Stored, VisitSummary
from benchassist.core.visit import Visit, VisitHeader
from benchassist.errors import InputError, NotFoundError
from benchassist.services import wording
from benchassist.services.desk import (
    CounterView,
    Field,
    FieldChoice,
    FieldKind,
    LastLine,
    MachineCard,
    SlipCard,
)
from benchassist.services.interview import fields_of, interview_of
from benchassist.services.meter import Meter
from benchassist.services.needs import Clock, SpecBook, Store
from benchassist.services.pen import RETRY_AFTER
from benchassist.services.receipt import Receipts
from benchassist.services.settings import Settings
from benchassist.services.slip_line import standing_line
from benchassist.services.tag_search import find_machines
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
    ) -> None:
        self._store, self._receipts, self._settle = store, receipts, settle
        self._book = book
        self._clock = clock
        self._meter = meter
        self._settings = settings
        self._units = units
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
        """Something the shop has to know until the program ends; from any thread."""
        self._remark = line

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

    def view(self, query: str) -> CounterView:
        """Open slips, and the machines that fit every word."""
        visits = self._store.visits()
        machines, fault = find_machines(self._store, query)
        count = len(machines)
        return CounterView(
            query=query,
            slips=tuple(self._slip(v) for v in visits if v.closed_at is None),
            machines=tuple(self._card(m, visits) for m in machines[:MOST_SHOWN]),
            found_text=fault
            or ngettext("{n} machine found", "{n} machines found", count).format(n=count)
            if query.strip()
            else "",
            closed_text=self._closed_text(visits),
            meter_text=wording.link_text(self._meter.link_state, self._meter.age),
            meter_live=self._meter.live is not None,
            banner=self._banner or self._remark,
        )

    def _closed_text(self, visits: tuple[VisitSummary, ...]) -> str:
        since = self._clock.now() - timedelta(days=7)
        closed = sum(1 for v in visits if v.closed_at is not None and v.closed_at >= since)
        return _("Closed this week: {n}").format(n=closed)

    def _slip(self, visit: VisitSummary) -> SlipCard:
        machine = visit.machine
        return SlipCard(
            visit_id=visit.id,
            slip_text=_("slip {number}").format(number=visit.slip_number),
            customer=machine.customer or machine.tag,
            unit_text=", ".join(t for t in (machine.unit, machine.engine) if t),
            said=f"“{visit.words}”" if visit.words else visit.complaint,
            done=visit.done,
            steps=visit.steps,
            place_text=_("ready to print")
            if visit.done >= visit.steps
            else _("step {n} of {steps}").format(n=visit.done + 1, steps=visit.steps),
        )

    def _card(self, machine: Machine, visits: tuple[VisitSummary, ...]) -> MachineCard:
        own = [v for v in visits if v.machine.id == machine.id]
        still_open = next((v for v in own if v.closed_at is None), None)
        last = next((v for v in own if v.done), None)
        count = len(own)
        return MachineCard(
            machine_id=machine.id,
            customer=machine.customer or machine.unit or machine.tag,
            tag_text=_("tag {tag}").format(tag=machine.tag),
            unit_text=" · ".join(t for t in (machine.unit, machine.engine) if t),
            visits_text=ngettext("{n} visit on file", "{n} visits on file", count).format(n=count),
            last_title=_("Last visit, {day}: {complaint}").format(
                day=wording.day_text(last.opened_at), complaint=last.words or last.complaint
            )
            if last is not None
            else "",
            last_lines=self._last_lines(last.id) if last is not None else (),
            open_visit_id=still_open.id if still_open is not None else "",
            open_visit_text=_("slip {number} is open").format(number=still_open.slip_number)
            if still_open is not None
            else "",
        )

    def _last_lines(self, visit_id: str) -> tuple[LastLine, ...]:
        visit = Visit(*self._store.visit(visit_id))
        lines = [
            standing_line(n, check, visit, self._units, frozenset())
            for n, check in enumerate(visit.procedure.checks, start=1)
        ]
        measured = [line for line in lines if line.ruler is not None and line.value]
        return tuple(
            LastLine(
                name=line.name,
                value=line.value,
                ruler=line.ruler,
                verdict=line.verdict,
                side=line.side,
                verdict_text=line.verdict_text,
            )
            for line in measured[:3]
        )

    # --- new machine ---------------------------------------------------------------------------

    def machine_form(self) -> tuple[Field, ...]:
        """Fields of a new machine, a free tag suggested."""
        classes = tuple(
            FieldChoice(key=c.key, text=c.name, note=c.description)
            for c in self._book.engine_classes()
        )
        return (
            Field(key="tag", label=_("Tag"), value=self._free_tag(), open_ended=False),
            Field(key="customer", label=_("Customer"), hint=_("who brought it")),
            Field(key="phone", label=_("Phone"), hint=_("last digits find it again")),
            Field(key="unit", label=_("Machine"), hint=_("such as power-sprayer pump")),
            Field(key="engine", label=_("Engine"), hint=_("model from its plate")),
            Field(key="serial", label=_("Serial number")),
            Field(
                key="engine_class",
                label=_("Ignition"),
                kind=FieldKind.CHOICE,
                choices=classes,
                value="unknown",
                open_ended=False,
            ),
        )

    def _free_tag(self) -> str:
        """The first number that no machine's tag holds."""
        tags = {m.tag.upper() for m in (*self._store.machines(), *self._fresh.values())}
        number = len(tags) + 1
        while f"M-{number:03d}" in tags:
            number += 1
        return f"M-{number:03d}"

    def new_machine(self, fields: Mapping[str, str]) -> str:
        """Keep a new machine; returns its id. Raises InputError naming the field."""
        given = {key: value.strip() for key, value in fields.items()}
        tag = given.get("tag", "")
        if not tag or any(c.isspace() for c in tag) or len(tag) > 16:
            raise InputError(
                _("tag '{tag}': use up to 16 letters and digits, no space").format(tag=tag)
            )
        others = (*self._store.machines(tag), *self._fresh.values())
        if any(m.tag.upper() == tag.upper() for m in others):
            raise InputError(_("tag '{tag}' is another machine's: take a free one").format(tag=tag))
        if not any(given.get(key) for key in ("customer", "unit", "engine", "serial")):
            raise InputError(_("name the customer, the machine, its engine or its serial number"))
        known = {c.key for c in self._book.engine_classes()}
        engine_class = given.get("engine_class") or "unknown"
        if engine_class not in known:
            raise InputError(
                _("ignition '{key}' is not one of {known}").format(
                    key=engine_class, known=", ".join(sorted(known))
                )
            )
        machine = Machine(
            id=str(uuid.uuid4()),
            tag=tag,
            customer=given.get("customer", ""),
            phone=given.get("phone", ""),
            unit=given.get("unit", ""),
            engine=given.get("engine", ""),
            serial=given.get("serial", ""),
            engine_class=engine_class,
        )
        self._fresh[machine.id] = machine
        self._tickets[self._store.submit_machine(machine)] = machine
        return machine.id

    def _machine(self, machine_id: str) -> Machine:
        known = (*self._fresh.values(), *self._store.machines())
        found = next((machine for machine in known if machine.id == machine_id), None)
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
            bench=self._settings.bench_name,
            done_by=self._settings.done_by,
            k=self._settings.k,
            causes=self._book.causes(complaint.key, engine_class),
        )
        self._opened[header.id] = header
        self._headers.append(header)
        return header.id

    def _slip_number(self) -> str:
        """The store's next number, or the next one that no visit still on its way to it carries."""
        number, given = self._store.next_slip_number(), {h.slip_number for h in self._headers}
        while number in given:
            number = f"{int(number) + 1:0{len(number)}d}"
        return number

    def header_of(self, visit_id: str) -> VisitHeader | None:
        """The header of a visit that was just opened and is not handed to the store yet."""
        return self._opened.pop(visit_id, None)
