"""A shop in a test's hands: fakes behind the ports, a bench that ticks, a meter fed by hand."""

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from benchassist.core.accuracy import Accuracy, MeterRange
from benchassist.core.band import Band
from benchassist.core.cause import CauseBook
from benchassist.core.entry import Taken
from benchassist.core.link import LinkRequest
from benchassist.core.procedure import (
    Answer,
    Caution,
    Check,
    CheckKind,
    Complaint,
    EngineClass,
    MeterCard,
    Procedure,
    Question,
)
from benchassist.core.quantity import Quantity
from benchassist.core.reading import LinkChange, LinkItem, LinkState, Reading
from benchassist.core.slip import Paper, Slip
from benchassist.core.visit import Visit, VisitHeader
from benchassist.errors import NotFoundError
from benchassist.services.bench.bench import Bench
from benchassist.services.bench.taking import MeterSetup
from benchassist.services.bench.view import BenchView, Number
from benchassist.services.metering.meter import Meter
from benchassist.services.receipt import Receipts
from benchassist.services.settings import Settings, SettingsFile
from benchassist.services.shop import Shop
from benchassist.units import UnitChoice, read_accuracy
from tests.core import entries
from tests.services import case
from tests.services.fakes import PLAIN, FakeClock, FakeRoom, FakeStore, overload

REQUEST = LinkRequest(port="/dev/fake0", protocol="nibble-14")
STATED = Accuracy(percent=0.8, counts=3.0)
CARD = MeterCard(
    key="drawer",
    name="Hand-held 2,000 counts",
    source_note="its booklet",
    ranges={
        Quantity.RESISTANCE: tuple(
            MeterRange(full_scale=200.0 * 10**i, resolution=0.1 * 10**i, accuracy=STATED)
            for i in range(6)
        ),
        Quantity.VOLTAGE: (
            MeterRange(full_scale=0.2, resolution=1e-4, accuracy=Accuracy(percent=0.5, counts=2.0)),
            MeterRange(full_scale=2.0, resolution=1e-3, accuracy=Accuracy(percent=0.5, counts=2.0)),
        ),
        Quantity.CURRENT: (
            MeterRange(full_scale=0.2, resolution=1e-4, accuracy=Accuracy(percent=1.0, counts=2.0)),
        ),
    },
)
OTHER_CARD = MeterCard(key="bench", name="Bench instrument", source_note="its booklet")
PRIMARY = Check(
    key="coil_primary",
    title="Coil primary",
    short="Primary",
    kind=CheckKind.MEASURE,
    quantity=Quantity.RESISTANCE,
    typical=200.0,
    band=Band(quantity=Quantity.RESISTANCE, low=0.6, high=1.3, copper=True),
    volt_drop=True,
)
GAP = Check(
    key="plug_gap",
    title="Plug gap",
    short="Plug gap",
    kind=CheckKind.GAUGE,
    quantity=Quantity.LENGTH,
    band=Band(quantity=Quantity.LENGTH, low=0.7e-3, high=0.8e-3),
    accuracy=Accuracy(percent=0.0, counts=1.0),
    accuracy_note="feeler",
)
BOTH_WAYS = Check(
    key="low_oil",
    title="Low-oil switch",
    short="Low oil",
    kind=CheckKind.MEASURE,
    quantity=Quantity.RESISTANCE,
    typical=2e6,
    band=Band(quantity=Quantity.RESISTANCE, low=1e3),
    polarities=2,
)
COMPLAINTS = (
    Complaint(
        key="quits_hot",
        name="Quits hot, restarts cold",
        procedure="short",
        questions=(
            Question(key="minutes", text="Minutes until it quits?", quantity=Quantity.DURATION),
            Question(
                key="how",
                text="How does it quit?",
                answers=(
                    Answer(key="sudden", text="At once"),
                    Answer(key="fading", text="It fades"),
                ),
            ),
            Question(key="touched", text="What was touched last?"),
        ),
    ),
    Complaint(key="no_start", name="Does not start", procedure="short"),
)


def with_checks(*checks: Check) -> VisitHeader:
    """The header of a visit of these checks before the usual ones."""
    usual = entries.procedure()
    return replace(entries.header(), procedure=replace(usual, checks=(*checks, *usual.checks)))


class FakeBook:
    """A small spec book: two complaints, two engine classes, one procedure, two meter cards."""

    faults: tuple[str, ...] = ()

    def engine_classes(self) -> tuple[EngineClass, ...]:
        """A known class and the unknown one."""
        return (
            EngineClass(key="a", name="Flywheel magneto"),
            EngineClass(key="unknown", name="Not known"),
        )

    def complaints(self) -> tuple[Complaint, ...]:
        """One with an interview, one without."""
        return COMPLAINTS

    def procedure(self, key: str, engine_class: str) -> Procedure:
        """The one there is, for an engine class. Raises NotFoundError."""
        if key != "short":
            raise NotFoundError(f"no procedure '{key}'")
        return replace(entries.procedure(), engine_class=engine_class)

    def causes(self, complaint: str, engine_class: str = "") -> CauseBook | None:
        """Causes of the complaint that has an interview, whatever the class is."""
        return case.book() if complaint == "quits_hot" and engine_class else None

    def caution(self, key: str) -> Caution:
        """A caution of that key."""
        return Caution(key=key, text=f"Take care: {key}.", short=key)

    def sharing(self, check_key: str, engine_class: str) -> tuple[str, ...]:
        """A cap is marked alike on every class."""
        every = tuple(one.key for one in self.engine_classes())
        if check_key == "cap":
            return every
        return (engine_class,) if engine_class else ()

    def meter_cards(self) -> tuple[MeterCard, ...]:
        """Two cards."""
        return (CARD, OTHER_CARD)


