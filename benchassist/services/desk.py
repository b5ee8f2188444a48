"""What the window asks of the use cases: one desk a place, each showing one frozen view.

The window calls `tick` of the desk in front from a timer in the GUI thread, paints what `view`
returns and hands every key and click to the desk. All texts are final and translated. Whatever a
desk raises as a `BenchError` is shown as one line where the person is working.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from benchassist.core.run_plot import RunPlot
from benchassist.core.slip import Slip
from benchassist.services.action import Action
from benchassist.services.bench.view import BenchView
from benchassist.services.findings.view import FindingsAction, FindingsDesk, FindingsView
from benchassist.services.front.counter_view import (
    COMPLAINT,
    CounterView,
    Field,
    FieldChoice,
    FieldKind,
    LastLine,
    MachineCard,
    SlipCard,
)
from benchassist.services.logs.view import LogDesk, LogView
from benchassist.services.metering.meters_view import (
    MatchDesk,
    MatchRow,
    MatchView,
    MetersDesk,
    MetersView,
    PortRow,
    ProposalRow,
    ProtocolRow,
    RangeRow,
)
from benchassist.services.record.machine_file_view import MachineFileDesk, MachinePageView
from benchassist.services.record.photo_view import LargePhoto, PhotoDesk, PhotoStrip, PhotoTile
from benchassist.services.record.records_view import (
    MachineEditDesk,
    RecordsDesk,
    RecordsStage,
    RecordsView,
)
from benchassist.services.spec.view import SpecDesk, SpecForm, SpecRow, SpecView
from benchassist.services.tags.view import TagDesk, TagPreview

# The views and the actions have rooms of their own; named here for the window.
__all__ = [
    "COMPLAINT",
    "Action",
    "BenchDesk",
    "CounterDesk",
    "CounterView",
    "Desks",
    "Field",
    "FieldChoice",
    "FieldKind",
    "FindingsAction",
    "FindingsDesk",
    "FindingsView",
    "LargePhoto",
    "LastLine",
    "LogDesk",
    "LogView",
    "MachineCard",
    "MachineEditDesk",
    "MachineFileDesk",
    "MachinePageView",
    "MatchDesk",
    "MatchRow",
    "MatchView",
    "MetersDesk",
    "MetersView",
    "PhotoDesk",
    "PhotoStrip",
    "PhotoTile",
    "PortRow",
    "PrinterDesk",
    "ProposalRow",
    "ProtocolRow",
    "RangeRow",
    "RecordsDesk",
    "RecordsStage",
    "RecordsView",
    "SettingsDesk",
    "SlipCard",
    "SpecDesk",
    "SpecForm",
    "SpecRow",
    "SpecView",
    "TagDesk",
    "TagPreview",
    "no_practice",
]


class BenchDesk(Protocol):
    """A visit on the bench."""

    def tick(self) -> None:
        """Take in readings and acknowledgements. Every 30 to 50 ms, from the GUI thread."""
        ...

    def view(self) -> BenchView:
        """What the bench shows now."""
        ...

    def act(self, action: str, argument: str = "") -> None:
        """Do what a key or click asked for. Raises BenchError where the state does not allow it."""
        ...

    def run_window(self, run_id: str, start_s: float, end_s: float, buckets: int) -> RunPlot:
        """The plot of the run in view between two moments, at most about so many buckets a track.

        `run_id` is the view's. Raises NotFoundError for another run.
        """
        ...


# --- counter ------------------------------------------------------------------------------------


class CounterDesk(Protocol):
    """Machines and visits."""

    def tick(self) -> None:
        """Take in acknowledgements and link changes."""
        ...

    def view(self, query: str, selected: str = "") -> CounterView:
        """What the counter shows for these words; every word narrows the search.

        The card of the machine `selected`, else of the first, is whole; of the others there is
        what makes a row.
        """
        ...

    def machine_form(self) -> tuple[Field, ...]:
        """Fields of a new machine: tag (with a free one suggested), customer, engine class..."""
        ...

    def new_machine(self, fields: Mapping[str, str]) -> str:
        """Keep a new machine; returns its id. Raises InputError naming the field."""
        ...

    def interview(self, machine_id: str, answers: Mapping[str, str]) -> tuple[Field, ...]:
        """The questions to ask, the complaint first; the others follow from its answer."""
        ...

    def open_visit(self, machine_id: str, answers: Mapping[str, str]) -> str:
        """Open a visit; returns its id. Raises InputError naming the answer that is wrong."""
        ...


# --- settings -----------------------------------------------------------------------------------


class SettingsDesk(Protocol):
    """The shop's choices."""

    def form(self) -> tuple[Field, ...]:
        """The fields with what stands in them. Raises InputError for a damaged file."""
        ...

    def keep(self, fields: Mapping[str, str]) -> None:
        """Keep them; the desks must then be asked for anew. Raises InputError naming the field."""
        ...


# --- print --------------------------------------------------------------------------------------


class PrinterDesk(Protocol):
    """A visit's slip on paper."""

    def slip(self) -> Slip:
        """The slip as it stands; its photos are small where they are `coming`."""
        ...

    @property
    def coming(self) -> bool:
        """Whether the slip that was given last has photos that are being made ready for print.

        What is written or printed now waits for them.
        """
        ...

    def news(self) -> bool:
        """Whether they are ready by now: the slip is another."""
        ...

    def write_pdf(self, path: Path) -> None:
        """One PDF page. Raises PrintError."""
        ...

    def print_on(self, printer: object) -> None:
        """Draw the page on a paint device of the window's toolkit. Raises PrintError."""
        ...

    def file_name(self) -> str:
        """A file name for the PDF: 'slip-0412.pdf'."""
        ...


# --- all of them --------------------------------------------------------------------------------


def no_practice() -> str:
    """A program without a practice bench has no visit to open."""
    return ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Desks:
    """What assembly hands the window once everything is loaded.

    `bench` and `printer` take a visit's id. `practice` starts the practice bench and returns the
    id of its visit, empty where it runs in a window of its own. `visit_id` is the visit to open
    at once: where the technician left off. `renew` makes them anew, with settings that were
    kept, and with no visit to open.
    """

    counter: CounterDesk
    meters: MetersDesk
    bench: Callable[[str], BenchDesk]
    printer: Callable[[str], PrinterDesk]
    practice: Callable[[], str] = no_practice
    findings: Callable[[str], FindingsDesk] | None = None
    """By a visit's id, as `bench`; both work on the same visit."""
    settings: SettingsDesk | None = None
    log: LogDesk | None = None
    spec: SpecDesk | None = None
    """The spec book, to look up and to change."""
    tags: Callable[[str, str], TagDesk] | None = None
    """By a machine's id, else by a visit's; both may be empty."""
    machine_file: Callable[[str], MachineFileDesk] | None = None
    """By a machine's id."""
    machine_of: Callable[[str], str] | None = None
    """The id of the machine that a visit is of."""
    machine_edit: Callable[[str], MachineEditDesk] | None = None
    """A machine's particulars, by its id."""
    records: Callable[[], RecordsDesk] | None = None
    """The shop's records as a whole."""
    photos: Callable[[str, str], PhotoDesk] | None = None
    """By a machine's id, else by a visit's, to which those added then go."""
    match: MatchDesk | None = None
    thermometer: MetersDesk | None = None
    """A second meter, for the part's temperature."""
    match_thermometer: MatchDesk | None = None
    visit_id: str = ""
    renew: "Callable[[], Desks] | None" = None
