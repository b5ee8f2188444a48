"""Desks that show one invented view and write down what the window asked of them."""

from collections.abc import Callable, Mapping
from pathlib import Path

from benchassist.core.run_plot import RunPlot
from benchassist.core.slip import Slip
from benchassist.errors import BenchError, InputError
from benchassist.services.bench.view import BenchView
from benchassist.services.desk import (
    COMPLAINT,
    CounterView,
    Desks,
    Field,
    FindingsDesk,
    FindingsView,
    LogDesk,
    LogView,
    MachineEditDesk,
    MachinePageView,
    MatchDesk,
    MatchView,
    MetersDesk,
    MetersView,
    ProposalRow,
    RecordsDesk,
    SettingsDesk,
    SpecDesk,
)
from tests.ui.findings_views import NAMED
from tests.ui.log_views import FakeLog
from tests.ui.machine_views import FakeMachine
from tests.ui.photo_views import FakePhotos
from tests.ui.tag_views import FakeTags
from tests.ui.views import (
    COUNTER,
    FORM,
    MATCH_EMPTY,
    METERS_OFF,
    QUESTIONS,
    SETTINGS,
    STEADYING,
    THERMOMETER,
)


class FakeBench:
    """A bench that stands still. `refuses` is raised at the next action."""

    def __init__(self, view: BenchView) -> None:
        self.shown = view
        self.acts: list[tuple[str, str]] = []
        self.ticks = 0
        self.refuses: BenchError | None = None
        self.after: dict[str, BenchView] = {}
        self.looked: list[tuple[str, float, float, int]] = []

    def tick(self) -> None:
        """Count it."""
        self.ticks += 1

    def view(self) -> BenchView:
        """What is set to show."""
        return self.shown

    def act(self, action: str, argument: str = "") -> None:
        """Write it down; refuse once if told to."""
        self.acts.append((str(action), argument))
        refusal, self.refuses = self.refuses, None
        if refusal is not None:
            raise refusal
        self.shown = self.after.get(str(action), self.shown)

    def run_window(self, run_id: str, start_s: float, end_s: float, buckets: int) -> RunPlot:
        """The plot it shows, whatever stretch is asked for."""
        self.looked.append((run_id, start_s, end_s, buckets))
        assert self.shown.run is not None
        assert self.shown.run.plot is not None
        return self.shown.run.plot


class FakeCounter:
    """A counter with fixed results, whatever is searched."""

    def __init__(self, view: CounterView = COUNTER) -> None:
        self.shown = view
        self.queries: list[str] = []
        self.made: list[Mapping[str, str]] = []
        self.asked_for = ""
        self.opened: list[tuple[str, Mapping[str, str]]] = []

    def tick(self) -> None:
        """Nothing comes."""

    def view(self, query: str, _selected: str = "") -> CounterView:
        """What is set to show."""
        self.queries.append(query)
        return self.shown

    def machine_form(self) -> tuple[Field, ...]:
        """The invented form."""
        return FORM

    def new_machine(self, fields: Mapping[str, str]) -> str:
        """Write it down."""
        if not fields["tag"]:
            raise InputError("tag '': use up to 16 letters and digits, no space")
        self.made.append(dict(fields))
        return "m9"

    def interview(self, machine_id: str, answers: Mapping[str, str]) -> tuple[Field, ...]:
        """The complaint, then the rest."""
        self.asked_for = machine_id
        return QUESTIONS if answers.get(COMPLAINT) else QUESTIONS[:1]

    def open_visit(self, machine_id: str, answers: Mapping[str, str]) -> str:
        """Write it down."""
        self.opened.append((machine_id, dict(answers)))
        return "v9"