class FakePrinter:
    """Keeps what it was to print."""

    def __init__(self) -> None:
        self.printed: list[Slip] = []
        self.drawn_on: list[object] = []

    def write_pdf(self, slip: Slip, path: Path, *, paper: Paper = Paper.A4) -> None:
        """Write the title in place of a page."""
        self.printed.append(slip)
        path.write_text(f"{slip.title} {paper.value}", "utf-8")

    def print_on(self, printer: object, slip: Slip) -> None:
        """Keep both."""
        self.printed.append(slip)
        self.drawn_on.append(printer)


class ShopRig:
    """A whole shop over fakes."""

    def __init__(self, home: Path, *, store: FakeStore | None = None) -> None:
        self.clock = FakeClock()
        self.store = store or FakeStore()
        self.room = FakeRoom()
        self.printer = FakePrinter()
        self.file = SettingsFile(home / "settings.json")
        self.shop = Shop(
            store=self.store,
            book=FakeBook(),
            room=self.room,
            printer=self.printer,
            clock=self.clock,
            settings_file=self.file,
        )

    def machine(self, tag: str = "M-001", **given: str) -> str:
        """A new machine's id."""
        return self.shop.counter.new_machine({"tag": tag, "unit": "Yard washer"} | given)

    def visit(self, machine_id: str = "", **answers: str) -> str:
        """A visit just opened, its id."""
        given = {"complaint": "quits_hot"} | answers
        return self.shop.counter.open_visit(machine_id or self.machine(), given)


class BenchRig:
    """A bench with a fake store and, if wanted, a linked meter."""

    def __init__(
        self,
        *checks: Check,
        meter: bool = True,
        card: MeterCard | None = None,
        units: UnitChoice | None = None,
        settings: Settings | None = None,
    ) -> None:
        self.clock = FakeClock()
        self.store = FakeStore()
        self.room = FakeRoom()
        setup = (
            MeterSetup(name=card.name, card=card)
            if card is not None
            else MeterSetup(
                name="hand-held", accuracy=read_accuracy("0.8% + 3"), accuracy_note="0.8% + 3"
            )
        )
        self.meter = Meter(self.room, self.clock, (CARD, OTHER_CARD), setup)
        if meter:
            self.meter.connect(REQUEST)
            self.meter.keep_match(self.clock.now())
        self.t = 0.0
        self.bench = Bench(
            Visit(with_checks(*checks)),
            store=self.store,
            receipts=Receipts(self.store),
            clock=self.clock,
            meter=self.meter,
            settings=settings or Settings(shop_celsius=21.0),
            units=units or UnitChoice(),
            new=True,
        )

    # --- what comes in ---------------------------------------------------------------------------

    def hear(self, *items: LinkItem) -> None:
        """Things a link says, then one tick."""
        self.room.links[-1].items.extend(items)
        self.bench.tick()

    def state(self, state: LinkState, detail: str = "") -> None:
        """The link goes into a state."""
        self.hear(LinkChange(t_s=self.t, channel="A", state=state, detail=detail))

    def feed(self, reading: Reading, *, seconds: float = 2.0) -> None:
        """The same reading four times a second, the bench ticking along."""
        for _ in range(int(seconds * 4)):
            self.t += 0.25
            self.clock.pass_by(0.25)
            self.hear(replace(reading, t_s=self.t))

    def touch(self, ohm: float, *, seconds: float = 2.0, resolution: float = 1.0) -> None:
        """Hold the probes on something."""
        self.feed(replace(PLAIN, value=ohm, resolution=resolution), seconds=seconds)

    def lift(self, *, seconds: float = 1.0) -> None:
        """Probes in the air."""
        self.feed(overload(self.t), seconds=seconds)

    # --- what is done ----------------------------------------------------------------------------

    def past_the_start(self) -> None:
        """Temperature by one key, what opens the visit passed over."""
        self.bench.act("submit", "")
        self.bench.act("skip")
        self.bench.act("skip")

    def type(self, *lines: str) -> None:
        """Type lines one after the other, the first after M."""
        self.bench.act("type")
        self.say(*lines)

    def say(self, *lines: str) -> None:
        """Answer what the bench asks for, line by line."""
        for line in lines:
            self.bench.act("submit", line)
        self.bench.tick()

    # --- what stands -----------------------------------------------------------------------------

    @property
    def view(self) -> BenchView:
        """The screen."""
        return self.bench.view()

    @property
    def number(self) -> Number:
        """The number block."""
        return self.view.number

    def taken(self) -> list[Taken]:
        """Everything taken so far, struck or not."""
        return [e for e in self.bench.visit.entries if isinstance(e, Taken)]


def names(items: Iterable[object]) -> list[str]:
    """The class names of entries, in order."""
    return [type(item).__name__ for item in items]
