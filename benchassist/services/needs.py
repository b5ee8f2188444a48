"""What the use cases need from outside, as protocols; assembly wires the real ones."""

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Any, Protocol

from benchassist.core.cause import CauseBook
from benchassist.core.link import LinkRequest, ListeningItem, PortInfo, ProtocolInfo
from benchassist.core.procedure import Caution, Complaint, EngineClass, MeterCard, Procedure
from benchassist.core.reading import LinkItem
from benchassist.core.record import Acknowledgement, Refused, Stored, VisitSummary
from benchassist.core.slip import Paper, Slip
from benchassist.core.spec_entry import SpecEntry, SpecFault, Stated
from benchassist.services.store_need import Benches, Recording, RunStore, Store

# What a store or a spec book gives back lives in core, where its maker can see it too; named here
# for the use cases.
__all__ = [
    "Acknowledgement",
    "Benches",
    "Complaint",
    "EngineClass",
    "LinkRequest",
    "Paper",
    "PortInfo",
    "ProtocolInfo",
    "Recording",
    "Refused",
    "RunStore",
    "Store",
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

    def sharing(self, check_key: str, engine_class: str) -> tuple[str, ...]:
        """The engine classes that have one band of a check with this one, itself among them.

        That is one class alone where it says its own; empty for `engine_class`: all that say none.
        """
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


# --- print --------------------------------------------------------------------------------------


class SlipPrinter(Protocol):
    """Draws a slip on paper."""

    def write_pdf(self, slip: Slip, path: Path, *, paper: Paper = Paper.A4) -> None:
        """Write one PDF page. Raises PrintError if the file cannot be written."""
        ...

    def print_on(self, printer: Any, slip: Slip) -> None:  # noqa: ANN401 - a class of the window's toolkit
        """Draw the page on a printer of the window's toolkit. Raises PrintError."""
        ...
