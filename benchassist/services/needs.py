"""What the use cases need from outside, as protocols; assembly wires the real ones."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from pathlib import Path
from typing import Protocol

from benchassist.core.entry import Entry, Machine
from benchassist.core.procedure import MeterCard, Procedure, Question
from benchassist.core.quantity import Quantity
from benchassist.core.reading import LinkItem
from benchassist.core.slip import Slip
from benchassist.core.visit import VisitHeader


class Clock(Protocol):
    """Monotonic seconds for intervals, aware UTC for records."""

    def monotonic(self) -> float:
        """Seconds, never going back."""
        ...

    def now(self) -> datetime:
        """Aware UTC."""
        ...


# --- meters -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class PortInfo:
    """A port and what the system knows of it; None where it knows nothing."""

    port: str
    description: str = ""
    vid: int | None = None
    pid: int | None = None
    serial: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ProtocolInfo:
    """A frame family: name, default line such as '2400-7O1', whether blocks come twice."""

    name: str
    line: str
    doubled: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkRequest:
    """Which meter to open and how. `line` and `baud` override the family's defaults.

    `quantity` asks a SCPI meter to be configured; None leaves it as it is.
    """

    port: str
    protocol: str
    channel: str = "A"
    line: str | None = None
    baud: int | None = None
    quantity: Quantity | None = None


class Link(Protocol):
    """A meter on a port, read by a thread of its own. Starts when made; `close` joins it."""

    @property
    def channel(self) -> str:
        """The channel's letter."""
        ...

    def drain(self) -> Sequence[LinkItem]:
        """Everything that came since the last call, in order; never blocks."""
        ...

    def close(self) -> None:
        """Stop reading, join the thread, release the port."""
        ...


class MeterRoom(Protocol):
    """Where meters come from."""

    def ports(self) -> tuple[PortInfo, ...]:
        """Ports of this computer."""
        ...

    def protocols(self) -> tuple[ProtocolInfo, ...]:
        """Frame families this program reads."""
        ...

    def open(self, request: LinkRequest) -> Link:
        """A link that opens in its own thread. Raises InputError for an unknown family or line."""
        ...


# --- spec book ----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class EngineClass:
    """An engine class of the spec book."""

    key: str
    name: str
    description: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Complaint:
    """A complaint that can open a visit, with its interview and its procedure."""

    key: str
    name: str
    procedure: str
    questions: tuple[Question, ...] = ()


class SpecBook(Protocol):
    """Profiles, shipped and the shop's own."""

    def engine_classes(self) -> tuple[EngineClass, ...]:
        """All engine classes, in order."""
        ...

    def complaints(self) -> tuple[Complaint, ...]:
        """All complaints, in order."""
        ...

    def procedure(self, key: str, engine_class: str) -> Procedure:
        """A procedure with the bands of an engine class put in. Raises NotFoundError."""
        ...

    def meter_cards(self) -> tuple[MeterCard, ...]:
        """All meter cards."""
        ...


# --- storage ------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Stored:
    """What was submitted under this ticket is on disk."""

    ticket: int


@dataclass(frozen=True, slots=True)
class Refused:
    """What was submitted under this ticket could not be written, and why in one line."""

    ticket: int
    why: str


Acknowledgement = Stored | Refused


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitSummary:
    """A visit in a list."""

    id: str
    slip_number: str
    machine: Machine
    complaint: str
    words: str
    opened_at: datetime
    closed_at: datetime | None
    done: int
    steps: int
    current_check: str = ""


class Store(Protocol):
    """What a shop keeps. Submissions return at once; their fate comes by `acknowledgements`.

    Reads may be called from any thread.
    """

    def submit(self, *entries: Entry) -> int:
        """Hand entries to the writer, to be committed together at once. Returns the ticket."""
        ...

    def submit_visit(self, header: VisitHeader) -> int:
        """Hand a new visit (and its machine, if new) to the writer. Returns the ticket."""
        ...

    def submit_machine(self, machine: Machine) -> int:
        """Hand a new or changed machine to the writer. Returns the ticket."""
        ...

    def acknowledgements(self) -> Sequence[Acknowledgement]:
        """What became of submissions since the last call, in order; never drops one."""
        ...

    def visit(self, visit_id: str) -> tuple[VisitHeader, tuple[Entry, ...]]:
        """A visit by id, or by slip number. Raises NotFoundError."""
        ...

    def visits(
        self, *, open_only: bool = False, machine_id: str = ""
    ) -> tuple[VisitSummary, ...]:
        """Visits, newest first."""
        ...

    def machines(self, words: str = "") -> tuple[Machine, ...]:
        """Machines whose tag, customer, serial, phone, unit or engine holds every word given."""
        ...

    def next_slip_number(self) -> str:
        """The number a visit opened now would carry."""
        ...

    def close(self) -> None:
        """Write what is still in hand, then stop."""
        ...


# --- print --------------------------------------------------------------------------------------


class Paper(StrEnum):
    """Sheet sizes."""

    A4 = "a4"
    LETTER = "letter"


class SlipPrinter(Protocol):
    """Draws a slip on paper."""

    def write_pdf(self, slip: Slip, path: Path, *, paper: Paper = Paper.A4) -> None:
        """Write one PDF page. Raises PrintError if the file cannot be written."""
        ...
