"""One kind of run at work, as the bench hosts it (`services/runs/host.py`).

A work knows no store, no meter and no clock: readings, marks and seconds of the run come in, a view
and a finding come out. Feeding the same readings and marks again gives the same finding, so a run
that was cut is finished from what is on disk.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

from benchassist.core.accuracy import Accuracy
from benchassist.core.entry import RunEnded, RunMarked
from benchassist.core.procedure import Check
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.core.run import MarkKind, RunGap, RunPlan
from benchassist.core.run_finding import Finding
from benchassist.core.run_plot import Track
from benchassist.core.samples import Samples
from benchassist.services.bench.view import KeyHint
from benchassist.services.runs.view import RunStage, RunView
from benchassist.units import UnitChoice

START = "start"
"""Text of the temperature mark at second 0: the part as it was stated to be, not measured."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """The last run of the same check of this machine, for the overlay and the baseline."""

    ended: RunEnded
    tracks: tuple[Track, ...] = ()
    text: str = ""
    """'Visit of 9 Jun 2026'."""


Pace = Callable[[], float]
"""How many times faster than life things warm just now."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunSetting:
    """What a work is made for."""

    check: Check
    plan: RunPlan
    units: UnitChoice
    k: float = 2.0
    accuracy: Accuracy | None = None
    """What is stated of meter A for what this run logs; None where nothing is."""
    thermometer: str = ""
    """The second meter's name, where one is linked and shows celsius."""
    start_celsius: float | None = None
    """The part's temperature as stated on the bench, for the cold reading."""
    shop_celsius: float | None = None
    earlier: Earlier | None = None
    pace: Pace | None = None
    """Where heat is simulated; None: as in life."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A mark to be written as a `RunMarked` entry, at the second it was made."""

    kind: MarkKind
    t_s: float
    value: float | None = None
    resolution: float | None = None
    text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """A line of text the work waits for: its label, and a hint of what to type."""

    label: str
    hint: str = ""


class RunWork(Protocol):
    """A heat run, an engine run, a tank run or a quit drill."""

    @property
    def wanted(self) -> Quantity | None:
        """What the meter is to be set to; None where no meter is needed."""
        ...

    def take(self, reading: Reading) -> None:
        """A reading of channel A, or B (the thermometer); `t_s` is in seconds of the run."""
        ...

    def take_block(self, channel: str, samples: Samples) -> None:
        """The same for many, read back from the store."""
        ...

    def gap(self, gap: RunGap) -> None:
        """Samples are missing; what stood in between is not known."""
        ...

    def mark(self, mark: RunMarked) -> None:
        """A mark that was written, now or before the program ended."""
        ...

    def act(self, action: str, argument: str, now_s: float) -> Sequence[Draft]:
        """What a key asks for, as marks to write. Raises StepError, in one line, where it may not.

        `action` is one of `desk.Action`'s RUN_ ones; RUN_TYPE without a question asks one.
        """
        ...

    def question(self) -> Question | None:
        """The line of text waited for, None if none is."""
        ...

    def read(self, text: str, now_s: float) -> Sequence[Draft]:
        """The answer to the question. Raises InputError naming what would be right."""
        ...

    def forget_question(self) -> None:
        """Esc: nothing is typed."""
        ...

    def view(self, now_s: float, stage: RunStage) -> RunView:
        """What shows; `now_s` is 0 while nothing runs, the length of the run once it ended."""
        ...

    def keys(self, stage: RunStage) -> tuple[KeyHint, ...]:
        """The keys of the strip at the bottom that are this work's own."""
        ...

    def finding(self, *, end_s: float) -> Finding:
        """What was found up to here."""
        ...
