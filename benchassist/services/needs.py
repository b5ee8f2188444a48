"""What the use cases need from outside, as protocols; assembly wires the real ones."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any, Protocol

from benchassist.core.cause import CauseBook
from benchassist.core.entry import Entry, Machine
from benchassist.core.link import LinkRequest, ListeningItem, PortInfo, ProtocolInfo
from benchassist.core.procedure import Caution, Complaint, EngineClass, MeterCard, Procedure
from benchassist.core.reading import LinkItem, Reading
from benchassist.core.record import Acknowledgement, Refused, Stored, VisitSummary
from benchassist.core.run import RunGap, RunHeader
from benchassist.core.samples import Column, Samples
from benchassist.core.slip import Paper, Slip
from benchassist.core.spec_entry import SpecEntry, SpecFault, Stated
from benchassist.core.visit import VisitHeader

# What a store or a spec book gives back lives in core, where its maker can see it too; named here
# for the use cases.
__all__ = [
    "Acknowledgement",
    "Complaint",
    "EngineClass",
    "LinkRequest",
    "Paper",
    "PortInfo",
    "ProtocolInfo",
    "Refused",
    "Stored",
    "VisitSummary",
]


class Clock(Protocol):
    """Monotonic seconds for intervals, aware UTC for records."""

    def monotonic(self) -> float:
        """Seconds, never going back."""
        ...

    def now(self) -> datetime:
        """Aware UTC."""
        ...


# --- meters -------------------------------------------------------------------------------------


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


class Listening(Protocol):
    """A search for the family of a meter, in a thread of its own. Starts when made."""

    def drain(self) -> Sequence[ListeningItem]:
        """What came since the last call, in order, its end the last of all; never blocks."""
        ...

    def close(self) -> None:
        """End it; returns within a fraction of a second. The port is left closed."""
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

    def scout(self, port: str) -> Listening:
        """Find out what a meter on a port may be. Raises InputError for what cannot be a port."""
        ...


# --- spec book ----------------------------------------------------------------------------------


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

    def causes(self, complaint: str, engine_class: str = "") -> CauseBook | None:
        """The causes of a complaint on an engine class; none, or no causes in it, without any."""
        ...

    def caution(self, key: str) -> Caution:
        """The words of a caution that a cause or a piece of evidence names. NotFoundError."""
        ...

    def meter_cards(self) -> tuple[MeterCard, ...]:
        """All meter cards."""
        ...


class SpecSheets(Protocol):
    """The figures of a spec book that a shop may change, and its own sheets."""

    @property
    def faults(self) -> tuple[str, ...]:
        """What is wrong with the shop's files that are left out, a line each."""
        ...

    @property
    def can_undo(self) -> int:
        """How many changes can be taken back."""
        ...

    def reread(self) -> None:
        """Read every file anew; the book that they belong to has it too."""
        ...

    def entries(self) -> tuple[SpecEntry, ...]:
        """Everything that may be changed, as it stands."""
        ...

    def problems(self, key: str, stated: Stated) -> tuple[SpecFault, ...]:
        """What is wrong with a change, nothing written. Raises NotFoundError."""
        ...

    def keep(self, key: str, stated: Stated) -> None:
        """Write a change. Raises InputError while anything is wrong, StepError, StoreError."""
        ...

    def restore(self, key: str) -> None:
        """State it as it was shipped. Raises StepError where nothing was; else as `keep`."""
        ...

    def undo(self) -> str:
        """Take the last change back; its key, empty where there is none. Raises StepError."""
        ...


# --- storage ------------------------------------------------------------------------------------


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

    def visits(self, *, open_only: bool = False, machine_id: str = "") -> tuple[VisitSummary, ...]:
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


class Recording(Protocol):
    """Where the samples of a run under way go. `put` is called at the meters' readers."""

    def put(self, reading: Reading) -> None:
        """Keep a reading, whatever its channel; from any thread, never blocking."""
        ...

    def gap(self, gap: RunGap) -> None:
        """Keep that samples are missing; from any thread, never blocking."""
        ...

    @property
    def trouble(self) -> str:
        """Why samples are not on disk yet, in one line; empty while all is well."""
        ...

    def flushed(self, timeout: float) -> bool:
        """Wait until all put so far is on disk; False where it is not within `timeout` seconds."""
        ...

    def close(self) -> None:
        """No more comes; what was put is still written."""
        ...


class RunStore(Protocol):
    """Samples of runs. Reads may be called from any thread."""

    def record(self, header: RunHeader, origins: Mapping[str, float]) -> Recording:
        """Begin to keep a run. `origins` has for each channel the reading time that is second 0.

        Raises StoreError for a run that is kept already or a shop that is closed.
        """
        ...

    def run_samples(
        self,
        run_id: str,
        channel: str,
        *,
        start_s: float = float("-inf"),
        end_s: float = float("inf"),
    ) -> Samples:
        """The samples of a channel, flagged and foreign ones left out. Raises NotFoundError."""
        ...

    def run_envelope(
        self, run_id: str, channel: str, *, start_s: float, end_s: float, buckets: int
    ) -> tuple[Column, Column, Column]:
        """Times, lowest and highest values of at most about so many buckets between two moments."""
        ...

    def run_gaps(self, run_id: str) -> tuple[RunGap, ...]:
        """What is missing, in order of time."""
        ...

    def run_extent(self, run_id: str) -> tuple[float, float]:
        """Seconds of the first and the last sample. Raises NotFoundError."""
        ...


# --- print --------------------------------------------------------------------------------------


class SlipPrinter(Protocol):
    """Draws a slip on paper."""

    def write_pdf(self, slip: Slip, path: Path, *, paper: Paper = Paper.A4) -> None:
        """Write one PDF page. Raises PrintError if the file cannot be written."""
        ...

    def print_on(self, printer: Any, slip: Slip) -> None:  # noqa: ANN401 - a class of the window's toolkit
        """Draw the page on a printer of the window's toolkit. Raises PrintError."""
        ...
