"""The pages of the window: which is in front, what each works on, and the way back."""

from functools import partial
from typing import TypeVar

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from benchassist.errors import StepError
from benchassist.services.desk import BenchDesk, Desks, MachineFileDesk
from benchassist.services.translation import _
from benchassist.ui.counter_page import CounterPage
from benchassist.ui.page import Page, Turn
from benchassist.ui.pedal import Pedal
from benchassist.ui.trail import Trail

Desk = TypeVar("Desk")

WORKED_ON = ("bench", "findings", "machine", "match", "photos", "print", "tags")
"""Pages that hold what they were turned to with; the slip's page needs the bench's visit."""


class PageStack(QWidget):
    """Pages by name, one of them in front. The window around them is the subclass's."""

    cued = Signal(object)
    """A `Heard` of whatever page."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.desks: Desks | None = None
        self.visit_id = ""
        self._bench_desk: BenchDesk | None = None
        self.pages: dict[str, Page] = {}
        self._trail = Trail("counter")
        self._worked_on: dict[str, Turn] = {}
        self.counter = CounterPage(self)
        self.page: Page = self.counter
        self._add("counter", self.counter)

    def _add(self, name: str, page: Page) -> None:
        self.pages[name] = page
        page.setVisible(page is self.page)
        page.turned.connect(self.turn)
        page.bar_changed.connect(self._show_frame)
        page.cued.connect(self.cued)

    def _show_frame(self) -> None:
        """Show the bar and the keys of the page in front."""
        raise NotImplementedError

    def build_pages(self, pedal: Pedal) -> None:
        """Make every page but the counter: they come after the first paint."""
        from benchassist.ui.bench_page import BenchPage
        from benchassist.ui.findings_page import FindingsPage
        from benchassist.ui.interview_page import InterviewPage
        from benchassist.ui.keys_page import KeysPage
        from benchassist.ui.log_page import LogPage
        from benchassist.ui.machine_page import MachinePage
        from benchassist.ui.match_page import MatchPage
        from benchassist.ui.meters_page import MetersPage
        from benchassist.ui.new_machine_page import NewMachinePage
        from benchassist.ui.photo_entrance import PhotoEntrance
        from benchassist.ui.photo_page import PhotoPage
        from benchassist.ui.print_page import PrintPage
        from benchassist.ui.settings_page import SettingsPage
        from benchassist.ui.spec_page import SpecPage
        from benchassist.ui.tag_page import TagPage

        self.bench = BenchPage(self)
        self.findings = FindingsPage(self)
        self.meters = MetersPage(self)
        self.match = MatchPage(self)
        self.new_machine = NewMachinePage(self)
        self.interview = InterviewPage(self)
        self.photos = PhotoPage(self)
        self.printing = PrintPage(self)
        self.settings = SettingsPage(self)
        self.log = LogPage(self)
        self.spec = SpecPage(self)
        self.tags = TagPage(self)
        self.machine = MachinePage(self)
        self.keys = KeysPage(pedal, self)
        self._add("bench", self.bench)
        self._add("findings", self.findings)
        self._add("meters", self.meters)
        self._add("match", self.match)
        self._add("new_machine", self.new_machine)
        self._add("interview", self.interview)
        self._add("photos", self.photos)
        self._add("print", self.printing)
        self._add("settings", self.settings)
        self._add("log", self.log)
        self._add("spec", self.spec)
        self._add("tags", self.tags)
        self._add("machine", self.machine)
        self._add("help", self.keys)
        self.settings.kept.connect(self.renew)
        self._build_records()
        self.entrance = PhotoEntrance(self, self, self.photos)

    def _build_records(self) -> None:
        from benchassist.ui.edit_machine_page import EditMachinePage
        from benchassist.ui.records_page import RecordsPage

        self.edit_machine = EditMachinePage(self)
        self.records = RecordsPage(self)
        self._add("machine_edit", self.edit_machine)
        self._add("records", self.records)
        self.records.renewed.connect(self.begin_anew)

    # --- desks ---------------------------------------------------------------------------------

    def open_desks(self, desks: Desks) -> None:
        """Put the pages that need nothing more to work on these desks."""
        self.desks = desks
        self.counter.open(desks.counter, keeps=desks.records is not None)
        self.meters.open(desks.meters, desks.thermometer)
        self.new_machine.open(desks.counter)
        self.interview.open(desks.counter)

    def renew(self) -> None:
        """Ask for the desks anew; every page goes on with what it worked on."""
        renew = self.desks.renew if self.desks is not None else None
        if renew is not None:
            self.page.attempt(lambda: self._go_on_with(renew()))

    def begin_anew(self) -> None:
        """The records may be others: no page goes on with what it worked on."""
        self._worked_on.clear()
        self._trail = Trail("counter")
        self.renew()

    def _go_on_with(self, desks: Desks) -> None:
        self.open_desks(desks)
        self.visit_id = self.findings.visit_id = ""
        for name in WORKED_ON:
            if name in self._worked_on:
                try:
                    self._prepare(name, self._worked_on[name], desks)
                except StepError:  # the visit is on another bench by now
                    del self._worked_on[name]

    def worked_on(self, name: str) -> Turn | None:
        """What a page was last turned to with."""
        return self._worked_on.get(name)

    # --- turning -------------------------------------------------------------------------------

    def turn(self, to: Turn) -> None:
        """Bring a page to the front. Raises nothing: a refusal stays on the page it came from."""
        desks, back = self.desks, to.page == "back"
        name = self._trail.back if back else to.page
        if desks is None and name not in {"counter", "help"}:
            self.page.problem = _("Not before the shop file is open.")
            self.page.refresh()
            return
        if name not in {*self.pages, "practice"}:
            return
        prepare = partial(self._prepare, name, to, desks) if desks is not None else None
        if prepare is not None and not back and not self.page.attempt(prepare):
            self.page.refresh()
            return
        target = self.pages.get(name)
        if target is None or target is self.page:
            return
        leaving = self.page
        self._trail.go(next(k for k, p in self.pages.items() if p is leaving), name, back=back)
        leaving.left()
        leaving.hide()
        self.page = target
        target.show()
        target.entered()
        target.refresh()
        self._show_frame()

    def _prepare(self, name: str, to: Turn, desks: Desks) -> None:
        """Hand a page what it works on."""
        match name:
            case "bench" if to.visit_id:
                self._open_bench(to.visit_id, desks)
                self._worked_on[name] = to
            case "findings":
                self._open_findings(to.visit_id or self.visit_id, desks)
                self._worked_on[name] = to
            case "machine":
                self.machine.open(_machine_of(desks, to, self.visit_id))
                self._worked_on[name] = to
            case "match":
                self.match.open(desks, second=to.second)
                self._worked_on[name] = to
            case "photos":
                from benchassist.ui.photo_entrance import photos_of

                self.photos.open(photos_of(desks, to, self.visit_id))
                self._worked_on[name] = to
            case "print":
                visit_id = to.visit_id or self.visit_id
                self.printing.open(desks.printer(visit_id), visit_id)
                self._worked_on[name] = to
            case "tags":
                tags = _there(desks.tags, _("there is no printer for tags here"))
                self.tags.open(tags(to.machine_id, to.visit_id))
                self._worked_on[name] = to
            case _:
                self._begin(name, to, desks)

    def _begin(self, name: str, to: Turn, desks: Desks) -> None:
        """Pages that hold nothing of a visit."""
        match name:
            case "interview":
                file = desks.machine_file
                self.interview.ask(to.machine_id, file(to.machine_id) if file else None)
            case "new_machine":
                self.new_machine.begin()
            case "machine_edit":
                edit = _there(desks.machine_edit, _("a machine cannot be changed here"))
                self.edit_machine.open(edit(to.machine_id))
            case "records":
                records = _there(
                    desks.records, _("nothing is backed up here: open the shop itself")
                )
                self.records.open(records())
            case "settings":
                self.settings.open(_there(desks.settings, _("there are no settings here")))
            case "log":
                self.log.open(_there(desks.log, _("there are no logs to open here")))
            case "spec":
                self.spec.open(_there(desks.spec, _("there is no spec book to change here")))
            case "practice":
                self._open_practice(desks)

    def _open_bench(self, visit_id: str, desks: Desks) -> None:
        """The bench is asked for each time: it is the same one while the visit is held here."""
        desk = desks.bench(visit_id)
        if visit_id != self.visit_id or not self.bench.is_of(desk):
            self.bench.open(desk)
            self.visit_id = visit_id

    def _open_findings(self, visit_id: str, desks: Desks) -> None:
        """The page goes on where it was while it is the same visit."""
        findings = _there(desks.findings, _("there are no findings here"))
        if visit_id != self.findings.visit_id:
            self.findings.open(findings(visit_id), visit_id)

    def _open_practice(self, desks: Desks) -> None:
        visit_id = desks.practice()
        if visit_id:
            self.turn(Turn(page="bench", visit_id=visit_id))


def _there(desk: Desk | None, lacking: str) -> Desk:
    """What a shop may have or not. Raises StepError where it has it not."""
    if desk is None:
        raise StepError(lacking)
    return desk


def _machine_of(desks: Desks, to: Turn, visit_id: str) -> MachineFileDesk:
    """The file of the machine named, else of the one whose visit is on the bench."""
    lacking = _("there are no machine files here")
    file, machine_of = _there(desks.machine_file, lacking), _there(desks.machine_of, lacking)
    return file(to.machine_id or machine_of(to.visit_id or visit_id))
