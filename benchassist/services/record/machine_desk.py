"""A machine's file in the window: read in a thread, read again once something was written."""

from collections.abc import Callable
from datetime import datetime
from typing import Final

from benchassist.core.entry import Entry, Noted, Stamp
from benchassist.core.run_plot import RunPlot
from benchassist.core.visit import Visit
from benchassist.errors import BenchError, InputError, NotFoundError, StepError
from benchassist.services.bench.side_pen import SidePen
from benchassist.services.errand import Errand
from benchassist.services.metering.link_text import link_text
from benchassist.services.metering.meter import Meter
from benchassist.services.needs import Clock, RunStore, Store
from benchassist.services.record.machine_file_view import (
    MachineFileView,
    MachinePageView,
    RunCard,
    RunsView,
    VisitCard,
)
from benchassist.services.record.machine_reader import FileRead, MachineReader
from benchassist.services.record.machine_runs import Laid, closer, laid_runs, runs_view
from benchassist.services.record.own_bands import OwnBands
from benchassist.services.record.photo_view import PhotoDesk
from benchassist.services.runs.past import Span
from benchassist.services.translation import _
from benchassist.services.typed_line import LONGEST_WORDS, line_of
from benchassist.units import UnitChoice

LOOK_EVERY_S: Final = 1.0
"""Seconds between two looks for what another bench wrote."""


