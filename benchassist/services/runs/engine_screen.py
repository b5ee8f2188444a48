"""What the bench shows of an engine run: the speed now, what to do, what was counted."""

from dataclasses import dataclass
from typing import Final

from benchassist.core.quantity import Quantity
from benchassist.core.run import RunKind
from benchassist.core.run_finding import EngineFinding, Level, SpeedLevel
from benchassist.core.run_plot import RunPlot
from benchassist.services.bench.reason_text import verdict_word
from benchassist.services.desk import Action
from benchassist.services.runs.clock import clock_text, seconds_text
from benchassist.services.runs.engine_guide import Standing, Step, guide_text, main_key, notes_of
from benchassist.services.runs.engine_log import SpeedNow
from benchassist.services.runs.engine_pulses import PulseQuestion
from benchassist.services.runs.engine_ruler import figure_text
from benchassist.services.runs.engine_table import engine_table
from benchassist.services.runs.engine_text import (
    NAME,
    band_text,
    count_text,
    doubt_lines,
    engine_words,
    overspeed_text,
)
from benchassist.services.runs.engine_typed import level_at
from benchassist.services.runs.engine_verdict import (
    CycleJudge,
    Gauged,
    Judged,
    judge_speed,
    judged_of,
)
from benchassist.services.runs.view import (
    EventRow,
    Figure,
    RunKey,
    RunStage,
    RunView,
    Table,
    Tally,
)
from benchassist.services.runs.words import RunWords
from benchassist.services.runs.work import RunSetting
from benchassist.services.translation import _, ngettext
from benchassist.units import text_of

OLD: Final = 2.0
"""Seconds without news after which a speed is old, or three readings if those take longer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A finding and all that follows from it alone, made once for each."""

    finding: EngineFinding
    judged: tuple[Judged, ...]
    out: frozenset[int]
    """Idle-downs with a figure out of band."""
    table: Table
    notes: tuple[str, ...]
    words: RunWords

    @property
    def completed(self) -> int:
        """How many idle-downs fell and came back."""
        return sum(1 for cycle in self.finding.cycles if cycle.completed)