class FakeMeters:
    """A meters desk with one view."""

    def __init__(self, view: MetersView = METERS_OFF) -> None:
        self.shown = view
        self.calls: list[tuple[str, ...]] = []

    def tick(self) -> None:
        """Nothing comes."""

    def view(self) -> MetersView:
        """What is set to show."""
        return self.shown

    def connect(self, port: str, protocol: str, line: str) -> None:
        """Write it down; a port must be named."""
        if not port:
            raise InputError("port '': choose one, or type its path")
        self.calls.append(("connect", port, protocol, line))

    def disconnect(self) -> None:
        """Write it down."""
        self.calls.append(("disconnect",))

    def choose_card(self, key: str) -> None:
        """Write it down."""
        self.calls.append(("card", key))

    def set_accuracy(self, text: str) -> None:
        """Write it down; a percentage must be in it."""
        if "%" not in text:
            raise InputError(f"accuracy '{text}': write it like 0.8% + 3")
        self.calls.append(("accuracy", text))

    def zero(self) -> None:
        """Write it down."""
        self.calls.append(("zero",))

    def listen(self, port: str) -> None:
        """Write it down; a port must be named."""
        if not port:
            raise InputError("choose a port, or type one")
        self.calls.append(("listen", port))

    def stop_listening(self) -> None:
        """Write it down."""
        self.calls.append(("stop",))

    def choose_proposal(self, key: str) -> ProposalRow:
        """The row of that key, while it is shown."""
        for row in self.shown.proposals:
            if row.key == key:
                return row
        raise InputError("that proposal is gone: listen again")

    def answer(self, key: str) -> None:
        """Write it down."""
        self.calls.append(("answer", key))


class FakeSettings:
    """A settings form that keeps whatever is no letter where a number is wanted."""

    def __init__(self, form: tuple[Field, ...] = SETTINGS) -> None:
        self.fields = form
        self.kept: list[Mapping[str, str]] = []

    def form(self) -> tuple[Field, ...]:
        """The invented form."""
        return self.fields

    def keep(self, fields: Mapping[str, str]) -> None:
        """Write it down."""
        if fields["k"].isalpha():
            raise InputError(f"k: '{fields['k']}' is not a number from 1 to 4")
        self.kept.append(dict(fields))


class FakeFindings:
    """Findings that stand still. `refuses` is raised at the next action or form kept."""

    def __init__(self, view: FindingsView = NAMED) -> None:
        self.shown = view
        self.acts: list[tuple[str, str]] = []
        self.kept: list[Mapping[str, str]] = []
        self.refuses: BenchError | None = None
        self.after: dict[str, FindingsView] = {}
        """What shows after an action, or after 'submit'."""

    def tick(self) -> None:
        """Nothing comes."""

    def view(self) -> FindingsView:
        """What is set to show."""
        return self.shown

    def act(self, action: str, argument: str = "") -> None:
        """Write it down; refuse once if told to."""
        self.acts.append((str(action), argument))
        self._refuse()
        self.shown = self.after.get(str(action), self.shown)

    def submit(self, fields: Mapping[str, str]) -> None:
        """Write it down; refuse once if told to."""
        self.kept.append(dict(fields))
        self._refuse()
        self.shown = self.after.get("submit", self.shown)

    def _refuse(self) -> None:
        refusal, self.refuses = self.refuses, None
        if refusal is not None:
            raise refusal


class FakeMatch:
    """A display match that answers the next value with the view that is set to follow."""

    def __init__(self, view: MatchView = MATCH_EMPTY) -> None:
        self.shown = view
        self.then: list[MatchView] = []
        self.calls: list[tuple[str, ...]] = []
        self.ticks = 0

    def tick(self) -> None:
        """Count it."""
        self.ticks += 1

    def view(self) -> MatchView:
        """What is set to show."""
        return self.shown

    def begin(self) -> None:
        """Write it down."""
        self.calls.append(("begin",))

    def submit(self, text: str) -> None:
        """Write it down, and show what follows."""
        self.calls.append(("submit", text))
        if self.then:
            self.shown = self.then.pop(0)

    def next_unit(self) -> None:
        """Write it down."""
        self.calls.append(("unit",))


