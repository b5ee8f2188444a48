"""Analyses of a log from elsewhere, as one object of base units: a contract with other programs."""

from dataclasses import dataclass
from pathlib import Path
from typing import Final

from benchassist.core.engine_run import analyse_speed
from benchassist.core.heat_run import analyse_heat
from benchassist.core.procedure import Check, CheckKind
from benchassist.core.quantity import Quantity
from benchassist.core.run import HeatedPart, RunKind, RunPlan
from benchassist.core.run_finding import (
    EngineFinding,
    HeatEvent,
    HeatFinding,
    IdleCycle,
    SpeedLevel,
)
from benchassist.core.samples import Samples
from benchassist.core.speed import rpm_per_hertz
from benchassist.errors import InputError
from benchassist.services.runs.engine_text import engine_words
from benchassist.services.runs.file import RunFile, read_run_file
from benchassist.services.runs.heat_text import heat_words
from benchassist.services.runs.run_time import evened
from benchassist.services.runs.words import RunWords
from benchassist.services.translation import _
from benchassist.units import UnitChoice

HEAT: Final = (Quantity.RESISTANCE,)
SPEED: Final = (Quantity.FREQUENCY, Quantity.SPEED)
FOLLOWS_COPPER: Final = frozenset({HeatedPart.WINDING})


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeedRequest:
    """How a log of speeds is read: pulses a revolution, and where the two levels lie (rpm)."""

    pulses_per_rev: float
    low: float | None = None
    high: float | None = None

    def __post_init__(self) -> None:
        """Raise InputError for what cannot be."""
        if not 0.0 < self.pulses_per_rev < float("inf"):
            raise InputError(
                _("Pulses per revolution {n:g}: above 0 would be right, such as 1 or 0.5").format(
                    n=self.pulses_per_rev
                )
            )
        for name, rpm in ((_("Low"), self.low), (_("High"), self.high)):
            if rpm is not None and not 0.0 < rpm < float("inf"):
                raise InputError(
                    _("{name} speed {rpm:g}: an rpm above 0 would be right").format(
                        name=name, rpm=rpm
                    )
                )
        if self.low is not None and self.high is not None and self.low >= self.high:
            raise InputError(
                _("Low speed {low:g} is not below high speed {high:g}").format(
                    low=self.low, high=self.high
                )
            )


def read_heat(path: Path) -> RunFile:
    """A log of ohms. Raises InputError where no row can be used."""
    return evened(read_run_file(path, HEAT))


def heat_finding(log: RunFile, part: HeatedPart) -> HeatFinding:
    """What a heat run's log holds."""
    return analyse_heat(log.samples, log.celsius, part)


def read_speed(path: Path, request: SpeedRequest) -> tuple[RunFile, EngineFinding]:
    """A log of hertz or rpm, and what it holds. Raises InputError where no row can be used."""
    log = evened(read_run_file(path, SPEED))
    return log, speed_finding(log, request)


def speed_finding(log: RunFile, request: SpeedRequest) -> EngineFinding:
    """What a log of speeds holds."""
    rpm = speeds_of(log, request)
    return analyse_speed(rpm.t_s, rpm.value, rpm.resolution, low=request.low, high=request.high)


def speeds_of(log: RunFile, request: SpeedRequest) -> Samples:
    """The samples of a log of speeds in rpm."""
    is_hertz = log.quantity is Quantity.FREQUENCY
    factor = rpm_per_hertz(request.pulses_per_rev) if is_hertz else 1.0
    samples = log.samples
    return Samples(samples.t_s, samples.value * factor, samples.resolution * factor)


def heat_report(log: RunFile, finding: HeatFinding, part: HeatedPart) -> dict[str, object]:
    """The object of `analyse heat`."""
    departure = finding.largest_departure
    copper = None
    if part in FOLLOWS_COPPER and finding.r20 is not None:
        copper = {
            "r20_ohm": finding.r20,
            "largest_departure_percent": None if departure is None else 100.0 * departure,
        }
    return {
        "reproduced": finding.reproduced,
        "departure_assessed": finding.departure_assessed,
        "rows": {"used": len(log.samples), "rejected": log.rejected},
        "events": [_event(event) for event in finding.events],
        "copper": copper,
    }


def speed_report(log: RunFile, finding: EngineFinding) -> dict[str, object]:
    """The object of `analyse speed`."""
    hunting = finding.hunting
    return {
        "levels": {"low": _level(finding.low), "high": _level(finding.high)},
        "cycles": [_cycle(cycle) for cycle in finding.cycles],
        "hunting": {
            "present": hunting.present,
            "level": hunting.level,
            "period_s": hunting.period_s,
            "amplitude_rpm": hunting.amplitude_rpm,
        },
        "rows": {"used": len(log.samples), "rejected": log.rejected},
    }


def _event(event: HeatEvent) -> dict[str, object]:
    return {
        "kind": event.kind,
        "start_s": event.start_s,
        "end_s": event.end_s,
        "from": event.before,
        "to": event.after,
        "temperature_c": event.celsius,
    }


def _level(level: SpeedLevel | None) -> dict[str, float] | None:
    return None if level is None else {"rpm": level.rpm, "spread_rpm": level.spread_rpm}


def _cycle(cycle: IdleCycle) -> dict[str, object]:
    return {
        "fall_start_s": cycle.fall_start_s,
        "fall_s": cycle.fall_s,
        "recover_start_s": cycle.recover_start_s,
        "recover_s": cycle.recover_s,
        "overshoot_rpm": cycle.overshoot_rpm,
        "completed": cycle.completed,
    }


def heat_lines(finding: HeatFinding, part: HeatedPart) -> tuple[str, ...]:
    """The same for a person: the verdict, then what it stands on."""
    check = _check(_("Heat run"))
    plan = RunPlan(kind=RunKind.HEAT, part=part)
    return _lines(heat_words(check, finding, plan, UnitChoice()))


def speed_lines(finding: EngineFinding, request: SpeedRequest) -> tuple[str, ...]:
    """The same for a person: levels, idle-downs, hunting."""
    plan = RunPlan(kind=RunKind.ENGINE, pulses_per_rev=request.pulses_per_rev)
    return _lines(engine_words(finding, plan, UnitChoice()))


def _check(title: str) -> Check:
    return Check(key="log", title=title, short=title, kind=CheckKind.RUN)


def _lines(words: RunWords) -> tuple[str, ...]:
    first = words.title or f"{words.words} {words.doubt}".strip()
    given = (first, *words.detail, *words.proved, *words.not_proved)
    return tuple(dict.fromkeys(line for line in given if line))
