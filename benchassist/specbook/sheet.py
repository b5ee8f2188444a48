"""Profiles as they are written: one dataclass a TOML table, texts not yet read as quantities.

A key that stands in no dataclass here is a fault, and so is a value of another type.
"""

from dataclasses import dataclass, field
from enum import StrEnum

from benchassist.core.band import BandSource
from benchassist.core.procedure import CheckKind, Leaning
from benchassist.core.quantity import Quantity
from benchassist.core.run import HeatedPart, RunKind
from benchassist.specbook.cause_sheet import CauseBookSheet, EvidenceSheet


class Origin(StrEnum):
    """Where a band comes from, in the words of a profile."""

    MAKER = "maker"
    COMMON_PRACTICE = "common practice"
    OWN_PARTS = "own parts"
    MARKING = "marking"

    @property
    def source(self) -> BandSource:
        """The same in core's words."""
        return BandSource[self.name]


class Sketch(StrEnum):
    """Drawings that a check may name; `paint` draws them."""

    CAP = "cap"
    COIL_PRIMARY = "coil_primary"
    COIL_SECONDARY = "coil_secondary"
    PATH = "path"
    PLUG = "plug"
    STOP_WIRE = "stop_wire"
    STOP_SWITCH = "stop_switch"
    OIL_SWITCH = "oil_switch"
    AIR_GAP = "air_gap"
    PLUG_GAP = "plug_gap"
    SPARK_TESTER = "spark_tester"
    TACHOMETER = "tachometer"
    LEADS = "leads"
    LOOK = "look"


@dataclass(frozen=True, slots=True, kw_only=True)
class BandSheet:
    """A band as written, `band = "5.5 kohm..13 kohm"`, and where it comes from; empty: none.

    `note` is the manual and page, the marking, or the number of own parts. Without a reference
    temperature the limits hold at that of the engine class, else at 20 celsius.
    """

    band: str = ""
    source: Origin | None = None
    note: str = ""
    copper: bool = False
    probe_points: str = ""
    reference_celsius: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeedSheet:
    """What an engine run is judged against, as bands in rpm and in seconds; empty: recorded.

    `rated` is the plate's speed, from which the overspeed warning stands. `source` and `note` hold
    for all of it.
    """

    low: str = ""
    high: str = ""
    fall: str = ""
    recover: str = ""
    rated: str = ""
    source: Origin | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionSheet(BandSheet):
    """A band that holds for one marking or type of part; without `band`: recorded.

    An engine run has `speeds` for an application instead.
    """

    key: str
    text: str
    speeds: SpeedSheet | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ChoiceSheet:
    """One answer to a step of a drill."""

    key: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerSheet(ChoiceSheet):
    """One answer to a look or to a question."""

    leaning: Leaning = Leaning.NEUTRAL


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillStepSheet:
    """A step of a drill: `after` names answers that make it due, `until` when it goes cold."""

    key: str
    question: str
    answers: tuple[ChoiceSheet, ...]
    until: str
    detail: str = ""
    after: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RunSheet:
    """How a run is made. What a kind of run does not have must not stand in its table.

    `ceiling` is the part's surface limit; `ceiling_source` and `ceiling_note` say whose it is.
    """

    kind: RunKind
    part: HeatedPart | None = None
    ceiling: str = ""
    ceiling_source: Origin | None = None
    ceiling_note: str = ""
    cycles: int | None = None
    hold: str = ""
    loads: bool = False
    tank_pressure: bool = False
    speeds: SpeedSheet | None = None
    drill: tuple[DrillStepSheet, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckSheet(BandSheet):
    """A check, in the library or in a procedure. `optional`: left out unless a class adds it.

    `accuracy` is that of the gauge behind a typed reading, and `accuracy_note` says whose figure.
    `sum_of` names two checks whose bands add up to this one's, the second with options.
    """

    key: str
    title: str
    short: str
    kind: CheckKind
    sketch: Sketch
    quantity: Quantity | None = None
    optional: bool = False
    setting: str = ""
    touch: str = ""
    options: tuple[OptionSheet, ...] = ()
    option_group: str = ""
    option_question: str = ""
    answers: tuple[AnswerSheet, ...] = ()
    cautions: tuple[str, ...] = ()
    typical: str = ""
    expects_overload: bool = False
    polarities: int = 1
    volt_drop: bool = False
    pulses_per_rev: float | None = None
    obliges: str = ""
    sum_of: tuple[str, ...] = ()
    why: str = ""
    minutes: float = 1.0
    part: str = ""
    accuracy: str = ""
    accuracy_note: str = ""
    run: RunSheet | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ProcedureSheet:
    """A procedure: its checks in the order in which they are worked.

    `checks` names them, from the library or from `check`, the procedure's own, which go before
    those of the library. Without `checks` the own ones stand as they are written.
    """

    key: str
    title: str
    version: str
    checks: tuple[str, ...] = ()
    check: tuple[CheckSheet, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassCheckSheet(BandSheet):
    """What an engine class says of a check: its band or options, and what it words otherwise.

    `cautions` are added to those of the check; a None leaves what the procedure says.
    """

    title: str | None = None
    short: str | None = None
    setting: str | None = None
    touch: str | None = None
    why: str | None = None
    options: tuple[OptionSheet, ...] = ()
    option_group: str = ""
    option_question: str = ""
    cautions: tuple[str, ...] = ()
    polarities: int | None = None
    volt_drop: bool | None = None
    pulses_per_rev: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class EngineSheet:
    """An engine class: which checks apply, and their bands.

    `electronics`: they sit across the stop tab or in the path to the plug. `choices` narrows an
    option group to the options that make sense for the class.
    """

    key: str
    name: str
    electronics: bool
    order: int = 50
    description: str = ""
    reference_celsius: float = 20.0
    pulses_per_rev: float | None = None
    omit: tuple[str, ...] = ()
    add: tuple[str, ...] = ()
    choices: dict[str, tuple[str, ...]] = field(default_factory=dict)
    checks: dict[str, ClassCheckSheet] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class ComplaintSheet:
    """A complaint that can open a visit."""

    key: str
    name: str
    procedure: str
    order: int = 50
    questions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class QuestionSheet:
    """A question of the interview: one of its answers, a duration in minutes, or words."""

    key: str
    text: str
    answers: tuple[AnswerSheet, ...] = ()
    quantity: Quantity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RangeSheet:
    """A range of a meter. `note` says whose the accuracy is where it is not the card's."""

    full_scale: str
    step: str
    accuracy: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterSheet:
    """A meter card; `note` says whose figures they are."""

    key: str
    name: str
    note: str
    protocol: str = ""
    order: int = 50
    ranges: dict[Quantity, tuple[RangeSheet, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionSheet:
    """A hazard, what to do, and who has the last word; `short` names the hazard in a few words."""

    key: str
    text: str
    short: str


Sheet = (
    EngineSheet
    | CheckSheet
    | ProcedureSheet
    | ComplaintSheet
    | QuestionSheet
    | MeterSheet
    | CautionSheet
    | EvidenceSheet
    | CauseBookSheet
)
"""Whatever carries a key of its own in a profile."""