SLIP = Slip(
    title="Job slip 0412",
    subtitle="Hob Lane Engine Shop · 9 Jun 2026 · done by R. Pell",
    date_text="9 Jun 2026",
    customer="Tallow Hill Cider Orchard",
    unit_text="Power-sprayer pump",
    engine_text="Corvane C-210, 208 cc horizontal OHV",
    tag="TH-07",
    tag_payload="TH-07",
    tag_hint="Scan at the counter",
    said_label="You said:",
    said="“Quits after about 25 min, restarts after 10 min cool”",
    in_short_label="In short:",
    in_short="the cap reads in band.",
    found_title="Found",
    found_hint="bar = band it should sit in · tick = what we read",
    lines=STEADYING.lines,
    did_title="Did",
    did_hint="dashed tick = before · solid tick = after",
    pairs=(),
    proved_title="Proved",
    proved=("Cap reads in band.",),
    not_proved_title="Not proved",
    not_proved=("Coil primary.",),
    care_label="Take care:",
    care="pump belt guard is cracked.",
    conditions=("Meter A, 0.8% + 2 counts on 20 kΩ.",),
)


class FakePrinter:
    """A printer desk that writes down where it wrote."""

    def __init__(self) -> None:
        self.paths: list[Path] = []
        self.printers: list[object] = []
        self.coming = False

    def slip(self) -> Slip:
        """An invented slip."""
        return SLIP

    def news(self) -> bool:
        """It stays as it is."""
        return False

    def write_pdf(self, path: Path) -> None:
        """Write the path down."""
        self.paths.append(path)

    def print_on(self, printer: object) -> None:
        """Write the printer down."""
        self.printers.append(printer)

    def file_name(self) -> str:
        """A name."""
        return "slip-0412.pdf"


def desks_of(
    *,
    bench: BenchView | FakeBench = STEADYING,
    counter: FakeCounter | None = None,
    meters: MetersView | MetersDesk = METERS_OFF,
    printer: FakePrinter | None = None,
    match: MatchView | MatchDesk = MATCH_EMPTY,
    thermometer: MetersView | MetersDesk = THERMOMETER,
    settings: SettingsDesk | None = None,
    findings: FindingsView | FindingsDesk = NAMED,
    log: LogView | LogDesk | None = None,
    spec: SpecDesk | None = None,
    tags: FakeTags | None = None,
    machine: MachinePageView | FakeMachine | None = None,
    photos: FakePhotos | None = None,
    records: RecordsDesk | None = None,
    edit: MachineEditDesk | None = None,
    renew: Callable[[], Desks] | None = None,
    visit_id: str = "",
) -> Desks:
    """All desks, each showing what is given."""
    desk = bench if isinstance(bench, FakeBench) else FakeBench(bench)
    metering = FakeMeters(meters) if isinstance(meters, MetersView) else meters
    printing = printer or FakePrinter()
    found = FakeFindings(findings) if isinstance(findings, FindingsView) else findings
    warm = FakeMeters(thermometer) if isinstance(thermometer, MetersView) else thermometer
    return Desks(
        counter=counter or FakeCounter(),
        meters=metering,
        bench=lambda _visit: desk,
        printer=lambda _visit: printing,
        practice=lambda: "practice-visit",
        match=FakeMatch(match) if isinstance(match, MatchView) else match,
        thermometer=warm,
        match_thermometer=FakeMatch(),
        findings=lambda _visit: found,
        settings=settings or FakeSettings(),
        log=FakeLog(log) if isinstance(log, LogView) else log or FakeLog(),
        spec=spec,
        tags=tags or FakeTags(),
        machine_file=machine if isinstance(machine, FakeMachine) else FakeMachine(machine),
        machine_of=lambda _visit: "m1",
        photos=lambda _machine, _visit: photos or FakePhotos(),
        records=None if records is None else lambda: records,
        machine_edit=None if edit is None else lambda _machine: edit,
        renew=renew,
        visit_id=visit_id,
    )
