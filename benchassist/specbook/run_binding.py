"""Run tables to core values: the plan of a run, and the speeds it is judged against."""

from collections.abc import Callable
from typing import Final

from benchassist.core.band import Band
from benchassist.core.quantity import Quantity
from benchassist.core.run import DrillStep, HeatedPart, RunPlan, SpeedLimits
from benchassist.specbook.sheet import CheckSheet, DrillStepSheet, Origin, RunSheet, SpeedSheet
from benchassist.units import read_band, read_quantity

CEILING: Final = "95 °C"
CYCLES: Final = 2
HOLD: Final = "15 min"
"""What holds for a heat run whose table says nothing else."""


def plan_of(
    check: CheckSheet, speeds: SpeedSheet | None, translate: Callable[[str], str]
) -> RunPlan | None:
    """The plan of a run, with `speeds` where an application has its own; None for another check.

    Raises UnitError where a text is no quantity.
    """
    run = check.run
    if run is None:
        return None
    return RunPlan(
        kind=run.kind,
        part=run.part or HeatedPart.WINDING,
        ceiling=read_quantity(run.ceiling or CEILING, quantity=Quantity.TEMPERATURE).value,
        ceiling_source=_whose(run, translate),
        cycles=CYCLES if run.cycles is None else run.cycles,
        hold=read_quantity(run.hold or HOLD, quantity=Quantity.DURATION).value,
        pulses_per_rev=check.pulses_per_rev,
        limits=_limits(speeds or run.speeds or SpeedSheet(), translate),
        loads=run.loads,
        tank_pressure=run.tank_pressure,
        drill=tuple(_step(step, translate) for step in run.drill),
    )


def _whose(run: RunSheet, translate: Callable[[str], str]) -> str:
    return translate(run.ceiling_note or (run.ceiling_source or Origin.COMMON_PRACTICE).value)


def _limits(sheet: SpeedSheet, translate: Callable[[str], str]) -> SpeedLimits:
    def band(text: str, quantity: Quantity) -> Band | None:
        if not text:
            return None
        limits = read_band(text, quantity=quantity)
        return Band(
            quantity=quantity,
            low=limits.low,
            high=limits.high,
            source=(sheet.source or Origin.COMMON_PRACTICE).source,
            source_note=translate(sheet.note) if sheet.note else "",
        )

    return SpeedLimits(
        low=band(sheet.low, Quantity.SPEED),
        high=band(sheet.high, Quantity.SPEED),
        fall=band(sheet.fall, Quantity.DURATION),
        recover=band(sheet.recover, Quantity.DURATION),
        rated=read_quantity(sheet.rated, quantity=Quantity.SPEED).value if sheet.rated else None,
    )


def _step(sheet: DrillStepSheet, translate: Callable[[str], str]) -> DrillStep:
    return DrillStep(
        key=sheet.key,
        question=translate(sheet.question),
        answers=tuple((answer.key, translate(answer.text)) for answer in sheet.answers),
        detail=translate(sheet.detail) if sheet.detail else "",
        after=sheet.after,
        until_s=read_quantity(sheet.until, quantity=Quantity.DURATION).value,
    )
