"""What the window asks of the use cases: one desk a place, each showing one frozen view.

The window calls `tick` of the desk in front from a timer in the GUI thread, paints what `view`
returns and hands every key and click to the desk. All texts are final and translated. Whatever a
desk raises as a `BenchError` is shown as one line where the person is working.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Protocol

from benchassist.core.band import Side, Verdict
from benchassist.core.ruler import Ruler
from benchassist.core.slip import Slip
from benchassist.services.bench_view import BenchView, Number


class Action(StrEnum):
    """What `BenchDesk.act` understands; the argument's meaning stands beside it."""

    TAKE = "take"
    REDO = "redo"
    NOTE = "note"
    TYPE = "type"
    """Type a reading; the view then asks for text and its number is in state TYPING."""
    ZERO = "zero"
    SKIP = "skip"
    BACK = "back"
    NEXT = "next"
    GOTO = "goto"
    """Argument: the check's key."""
    CHOOSE = "choose"
    """Argument: the press of a `Choice`."""
    FIX = "fix"
    """Argument: the press of a `Fix`."""
    TEMPERATURE = "temperature"
    OPTION = "option"
    """Ask the marking or type again."""
    DID = "did"
    CLOSE_VISIT = "close_visit"
    REOPEN = "reopen"
    SUBMIT = "submit"
    """Argument: the text entered where the view asks for text."""
    PREVIEW = "preview"
    """Argument: the text so far, at every key typed."""
    CANCEL = "cancel"
    STRIP = "strip"
    """Argument: 'on' while the strip of the last minute is shown, else 'off'."""
    SELF_CHECK = "self_check"
    LEAVE = "leave"
    """The window turned to another page; the visit stays open."""


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


# --- counter ------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipCard:
    """An open visit. `done` of `steps` are answered; `place_text` says so: 'step 5 of 6'."""

    visit_id: str
    slip_text: str
    customer: str
    unit_text: str
    said: str
    done: int
    steps: int
    place_text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LastLine:
    """One reading of a machine's last visit."""

    name: str
    value: str = ""
    ruler: Ruler | None = None
    verdict: Verdict | None = None
    side: Side | None = None
    verdict_text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineCard:
    """A machine that was found. `open_visit_id` is its visit still open, empty if none is."""

    machine_id: str
    customer: str
    tag_text: str
    unit_text: str
    visits_text: str = ""
    parts_text: str = ""
    last_title: str = ""
    last_lines: tuple[LastLine, ...] = ()
    open_visit_id: str = ""
    open_visit_text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CounterView:
    """What the counter shows for a search. Machines come best first."""

    query: str = ""
    slips: tuple[SlipCard, ...] = ()
    machines: tuple[MachineCard, ...] = ()
    found_text: str = ""
    closed_text: str = ""
    meter_text: str = ""
    meter_live: bool = False
    banner: str = ""


class FieldKind(StrEnum):
    """How a field of a form is answered."""

    WORDS = "words"
    MINUTES = "minutes"
    CHOICE = "choice"


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldChoice:
    """One answer; its number key is its place in the list, from 1."""

    key: str
    text: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One field of the new-machine form, or one question of the interview.

    `value` is what stands in it at first: words, minutes as text, or the key of a choice.
    `open_ended` may be left empty.
    """

    key: str
    label: str
    hint: str = ""
    kind: FieldKind = FieldKind.WORDS
    value: str = ""
    choices: tuple[FieldChoice, ...] = ()
    open_ended: bool = True


COMPLAINT = "complaint"
"""Key of the interview's first question; its answer decides the others."""


class CounterDesk(Protocol):
    """Machines and visits."""

    def tick(self) -> None:
        """Take in acknowledgements and link changes."""
        ...

    def view(self, query: str) -> CounterView:
        """What the counter shows for these words; every word narrows the search."""
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


# --- meters -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class PortRow:
    """A port that can be chosen."""

    port: str
    text: str
    note: str = ""
    linked: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ProtocolRow:
    """A frame family with the line it usually speaks on."""

    name: str
    text: str
    line: str
    linked: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RangeRow:
    """A range of the meter card: what it is, its steps, its doubt, and an example of that."""

    range_text: str
    steps_text: str
    doubt_text: str
    example_text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MetersView:
    """Links, the meter card, the lead zero."""

    ports: tuple[PortRow, ...] = ()
    protocols: tuple[ProtocolRow, ...] = ()
    meter_text: str = ""
    meter_live: bool = False
    link_text: str = ""
    """Where the link stands: 'Linked, 2 readings a second'."""
    link_hint: str = ""
    """What to do about it: 'Turn the meter on and its lead link with it'."""
    link_error: str = ""
    connected: bool = False
    number: Number
    card_title: str = ""
    card_source: str = ""
    card_note: str = ""
    ranges: tuple[RangeRow, ...] = ()
    cards: tuple[FieldChoice, ...] = ()
    card_key: str = ""
    leads_value: str = ""
    leads_unit: str = ""
    leads_when: str = ""
    leads_note: str = ""
    leads_error: str = ""
    accuracy_text: str = ""
    accuracy_error: str = ""


class MetersDesk(Protocol):
    """Meters and what is known of them."""

    def tick(self) -> None:
        """Take in readings and link changes."""
        ...

    def view(self) -> MetersView:
        """What the meters page shows now."""
        ...

    def connect(self, port: str, protocol: str, line: str) -> None:
        """Open a link; an empty line is the family's own. Raises InputError, PortError."""
        ...

    def disconnect(self) -> None:
        """Close the link."""
        ...

    def choose_card(self, key: str) -> None:
        """Take a meter card of the spec book for this meter."""
        ...

    def set_accuracy(self, text: str) -> None:
        """An accuracy statement typed in. Raises InputError saying what would be right."""
        ...

    def zero(self) -> None:
        """Keep what the probes held together show. Raises StepError where nothing steady shows."""
        ...


# --- print --------------------------------------------------------------------------------------


class PrinterDesk(Protocol):
    """A visit's slip on paper."""

    def slip(self) -> Slip:
        """The slip as it stands."""
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
    at once: where the technician left off.
    """

    counter: CounterDesk
    meters: MetersDesk
    bench: Callable[[str], BenchDesk]
    printer: Callable[[str], PrinterDesk]
    practice: Callable[[], str] = no_practice
    visit_id: str = ""
