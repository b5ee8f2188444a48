"""The visits of a drawn shop: twenty years of machines that come back, as the program writes them.

Everything follows from the seed, machine by machine, so that any part of a shop can be drawn alone.
A visit's procedure is a shipped one with the shop's own readings added, frozen in the wording of
its years; its readings are judged by the program's own rule.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from random import Random
from typing import Final

from benchassist.core.cause import CauseBook
from benchassist.core.entry import (
    Entry,
    Interview,
    Machine,
)
from benchassist.core.procedure import Procedure
from benchassist.core.visit import VisitHeader
from benchassist.specbook.book import Book
from tests.benchmarks import shop_part, shop_words
from tests.benchmarks.shop_day import DrawnRun, VisitDay, uuid
from tests.benchmarks.shop_part import PartState
from tests.benchmarks.shop_plan import FIRST_DAY, Plan, ShopSize, plan

SEED: Final = 20
WORDINGS: Final = 5
"""A procedure's text changes with the program, about every four years."""

MEASURED: Final = (
    "stop_insulation",
    "stop_switch",
    "cap",
    "coil_primary",
    "coil_secondary",
    "path",
    "plug_gap",
    "air_gap",
    "lash_intake",
    "lash_exhaust",
    "compression",
)
"""What this shop reads at every visit, besides what the procedure asks for."""


@dataclass(frozen=True, slots=True)
class DrawnVisit:
    """A visit as it is submitted: its header, its entries in order, its runs."""

    header: VisitHeader
    entries: tuple[Entry, ...]
    runs: tuple[DrawnRun, ...]


class Shop:
    """Draws a shop's machines and their visits."""

    def __init__(self, size: ShopSize, seed: int = SEED) -> None:
        self.size = size
        self.seed = seed
        self.plan: Plan = plan(size, seed)
        self._visits = self.plan.of_machine()
        chance = Random(f"{seed}: makers")
        self._makers = shop_words.makers(chance)
        self._book = Book()
        self._procedure = lru_cache(maxsize=None)(self._worded)

    def machine(self, number: int) -> Machine:
        """A machine; every third customer has another one."""
        chance = self._chance("machine", number)
        owner = shop_words.person(self._chance("customer", number - number % 3 // 2))
        return Machine(
            id=uuid(chance),
            tag=f"M-{number + 1:03d}",
            customer=owner.name,
            phone=owner.phone,
            unit=chance.choice(shop_words.UNITS),
            engine=shop_words.engine(chance, self._makers),
            serial=shop_words.serial(chance),
            engine_class=self.plan.engine_class[number],
        )

    def history(self, number: int) -> Iterator[DrawnVisit]:
        """The visits of a machine, oldest first."""
        chance = self._chance("history", number)
        machine, parts = self.machine(number), dict[str, PartState]()
        options = {"cap_marking": chance.choice(("marked_5k", "marked_10k", "unmarked"))}
        for nth, visit in enumerate(self._visits[number].tolist(), 1):
            yield self._visit(chance, machine, (visit, nth), parts, options)

    def _chance(self, what: str, number: int) -> Random:
        return Random(f"{self.seed}: {what} {number}")

    def _worded(self, complaint: str, engine_class: str, wording: int) -> "Worded":
        own = self._book.procedure(complaint, engine_class)
        there = {check.key for check in own.checks}
        added = [
            check
            for name in ("service", "no_start", "no_shut_off", "ignition_bench")
            for check in self._book.procedure(name, engine_class).checks
            if check.key in MEASURED and check.key not in there
        ]
        unique = tuple({check.key: check for check in added}.values())
        looks = [i for i, c in enumerate(own.checks) if c.key == "stop_wire_back"]
        at = looks[0] if looks else len(own.checks)
        checks = own.checks[:at] + unique + own.checks[at:]
        if not looks:
            checks = tuple(replace(c, obliges="") for c in checks)
        year = FIRST_DAY.year + 4 * wording
        return Worded(
            replace(
                own,
                version=f"{own.version}, {year}",
                checks=tuple(shop_part.worded(check, year) for check in checks),
            ),
            self._book.causes(complaint, engine_class),
        )

    def _visit(
        self,
        chance: Random,
        machine: Machine,
        which: tuple[int, int],
        parts: dict[str, PartState],
        options: dict[str, str],
    ) -> DrawnVisit:
        number, nth = which
        complaint, opened = self.plan.complaint[number], self.plan.opened_at(number)
        worded = self._procedure(complaint, machine.engine_class, (opened.year - 2005) // 4)
        header = VisitHeader(
            id=uuid(chance),
            slip_number=f"{number + 1:04d}",
            machine=machine,
            interview=Interview(
                complaint=complaint,
                words=shop_words.said(chance, complaint),
                answers=(("minutes", str(60.0 * chance.randrange(5, 60))),)
                if complaint == "quits_hot"
                else (),
            ),
            procedure=worded.procedure,
            opened_at=opened,
            visit_of_machine=nth,
            shop="Corner Small Engines",
            bench="bench 1",
            done_by=chance.choice(("R.", "T.", "M.")),
            causes=worded.causes,
        )
        day = VisitDay(chance, header, parts, options)
        run = int(self.plan.run[number])
        day.work(int(self.plan.readings[number]), run, is_open=self.plan.is_open(number))
        return DrawnVisit(header, tuple(day.entries), tuple(day.runs))


@dataclass(frozen=True, slots=True)
class Worded:
    """A procedure and its causes as they were worded in some years."""

    procedure: Procedure
    causes: CauseBook | None
