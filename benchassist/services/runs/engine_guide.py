"""The one thing to do now in an engine run, and what has happened so far."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from benchassist.core.entry import RunMarked
from benchassist.core.quantity import Quantity
from benchassist.core.run import MarkKind, RunGap, RunPlan
from benchassist.core.run_finding import EngineFinding, Level, Load
from benchassist.services.bench.reason_text import verdict_word
from benchassist.services.bench.view import KeyHint
from benchassist.services.desk import Action
from benchassist.services.runs.clock import clock_text
from benchassist.services.runs.doubt import gap_text
from benchassist.services.runs.engine_load import last_load, next_load
from benchassist.services.runs.engine_ruler import figure_text
from benchassist.services.runs.engine_text import (
    DROOP_FORMULA,
    LOAD,
    LOAD_OF,
    failures,
    hunting_text,
    overspeed_text,
)
from benchassist.services.runs.engine_verdict import judge_droop
from benchassist.services.runs.view import EventRow, RunKey, RunStage
from benchassist.services.translation import _
from benchassist.units import UnitChoice, text_of

_IN_TABLE: Final = frozenset({MarkKind.LOAD, MarkKind.HERTZ, MarkKind.VOLTS})
FALLS: Final = frozenset({MarkKind.FALL, MarkKind.RECOVER})


class Step(StrEnum):
    """What an engine run waits for."""

    START = "start"
    ANSWER = "answer"
    METER = "meter"
    SPEED_UP = "speed_up"
    IDLE_DOWN = "idle_down"
    OPEN_UP = "open_up"
    TYPE = "type"
    LOAD = "load"
    FALL = "fall"
    RECOVER = "recover"
    DONE = "done"
    ENDED = "ended"


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Where a run stands: what its next step follows from."""

    plan: RunPlan
    stage: RunStage
    asks: bool
    """Whether the pulses are being asked."""
    typed: bool
    """Whether speeds are typed, and no meter was ever heard."""
    level: Level | None
    """Where the speed is now; None on the way, or before any."""
    heard: bool
    completed: int
    marks: Sequence[RunMarked]


def step_of(at: Standing) -> Step:
    """The next step."""
    if at.stage is not RunStage.RUNNING:
        return Step.START if at.stage is RunStage.READY else Step.ENDED
    if at.asks:
        return Step.ANSWER
    if at.plan.loads:
        done = {m.text for m in at.marks if m.kind is MarkKind.LOAD and m.text}
        return Step.DONE if len(done) == len(Load) else Step.LOAD
    if at.plan.tank_pressure:
        return _throttle_step(at)
    if at.typed:
        return Step.TYPE
    return _speed_step(at) if at.heard else Step.METER


def _throttle_step(at: Standing) -> Step:
    back = sum(m.kind is MarkKind.RECOVER for m in at.marks)
    if at.plan.cycles and back >= at.plan.cycles:
        return Step.DONE
    return Step.RECOVER if last_throttle(at.marks) is MarkKind.FALL else Step.FALL


def _speed_step(at: Standing) -> Step:
    if at.plan.cycles and at.completed >= at.plan.cycles:
        return Step.DONE
    if at.level is Level.LOW:
        return Step.OPEN_UP
    return Step.IDLE_DOWN if at.level is Level.HIGH else Step.SPEED_UP


def last_throttle(marks: Sequence[RunMarked]) -> MarkKind | None:
    """Whether the throttle fell or came back last."""
    return next((m.kind for m in reversed(marks) if m.kind in FALLS), None)


def guide_text(step: Step, at: Standing) -> str:
    """The one thing to do now; one line, read from the bench."""
    if step is Step.LOAD:
        return {
            Load.NONE: _("all load off, let it settle, then press C"),
            Load.HALF: _("half the rated load on, let it settle, then press C"),
            Load.FULL: _("full rated load on, let it settle, then press C"),
        }[next_load(at.marks)]
    if step is Step.TYPE and any(m.kind is MarkKind.SPEED for m in at.marks):
        return _("next speed, let it settle, press M and type it")
    return _GUIDE[step]


_GUIDE: Final = {
    Step.START: _("start the engine, warm it up, then press Space"),
    Step.ANSWER: _("press the key of what is true; reflective tape confirms it"),
    Step.METER: _("waiting for hertz; M types a tachometer’s speed"),
    Step.SPEED_UP: _("full governed speed, no load, let it settle"),
    Step.IDLE_DOWN: _("throttle back to idle, count two, open it again"),
    Step.OPEN_UP: _("open it again"),
    Step.TYPE: _("let the speed settle, press M and type it"),
    Step.FALL: _("fill the tank; Space as the pilot lets go, then type the gauge"),
    Step.RECOVER: _("bleed slowly; Space as the pilot pulls in, then type the gauge"),
    Step.DONE: _("that is all that was asked for; E ends the run"),
    Step.ENDED: "",
}


def main_key(step: Step, at: Standing) -> RunKey | None:
    """The large button: the key that the step waits for."""
    match step:
        case Step.START:
            return RunKey(press="Space", text=_("Start"), action=Action.RUN_START)
        case Step.LOAD:
            return RunKey(press="C", text=LOAD[next_load(at.marks)], action=Action.RUN_TURN)
        case Step.FALL:
            return RunKey(press="Space", text=_("Pilot lets go"), action=Action.RUN_MARK)
        case Step.RECOVER:
            return RunKey(press="Space", text=_("Pilot pulls in"), action=Action.RUN_MARK)
        case Step.TYPE | Step.METER:
            return RunKey(press="M", text=_("Type a speed"), action=Action.RUN_TYPE)
        case Step.DONE:
            return RunKey(press="E", text=_("End the run"), action=Action.RUN_END)
        case _:
            return None


