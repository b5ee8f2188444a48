"""A shop at work: its store, spec book, meter and the visits on its benches, without a window."""

from pathlib import Path

from benchassist.core.entry import RunEnded
from benchassist.core.procedure import Check, MeterCard
from benchassist.core.quantity import Quantity
from benchassist.core.slip import Paper, Slip
from benchassist.core.visit import Visit
from benchassist.errors import StepError
from benchassist.services.bench import Bench
from benchassist.services.counter import Counter
from benchassist.services.desk import Desks
from benchassist.services.findings import Findings
from benchassist.services.log_page import LogPage
from benchassist.services.match_trial import MatchTrial
from benchassist.services.meter import Meter
from benchassist.services.meter_memory import MeterMemory
from benchassist.services.meters_page import MetersPage
from benchassist.services.needs import (
    Clock,
    MeterRoom,
    RunStore,
    SlipPrinter,
    SpecBook,
    SpecSheets,
    Store,
)
from benchassist.services.receipt import Receipts
from benchassist.services.run_history import earlier_run
from benchassist.services.run_keeping import RunKeeping, as_in_life
from benchassist.services.run_tap import Tap
from benchassist.services.run_work import Earlier, Pace
from benchassist.services.settings import Settings, SettingsFile
from benchassist.services.settings_page import SettingsPage
from benchassist.services.slips import slip_of
from benchassist.services.spec_editor import SpecEditor
from benchassist.services.tag_print import TagPrint, TagPrinter
from benchassist.services.taking import MeterSetup
from benchassist.services.translation import _


