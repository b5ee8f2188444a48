"""What the page of a log from elsewhere shows, and the desk it asks; the window decides nothing."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

from benchassist.core.band import Side, Verdict
from benchassist.core.run_plot import RunPlot
from benchassist.services.front.counter_view import Field
from benchassist.services.runs.view import EventRow


class LogStage(StrEnum):
    """Where the page stands."""

    ASK = "ask"
    """Which file, and how it is to be read."""
    READING = "reading"
    """A thread reads it."""
    SHOWN = "shown"


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultRow:
    """What is wrong with a line of the file, or with lines that follow one another: '12-40'."""

    line: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LogView:
    """Everything on the page. `error` is why the last log could not be used, in one line.

    `share` is how much of the file is read, 0 to 1. `pairs` say what was read, name and text.
    `log_id` is another for another log: what `LogDesk.window` looks closer at.
    """

    stage: LogStage = LogStage.ASK
    error: str = ""
    share: float = 0.0
    progress: str = ""
    log_id: str = ""
    name: str = ""
    pairs: tuple[tuple[str, str], ...] = ()
    rows_text: str = ""
    faults: tuple[FaultRow, ...] = ()
    verdict: Verdict | None = None
    side: Side | None = None
    verdict_text: str = ""
    notes: tuple[str, ...] = ()
    plot: RunPlot | None = None
    events_title: str = ""
    events: tuple[EventRow, ...] = ()


class LogDesk(Protocol):
    """A log from elsewhere: read in a thread, then shown."""

    def form(self, answers: Mapping[str, str]) -> tuple[Field, ...]:
        """The file and how to read it; the kind answered decides what is asked besides."""
        ...

    def open(self, answers: Mapping[str, str]) -> None:
        """Begin to read. Raises InputError naming the field; a bad log is the view's error."""
        ...

    def tick(self) -> None:
        """Fetch what the reading came to."""
        ...

    def view(self) -> LogView:
        """What the page shows now."""
        ...

    def window(self, log_id: str, start_s: float, end_s: float, buckets: int) -> RunPlot:
        """Tracks of the log in view between two moments. Raises NotFoundError for another log."""
        ...

    def leave(self) -> None:
        """Stop reading, or put the log away: the form comes again."""
        ...
