"""What the bench shows while a run is prepared, made and ended; part of `BenchView`.

Texts are final, translated and in the shop's units. The window paints it and decides nothing.
"""

from dataclasses import dataclass
from enum import StrEnum

from benchassist.core.band import Side, Verdict
from benchassist.core.ruler import Ruler
from benchassist.core.run import RunKind
from benchassist.core.run_plot import RunPlot


class RunStage(StrEnum):
    """Where a run stands."""

    READY = "ready"
    """Cautions and set-up; nothing is logged."""
    RUNNING = "running"
    ENDED = "ended"
    """What it found is on disk or on its way; the plot is there to look at."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A large number above the plot. The first is the largest. `digits` empty: two dashes.

    `words` stands in place of digits ('Above range'). `old` strikes it through, with the words
    beside it saying how old.
    """

    label: str
    digits: str = ""
    unit: str = ""
    words: str = ""
    old: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class EventRow:
    """A line of 'What happened'; `number` is the flag's on the plot, 0 for none."""

    time_text: str
    title: str
    detail: str = ""
    number: int = 0
    severe: bool = False
    t_s: float = 0.0
    """Where the plot jumps to."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """Counted strokes: idle-downs or cycles done of those asked for."""

    label: str
    done: int
    of: int
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """A cell of the cycle table, with its ruler where there is a band."""

    text: str
    unit: str = ""
    ruler: Ruler | None = None
    verdict: Verdict | None = None
    side: Side | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Rows below an engine's plot: one a cycle, one a load, one a gauge mark; oldest first."""

    headings: tuple[str, ...] = ()
    rows: tuple[tuple[str, tuple[Cell, ...]], ...] = ()
    """Each row's label and its cells, one a heading."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillChoice:
    """An answer to the drill's question; `press` is its key."""

    press: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillView:
    """The quit drill: a large timer, one question, one key a finding."""

    question: str
    detail: str = ""
    choices: tuple[DrillChoice, ...] = ()
    done: tuple[EventRow, ...] = ()
    """What was found so far, with the second it was found at."""
    step_text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunKey:
    """A large button beside the verdict: 'C  Second cycle'."""

    press: str
    text: str
    action: str
    argument: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunView:
    """Everything a run adds to the bench screen.

    `figures`: two or three. `guide_label` and `guide` are the one thing to do now, `notes` small
    lines below the verdict. `alarms` counts alarms so far: when it grows, the window sounds one and
    flashes; `alarm` stays on screen while it holds. `question` asks for a key (1, 2...) before
    anything else: pulses per revolution, thermometer or none.
    """

    kind: RunKind
    stage: RunStage
    figures: tuple[Figure, ...] = ()
    guide_label: str = ""
    guide: str = ""
    plot: RunPlot | None = None
    events_title: str = ""
    events: tuple[EventRow, ...] = ()
    table: Table = Table()
    tally: Tally | None = None
    drill: DrillView | None = None
    verdict: Verdict | None = None
    side: Side | None = None
    verdict_text: str = ""
    so_far: bool = False
    band_text: str = ""
    notes: tuple[str, ...] = ()
    main: RunKey | None = None
    alarm: str = ""
    alarms: int = 0
    warning: str = ""
    run_id: str = ""
    """Of the run that is on or ended: what `BenchDesk.run_window` looks closer at."""
    question: str = ""
    choices: tuple[DrillChoice, ...] = ()
    """Answers to the question, each with its key (`Action.RUN_ANSWER`)."""
