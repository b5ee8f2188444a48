"""A shop at work: its store, spec book, meter and the visits on its benches, without a window."""

from benchassist.core.quantity import Quantity
from benchassist.core.slip import Paper, Slip
from benchassist.core.visit import Visit
from benchassist.errors import StepError
from benchassist.services.bench.bench import Bench
from benchassist.services.bench.floor import Fittings, Floor
from benchassist.services.bench.leases import BenchLeases
from benchassist.services.bench.taking import MeterSetup
from benchassist.services.desk import Desks
from benchassist.services.findings.findings import Findings
from benchassist.services.front.counter import Counter
from benchassist.services.logs.page import LogPage
from benchassist.services.metering.match_trial import MatchTrial
from benchassist.services.metering.meter import Meter
from benchassist.services.metering.meter_memory import MeterMemory
from benchassist.services.metering.meters_page import MetersPage
from benchassist.services.needs import (
    Benches,
    Clock,
    MeterRoom,
    RunStore,
    SlipPrinter,
    SpecBook,
    SpecSheets,
    Store,
)
from benchassist.services.receipt import Receipts
from benchassist.services.record.machine_desk import MachineDesk
from benchassist.services.record.machine_edit import MachineEdit
from benchassist.services.record.machine_shelf import MachineShelf
from benchassist.services.record.photo_need import Eye, Shelf
from benchassist.services.record.photo_room import PhotoRoom
from benchassist.services.record.photos import Photos
from benchassist.services.runs.tap import Tap
from benchassist.services.settings import Settings, SettingsFile
from benchassist.services.settings_page import SettingsPage
from benchassist.services.slips.photo import PhotoPrints
from benchassist.services.slips.slips import slip_of
from benchassist.services.slips.visit_printer import VisitPrinter
from benchassist.services.spec.editor import SpecEditor
from benchassist.services.tags.print import TagPrint, TagPrinter
from benchassist.services.tags.room import TagRoom
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
        shelf: Shelf | None = None,
        eye: Eye | None = None,
        benches: Benches | None = None,
    ) -> None:
        """`tap` is the sink that the room was made with; `runs` keeps what goes through it.

        `sheets` are the shop's own over `book`. Without `shelf` and `eye` it keeps no photos.
        """
        self.store = store
        self._runs = runs
        tap = tap or Tap()
        self.clock = clock
        self._book = book
        self._room, self._printer = room, printer
        self._tags = TagRoom(store, tag_printer)
        self._settings_file = settings_file
        self._receipts = Receipts(store)
        self._closed = False
        self.settings = settings_file.read()
        cards = book.meter_cards()
        self.meter = Meter(
            room,
            clock,
            cards,
            MeterSetup.of(self.settings.meter_card, self.settings.meter_accuracy, cards),
            memory=memory,
            tap=tap,
        )
        self.thermometer = Meter(
            room,
            clock,
            cards,
            MeterSetup(),
            memory=memory,
            name="B",
            tap=tap,
            meant_for=Quantity.TEMPERATURE,
        )
        self.floor = Floor(
            Fittings(
                store=store,
                receipts=self._receipts,
                book=book,
                clock=clock,
                meter=self.meter,
                thermometer=self.thermometer,
                leases=BenchLeases(benches, store, clock),
                runs=runs,
                tap=tap,
            )
        )
        self.own_bands = self.floor.own_bands
        self.photo_room: PhotoRoom | None = None
        self._pictures: PhotoPrints | None = None
        self._printing: VisitPrinter | None = None
        if shelf is not None and eye is not None:
            self._pictures = PhotoPrints(store, shelf, eye)
            self.photo_room = PhotoRoom(
                store=store,
                receipts=self._receipts,
                shelf=shelf,
                eye=eye,
                side=self.floor.side,
                clock=clock,
            )
        self.spec: SpecEditor | None = None
        if sheets is not None:
            self.spec = SpecEditor(sheets, self._reread, own_bands=self.own_bands, clock=clock)
        self.log = LogPage(self.settings.units)
        self._machines = MachineShelf(
            store=store,
            runs=runs,
            side=self.floor.side,
            clock=clock,
            bands=self.own_bands,
            meter=self.meter,
            on_bench=self.floor.visit_of,
            photos=lambda machine_id: self.photos(machine_id) if self.photo_room else None,
        )
        self.furnish(self.settings)

    def furnish(self, settings: Settings) -> None:
        """Put settings to work: desks are made anew, meters stay linked, visits stay open."""
        self.settings, self.units = settings, settings.units
        self._machines.speak(self.units)
        self.log.speak(self.units)
        self.floor.furnish(settings)
        self.settle()
        self.counter = Counter(
            store=self.store,
            receipts=self._receipts,
            book=self._book,
            clock=self.clock,
            meter=self.meter,
            settings=settings,
            units=self.units,
            settle=self.settle,
            leases=self.floor.leases,
        )
        self.floor.counter = self.counter
        self.meters = self._page_of(self.meter, self._settings_file)
        self.thermometers = self._page_of(self.thermometer, None)

    def _refurnish(self, settings: Settings) -> None:
        """As `furnish`; the pages before listen no more."""
        self._stop_listening()
        self.furnish(settings)

    def _stop_listening(self) -> None:
        for page in (self.meters, self.thermometers):
            page.stop_listening()

    def look_anew(self) -> None:
        """What was read of the records may be another by now: desks and files are made anew."""
        self._refurnish(self.settings)

    def machine_edit(self, machine_id: str) -> MachineEdit:
        """A machine's particulars, to be changed. Raises NotFoundError."""
        return MachineEdit(machine_id, store=self.store, receipts=self._receipts, book=self._book)

    def _reread(self) -> None:
        """The spec book changed: its meter cards are handed on. Open visits have theirs frozen."""
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

    def bench(self, visit_id: str) -> Bench:
        """The bench of a visit: the same one while it is under work. Raises as `Floor.bench`."""
        return self.floor.bench(visit_id)

    def findings(self, visit_id: str) -> Findings:
        """The findings of a visit: the same ones while its bench is. Raises NotFoundError."""
        return self.floor.findings(visit_id)

    def machine_file(self, machine_id: str) -> MachineDesk:
        """A machine's file: the same one while it is among the last that were looked at."""
        return self._machines.desk(machine_id)

    def photos(self, machine_id: str, visit_id: str = "") -> Photos:
        """A machine's photos, or the visit's; added to it. StepError where there are none."""
        if self.photo_room is None:
            raise StepError(_("there are no photos here"))
        machine_id = machine_id or self.machine_of(visit_id)
        return Photos(self.photo_room, machine_id, visit_id=visit_id, check=self.floor.check)

    def settle(self) -> None:
        """Let what is not in front finish what is on its way to disk."""
        self.floor.settle()
        if self.photo_room is not None:
            self.photo_room.settle()

    def printer(self, visit_id: str) -> VisitPrinter:
        """The slip of a visit, for the printer."""
        self._printing = VisitPrinter(
            self._printer,
            slip=lambda photos: slip_of(self.visit(visit_id), self.units, self._runs, photos),
            header=lambda: self.visit(visit_id).header,
            paper=Paper(self.settings.paper),
            prints=self._pictures,
        )
        return self._printing

    def tags(self, machine_id: str, visit_id: str) -> TagPrint:
        """Tags to print, of this machine or that of this visit first; both may be empty."""
        return self._tags.desk(machine_id or self.machine_of(visit_id), self.settings.paper)

    def visit(self, visit_id: str) -> Visit:
        """A visit as it stands: under work, else from the store."""
        return self.floor.visit(visit_id) or self.floor.side.visit(visit_id)

    def machine_of(self, visit_id: str) -> str:
        """The machine of a visit; of none, none."""
        return self.visit(visit_id).header.machine.id if visit_id else ""

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
            tags=self.tags if self._tags.open else None,
            machine_file=self.machine_file,
            machine_of=self.machine_of,
            photos=self.photos if self.photo_room is not None else None,
            machine_edit=self.machine_edit,
            renew=self.desks,
        )

    def slip(self, visit_id: str) -> Slip:
        """The slip as it stands, its photos as they are printed."""
        return slip_of(self.visit(visit_id), self.units, self._runs, self._pictures)

    def close(self) -> None:
        """Stop the meter, write what is in hand, stop the store. May be called twice."""
        if self._closed:
            return
        self._closed = True
        self._stop_listening()
        self.log.close()
        self.floor.end_runs()
        self.meter.disconnect()
        self.thermometer.disconnect()
        self.counter.hand_over()
        self.floor.hand_over()
        if self.photo_room is not None:
            self.photo_room.hand_over()
        self.floor.close()
        self._machines.close()
        if self._printing is not None:
            self._printing.close()
        self.store.close()
        self._tags.close()  # last: nothing in hand waits for it