class Shop:
    """Makes the desks of the window and keeps a bench until all it wrote is on disk."""

    def __init__(
        self,
        *,
        store: Store,
        book: SpecBook,
        room: MeterRoom,
        printer: SlipPrinter,
        clock: Clock,
        settings_file: SettingsFile,
        memory: MeterMemory | None = None,
        runs: RunStore | None = None,
        tap: Tap | None = None,
        sheets: SpecSheets | None = None,
        tag_printer: TagPrinter | None = None,
    ) -> None:
        """`tap` is the sink that the room was made with; `runs` keeps what goes through it.

        `sheets` are the shop's own over `book`.
        """
        self.store = store
        self._runs = runs
        self._tap = tap or Tap()
        self.clock = clock
        self._book = book
        self._room = room
        self._printer = printer
        self._tag_printer = tag_printer
        self._settings_file = settings_file
        self._receipts = Receipts(store)
        self._benches: dict[str, Bench] = {}
        self._findings: dict[str, tuple[Bench, Findings]] = {}
        self._closed = False
        self.pace: Pace = as_in_life
        """The practice bench warms its parts faster."""
        self.settings = settings_file.read()
        cards = book.meter_cards()
        self.meter = Meter(room, clock, cards, self._setup(cards), memory=memory, tap=self._tap)
        self.thermometer = Meter(
            room,
            clock,
            cards,
            MeterSetup(),
            memory=memory,
            name="B",
            tap=self._tap,
            meant_for=Quantity.TEMPERATURE,
        )
        self.spec = SpecEditor(sheets, self._reread) if sheets is not None else None
        self.log = LogPage(self.settings.units)
        self.furnish(self.settings)

    def furnish(self, settings: Settings) -> None:
        """Put settings to work: desks are made anew, meters stay linked, visits stay open."""
        self.settings, self.units = settings, settings.units
        self.log.speak(self.units)
        self.settle()
        self._benches = {
            visit_id: bench
            for visit_id, bench in self._benches.items()
            if not bench.pen.all_in_ink or bench.run.on
        }
        self.counter = Counter(
            store=self.store,
            receipts=self._receipts,
            book=self._book,
            clock=self.clock,
            meter=self.meter,
            settings=settings,
            units=self.units,
            settle=self.settle,
        )
        self.meters = self._page_of(self.meter, self._settings_file)
        self.thermometers = self._page_of(self.thermometer, None)

    def _refurnish(self, settings: Settings) -> None:
        """As `furnish`; the pages before listen no more."""
        for page in (self.meters, self.thermometers):
            page.stop_listening()
        self.furnish(settings)

    def _reread(self) -> None:
        """The spec book changed: its meter cards are handed on, the rest is asked for as needed.

        A visit that is open has its procedure and its causes frozen in its header.
        """
        cards = self._book.meter_cards()
        for meter in (self.meter, self.thermometer):
            meter.cards = cards
            meter.wear(meter.setup.renewed(cards))

    def _page_of(self, meter: Meter, file: SettingsFile | None) -> MetersPage:
        return MetersPage(
            room=self._room,
            meter=meter,
            clock=self.clock,
            settings=self.settings,
            file=file,
            units=self.units,
        )

    def _setup(self, cards: tuple[MeterCard, ...]) -> MeterSetup:
        card = next((c for c in cards if c.key == self.settings.meter_card), None)
        name = card.name if card is not None else ""
        return MeterSetup(name=name, card=card).stating(self.settings.meter_accuracy)

    def bench(self, visit_id: str) -> Bench:
        """The bench of a visit: the same one while it is under work. Raises NotFoundError."""
        if visit_id not in self._benches:
            header = self.counter.header_of(visit_id)
            visit = Visit(header) if header else Visit(*self.store.visit(visit_id))
            bench = Bench(
                visit,
                store=self.store,
                receipts=self._receipts,
                clock=self.clock,
                meter=self.meter,
                thermometer=self.thermometer,
                settings=self.settings,
                units=self.units,
                new=header is not None,
                keeping=self._keeping(visit),
            )
            self._benches[visit_id] = bench
        return self._benches[visit_id]

    def findings(self, visit_id: str) -> Findings:
        """The findings of a visit: the same ones while its bench is. Raises NotFoundError."""
        bench = self.bench(visit_id)
        kept = self._findings.get(visit_id)
        if kept is None or kept[0] is not bench:
            self._findings = {visit_id: (bench, Findings(bench, self._book.caution))}
        return self._findings[visit_id][1]

    def _keeping(self, visit: Visit) -> RunKeeping:
        def history(check: Check, ended: RunEnded | None) -> Earlier | None:
            return earlier_run(
                visit, check, ended, store=self.store, runs=self._runs, units=self.units
            )

        return RunKeeping(store=self._runs, tap=self._tap, history=history, pace=self.pace)

    def settle(self) -> None:
        """Let benches that are not in front finish what is on its way to disk."""
        for visit_id, bench in list(self._benches.items()):
            bench.settle()
            if bench.pen.all_in_ink and bench.visit.closed:
                del self._benches[visit_id]

    def printer(self, visit_id: str) -> "VisitPrinter":
        """The slip of a visit, for the printer."""
        return VisitPrinter(self, visit_id)

    def tags(self, machine_id: str, visit_id: str) -> TagPrint:
        """Tags to print, of this machine or that of this visit first; both may be empty."""
        if self._tag_printer is None:
            raise StepError(_("there is no printer for tags here"))
        if not machine_id and visit_id:
            machine_id = self.visit(visit_id).header.machine.id
        return TagPrint(
            store=self.store,
            printer=self._tag_printer,
            paper=self.settings.paper,
            machine_id=machine_id,
        )

    def visit(self, visit_id: str) -> Visit:
        """A visit as it stands: under work, else from the store."""
        bench = self._benches.get(visit_id)
        return bench.visit if bench is not None else Visit(*self.store.visit(visit_id))

    def desks(self) -> Desks:
        """Everything the window needs."""
        return Desks(
            counter=self.counter,
            meters=self.meters,
            bench=self.bench,
            printer=self.printer,
            findings=self.findings,
            match=MatchTrial(self.meter, self.clock, self.units),
            thermometer=self.thermometers,
            match_thermometer=MatchTrial(self.thermometer, self.clock, self.units),
            settings=SettingsPage(self._settings_file, self._refurnish),
            log=self.log,
            spec=self.spec,
            tags=self.tags if self._tag_printer is not None else None,
            renew=self.desks,
        )

    def write_slip(self, visit_id: str, path: Path, paper: Paper) -> None:
        """The slip as a PDF."""
        self._printer.write_pdf(self.slip(visit_id), path, paper=paper)

    def slip(self, visit_id: str) -> Slip:
        """The slip as it stands."""
        return slip_of(self.visit(visit_id), self.units, self._runs)

    def print_on(self, visit_id: str, printer: object) -> None:
        """Draw the slip on a printer of the window's toolkit."""
        self._printer.print_on(printer, self.slip(visit_id))

    def close(self) -> None:
        """Stop the meter, write what is in hand, stop the store. May be called twice."""
        if self._closed:
            return
        self._closed = True
        for page in (self.meters, self.thermometers):
            page.stop_listening()
        self.log.close()
        for bench in self._benches.values():
            if bench.run.on:
                bench.run.end(cut=True)
        self.meter.disconnect()
        self.thermometer.disconnect()
        self.counter.hand_over()
        for bench in self._benches.values():
            bench.pen.hand_over()
        self.store.close()


class VisitPrinter:
    """One visit's slip on paper; satisfies `desk.PrinterDesk`."""

    def __init__(self, shop: Shop, visit_id: str) -> None:
        self._shop = shop
        self._visit_id = visit_id

    def slip(self) -> Slip:
        """The slip as it stands."""
        return self._shop.slip(self._visit_id)

    def write_pdf(self, path: Path) -> None:
        """One PDF page. Raises PrintError."""
        self._shop.write_slip(self._visit_id, path, Paper(self._shop.settings.paper))

    def print_on(self, printer: object) -> None:
        """Draw the page on a paint device of the window's toolkit. Raises PrintError."""
        self._shop.print_on(self._visit_id, printer)

    def file_name(self) -> str:
        """A file name for the PDF."""
        return f"slip-{self._shop.visit(self._visit_id).header.slip_number}.pdf"
