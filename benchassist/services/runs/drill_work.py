"""The quit drill at work: a clock from the moment of death, one question, one key a finding."""

from collections.abc import Sequence
from typing import Final

from benchassist.core.entry import RunMarked
from benchassist.core.quantity import Quantity
from benchassist.core.quit_drill import Drill
from benchassist.core.reading import Reading
from benchassist.core.run import DrillStep, MarkKind, RunGap, RunKind
from benchassist.core.run_finding import DrillFinding, DrillLeaning
from benchassist.core.samples import Samples
from benchassist.errors import StepError
from benchassist.services.bench.view import KeyHint
from benchassist.services.desk import Action
from benchassist.services.runs.clock import clock_text
from benchassist.services.runs.drill_text import answer_rows, cold_text, drill_words, leaning_text
from benchassist.services.runs.view import (
    DrillChoice,
    DrillView,
    EventRow,
    Figure,
    RunKey,
    RunStage,
    RunView,
)
from benchassist.services.runs.work import Draft, Question, RunSetting
from benchassist.services.translation import _

NOT_DONE: Final = "0"
"""The key that passes a step over."""
ISOLATED: Final = "spark_isolated"
"""The step that takes the stop wire off."""
WIRE_BACK: Final = _("Stop wire: reconnect it before anything runs, and answer that it is back.")


