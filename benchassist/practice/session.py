"""The practice bench at work: a shop of its own, simulated meters linked, a visit to walk."""

from collections.abc import Callable
from dataclasses import replace
from types import TracebackType
from typing import Self

from benchassist.core.accuracy import Accuracy, MeterRange
from benchassist.core.link import LinkRequest
from benchassist.core.procedure import MeterCard
from benchassist.core.quantity import Quantity
from benchassist.core.run_plot import RunPlot
from benchassist.errors import LinkError, NotFoundError
from benchassist.practice.bench import DEFAULT_CASE, PracticeBench
from benchassist.practice.desk import HandsDesk
from benchassist.practice.hand import Hand
from benchassist.services.bench.bench import Bench
from benchassist.services.bench.view import BenchView
from benchassist.services.desk import Desks
from benchassist.services.shop import Shop
from benchassist.services.translation import _

CARD = "practice"
THERMOMETER = MeterCard(
    key="",
    name=_("Practice thermometer"),
    source_note=_("Invented figures of the practice bench"),
    ranges={
        Quantity.TEMPERATURE: (
            MeterRange(
                full_scale=1000.0, resolution=0.1, accuracy=Accuracy(percent=0.5, counts=10.0)
            ),
        )
    },
)
DEFAULT_ENGINE = "dies"
PACE = 20.0
"""How much faster than life parts and engine warm up, where nobody chose otherwise."""

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
        """Tick, then let the hands follow; a practice meter that has ended is said in one line."""
        self.bench.tick()
        try:
            self._hand.follow(self.bench, self.bench.view())
        except LinkError as error:
            self.bench.message = str(error)

    def view(self) -> BenchView:
        """What the bench shows now."""
        return self.bench.view()

    def act(self, action: str, argument: str = "") -> None:
        """Do what a key asked for."""
        self.bench.act(action, argument)

    def run_window(self, run_id: str, start_s: float, end_s: float, buckets: int) -> RunPlot:
        """The run in view between two moments."""
        return self.bench.run_window(run_id, start_s, end_s, buckets)


class PracticeSession:
    """A shop with the simulated meter and thermometer linked; close it to end both.

    The shop stays open.
    """

    def __init__(
        self,
        shop: Shop,
        *,
        case: str = DEFAULT_CASE,
        engine: str = DEFAULT_ENGINE,
        rate_hz: float = 4.0,
        pace: float = PACE,
        haste: float = 1.0,
    ) -> None:
        self.shop = shop
        shop.meters.choose_card(CARD)
        shop.floor.pace = lambda: self.practice.sight.pace
        self.practice = PracticeBench(case=case, engine=engine, rate_hz=rate_hz, pace=pace)
        self.hand = Hand(self.practice, haste=haste)
        self.hands = HandsDesk(
            self.hand, self.practice, units=lambda: shop.units, case=case, engine=engine
        )
        self._visit_id = ""
        self._machine_id = ""
        practice = self.practice
        shop.meter.connect(LinkRequest(port=practice.port, protocol=practice.protocol))
        shop.thermometer.connect(
            LinkRequest(port=practice.thermometer_port, protocol=practice.thermometer_protocol)
        )
        shop.thermometer.choose_card(THERMOMETER)
        # A simulated meter has no display to compare with: what it sends is what it shows.
        for meter in (shop.meter, shop.thermometer):
            meter.keep_match(shop.clock.now())

    def desks(self, *, bring: Callable[[], None] | None = None) -> Desks:
        """The window's desks; the practice visit comes to the front.

        `bring` shows the window of the practice hands again, when the practice bench is asked for.
        """

        def practice() -> str:
            if bring is not None:
                bring()
            return self.visit_id

        def renew() -> Desks:
            return replace(
                self.shop.desks(),
                bench=lambda visit_id: PracticeBenchDesk(self.shop.bench(visit_id), self.hand),
                practice=practice,
                renew=renew,
            )

        return replace(renew(), visit_id=self.visit_id)

    @property
    def visit_id(self) -> str:
        """The open visit of the practice machine; a new one where it has none, or closed it."""
        if not self._visit_id or self._is_closed(self._visit_id):
            self._visit_id = self._open_visit()
        return self._visit_id

    def _is_closed(self, visit_id: str) -> bool:
        try:
            return self.shop.visit(visit_id).closed
        except NotFoundError:  # opened, and not on the bench yet
            return False

    def _open_visit(self) -> str:
        machine_id = self._machine()
        still_open = self.shop.store.visits(open_only=True, machine_id=machine_id)
        for visit in still_open:
            if not self._is_closed(visit.id):  # closed, and that not on disk yet
                return visit.id
        return self.shop.counter.open_visit(machine_id, ANSWERS)

    def _machine(self) -> str:
        """The id of the practice machine, made where the shop does not have it."""
        tag = MACHINE["tag"]
        if not self._machine_id:
            known = [m.id for m in self.shop.store.machines_of_tag(tag)]
            self._machine_id = known[0] if known else self.shop.counter.new_machine(MACHINE)
        return self._machine_id

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Unlink the meters, then end them."""
        self.shop.meter.disconnect()
        self.shop.thermometer.disconnect()
        self.practice.close()
