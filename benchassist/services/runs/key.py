"""What keys do at a step that is a run, and which of them stand on the strip."""

from types import MappingProxyType
from typing import Final

from benchassist.core.run import RunKind
from benchassist.errors import StepError
from benchassist.services.bench.prompt import Prompt, Purpose
from benchassist.services.bench.stage import Stage
from benchassist.services.bench.view import KeyHint
from benchassist.services.bench.walk import Walk
from benchassist.services.desk import Action
from benchassist.services.runs.view import RunStage
from benchassist.services.translation import _

LOCKED: Final = frozenset(
    {
        *(Action.SKIP, Action.BACK, Action.NEXT, Action.GOTO, Action.ZERO, Action.OPTION),
        *(Action.DID, Action.REOPEN, Action.SELF_CHECK),
    }
)
"""What would leave the step or the part: not while a run is on."""

WHILE_RUNNING: Final = MappingProxyType(
    {
        Action.TAKE: Action.RUN_MARK,
        Action.TYPE: Action.RUN_TYPE,
        Action.TEMPERATURE: Action.RUN_TYPE,
        Action.CLOSE_VISIT: Action.RUN_TURN,
        Action.CHOOSE: Action.RUN_ANSWER,
        Action.REDO: Action.RUN_DROP,
        Action.MARK: Action.RUN_MARK,
    }
)
"""The bench's own keys, as a run means them."""


def meaning(bench: Walk, action: str) -> str:
    """What an action means now. Raises StepError for one that a run bars."""
    run = bench.run
    if bench.prompt is not None or bench.stage is not Stage.CHECKS or not run.here:
        return action
    match run.stage:
        case RunStage.RUNNING if action in LOCKED:
            raise StepError(_("a run is on: press E to end it first"))
        case RunStage.RUNNING:
            return next((w for a, w in WHILE_RUNNING.items() if a == action), action)
        case RunStage.READY if action == Action.TAKE:
            return Action.RUN_START
        case RunStage.READY if action in {Action.TYPE, Action.CHOOSE}:
            raise StepError(_("start the run first: press Space"))
        case RunStage.ENDED if action in {Action.TAKE, Action.TYPE, Action.CHOOSE}:
            raise StepError(_("this run has ended: Right goes on, R makes another one"))
    return action


# --- what they do ---------------------------------------------------------------------------------


def start(bench: Walk, _argument: str) -> None:
    """Begin the run; from a run that ended, prepare another one."""
    if bench.asking_option():
        question = bench.visit.current.option_question
        raise StepError(_("first answer: {question}").format(question=question))
    if not bench.run.here or bench.stage is not Stage.CHECKS:
        raise StepError(_("this step is no run"))
    if bench.run.on:
        raise StepError(_("the run is on: press E to end it"))
    bench.run.start()


def end(bench: Walk, _argument: str) -> None:
    """End it; its result stands until a key goes on."""
    bench.run.end()


def act(bench: Walk, action: str, argument: str) -> None:
    """Hand a key to the run; where it asks for a line of text, wait for that."""
    bench.run.act(action, argument)
    ask(bench)


def ask(bench: Walk) -> bool:
    """Wait for the line of text the run asks for; False where it asks for none."""
    question = bench.run.work.question()
    if question is None:
        return False
    bench.prompt = Prompt(purpose=Purpose.RUN, own_label=question.label, own_hint=question.hint)
    return True


def read(bench: Walk, text: str) -> bool:
    """Enter was pressed on that line: True where nothing more is asked. Raises InputError."""
    if not bench.run.on:
        return True
    bench.run.read(text)
    return not ask(bench)


def drill(bench: Walk, _argument: str) -> None:
    """The engine has just died: whatever step this is, begin the quit drill. Ends a run that is on.

    Raises StepError where the visit has no drill.
    """
    checks = bench.visit.procedure.checks
    check = next((c for c in checks if c.run and c.run.kind is RunKind.DRILL), None)
    if check is None:
        raise StepError(_("this visit has no quit drill"))
    if bench.run.on:
        if bench.visit.current.key == check.key:
            raise StepError(_("the drill is on"))
        bench.run.end()
    bench.prompt = None
    bench.move_to(check)
    if bench.run.ended is not None:
        bench.run.start()
    bench.run.start()


# --- the strip ------------------------------------------------------------------------------------


def hints(bench: Walk) -> tuple[KeyHint, ...]:
    """The keys of a run, the main one first."""
    run = bench.run
    own = run.work.keys(run.stage)
    return _once((*_main(bench, own), *own, *_rest(run.stage)))


def _main(bench: Walk, own: tuple[KeyHint, ...]) -> tuple[KeyHint, ...]:
    """The yellow key, unless the work names one."""
    if any(hint.main for hint in own):
        return ()
    return (_yellow(bench, bench.run.stage),)


def _yellow(bench: Walk, stage: RunStage) -> KeyHint:
    if stage is RunStage.READY:
        action, text = Action.RUN_START, _("Start")
    elif stage is RunStage.RUNNING:
        action, text = Action.RUN_MARK, _("Mark a moment")
    elif bench.visit.next_to_do() is None:
        return KeyHint(press="C", text=_("Close the visit"), action=Action.CLOSE_VISIT, main=True)
    else:
        return KeyHint(press="Right", text=_("Next step"), action=Action.SKIP, main=True)
    return KeyHint(press="Space", text=text, action=action, main=True, pedal=True)


def _rest(stage: RunStage) -> tuple[KeyHint, ...]:
    note = KeyHint(press="N", text=_("Note"), action=Action.NOTE)
    match stage:
        case RunStage.READY:
            return (
                note,
                KeyHint(press="Right", text=_("Skip"), action=Action.SKIP),
            )
        case RunStage.RUNNING:
            return (note, KeyHint(press="E", text=_("End the run"), action=Action.RUN_END))
        case RunStage.ENDED:
            return (
                KeyHint(press="Backspace", text=_("Strike it"), action=Action.REDO),
                KeyHint(press="R", text=_("Run again"), action=Action.RUN_START),
                note,
                KeyHint(press="D", text=_("Did work"), action=Action.DID),
            )


def _once(given: tuple[KeyHint, ...]) -> tuple[KeyHint, ...]:
    """One hint a key, the first of each; the main one in front."""
    by_press: dict[str, KeyHint] = {}
    for hint in sorted(given, key=lambda hint: not hint.main):
        by_press.setdefault(hint.press, hint)
    return tuple(by_press.values())