def found_of(setting: RunSetting, finding: EngineFinding) -> Found:
    """What a finding comes to."""
    plan, units, k = setting.plan, setting.units, setting.k
    return Found(
        finding=finding,
        judged=judged_of(finding, plan, k=k),
        out=CycleJudge(finding, plan, k=k).out(),
        table=engine_table(finding, plan, units, k=k),
        notes=notes_of(finding, plan, units, k=k),
        words=engine_words(finding, plan, units, k=k),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """Everything a view is made of at one moment."""

    setting: RunSetting
    now_s: float
    found: Found
    at: Standing
    step: Step
    now: SpeedNow | None = None
    plot: RunPlot | None = None
    events: tuple[EventRow, ...] = ()
    question: PulseQuestion | None = None
    is_over: bool = False
    alarms: int = 0
    warning: str = ""

    @property
    def live(self) -> bool:
        """Whether the run is on."""
        return self.at.stage is RunStage.RUNNING

    @property
    def age(self) -> float:
        """Seconds since the last speed."""
        return 0.0 if self.now is None else self.now_s - self.now.t_s

    @property
    def is_old(self) -> bool:
        """Whether a meter's speed is no news any more."""
        if self.now is None or self.at.typed or not self.live:
            return False
        return self.age > max(OLD, 3.0 * self.now.period)


def view_of(shown: Shown) -> RunView:
    """The whole view."""
    plan, units, found = shown.setting.plan, shown.setting.units, shown.found
    question = shown.question
    judged = judged_now(shown) if shown.live else None
    ended = found.words if shown.at.stage is RunStage.ENDED else None
    side, word = (ended.side, ended.verdict_text) if ended is not None else (None, "")
    verdict, band = ended.verdict if ended is not None else None, ""
    if judged is not None:
        verdict, side = judged.judgement.verdict, judged.judgement.side
        word = verdict_word(verdict, side)
    if judged is None:
        band = _moving(shown)
    elif judged.band is not None:
        band = band_text(judged.gauged, judged.band, units)
    return RunView(
        kind=RunKind.ENGINE,
        stage=shown.at.stage,
        figures=_figures(shown),
        guide_label=_("Now:") if shown.at.stage is not RunStage.ENDED else "",
        guide=guide_text(shown.step, shown.at),
        plot=shown.plot,
        events_title=_("What happened"),
        events=shown.events,
        table=found.table,
        tally=_tally(shown),
        verdict=verdict,
        side=side,
        verdict_text=word,
        so_far=shown.live,
        band_text=band,
        notes=_notes(shown),
        main=_main(shown),
        alarm=overspeed_text(plan, units) if shown.is_over and shown.live else "",
        alarms=shown.alarms if shown.live else 0,
        warning=shown.warning,
        question=question.text(units) if question is not None and shown.live else "",
        choices=question.choices(units) if question is not None and shown.live else (),
    )


def judged_now(shown: Shown) -> Judged | None:
    """The speed now in the band of the level it is at; None on the way, when old, or before any."""
    now, setting = shown.now, shown.setting
    if now is None or shown.is_old or not (now.steady or shown.at.typed) or shown.at.asks:
        return None
    high = level_at(now.rpm, setting.plan) is Level.HIGH
    limits = setting.plan.limits
    return judge_speed(
        Gauged.HIGH if high else Gauged.LOW,
        SpeedLevel(rpm=now.rpm, spread_rpm=now.spread_rpm),
        limits.high if high else limits.low,
        resolution=now.resolution,
        accuracy=shown.found.finding.accuracy,
        k=setting.k,
    )


def _moving(shown: Shown) -> str:
    if not shown.live or shown.now is None:
        return ""
    if shown.is_old:
        return _("No readings for {age}").format(age=seconds_text(shown.age))
    return "" if shown.at.asks else _("Moving")


def _figures(shown: Shown) -> tuple[Figure, ...]:
    if shown.at.stage is RunStage.ENDED:
        levels = [j for j in shown.found.judged if j.gauged in {Gauged.HIGH, Gauged.LOW}]
        ends = [_level_figure(shown, judged) for judged in levels]
        return (*ends, Figure(label=_("Length"), digits=clock_text(shown.now_s)))
    time = Figure(label=_("Time"), digits=clock_text(shown.now_s))
    return (_speed_figure(shown), time)


def _level_figure(shown: Shown, judged: Judged) -> Figure:
    text, doubt = figure_text(judged, shown.setting.units)
    digits, _space, unit = text.partition(" ")
    return Figure(label=f"{NAME[judged.gauged]} {doubt}".strip(), digits=digits, unit=unit)


def _speed_figure(shown: Shown) -> Figure:
    """The last reading, with no digits its count does not carry."""
    now, units = shown.now, shown.setting.units
    if now is None:
        return Figure(label=_("Now"), unit="rpm")
    digits, unit = text_of(
        now.last_rpm, Quantity.SPEED, resolution=now.resolution or 1.0, units=units
    )
    if shown.at.typed:
        label = _("Typed {age} ago").format(age=seconds_text(shown.age))
    elif shown.is_old:
        label = _("Old: {age} ago").format(age=seconds_text(shown.age))
    elif now.resolution is None:
        label = _("Now")
    else:
        label = _("Now, in steps of {count}").format(count=count_text(now.resolution, units))
    return Figure(label=label, digits=digits, unit=unit, old=shown.is_old)


def _tally(shown: Shown) -> Tally | None:
    plan = shown.setting.plan
    if not plan.cycles or plan.loads or shown.at.typed:
        return None
    done = shown.found.completed
    text = ngettext("{done} of {of} done", "{done} of {of} done", plan.cycles)
    return Tally(
        label=_("Idle-downs counted"),
        done=done,
        of=plan.cycles,
        text=text.format(done=done, of=plan.cycles),
    )


def _notes(shown: Shown) -> tuple[str, ...]:
    finding = shown.found.finding
    if shown.at.stage is RunStage.READY:
        return (
            _("Clamp on the plug lead, one turn, clear of the stop wire."),
            _("No meter: M types what a tachometer shows."),
        )
    if shown.at.asks:
        return (_("Reflective tape on the shaft confirms it."), *shown.found.notes)
    if shown.live:
        return shown.found.notes
    words = shown.found.words
    first = _("{words}.").format(words=f"{words.words} {words.doubt}".strip())
    said = [first, *shown.found.notes, *doubt_lines(finding)]
    if finding.resolution is not None:
        count = count_text(finding.resolution, shown.setting.units)
        said.append(_("One count is {count}.").format(count=count))
    return tuple(said)


def _main(shown: Shown) -> RunKey | None:
    if shown.at.stage is RunStage.ENDED:
        return RunKey(press="Right", text=_("Next step"), action=Action.SKIP)
    return main_key(shown.step, shown.at)
