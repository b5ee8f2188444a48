"""Checks and their order: what a visit walks through, as frozen into it.

Every text here was written in a profile; the visit keeps it as it stood when it was opened.
"""

from dataclasses import dataclass, field
from enum import StrEnum

from benchassist.core.accuracy import Accuracy, MeterRange
from benchassist.core.band import Band
from benchassist.core.quantity import Quantity
from benchassist.core.run import RunPlan


class CheckKind(StrEnum):
    """How a check is answered."""

    MEASURE = "measure"
    """By a meter, or typed from one."""
    GAUGE = "gauge"
    """Typed only: a feeler gauge, a tachometer, a ruler."""
    LOOK = "look"
    """By eye, ear or hand: one of its answers."""
    RUN = "run"
    """A live log: a heat run, an engine run, a tank run, a quit drill."""


class Leaning(StrEnum):
    """What an answer to a look leans towards; evidence, never a verdict."""

    SOUND = "sound"
    SUSPECT = "suspect"
    NEUTRAL = "neutral"


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """A hazard at a step: what can happen, what to do, and who has the last word."""

    key: str
    text: str
    short: str = ""
    """The hazard in a few words, repeated in large type while the work is done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One answer to a look."""

    key: str
    text: str
    leaning: Leaning = Leaning.NEUTRAL


@dataclass(frozen=True, slots=True, kw_only=True)
class BandOption:
    """A band that holds for one marking or type of part; None: recorded, no verdict.

    For a run it is the run's plan with the speeds of that application, None where there are none.
    """

    key: str
    text: str
    band: Band | None = None
    run: RunPlan | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One thing to measure or look at.

    `band` is fixed by the engine class; where it depends on a marking it is None and `options` are
    asked first (`option_group` lets the cap and the whole path share one answer).
    `typical` is a full scale in base units that suits the reading to come. `expects_overload` says
    that 'Above range' is what a sound part shows. `polarities` of 2 asks for both ways round.
    `obliges` names a look that must be answered before the visit may close (reconnect the wire).
    `accuracy` states the gauge of a typed check (a feeler, a tachometer), which is no meter's.
    """

    key: str
    title: str
    short: str
    kind: CheckKind
    quantity: Quantity | None = None
    setting: str = ""
    touch: str = ""
    sketch: str = ""
    band: Band | None = None
    options: tuple[BandOption, ...] = ()
    option_group: str = ""
    option_question: str = ""
    answers: tuple[Answer, ...] = ()
    cautions: tuple[Caution, ...] = ()
    typical: float | None = None
    expects_overload: bool = False
    polarities: int = 1
    volt_drop: bool = False
    pulses_per_rev: float | None = None
    obliges: str = ""
    why: str = ""
    minutes: float = 1.0
    part: str = ""
    accuracy: Accuracy | None = None
    accuracy_note: str = ""
    run: RunPlan | None = None
    """How the run is made; there for a RUN check only. An option may bring its own: `plan`."""

    def plan(self, option: BandOption | None = None) -> RunPlan | None:
        """How the run is made where that option was chosen; None for a check that is no run."""
        return option.run if option is not None and option.run is not None else self.run


@dataclass(frozen=True, slots=True, kw_only=True)
class Procedure:
    """An ordered list of checks for one complaint on one engine class."""

    key: str
    title: str
    complaint: str
    engine_class: str
    checks: tuple[Check, ...]
    questions: tuple["Question", ...] = ()
    version: str = ""
    electronics: bool | None = None
    """Whether they sit in the path to the plug, by the engine class; None where not known."""

    def check(self, key: str) -> Check:
        """The check of that key. Raises KeyError if there is none."""
        for check in self.checks:
            if check.key == key:
                return check
        raise KeyError(key)


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question of the interview that opens a visit.

    `quantity` DURATION is answered by minutes typed, `answers` by one of them, neither by words.
    """

    key: str
    text: str
    answers: tuple[Answer, ...] = ()
    quantity: Quantity | None = None


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


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterCard:
    """What is known of a meter: its ranges by quantity, and whose figures they are."""

    key: str
    name: str
    protocol: str = ""
    source_note: str = ""
    ranges: dict[Quantity, tuple[MeterRange, ...]] = field(default_factory=dict)

    def range_of(
        self, quantity: Quantity, *, full_scale: float | None, resolution: float | None
    ) -> MeterRange | None:
        """The range a reading was made on: by full scale, else by a count that only one has."""
        ranges = self.ranges.get(quantity, ())
        if full_scale is not None:
            return next((r for r in ranges if _near(r.full_scale, full_scale)), None)
        if resolution is None:
            return None
        fitting = [r for r in ranges if _near(r.resolution, resolution)]
        return fitting[0] if len(fitting) == 1 else None


def _near(a: float, b: float) -> bool:
    return abs(a - b) <= 0.11 * max(abs(a), abs(b))
