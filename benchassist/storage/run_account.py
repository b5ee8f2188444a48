"""Runs as an export tells them: how each was made, what was marked, what was found.

A number whose name does not say its unit has it beside it, as `NAME_unit`; what a number of no unit
is says `RATIOS`, and what is a count is a whole number.
"""

from collections.abc import Callable
from dataclasses import fields, is_dataclass
from types import MappingProxyType
from typing import Any, Final

from benchassist.core.accuracy import Accuracy
from benchassist.core.entry import RunEnded, RunMarked, RunStarted
from benchassist.core.run import MarkKind, RunPlan, SpeedLimits
from benchassist.core.run_finding import Finding
from benchassist.core.visit import Visit
from benchassist.errors import NotFoundError
from benchassist.storage.account import accuracy_account, band_account
from benchassist.storage.codec import Plain, encode
from benchassist.storage.run_record import RunRecord, record_account

UNITS: Final = MappingProxyType(
    {
        "before": "ohm",
        "after": "ohm",
        "r20": "ohm",
        "celsius": "celsius",
        "end_celsius": "celsius",
        "hottest": "celsius",
        "ambient": "celsius",
        "rpm": "rpm",
        "hertz": "hertz",
        "volts": "volt",
        "pascal": "pascal",
        "seconds": "second",
        "cut_in": "pascal",
        "cut_out": "pascal",
        "resolution": "rpm",
        "volume": "cubic metre",
        "free_air": "cubic metre per second",
        "free_air_uncertainty": "cubic metre per second",
        "altitude": "metre",
    }
)
"""The units of numbers in a finding, by name; a name in `_s` is of seconds, in `_rpm` of rpm."""

RATIOS: Final = frozenset({"largest", "largest_departure", "hysteresis", "droop", "pulses_per_rev"})
"""Numbers without a unit: fractions (0.05 is 5 %), and pulses per revolution."""

MARK_UNITS: Final = MappingProxyType(
    {
        MarkKind.TEMPERATURE: "celsius",
        MarkKind.SPEED: "rpm",
        MarkKind.HERTZ: "hertz",
        MarkKind.VOLTS: "volt",
        MarkKind.PRESSURE: "pascal",
        MarkKind.CUT_IN: "pascal",
        MarkKind.CUT_OUT: "pascal",
    }
)

PLACE_UNITS: Final = MappingProxyType(
    {"tank_volume": "cubic metre", "ambient": "celsius", "tank_air": "celsius", "altitude": "metre"}
)

Runs = Callable[[str], RunRecord]
"""The samples of a run by its id. Raises NotFoundError for a run that has none."""


def run_accounts(visit: Visit, runs: Runs | None) -> list[Plain]:
    """Return the runs of a visit in order, each with its samples where `runs` has them."""
    return [_run(visit, e, runs) for e in visit.entries if isinstance(e, RunStarted)]


def _run(visit: Visit, started: RunStarted, runs: Runs | None) -> Plain:
    own = [e for e in visit.entries if getattr(e, "run_id", None) == started.run_id]
    ended = next((e for e in reversed(own) if isinstance(e, RunEnded)), None)
    finding = None if ended is None else _finding_of(ended)
    return {
        "id": started.run_id,
        "check": started.check_key,
        "kind": started.plan.kind,
        "started_at": started.stamp.at.isoformat(),
        "ended_at": None if ended is None else ended.stamp.at.isoformat(),
        "cut": ended is not None and ended.cut,
        "struck": ended is not None and visit.is_struck(ended),
        "meter": started.meter,
        "thermometer": started.thermometer,
        "plan": _plan(started.plan),
        "marks": [_mark(e) for e in own if isinstance(e, RunMarked)],
        "finding": None if finding is None else finding_account(finding),
        "samples": _samples(started.run_id, runs),
    }


def _samples(run_id: str, runs: Runs | None) -> Plain | None:
    if runs is None:
        return None
    try:
        return record_account(runs(run_id))
    except NotFoundError:
        return None


def _finding_of(ended: RunEnded) -> Finding | None:
    return ended.heat or ended.engine or ended.tank or ended.drill


def _plan(plan: RunPlan) -> Plain:
    return {
        "part": plan.part,
        "ceiling": plan.ceiling,
        "ceiling_unit": "celsius",
        "ceiling_source": plan.ceiling_source,
        "cycles": plan.cycles,
        "hold_s": plan.hold,
        "pulses_per_rev": plan.pulses_per_rev,
        "limits": _limits(plan.limits),
        "loads": plan.loads,
        "tank_pressure": plan.tank_pressure,
        "drill": [encode(step) for step in plan.drill],
    }


def _limits(limits: SpeedLimits) -> Plain:
    bands = {name: getattr(limits, name) for name in ("low", "high", "fall", "recover", "droop")}
    told = {name: None if band is None else band_account(band) for name, band in bands.items()}
    return told | {"rated_rpm": limits.rated}


def _mark(mark: RunMarked) -> Plain:
    unit = MARK_UNITS.get(mark.kind)
    if mark.kind is MarkKind.PLACE:
        unit = PLACE_UNITS.get(mark.text)
    return {
        "id": mark.stamp.id,
        "seq": mark.stamp.seq,
        "at": mark.stamp.at.isoformat(),
        "t_s": mark.t_s,
        "kind": mark.kind,
        "value": mark.value,
        "unit": unit,
        "resolution": mark.resolution,
        "text": mark.text,
    }


def finding_account(value: object) -> Any:  # noqa: ANN401 - whatever JSON holds
    """Return a finding with the unit of each number that needs one beside it, all through."""
    match value:
        case Accuracy():
            return accuracy_account(value)
        case tuple():
            return [finding_account(item) for item in value]
        case _ if not is_dataclass(value):
            return value
    told: Plain = {}
    for part in fields(value):
        told[part.name] = finding_account(getattr(value, part.name))
        if part.name in UNITS:
            told[f"{part.name}_unit"] = UNITS[part.name]
    return told
