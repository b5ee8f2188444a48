"""What a store says back: a visit in a list, and what became of a submission."""

from dataclasses import dataclass
from datetime import datetime

from benchassist.core.entry import Entry, Machine
from benchassist.core.visit import VisitHeader


@dataclass(frozen=True, slots=True)
class Stored:
    """What was submitted under this ticket is on disk."""

    ticket: int


@dataclass(frozen=True, slots=True)
class Refused:
    """What was submitted under this ticket could not be written, and why in one line.

    `final`: handing it over again is of no use, the visit is another bench's now. `number_used`:
    a new visit's slip number is another's.
    """

    ticket: int
    why: str
    final: bool = False
    number_used: bool = False


Acknowledgement = Stored | Refused


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitSummary:
    """A visit in a list. `done` of `steps` checks have been answered or skipped.

    `apart`: it holds what a bench wrote in another visit while it was cut off.
    """

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
    apart: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitBrief:
    """A visit by its outside: `entries` is the number of its last entry, so that news show."""

    id: str
    slip_number: str
    machine: Machine
    opened_at: datetime
    closed_at: datetime | None
    entries: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """Machines that fit what was typed, best first, and how many there are in all.

    `more`: there are at least so many. `close`: none has the words as they were typed; these have
    words close to them.
    """

    machines: tuple[Machine, ...] = ()
    count: int = 0
    more: bool = False
    close: bool = False


@dataclass(frozen=True, slots=True)
class History:
    """Visits of a machine with their entries, oldest first.

    `unread` has the slip numbers of those that are on file and cannot be read.
    """

    visits: tuple[tuple[VisitHeader, tuple[Entry, ...]], ...]
    unread: tuple[str, ...] = ()
