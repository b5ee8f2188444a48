"""What the bench shows of a tank run: the clock, the gauge, free air, the marks."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from benchassist.core.entry import RunMarked
from benchassist.core.quantity import Quantity
from benchassist.core.run import MarkKind, RunKind
from benchassist.core.run_finding import GaugeMark, TankFinding
from benchassist.core.run_plot import PlotFlag, RunPlot, Track
from benchassist.core.tank_run import seconds_between
from benchassist.services.bench.condition_text import day_text
from benchassist.services.desk import Action
from benchassist.services.runs.clock import clock_text
from benchassist.services.runs.doubt import doubt_sentences
from benchassist.services.runs.plot_words import plot_words
from benchassist.services.runs.tank_text import (
    SAFETY_VALVE,
    baseline_hint,
    free_air_text,
    gauge_text,
    pump_up_text,
    slower_text,
    tank_words,
)
from benchassist.services.runs.view import (
    Cell,
    EventRow,
    Figure,
    RunKey,
    RunStage,
    RunView,
    Table,
)
from benchassist.services.runs.work import RunSetting
from benchassist.services.translation import _
from benchassist.units import UnitChoice

AXIS_STEP: Final = 60.0
"""Seconds by which the time axis grows while the run is on."""

_CUT: Final = {MarkKind.CUT_OUT: _("Cut-out"), MarkKind.CUT_IN: _("Cut-in")}


@dataclass(frozen=True, slots=True, kw_only=True)
class TankShown:
    """Everything a view is made of at one moment; `next_mark` in pascal."""

    setting: RunSetting
    stage: RunStage
    now_s: float
    finding: TankFinding
    marks: Sequence[RunMarked]
    next_mark: float
    lacks_place: bool


def baseline_day(setting: RunSetting) -> str:
    """The day of the machine's own earlier run; empty without one."""
    return day_text(setting.earlier.ended.stamp.at) if setting.earlier is not None else ""


def in_tenths(pascal: float) -> float:
    """A gauge pressure to a tenth of a pascal, so that 125 psi is one number however reckoned."""
    return round(pascal, 1)


def earlier_marks(setting: RunSetting) -> tuple[GaugeMark, ...]:
    """The gauge marks of the machine's own earlier run."""
    if setting.earlier is None or setting.earlier.ended.tank is None:
        return ()
    marks = setting.earlier.ended.tank.marks
    return tuple(GaugeMark(t_s=m.t_s, pascal=in_tenths(m.pascal)) for m in marks)


def view_of(shown: TankShown, *, plot: RunPlot | None) -> RunView:
    """The whole view."""
    setting, units = shown.setting, shown.setting.units
    ended = shown.stage is RunStage.ENDED
    words = tank_words(shown.finding, setting.plan, units, when=baseline_day(setting))
    guide, key = _step(shown)
    return RunView(
        kind=RunKind.TANK,
        stage=shown.stage,
        figures=_figures(shown),
        guide_label="" if ended else _("Now:"),
        guide=guide,
        plot=plot,
        events_title=_("What happened"),
        events=_events(shown.marks, units),
        table=tank_table(shown.finding, earlier_marks(setting), units),
        verdict=words.verdict if ended else None,
        verdict_text=words.verdict_text if ended else "",
        so_far=shown.stage is RunStage.RUNNING,
        band_text=slower_text(shown.finding, baseline_day(setting))
        or _("No band: held against its own baseline."),
        notes=_notes(shown),
        main=key,
    )


def _step(shown: TankShown) -> tuple[str, RunKey | None]:
    """The one thing to do now, and its key."""
    cuts = {m.kind for m in shown.marks}
    if shown.stage is RunStage.ENDED:
        return "", RunKey(press="Right", text=_("Next step"), action=Action.SKIP)
    if shown.stage is RunStage.READY:
        text = _("bleed the tank to zero, shut its drain, then press Space")
        return text, RunKey(press="Space", text=_("Start"), action=Action.RUN_START)
    if shown.lacks_place and MarkKind.PRESSURE not in cuts:
        text = _("M: type the tank’s volume. Or pump up, Space at each mark")
        return text, RunKey(press="M", text=_("Tank volume"), action=Action.RUN_TYPE)
    gauge = gauge_text(shown.next_mark, shown.setting.units)
    if MarkKind.CUT_OUT not in cuts:
        text = (
            _("Space as the gauge passes {gauge}; C as it cuts out")
            if MarkKind.PRESSURE in cuts
            else _("always the same speed; Space as the gauge leaves {gauge}")
        )
        return text.format(gauge=gauge), RunKey(press="Space", text=gauge, action=Action.RUN_MARK)
    if MarkKind.CUT_IN not in cuts:
        text = _("bleed slowly; press C as it cuts in")
        return text, RunKey(press="C", text=_("Cut-in"), action=Action.RUN_TURN)
    text = _("that is all that was asked for; E ends the run")
    return text, RunKey(press="E", text=_("End the run"), action=Action.RUN_END)


