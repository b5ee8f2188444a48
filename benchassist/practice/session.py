"""The practice bench at work: a shop of its own, a simulated meter linked, a visit to walk."""

from dataclasses import replace
from functools import cached_property

from benchassist.core.link import LinkRequest
from benchassist.practice.bench import PracticeBench
from benchassist.practice.hand import Hand
from benchassist.services.bench import Bench
from benchassist.services.bench_view import BenchView
from benchassist.services.desk import Desks
from benchassist.services.shop import Shop

CARD = "practice"

MACHINE = {
    "tag": "P-001",
    "customer": "Nether Moor Dairy",
    "unit": "Yard washer",
    "engine": "Fenwick-Orme 196, horizontal shaft",
    "serial": "FO-196-03317",
    "phone": "0555 0142",
    "engine_class": "A",
}
"""Invented, as everything on the practice bench."""

ANSWERS = {
    "complaint": "quits_hot",
    "words": "quits after about 25 min, restarts when it has cooled",
}


class PracticeBenchDesk:
    """A bench whose probes are held by the practice bench's hands."""

    def __init__(self, bench: Bench, hand: Hand) -> None:
        self.bench = bench
        self._hand = hand

    def tick(self) -> None:
        """Tick, then let the hands follow."""
        self.bench.tick()
        self._hand.follow(self.bench, self.bench.view())

    def view(self) -> BenchView:
        """What the bench shows now."""
        return self.bench.view()

    def act(self, action: str, argument: str = "") -> None:
        """Do what a key asked for."""
        self.bench.act(action, argument)


class PracticeSession:
    """Owns the simulated meter and the shop; close it to end both."""

    def __init__(self, shop: Shop, *, case: str = "coil-opens-hot", rate_hz: float = 4.0) -> None:
        self.shop = shop
        self.practice = PracticeBench(case=case, rate_hz=rate_hz)
        self.hand = Hand(self.practice)
        shop.meters.choose_card(CARD)
        shop.meter.connect(LinkRequest(port=self.practice.port, protocol=self.practice.protocol))

    def desks(self) -> Desks:
        """The window's desks; the practice visit comes to the front."""
        return replace(
            self.shop.desks(),
            bench=lambda visit_id: PracticeBenchDesk(self.shop.bench(visit_id), self.hand),
            practice=lambda: self.visit_id,
            visit_id=self.visit_id,
        )

    @cached_property
    def visit_id(self) -> str:
        """The open practice visit, or a new one."""
        still_open = self.shop.store.visits(open_only=True)
        if still_open:
            return still_open[0].id
        counter = self.shop.counter
        known = self.shop.store.machines(MACHINE["tag"])
        machine_id = known[0].id if known else counter.new_machine(MACHINE)
        return counter.open_visit(machine_id, ANSWERS)

    def close(self) -> None:
        """Stop the shop, then the meter."""
        self.shop.close()
        self.practice.close()