class DrillWork:
    """Satisfies `RunWork`."""

    def __init__(self, setting: RunSetting) -> None:
        self.setting = setting
        self.steps: tuple[DrillStep, ...] = setting.plan.drill
        self._given: list[RunMarked] = []
        """Answers in the order they were given, passed-over steps among them."""
        self._moments: list[RunMarked] = []
        self._drill = Drill(self.steps)

    @property
    def wanted(self) -> Quantity | None:
        """No meter."""
        return None

    def take(self, reading: Reading) -> None:
        """No meter is read."""

    def take_block(self, channel: str, samples: Samples) -> None:
        """No meter is read."""

    def gap(self, gap: RunGap) -> None:
        """No meter is read."""

    def mark(self, mark: RunMarked) -> None:
        """An answer, a moment, or the last answer taken back."""
        match mark.kind:
            case MarkKind.ANSWER:
                self._given.append(mark)
            case MarkKind.DROP:
                self._given = self._given[:-1]
            case _:
                self._moments.append(mark)
                return
        self._drill = Drill(self.steps)
        for given in self._given:
            step, _colon, answer = given.text.partition(":")
            if answer:
                self._drill.answer(step, answer, given.t_s)
            else:
                self._drill.skip(step)

    # --- keys -------------------------------------------------------------------------------------

    def act(self, action: str, argument: str, now_s: float) -> Sequence[Draft]:
        """An answer by its key, a moment, the last answer taken back. Raises StepError."""
        match action:
            case Action.RUN_ANSWER:
                return (self._answer(argument, now_s),)
            case Action.RUN_MARK:
                return (Draft(kind=MarkKind.MOMENT, t_s=now_s),)
            case Action.RUN_DROP if self._given:
                return (Draft(kind=MarkKind.DROP, t_s=now_s),)
            case Action.RUN_DROP:
                raise StepError(_("no answer to take back"))
            case _:
                raise StepError(_("press the number of what you see"))

    def _answer(self, press: str, now_s: float) -> Draft:
        step = self._drill.due()
        if step is None:
            raise StepError(_("all is answered: press E to end the drill"))
        if press == NOT_DONE:
            return Draft(kind=MarkKind.ANSWER, t_s=now_s, text=f"{step.key}:")
        keys = {str(n): key for n, (key, _text) in enumerate(step.answers, start=1)}
        if press not in keys:
            raise StepError(_("press 1 to {n}, or 0 to pass it over").format(n=len(keys)))
        return Draft(kind=MarkKind.ANSWER, t_s=now_s, text=f"{step.key}:{keys[press]}")

    def question(self) -> Question | None:
        """Nothing is typed in a drill."""
        return None

    def read(self, text: str, now_s: float) -> Sequence[Draft]:
        """Nothing is typed in a drill. Raises StepError."""
        del text, now_s
        raise StepError(_("nothing is typed in a drill: press the number of what you see"))

    def forget_question(self) -> None:
        """Nothing is typed."""

    # --- what comes out ---------------------------------------------------------------------------

    def finding(self, *, end_s: float) -> DrillFinding:
        """What was found up to here."""
        del end_s
        return self._drill.finding()

    def view(self, now_s: float, stage: RunStage) -> RunView:
        """What shows."""
        finding, running = self._drill.finding(), stage is RunStage.RUNNING
        step = self._drill.due() if stage is not RunStage.ENDED else None
        words = drill_words(finding, self.setting.plan, self.setting.units)
        ended = stage is RunStage.ENDED
        leaning = leaning_text(finding.leaning) if finding.answers else ""
        decided = finding.leaning is not DrillLeaning.OPEN
        return RunView(
            kind=RunKind.DRILL,
            stage=stage,
            figures=(
                Figure(label=_("Took") if ended else _("Since it died"), digits=clock_text(now_s)),
            ),
            guide_label="" if ended else _("Now:"),
            guide=self._guide(stage, step),
            events_title=_("What happened"),
            events=self._events(finding),
            drill=self._shown(finding, step, running=running),
            verdict=words.verdict if ended else None,
            verdict_text=words.verdict_text if ended else "",
            so_far=running,
            band_text=leaning if decided or ended else "",
            notes=self._notes(finding, now_s, step),
            main=self._main(stage, step),
            warning=WIRE_BACK if running and step is None and self._was_isolated else "",
        )

    @property
    def _was_isolated(self) -> bool:
        """Whether the stop wire was taken off."""
        return any(given.text.startswith(f"{ISOLATED}:") for given in self._given)

    def _guide(self, stage: RunStage, step: DrillStep | None) -> str:
        """Before and after; while a step is due its own detail is what to do."""
        if stage is RunStage.READY:
            return _("kit laid out, tester grounded; Space the moment it dies")
        all_answered = stage is RunStage.RUNNING and step is None
        return _("all is answered; E ends the drill") if all_answered else ""

    def _shown(self, finding: DrillFinding, step: DrillStep | None, *, running: bool) -> DrillView:
        done = answer_rows(finding, self.steps)
        if step is None:
            return DrillView(
                question=_("All is answered") if running else "",
                detail=leaning_text(finding.leaning) if finding.answers else "",
                done=done,
            )
        number = [s.key for s in self.steps].index(step.key) + 1
        choices = tuple(
            DrillChoice(press=str(n), text=text)
            for n, (_key, text) in enumerate(step.answers, start=1)
        )
        return DrillView(
            question=step.question,
            detail=step.detail,
            choices=(*choices, DrillChoice(press=NOT_DONE, text=_("not done"))),
            done=done,
            step_text=_("{n} of {of}").format(n=number, of=len(self.steps)),
        )

    def _events(self, finding: DrillFinding) -> tuple[EventRow, ...]:
        """The answers and what was marked beside them, in order of time."""
        marked = [
            EventRow(time_text=clock_text(m.t_s), title=_("Mark"), t_s=m.t_s)
            for m in self._moments
            if m.kind is MarkKind.MOMENT
        ]
        rows = [*answer_rows(finding, self.steps), *marked]
        return tuple(sorted(rows, key=lambda row: row.t_s))

    def _notes(
        self, finding: DrillFinding, now_s: float, step: DrillStep | None
    ) -> tuple[str, ...]:
        said = []
        if self._was_isolated:
            said.append(WIRE_BACK)
        if step is not None and now_s > step.until_s:
            said.append(cold_text(step))
        elif finding.late:
            said.append(_("Late findings count for less: they are marked."))
        said.append(_("Spark tester and open fuel never together."))
        return tuple(said)

    def _main(self, stage: RunStage, step: DrillStep | None) -> RunKey | None:
        match stage:
            case RunStage.READY:
                return RunKey(press="Space", text=_("It has just died"), action=Action.RUN_START)
            case RunStage.ENDED:
                return RunKey(press="Right", text=_("Next step"), action=Action.SKIP)
            case RunStage.RUNNING if step is None:
                return RunKey(press="E", text=_("End the drill"), action=Action.RUN_END)
            case RunStage.RUNNING:
                return None

    def keys(self, stage: RunStage) -> tuple[KeyHint, ...]:
        """The keys of the strip that are a drill's own."""
        step = self._drill.due()
        if stage is RunStage.READY:
            text = _("It has just died")
            return (
                KeyHint(press="Space", text=text, action=Action.RUN_START, main=True, pedal=True),
            )
        if stage is not RunStage.RUNNING:
            return ()
        back = KeyHint(press="Backspace", text=_("Take back"), action=Action.RUN_DROP)
        if step is None:
            end = KeyHint(press="E", text=_("End the drill"), action=Action.RUN_END, main=True)
            return (end, back)
        text = _("What you see")
        press = f"1-{len(step.answers)}"
        return (
            KeyHint(press=press, text=text, action=Action.RUN_ANSWER, main=True),
            KeyHint(press=NOT_DONE, text=_("Not done"), action=f"{Action.RUN_ANSWER}:{NOT_DONE}"),
            back,
        )