def _figures(shown: TankShown) -> tuple[Figure, ...]:
    units, finding = shown.setting.units, shown.finding
    pressures = [m for m in shown.marks if m.kind is MarkKind.PRESSURE]
    since = _("Since the first mark") if pressures else _("Time")
    passed = shown.now_s - pressures[0].t_s if pressures else shown.now_s
    if shown.stage is RunStage.ENDED:
        since, passed = _("Pump-up"), finding.pump_up_s or 0.0
    time = Figure(label=since, digits=clock_text(passed))
    last = next((m.value for m in reversed(shown.marks) if m.value and m.kind in _GAUGED), None)
    digits, _space, unit = gauge_text(last or 0.0, units).partition(" ")
    gauge = Figure(label=_("Last mark"), digits=digits if pressures else "", unit=unit)
    air, doubt = free_air_text(finding, units)
    if not air:
        return (time, gauge)
    digits, _space, unit = air.partition(" ")
    label = _("Free air {doubt}").format(doubt=doubt).strip()
    return (time, gauge, Figure(label=label, digits=digits, unit=unit))


_GAUGED: Final = frozenset({MarkKind.PRESSURE, MarkKind.CUT_OUT, MarkKind.CUT_IN})


def _notes(shown: TankShown) -> tuple[str, ...]:
    finding, setting = shown.finding, shown.setting
    said = [SAFETY_VALVE, baseline_hint(finding)]
    if shown.stage is RunStage.ENDED:
        said += doubt_sentences(finding.doubts, ())
    if shown.stage is RunStage.READY and earlier_marks(setting):
        said.append(_("Baseline: this machine on {day}.").format(day=baseline_day(setting)))
    return tuple(line for line in said if line)


def _events(marks: Sequence[RunMarked], units: UnitChoice) -> tuple[EventRow, ...]:
    """Cut-out, cut-in and moments; the gauge marks have the table."""
    rows = []
    for mark in marks:
        if mark.kind in _CUT and mark.value is not None:
            title = f"{_CUT[mark.kind]} {gauge_text(mark.value, units)}"
        elif mark.kind is MarkKind.MOMENT:
            title = _("Mark")
        else:
            continue
        rows.append(EventRow(time_text=clock_text(mark.t_s), title=title, t_s=mark.t_s))
    return tuple(rows)


def tank_table(finding: TankFinding, earlier: Sequence[GaugeMark], units: UnitChoice) -> Table:
    """A row a gauge mark: the time since the first, since the one before, and on the last visit."""
    headings = [_("Since the first"), _("Since the last")]
    if earlier:
        headings.append(_("Last visit"))
    rows = []
    first = previous = finding.marks[0] if finding.marks else None
    for mark in finding.marks:
        if first is None or previous is None:
            break
        cells = [
            Cell(text=clock_text(mark.t_s - first.t_s)),
            Cell(text=clock_text(mark.t_s - previous.t_s)),
        ]
        if earlier:
            then = seconds_between(earlier, first.pascal, mark.pascal)
            cells.append(Cell(text="–" if then is None else clock_text(then)))
        rows.append((gauge_text(mark.pascal, units), tuple(cells)))
        previous = mark
    return Table(headings=tuple(headings), rows=tuple(rows))


def tank_plot(shown: TankShown) -> RunPlot:
    """The gauge over time, with the last visit's under it."""
    setting, units = shown.setting, shown.setting.units
    marks = [m for m in shown.marks if m.kind in _GAUGED and m.value is not None]
    pascal = [m.value for m in marks if m.value is not None]
    t_s = np.array([m.t_s for m in marks], dtype=np.float64)
    gauge = np.array([units.to_shop(p, Quantity.PRESSURE) for p in pascal], dtype=np.float64)
    track = Track(
        title=_("Gauge"),
        unit=units.typed_unit(Quantity.PRESSURE),
        t_s=t_s,
        low=gauge,
        high=gauge,
        typed=True,
        floor=0.0,
        decimals=0,
    )
    live, earlier = shown.stage is RunStage.RUNNING, setting.earlier
    flags = tuple(PlotFlag(t_s=m.t_s, text=_CUT[m.kind]) for m in shown.marks if m.kind in _CUT)
    return RunPlot(
        tracks=(track,),
        start_s=0.0,
        end_s=AXIS_STEP * (shown.now_s // AXIS_STEP + 1.0) if live else max(shown.now_s, 1.0),
        now_s=float(t_s[-1]) if live and len(t_s) else None,
        flags=flags,
        overlay=earlier.tracks if earlier is not None else (),
        overlay_text=earlier.text if earlier is not None and earlier.tracks else "",
        summary=pump_up_text(shown.finding, units) or _("No gauge marks so far."),
        words=plot_words(),
    )