class MachineDesk:
    """One machine; satisfies `machine_file_view.MachineFileDesk`.

    `on_bench` gives the machine's visit that is under work on this computer, None for none.
    """

    def __init__(
        self,
        machine_id: str,
        *,
        store: Store,
        runs: RunStore | None,
        side: SidePen,
        clock: Clock,
        units: UnitChoice,
        on_bench: Callable[[], Visit | None],
        photos: PhotoDesk | None = None,
        bands: OwnBands | None = None,
        meter: Meter | None = None,
        may_edit: bool = False,
    ) -> None:
        self.machine_id = machine_id
        self.photos = photos
        self._runs, self._side, self._clock, self._units = runs, side, clock, units
        self._on_bench = on_bench
        self._bands, self._may_edit, self._meter = bands, may_edit, meter
        self._reader = MachineReader(machine_id, store=store, units=units)
        self._reading: Errand[FileRead | None] | None = None
        self._read: FileRead | None = None
        self._looked_at = float("-inf")
        self._seen: tuple[str, int] | None = None
        """The visit on the bench and how far it was written at the last look."""
        self._trouble = self._said = ""
        self._run_key = self._run_id = ""
        self._laying: Errand[tuple[Laid, ...]] | None = None
        self._laid: tuple[Laid, ...] = ()
        self._runs_shown: RunsView | None = None
        self._look()

    # --- reading --------------------------------------------------------------------------------

    def tick(self) -> None:
        """Fetch what was read, look whether anything was written."""
        self._side.settle()
        if self._meter is not None:
            self._meter.take_in()
        if self.photos is not None:
            self.photos.tick()
        self._fetch()
        self._fetch_runs()
        if self._reading is None and (
            self._clock.monotonic() - self._looked_at >= LOOK_EVERY_S
            or self._progress() != self._seen
        ):
            self._look()

    def _progress(self) -> tuple[str, int] | None:
        visit = self._on_bench()
        return (visit.header.id, visit.next_seq) if visit is not None else None

    def _look(self) -> None:
        """Begin to read, from a copy of what is on the bench: that goes on being written."""
        visit = self._on_bench()
        current = Visit(visit.header, visit.entries) if visit is not None else None
        self._seen, self._looked_at = self._progress(), self._clock.monotonic()
        reader = self._reader
        self._reading = Errand(lambda: reader.read(current), "machine file")

    def _fetch(self) -> None:
        reading = self._reading
        if reading is None or not reading.done:
            return
        self._reading = None
        try:
            read = reading.result()
        except BenchError as error:
            self._trouble = str(error)
            return
        self._trouble = ""
        if read is not None:
            self._read = read
            if self._run_key:
                self._lay()

    @property
    def busy(self) -> bool:
        """Whether something is being read."""
        return self._reading is not None or self._laying is not None

    def close(self) -> None:
        """Wait for the threads."""
        for errand in (self._reading, self._laying):
            if errand is not None:
                errand.close()

    # --- showing --------------------------------------------------------------------------------

    def view(self) -> MachinePageView:
        """What the page shows now."""
        read = self._read
        meter = link_text(self._meter.link_state, self._meter.age) if self._meter else ""
        live = self._meter is not None and self._meter.live is not None
        if read is None:
            return MachinePageView(
                busy_text="" if self._trouble else _("Reading the file"),
                trouble=self._trouble,
                meter_text=meter,
                meter_live=live,
            )
        file, card = read.file, _note_goes_to(read.file)
        return MachinePageView(
            file=file,
            trouble=self._side.trouble or self._trouble,
            said=self._said,
            enter_text=_enter_text(read, self._clock.now()),
            enter_visit_id=file.open_visit_id,
            note_text=_("Note, on the visit of {title}").format(title=card.title) if card else "",
            runs=self._runs_shown,
            photos=self.photos.strip() if self.photos is not None else None,
            meter_text=meter,
            meter_live=live,
            may_mark=self._bands is not None,
            may_edit=self._may_edit,
        )

    # --- writing --------------------------------------------------------------------------------

    def note(self, text: str) -> None:
        """Note something on the open visit, else the newest. Raises InputError, StepError."""
        said = " ".join(text.split())
        if not said:
            raise InputError(_("note '': type what is to be remembered"))
        said = line_of(said, _("note"), LONGEST_WORDS)
        card = _note_goes_to(self._file())
        if card is None:
            raise StepError(_("this machine has no visit to note it on: open one first"))

        def noted(stamp: Stamp) -> Entry:
            return Noted(stamp=stamp, text=said)

        self._side.write(card.visit_id, noted)
        self._said = _("Noted on {slip}").format(slip=card.slip_text)
        self._looked_at = float("-inf")

    def mark(self, check_key: str, visit_id: str) -> None:
        """Mark the part known good that a visit's value of a quantity was taken at."""
        self._said = self._marks().mark(visit_id, self._reading_of(check_key, visit_id))
        self._looked_at = float("-inf")

    def set_aside(self, check_key: str, visit_id: str, reason: str) -> None:
        """Take that back, with the reason."""
        entry_id = self._reading_of(check_key, visit_id)
        self._said = self._marks().set_aside(visit_id, entry_id, reason)
        self._looked_at = float("-inf")

    def _marks(self) -> OwnBands:
        if self._bands is None:
            raise StepError(_("this shop keeps no known-good parts"))
        return self._bands

    def _reading_of(self, check_key: str, visit_id: str) -> str:
        """The id of a visit's reading of a quantity. Raises StepError where it took none."""
        rows = (
            row
            for card in self._file().quantities
            if card.check_key == check_key
            for row in card.rows
        )
        found = next((row.entry_id for row in rows if row.visit_id == visit_id), "")
        if not found:
            raise StepError(_("nothing was taken here in that visit: choose one that has a value"))
        return found

    # --- runs -----------------------------------------------------------------------------------

    def lay_over(self, check_key: str, run_id: str = "") -> None:
        """Lay the runs of a check over each other, that run the strong one; empty: no more."""
        if not check_key:
            self._run_key, self._laid, self._runs_shown = "", (), None
            return
        _run_card(self._file(), check_key)
        again = check_key == self._run_key
        self._run_key, self._run_id = check_key, run_id
        if not again:
            self._laid = ()
            self._lay()
        self._show_runs()

    def _lay(self) -> None:
        """Begin to read the samples of the card in view."""
        read, runs, units = self._read, self._runs, self._units
        if read is None or self._run_key not in {card.check_key for card in read.file.runs}:
            self.lay_over("")
            return
        card, visits = _run_card(read.file, self._run_key), read.visits
        self._laying = Errand(
            lambda: laid_runs(card, visits, runs=runs, units=units), "machine runs"
        )

    def _fetch_runs(self) -> None:
        laying = self._laying
        if laying is None or not laying.done:
            return
        self._laying = None
        try:
            laid = laying.result()
        except BenchError as error:
            self._trouble = str(error)
            return
        if self._run_key:
            self._laid = laid
            self._show_runs()

    def _show_runs(self) -> None:
        cards = self._file().runs
        card = _run_card(self._file(), self._run_key)
        place = _("{n} of {count}").format(n=cards.index(card) + 1, count=len(cards))
        self._runs_shown = runs_view(
            card,
            self._laid,
            self._run_id,
            place_text=place if len(cards) > 1 else "",
            busy=self._laying is not None,
        )

    def run_window(self, start_s: float, end_s: float, buckets: int) -> RunPlot:
        """The runs laid over each other between two moments. Raises NotFoundError for none."""
        span = Span(start_s=start_s, end_s=end_s, buckets=buckets)
        plot = closer(self._laid, self._run_id, span, runs=self._runs, units=self._units)
        if plot is None:
            raise NotFoundError(_("no runs are laid over each other"))
        return plot

    def _file(self) -> MachineFileView:
        if self._read is None:
            raise StepError(_("the file is still being read"))
        return self._read.file


def _run_card(file: MachineFileView, check_key: str) -> RunCard:
    card = next((card for card in file.runs if card.check_key == check_key), None)
    if card is None:
        raise StepError(_("no run is on file at '{key}'").format(key=check_key))
    return card


def _note_goes_to(file: MachineFileView) -> VisitCard | None:
    """The open visit, else the newest: the first card is both."""
    return file.visits[0] if file.visits else None


def _enter_text(read: FileRead, now: datetime) -> str:
    """What Enter does, in words."""
    visit = next((v for v in read.visits if v.header.id == read.file.open_visit_id), None)
    if visit is None:
        return _("New visit")
    if visit.header.opened_at.astimezone().date() == now.astimezone().date():
        return _("Open today’s slip")
    return _("Go on with slip {number}").format(number=visit.header.slip_number)
