"""The table below an engine's plot: a row a cycle, a load, a gauge mark; oldest first."""

from benchassist.core.quantity import Quantity
from benchassist.core.run import RunPlan
from benchassist.core.run_finding import EngineFinding, LoadPoint
from benchassist.services.runs.engine_ruler import figure_ruler, figure_text, percent_text
from benchassist.services.runs.engine_text import LOAD, pressure_text, short_band
from benchassist.services.runs.engine_verdict import CycleJudge, Gauged, Judged, judge_droop
from benchassist.services.runs.view import Cell, Table
from benchassist.services.translation import _
from benchassist.units import UnitChoice, text_of

MOST_ROWS = 10
"""The last so many idle-downs have a row; more fit on no screen."""
_COLUMNS = (Gauged.FALL, Gauged.LOWEST, Gauged.RECOVER)


def engine_table(
    finding: EngineFinding, plan: RunPlan, units: UnitChoice, *, k: float = 2.0
) -> Table:
    """What the plan asks for: loads, pressures, else idle-downs."""
    if plan.loads:
        return load_table(finding, plan, units, k=k)
    if plan.tank_pressure and finding.pressures:
        return pressure_table(finding, units)
    return cycle_table(finding, plan, units, k=k)


def cycle_table(
    finding: EngineFinding, plan: RunPlan, units: UnitChoice, *, k: float = 2.0
) -> Table:
    """Fall, lowest speed and recovery of the last idle-downs, each with its ruler."""
    limits = plan.limits
    bands = (
        (_("Fall, band {band}"), _("Fall"), limits.fall),
        (_("Lowest, band {band}"), _("Lowest"), limits.low),
        (_("Recover, band {band}"), _("Recover"), limits.recover),
    )
    judge, last = CycleJudge(finding, plan, k=k), len(finding.cycles)
    return Table(
        headings=tuple(
            plain if band is None else banded.format(band=short_band(band, units))
            for banded, plain, band in bands
        ),
        rows=tuple(
            (str(n), tuple(_cell(judge.figure(n, gauged), units) for gauged in _COLUMNS))
            for n in range(max(1, last - MOST_ROWS + 1), last + 1)
        ),
    )


def load_table(
    finding: EngineFinding, plan: RunPlan, units: UnitChoice, *, k: float = 2.0
) -> Table:
    """Speed, hertz and volts at each load, and the droop in the last row."""
    rows = [(LOAD[p.load], _load_cells(p, units)) for p in finding.loads]
    droop = judge_droop(finding, plan.limits.droop, k=k)
    if droop is not None:
        cell = Cell(
            text=percent_text(droop.value).partition(" ")[0],
            unit="%",
            ruler=figure_ruler(droop, units),
            verdict=droop.judgement.verdict if droop.band is not None else None,
            side=droop.judgement.side,
        )
        rows.append((_("Droop"), (cell, Cell(text=""), Cell(text=""))))
    return Table(headings=(_("Speed"), _("Hertz"), _("Volts")), rows=tuple(rows))


def pressure_table(finding: EngineFinding, units: UnitChoice) -> Table:
    """Gauge pressure and lag each time the throttle fell or came back."""
    rows = tuple(
        (
            str(n),
            (
                Cell(text=pressure_text(point, units).partition(",")[0]),
                Cell(text="–")
                if point.lag_s is None
                else Cell(text=f"{point.lag_s:.1f}", unit="s"),
                Cell(text="–") if point.rpm is None else _speed_cell(point.rpm, units),
            ),
        )
        for n, point in enumerate(finding.pressures, start=1)
    )
    return Table(headings=(_("Throttle"), _("Lag"), _("Speed")), rows=rows)


def _load_cells(point: LoadPoint, units: UnitChoice) -> tuple[Cell, ...]:
    hertz, volts = point.hertz, point.volts
    return (
        Cell(text="–") if point.rpm is None else _speed_cell(point.rpm, units),
        Cell(text="–") if hertz is None else Cell(text=f"{hertz:.1f}", unit="Hz"),
        Cell(text="–")
        if volts is None
        else Cell(
            text=text_of(volts, Quantity.VOLTAGE, resolution=0.1, exponent=0, units=units).digits,
            unit="V",
        ),
    )


def _speed_cell(rpm: float, units: UnitChoice) -> Cell:
    shown = text_of(rpm, Quantity.SPEED, resolution=1.0, units=units)
    return Cell(text=shown.digits, unit=shown.unit)


def _cell(judged: Judged | None, units: UnitChoice) -> Cell:
    """A figure of a cycle; a dash for a recovery that has not come."""
    if judged is None:
        return Cell(text="–")
    text, _doubt = figure_text(judged, units)
    digits, _space, unit = text.partition(" ")
    return Cell(
        text=digits,
        unit=unit,
        ruler=figure_ruler(judged, units),
        verdict=judged.judgement.verdict if judged.band is not None else None,
        side=judged.judgement.side,
    )
