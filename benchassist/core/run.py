"""What a run is: a live log while a part is heated, an engine runs, a tank fills or has just died.

A run belongs to a check of a visit. Its samples are stored apart from the visit's entries; what was
found in them is a finding (`core/run_finding.py`), frozen into the visit when the run ends.
"""

from dataclasses import dataclass
from enum import StrEnum

from benchassist.core.band import Band


class RunKind(StrEnum):
    """What is logged."""

    HEAT = "heat"
    ENGINE = "engine"
    TANK = "tank"
    DRILL = "drill"
    """The ninety seconds after an engine dies: keys and times, no samples."""


class HeatedPart(StrEnum):
    """What is warmed. Only a winding follows copper; a path is a winding with a cap in series."""

    WINDING = "winding"
    CAP = "cap"
    LEAD = "lead"
    PATH = "path"


class MarkKind(StrEnum):
    """What a mark in a run stands for."""

    MOMENT = "moment"
    """Any key: something was seen or touched just now."""
    TEMPERATURE = "temperature"
    """The part's surface, typed off a thermometer; celsius."""
    LEG = "leg"
    """A cycle turns: `text` is 'heating' or 'cooling'."""
    SPEED = "speed"
    """Typed off a tachometer; rpm."""
    LOAD = "load"
    """The load is now what `text` says: 'none', 'half', 'full'."""
    HERTZ = "hertz"
    VOLTS = "volts"
    """Typed off a meter at the outlet, for the load marked last."""
    PRESSURE = "pressure"
    """A gauge mark passed, or read as the throttle fell or came back; pascal of gauge pressure."""
    CUT_IN = "cut_in"
    CUT_OUT = "cut_out"
    FALL = "fall"
    RECOVER = "recover"
    """The engine fell to idle, came back to speed, at the pressure marked last."""
    PULSES = "pulses"
    """Pulses per revolution settled by the person; the value says how many."""
    ANSWER = "answer"
    """A step of a drill answered: `text` is 'step:answer'."""
    PLACE = "place"
    """A figure typed once for the run: `text` names it ('tank_volume', 'ambient', 'altitude')."""
    DROP = "drop"
    """The last cycle, gauge mark or answer before this moment is taken back."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeedLimits:
    """What an engine run is judged against; None where nothing is stated.

    Bands in rpm, times in seconds, droop as a fraction. `rated` is the plate's speed, from which
    the overspeed warning stands at +10 %.
    """

    low: Band | None = None
    high: Band | None = None
    fall: Band | None = None
    recover: Band | None = None
    droop: Band | None = None
    rated: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillStep:
    """One question of a drill and its answers, as (key, text); `until_s` is when it goes cold.

    `after` names a step and the answer that makes this one due: 'spark:none'; empty: always.
    """

    key: str
    question: str
    answers: tuple[tuple[str, str], ...]
    detail: str = ""
    after: tuple[str, ...] = ()
    until_s: float = 90.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RunPlan:
    """How a run is made, as its check states it; frozen into the visit.

    `ceiling` is the surface limit in celsius, `cycles` how many heat cycles or idle-downs are asked
    for, `hold` seconds at the ceiling. `baseline` is the machine's own earlier figure, if any.
    """

    kind: RunKind
    part: HeatedPart = HeatedPart.WINDING
    ceiling: float = 95.0
    ceiling_source: str = "common practice"
    cycles: int = 2
    hold: float = 900.0
    pulses_per_rev: float | None = None
    limits: SpeedLimits = SpeedLimits()
    loads: bool = False
    """Whether no, half and full load are run through (a generator)."""
    tank_pressure: bool = False
    """Whether the throttle idles down by tank pressure, so that gauge marks are asked for."""
    drill: tuple[DrillStep, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RunGap:
    """Samples are missing between two moments of a channel (seconds of the run), and why.

    `reason` is a code: lost, stalled, garbage, overflow (the writer's), hold, function, closed.
    """

    channel: str
    start_s: float
    end_s: float
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RunHeader:
    """A run on file. `origin_s` is the moment of the program's clock that is second 0 of the run.

    `visit_id` and `check_key` are empty for a log opened from elsewhere.
    """

    id: str
    visit_id: str = ""
    check_key: str = ""
    kind: RunKind = RunKind.HEAT