def hints_of(
    plan: RunPlan, marks: Sequence[RunMarked], *, asks: bool, typed: bool
) -> tuple[KeyHint, ...]:
    """The keys of the strip while an engine run is on; the main one says so."""
    hints = []
    if asks:
        hints.append(KeyHint(press="1-3", text=_("Answer"), action=Action.RUN_ANSWER, main=True))
    elif plan.tank_pressure:
        text = _THROTTLE[last_throttle(marks) is MarkKind.FALL]
        hints.append(
            KeyHint(press="Space", text=text, action=Action.RUN_MARK, main=True, pedal=True)
        )
    if plan.loads:
        hints.append(KeyHint(press="C", text=LOAD[next_load(marks)], action=Action.RUN_TURN))
    type_it = _("Type volts") if plan.loads and last_load(marks) is not None else _("Type a speed")
    hints.append(KeyHint(press="M", text=type_it, action=Action.RUN_TYPE))
    back = _("Drop last cycle") if plan.cycles and not typed else _("Take back")
    hints.append(KeyHint(press="Backspace", text=back, action=Action.RUN_DROP))
    hints.append(KeyHint(press="Q", text=_("Quit drill"), action=Action.DRILL))
    return tuple(hints)


_THROTTLE: Final = {False: _("Pilot lets go"), True: _("Pilot pulls in")}


def notes_of(
    finding: EngineFinding, plan: RunPlan, units: UnitChoice, *, k: float
) -> tuple[str, ...]:
    """Small lines below the verdict: what did not come, droop with its formula, hunting."""
    said = [_("{what}.").format(what=what) for what in failures(finding)]
    back = sum(1 for p in finding.pressures if not p.falls)
    if back and not finding.failed_recoveries:
        said.append(_("Came back {n} of {n} times.").format(n=back))
    droop = judge_droop(finding, plan.limits.droop, k=k)
    if droop is not None:
        value, doubt = figure_text(droop, units)
        word = verdict_word(droop.judgement.verdict, droop.judgement.side)
        text = _("Droop {value} {doubt}: {word}.") if doubt else _("Droop {value}: {word}.")
        said.append(text.format(value=value, doubt=doubt, word=word))
        said.append(DROOP_FORMULA)
    if finding.typed:
        said.append(_("Typed speeds: idle-downs and hunting are not timed."))
    elif finding.high or finding.low:
        said.append(hunting_text(finding, units))
    return tuple(said)


def events_of(
    finding: EngineFinding,
    plan: RunPlan,
    marks: Sequence[RunMarked],
    gaps: Sequence[RunGap],
    units: UnitChoice,
) -> tuple[EventRow, ...]:
    """What happened, in order; what has a row in the table of loads is left to it."""
    listed = [m for m in marks if not (plan.loads and m.kind in _IN_TABLE)]
    rows = [_marked(mark, units) for mark in listed]
    rows += [
        EventRow(
            time_text=clock_text(gap.start_s),
            title=_("No readings"),
            detail=_("{why}, until {end}").format(
                why=gap_text(gap.reason), end=clock_text(gap.end_s)
            ),
            t_s=gap.start_s,
        )
        for gap in gaps
    ]
    told = [row for row in rows if row is not None]
    if finding.overspeed_rpm is not None:
        top = text_of(finding.overspeed_rpm, Quantity.SPEED, resolution=1.0, units=units)
        told.append(
            EventRow(
                time_text="",
                title=_("Overspeed, up to {speed}").format(speed=top),
                detail=overspeed_text(plan, units),
                severe=True,
            )
        )
    return tuple(sorted(told, key=lambda row: row.t_s))


def _marked(mark: RunMarked, units: UnitChoice) -> EventRow | None:
    """A mark as a line; None for one that says nothing by itself."""
    title = _title(mark, units)
    if not title:
        return None
    return EventRow(time_text=clock_text(mark.t_s), title=title, t_s=mark.t_s)


def _title(mark: RunMarked, units: UnitChoice) -> str:
    value = mark.value
    match mark.kind:
        case MarkKind.MOMENT:
            return _("Mark")
        case MarkKind.LOAD:
            return LOAD_OF.get(mark.text, "")
        case MarkKind.FALL:
            return _("Pilot lets go")
        case MarkKind.RECOVER:
            return _("Pilot pulls in")
        case MarkKind.SPEED | MarkKind.HERTZ | MarkKind.VOLTS if value is not None:
            quantity = {
                MarkKind.SPEED: Quantity.SPEED,
                MarkKind.HERTZ: Quantity.FREQUENCY,
            }.get(mark.kind, Quantity.VOLTAGE)
            shown = text_of(value, quantity, resolution=mark.resolution, exponent=0, units=units)
            return _("Typed {value}").format(value=shown)
        case MarkKind.PRESSURE if value is not None:
            return _("Gauge {value}").format(
                value=text_of(value, Quantity.PRESSURE, resolution=mark.resolution, units=units)
            )
        case MarkKind.PULSES if value is not None:
            return _("Set to {n:g} pulses a turn").format(n=value)
        case MarkKind.DROP:
            return _("Taken back")
    return ""
