"""What a store says back: a visit in a list, and what became of a submission."""

from dataclasses import dataclass
from datetime import datetime

from benchassist.core.entry import Machine


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
    """A visit in a list. `done` of `steps` checks have been answered or skipped."""

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
