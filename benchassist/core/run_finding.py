"""What a run found, as numbers and codes; frozen into the visit when the run ends.

Temperatures in celsius, times in seconds of the run, ratios as fractions. None is 'not known'.
"""

from dataclasses import dataclass, field
from enum import StrEnum

from benchassist.core.accuracy import Accuracy
from benchassist.core.run import HeatedPart, RunGap


class HeatEventKind(StrEnum):
    """What can happen to a resistance while its part is warmed."""

    OPEN = "open"
    STEP_UP = "step_up"
    STEP_DOWN = "step_down"
    SPIKE = "spike"
    DEPARTURE = "departure"


class Leg(StrEnum):
    """Which way the temperature goes."""

    HEATING = "heating"
    COOLING = "cooling"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatEvent:
    """One event. `before` is what the line expected at its start, `after` what came, in ohm.

    `after` is None for an open. `end_s` is where it reclosed or came back, None where it never did;
    `celsius` and `end_celsius` are the part's temperature at both. `largest` is the largest
    relative distance from the line while it lasted; None for an open.
    """

    kind: HeatEventKind
    start_s: float
    before: float
    after: float | None = None
    end_s: float | None = None
    celsius: float | None = None
    end_celsius: float | None = None
    leg: Leg = Leg.UNKNOWN
    largest: float | None = None


class Doubt(StrEnum):
    """Why a run cannot say what it was made for."""

    GAP = "gap"
    """Samples are missing where the part was hot."""
    SHORT = "short"
    """Too few samples for a line."""
    NOT_HOT = "not_hot"
    """It never came near the ceiling."""
    ONE_CYCLE = "one_cycle"
    """Fewer cycles than asked for."""
    CUT = "cut"
    """The program ended in mid-run."""
    OUT_OF_ORDER = "out_of_order"
    """Gauge marks that fall, or do not follow one another."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatFinding:
    """What a heat run found.

    `reproduced`: an open, a step or a departure stands in `events` (a spike alone is none).
    `r20` is the fitted resistance at 20 celsius of a copper part with a temperature.
    `largest_departure` is the largest relative distance from the line outside events.
    `hysteresis` is the largest relative distance between heating and cooling legs at one
    temperature, None where only one leg was seen. `winding_thermometer` says that the temperatures
    are the winding's own mean, from its resistance.
    """

    part: HeatedPart
    reproduced: bool
    departure_assessed: bool
    events: tuple[HeatEvent, ...] = ()
    r20: float | None = None
    largest_departure: float | None = None
    hysteresis: float | None = None
    hottest: float | None = None
    cycles: int = 0
    winding_thermometer: bool = False
    duration_s: float = 0.0
    used: int = 0
    rejected: int = 0
    gaps: tuple[RunGap, ...] = ()
    doubts: tuple[Doubt, ...] = ()


class Level(StrEnum):
    """The two governed speeds."""

    LOW = "low"
    HIGH = "high"


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeedLevel:
    """Mean speed and standard deviation at a level, in rpm, over so many seconds."""

    rpm: float
    spread_rpm: float
    seconds: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class IdleCycle:
    """One idle-down: from leaving the high level by 10 % of the step to 90 % of it, and back.

    `lowest_rpm` is the least speed in between, `overshoot_rpm` how far it went above the high
    level on the way back. `completed` says that it fell and came back.
    """

    fall_start_s: float
    fall_s: float
    lowest_rpm: float
    recover_start_s: float | None = None
    recover_s: float | None = None
    overshoot_rpm: float = 0.0
    completed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Hunting:
    """Whether the speed swings to and fro at a level; `present` None: not resolvable.

    `amplitude_rpm` is half peak to peak.
    """

    present: bool | None = None
    level: Level | None = None
    period_s: float | None = None
    amplitude_rpm: float | None = None


class Load(StrEnum):
    """How much is asked of the engine."""

    NONE = "none"
    HALF = "half"
    FULL = "full"


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadPoint:
    """Speed at a load, and at a generator's outlet hertz and volts."""

    load: Load
    rpm: float | None = None
    hertz: float | None = None
    volts: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PressurePoint:
    """At which gauge pressure (pascal) the throttle fell or came back, and how late."""

    falls: bool
    pascal: float
    lag_s: float | None = None
    rpm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class EngineFinding:
    """What an engine run found.

    `failed_falls` and `failed_recoveries` count the times it was asked to and did not.
    `droop` = (no load - full load) / full load. `overspeed_rpm` is the highest speed above the
    warning, None where it was never above.
    """

    pulses_per_rev: float | None = None
    low: SpeedLevel | None = None
    high: SpeedLevel | None = None
    cycles: tuple[IdleCycle, ...] = ()
    hunting: Hunting = field(default_factory=Hunting)
    failed_falls: int = 0
    failed_recoveries: int = 0
    droop: float | None = None
    loads: tuple[LoadPoint, ...] = ()
    pressures: tuple[PressurePoint, ...] = ()
    overspeed_rpm: float | None = None
    duration_s: float = 0.0
    used: int = 0
    rejected: int = 0
    gaps: tuple[RunGap, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    resolution: float | None = None
    """One count in rpm, the coarsest that was used; None where it is not known."""
    accuracy: Accuracy | None = None
    """What is stated of the meter in hertz, or of the tachometer."""
    typed: bool = False
    """Whether the speeds were typed off a tachometer: nothing between two of them is known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeMark:
    """A gauge mark passed at a moment; pascal of gauge pressure."""

    t_s: float
    pascal: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TankFinding:
    """What a tank run found. Volume in cubic metres, free air in cubic metres a second.

    `pump_up_s` is the time between the first and the last mark, which `baseline_s` (the same marks
    on an earlier visit) is compared with.
    """

    marks: tuple[GaugeMark, ...] = ()
    volume: float | None = None
    ambient: float | None = None
    altitude: float | None = None
    free_air: float | None = None
    free_air_uncertainty: float | None = None
    pump_up_s: float | None = None
    baseline_s: float | None = None
    cut_in: float | None = None
    cut_out: float | None = None
    doubts: tuple[Doubt, ...] = ()


class DrillLeaning(StrEnum):
    """What the findings of a drill point at; evidence, never a verdict."""

    SPARK = "spark"
    """No spark with the stop wire off: coil, cap or lead."""
    STOP_CIRCUIT = "stop_circuit"
    """Spark only with the stop wire off."""
    VENT = "vent"
    FUEL = "fuel"
    VALVE = "valve"
    OPEN = "open"
    """Nothing decided."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillAnswer:
    """A step answered, so many seconds after the engine died."""

    step: str
    answer: str
    t_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillFinding:
    """What a quit drill found, in the order in which it was asked."""

    answers: tuple[DrillAnswer, ...] = ()
    leaning: DrillLeaning = DrillLeaning.OPEN
    late: tuple[str, ...] = ()
    """Steps answered after their evidence had gone cold."""


Finding = HeatFinding | EngineFinding | TankFinding | DrillFinding
