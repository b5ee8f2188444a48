"""An engine run at work: speeds by clamp or typed, idle-downs, loads, tank pressure."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from benchassist.core.droop import overspeed_warning
from benchassist.core.entry import RunMarked
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.core.run import MarkKind, RunGap
from benchassist.core.run_finding import Doubt, EngineFinding
from benchassist.core.samples import Samples
from benchassist.errors import StepError
from benchassist.services.bench.view import KeyHint
from benchassist.services.desk import Action
from benchassist.services.runs.engine_asking import Asked, EngineAsking
from benchassist.services.runs.engine_guide import (
    Standing,
    events_of,
    hints_of,
    last_throttle,
    step_of,
)
from benchassist.services.runs.engine_load import last_load, turning, with_load
from benchassist.services.runs.engine_log import SpeedLog, SpeedNow
from benchassist.services.runs.engine_picture import SpeedPicture
from benchassist.services.runs.engine_plan import goes_with, is_droppable, refuse, without
from benchassist.services.runs.engine_pulses import PulseWatch
from benchassist.services.runs.engine_screen import Found, Shown, found_of, view_of
from benchassist.services.runs.engine_typed import level_at, typed_finding, typed_now
from benchassist.services.runs.view import RunStage, RunView
from benchassist.services.runs.work import Draft, Question, RunSetting
from benchassist.services.translation import _

METER: Final = "A"
FOUND_EVERY: Final = 1.0
"""Seconds of a run after which what was found is looked at anew, for the screen."""
CYCLE: Final = "cycle"
MARK: Final = "mark"
"""What a mark of MarkKind.DROP takes back."""
_TYPED: Final = frozenset({MarkKind.SPEED, MarkKind.HERTZ})


class EngineWork:
    """Satisfies `RunWork`."""

    def __init__(self, setting: RunSetting) -> None:
        """Raises InputError, in one line, for a plan no engine can be run by."""
        refuse(setting.plan)
        self.setting = setting
        self.plan = setting.plan
        self.log = SpeedLog(setting.plan)
        self.marks: list[RunMarked] = []
        """The marks that stand, what was taken back left out."""
        self.alarms = 0
        self._is_over = False
        self._drops: list[float] = []
        self._asking = EngineAsking(setting.units)
        self._pulses = PulseWatch(setting.plan)
        self._known: tuple[tuple[int, int, int], EngineFinding] | None = None
        self._found: tuple[float, int, Found] | None = None
        self._picture = SpeedPicture(setting, self.log)
        self._changes = 0

    @property
    def wanted(self) -> Quantity | None:
        """Hertz; what the meter shows in rpm is taken too."""
        return Quantity.FREQUENCY

    # --- what comes in ----------------------------------------------------------------------------

    def take(self, reading: Reading) -> None:
        """A reading of the speed; what the second meter says is none."""
        if reading.channel == METER:
            self.log.take(reading)
            self._watch(is_over=self.log.is_over)

    def take_block(self, channel: str, samples: Samples) -> None:
        """The same for many, in hertz."""
        if channel == METER:
            self.log.take_block(samples)
            self._watch(is_over=self.log.is_over)

    def _watch(self, *, is_over: bool) -> None:
        self.alarms += is_over and not self._is_over
        self._is_over = is_over

    def gap(self, gap: RunGap) -> None:
        """Readings are missing."""
        if gap.channel == METER:
            self._changes += 1
            self.log.gap(gap)

    def mark(self, mark: RunMarked) -> None:
        """A mark that was written."""
        self._changes += 1
        match mark.kind:
            case MarkKind.DROP:
                self._drop(mark)
                return
            case MarkKind.PULSES if mark.value is not None:
                self._pulses.settled()
                self.log.settle(mark.value)
                self._is_over = self.log.is_over
            case MarkKind.SPEED if mark.value is not None:
                limit = overspeed_warning(self.plan.limits.rated)
                self._watch(is_over=limit is not None and mark.value > limit)
                self.log.mark(mark)
            case _:
                self.log.mark(mark)
        self.marks.append(mark)

    def _drop(self, mark: RunMarked) -> None:
        if mark.text == CYCLE:
            self._drops.append(mark.t_s)
            return
        last = self._last_droppable()
        if last is not None:
            self.marks = [m for m in self.marks if not goes_with(m, last)]
            self.log.retell([m for m in self.marks if m.kind is not MarkKind.PULSES])

    def _last_droppable(self) -> RunMarked | None:
        return next((m for m in reversed(self.marks) if is_droppable(m)), None)

    # --- keys -------------------------------------------------------------------------------------

    def act(self, action: str, argument: str, now_s: float) -> Sequence[Draft]:
        """What a key asks for. Raises StepError for what this run has no use for."""
        match action:
            case Action.RUN_MARK if self.plan.tank_pressure:
                fell = last_throttle(self.marks) is MarkKind.FALL
                self._asking.ask(now_s, Asked.RECOVER if fell else Asked.FALL)
                return ()
            case Action.RUN_MARK:
                return (Draft(kind=MarkKind.MOMENT, t_s=now_s),)
            case Action.RUN_TURN if self.plan.loads:
                self._asking.ask(now_s, *self._at_load())
                return turning(self.marks, now_s)
            case Action.RUN_TYPE:
                self._asking.ask(now_s, *self._to_type(argument))
                return ()
            case Action.RUN_ANSWER:
                return self._answer(argument, now_s)
            case Action.RUN_DROP:
                return (self._dropping(now_s),)
            case _:
                raise StepError(_("nothing to do for that key in this run"))

    def _at_load(self) -> tuple[Asked, ...]:
        """What is typed at a load: volts, and the hertz where no meter reads them."""
        return (Asked.VOLTS,) if self.log.count else (Asked.HERTZ, Asked.VOLTS)

    def _to_type(self, argument: str) -> tuple[Asked, ...]:
        if argument in set(Asked):
            return (Asked(argument),)
        if self.plan.loads and last_load(self.marks) is not None:
            return self._at_load()
        return (Asked.RPM,)

    def _answer(self, press: str, now_s: float) -> Sequence[Draft]:
        pulses = self._pulses.answer(press)
        if pulses is None:
            self._asking.ask(now_s, Asked.PULSES)
            return ()
        return (Draft(kind=MarkKind.PULSES, t_s=now_s, value=pulses),)

    def _dropping(self, now_s: float) -> Draft:
        """The last cycle, or what was marked since. Raises StepError where there is nothing."""
        cycles = self.finding(end_s=now_s).cycles
        last = self._last_droppable()
        if cycles and (last is None or last.t_s < cycles[-1].fall_start_s):
            return Draft(kind=MarkKind.DROP, t_s=now_s, text=CYCLE)
        if last is None:
            raise StepError(_("no idle-down or typed figure to take back"))
        if not self.log.can_retell:
            raise StepError(_("too long ago to take back: note it with N"))
        return Draft(kind=MarkKind.DROP, t_s=now_s, text=MARK)

    def question(self) -> Question | None:
        """The line of text waited for."""
        return self._asking.question()

    def read(self, text: str, now_s: float) -> Sequence[Draft]:
        """The line typed. Raises InputError."""
        drafts = self._asking.read(text)
        return with_load(self.marks, drafts, now_s) if self.plan.loads else drafts

    def forget_question(self) -> None:
        """Nothing is typed."""
        self._asking.forget()

    # --- what comes out ---------------------------------------------------------------------------

    @property
    def is_typed(self) -> bool:
        """Whether speeds are typed and no meter was heard."""
        return not self.log.count and any(m.kind in _TYPED for m in self.marks)

    def finding(self, *, end_s: float) -> EngineFinding:
        """What was found up to here."""
        key = (self.log.count, self._changes, len(self._drops))
        if self._known is None or self._known[0] != key:
            self._known = (key, self._find(end_s))
        return self._known[1]

    def _find(self, end_s: float) -> EngineFinding:
        found = self.log.finding()
        if self.is_typed:
            stated = self.setting.check.accuracy
            return replace(
                typed_finding(found, self.plan, self.marks, end_s=end_s), accuracy=stated
            )
        cycles = without(found.cycles, self._drops)
        whole = sum(1 for c in cycles if c.completed)
        doubts = [d for d in found.doubts if d is not Doubt.ONE_CYCLE]
        short = whole < self.plan.cycles
        factor = self.log.pulses / 60.0
        return replace(
            found,
            cycles=cycles,
            accuracy=self.setting.accuracy,
            loads=tuple(
                replace(p, hertz=p.rpm * factor) if p.hertz is None and p.rpm is not None else p
                for p in found.loads
            ),
            doubts=(*doubts, Doubt.ONE_CYCLE) if short else tuple(doubts),
        )

    def view(self, now_s: float, stage: RunStage) -> RunView:
        """What shows; findings and plot anew a few times a second at most."""
        found = self._looked_at(now_s, stage)
        now = typed_now(self.marks) if self.is_typed else self.log.now()
        if stage is RunStage.RUNNING and not self.is_typed:
            self._pulses.look(now_s, now, self.log)
        standing = self._standing(stage, found, now)
        plot = None
        if stage is not RunStage.READY:
            plot = self._picture.plot(now_s, stage, found, self.marks, typed=self.is_typed)
        return view_of(
            Shown(
                setting=self.setting,
                now_s=now_s,
                found=found,
                at=standing,
                step=step_of(standing),
                now=now,
                plot=plot,
                events=events_of(
                    found.finding, self.plan, self.marks, self.log.gaps, self.setting.units
                ),
                question=self._pulses.question,
                is_over=self._is_over,
                alarms=self.alarms,
                warning=self._pulses.warning if stage is RunStage.RUNNING else "",
            )
        )

    def _standing(self, stage: RunStage, found: Found, now: SpeedNow | None) -> Standing:
        at_level = now is not None and (now.steady or self.is_typed)
        return Standing(
            plan=self.plan,
            stage=stage,
            asks=self._pulses.question is not None,
            typed=self.is_typed,
            level=level_at(now.rpm, self.plan) if now is not None and at_level else None,
            heard=self.log.count > 0,
            completed=found.completed,
            marks=self.marks,
        )

    def _looked_at(self, now_s: float, stage: RunStage) -> Found:
        """What the finding comes to, at most a second old while the run is on."""
        known = self._found
        live = stage is RunStage.RUNNING and known is not None and known[1] == self._changes
        if known is not None and live and 0.0 <= now_s - known[0] < FOUND_EVERY:
            return known[2]
        finding = self.finding(end_s=now_s)
        same = known is not None and known[2].finding is finding
        found = known[2] if known is not None and same else found_of(self.setting, finding)
        self._found = (now_s, self._changes, found)
        return found

    def keys(self, stage: RunStage) -> tuple[KeyHint, ...]:
        """The keys of the strip that are an engine run's own."""
        if stage is not RunStage.RUNNING:
            return ()
        asks = self._pulses.question is not None
        return hints_of(self.plan, self.marks, asks=asks, typed=self.is_typed)
