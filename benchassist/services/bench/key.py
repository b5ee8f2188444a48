"""What each key does on the bench. Every refusal is one line that says what to do instead."""

from collections.abc import Callable
from functools import partial

from benchassist.core.advice import Remedy
from benchassist.core.entry import (
    Looked,
    Moment,
    OptionChosen,
    Reopened,
    Skipped,
    Struck,
    Taken,
)
from benchassist.core.procedure import CheckKind
from benchassist.core.steady import Phase
from benchassist.core.visit import Standing
from benchassist.errors import StepError
from benchassist.services.bench import bench_prompt
from benchassist.services.bench.bar_text import bar_text
from benchassist.services.bench.offer import offers_of
from benchassist.services.bench.prompt import Purpose
from benchassist.services.bench.stage import Stage
from benchassist.services.bench.taker import TYPED
from benchassist.services.bench.taking import Bar
from benchassist.services.bench.walk import Walk
from benchassist.services.desk import Action
from benchassist.services.record.part_mark import Said, marking_of
from benchassist.services.runs import key as run_key
from benchassist.services.translation import _

Handler = Callable[[Walk, str], None]


def take(bench: Walk, *, by_key: bool) -> None:
    """Take what is live: a lead zero, the known resistor, or the reading of the step."""
    match bench.stage:
        case Stage.LEADS:
            zero(bench)
        case Stage.KNOWN_RESISTOR:
            _take_known(bench)
        case Stage.CHECKS:
            _take_reading(bench, by_key=by_key)


def _take_reading(bench: Walk, *, by_key: bool) -> None:
    _refuse_without_reading(bench)
    candidate = bench.taker.candidate()
    if candidate is None or (candidate.taken is None and candidate.bar is None):
        raise StepError(_("no live reading: press M to type it in"))
    if candidate.bar is not None and not (by_key and candidate.bar is Bar.LOW_BATTERY):
        raise StepError(bar_text(candidate.bar, bench.visit.current))
    if bench.waiting is not None:
        return
    spread = candidate.taken.conditions.spread if candidate.taken is not None else 0.0
    bench.waiting = bench.taker.take(candidate.reading, by_key=by_key, spread=spread)
    if bench.meter.live is not None:
        bench.meter.used_up(bench.meter.live)


def _refuse_without_reading(bench: Walk) -> None:
    """A look and an unanswered marking want a number key first."""
    check = bench.visit.current
    if bench.asking_option():
        raise StepError(_("first answer: {question}").format(question=check.option_question))
    if check.kind is CheckKind.LOOK:
        raise StepError(_("press the number of what you see"))


def _take_known(bench: Walk) -> None:
    reading = bench.meter.offered
    if reading is None:
        raise StepError(_("no live reading: press M to type it in"))
    if bench.meter.now_steady.phase is not Phase.STEADY:
        raise StepError(_("not steady yet: hold the probes on the known resistor"))
    bench.known.take(reading, bench.moment)
    bench.meter.used_up(reading)
    bench.end_stage(Stage.KNOWN_RESISTOR)


def zero(bench: Walk) -> None:
    """Keep what the probes held together show; without a meter it is typed."""
    channel = bench.meter.channel
    if channel is None:
        bench.ask(Purpose.LEADS)
        return
    kept = bench.meter.zero_leads()
    bench.taker.keep_zero(channel.name, kept)
    if bench.meter.live is not None:
        bench.meter.used_up(bench.meter.live)
    bench.end_stage(Stage.LEADS)


def _type(bench: Walk) -> None:
    match bench.stage:
        case Stage.LEADS:
            bench.ask(Purpose.LEADS)
        case Stage.KNOWN_RESISTOR:
            bench.ask(Purpose.KNOWN_RESISTOR)
        case Stage.CHECKS:
            _refuse_without_reading(bench)
            bench.ask(Purpose.READING)


def _redo(bench: Walk) -> None:
    latest = bench.visit.latest(bench.visit.current.key)
    if latest is None:
        raise StepError(_("nothing taken at this step yet"))
    bench.taker.write(
        lambda stamp: Struck(stamp=stamp, check_key=latest.check_key, entry_id=latest.stamp.id)
    )
    bench.waiting = None
    bench.arrive()


def _skip(bench: Walk) -> None:
    if bench.prompt is not None:
        cancel(bench)
        return
    if bench.stage is not Stage.CHECKS:
        bench.end_stage(bench.stage)
        return
    check = bench.visit.current
    if bench.visit.standing(check.key) is Standing.TO_DO and not bench.visit.closed:
        bench.taker.write(lambda stamp: Skipped(stamp=stamp, check_key=check.key))
    following = bench.visit.neighbour(1) or bench.visit.next_to_do()
    if following is None or following.key == check.key:
        raise StepError(_("this was the last step: press C to close the visit"))
    bench.move_to(following)


def _step(bench: Walk, by: int) -> None:
    if bench.stage is not Stage.CHECKS:
        bench.end_stage(bench.stage)
        return
    check = bench.visit.neighbour(by)
    if check is None:
        raise StepError(_("this is the first step") if by < 0 else _("this is the last step"))
    bench.move_to(check)


def _go_to(bench: Walk, key: str) -> None:
    try:
        check = bench.visit.procedure.check(key)
    except KeyError:
        raise StepError(_("this visit has no step '{key}'").format(key=key)) from None
    bench.move_to(check)


def _choose(bench: Walk, press: str) -> None:
    check = bench.visit.current
    options, answers = check.options, check.answers
    if bench.asking_option():
        option = options[_place(press, len(options))]
        bench.taker.write(
            lambda stamp: OptionChosen(
                stamp=stamp, option_group=check.option_group, option_key=option.key
            )
        )
        bench.arrive()
        return
    if check.kind is not CheckKind.LOOK and offers_of(bench):
        _begin_fix(bench, press)
        return
    if check.kind is not CheckKind.LOOK:
        raise StepError(_("this step wants a reading: hold the probes still, or press M"))
    answer = answers[_place(press, len(answers))]
    replaced = bench.taker.superseded()
    bench.waiting = bench.taker.write(
        lambda stamp: Looked(
            stamp=stamp, check_key=check.key, answer_key=answer.key, supersedes=replaced
        )
    )


def _place(press: str, count: int) -> int:
    """The place of a number key in a list. Raises StepError saying which keys there are."""
    place = int(press) - 1 if press.isdecimal() else -1
    if not 0 <= place < count:
        raise StepError(_("press 1 to {count}").format(count=count))
    return place


def _begin_fix(bench: Walk, press: str) -> None:
    """A tile under 'Meter can't tell' was pressed: do what it offers."""
    offers = offers_of(bench)
    if not offers:
        raise StepError(_("nothing is offered here"))
    match offers[_place(press, len(offers))].remedy:
        case Remedy.VOLT_DROP:
            bench.ask(Purpose.DROP_CURRENT)
        case Remedy.LEAD_ZERO:
            bench.begin_zeroing()
        case _:
            bench.message = _("Change that on the meter, then hold the probes still")


def _ask_option_again(bench: Walk) -> None:
    check = bench.visit.current
    if not check.options:
        raise StepError(_("the band of this step does not depend on a marking"))
    bench.taker.write(
        lambda stamp: OptionChosen(stamp=stamp, option_group=check.option_group, option_key="")
    )


def _mark(bench: Walk) -> None:
    """The part behind what stands here is known good; pressed once more, not after all."""
    own, latest = bench.own_bands, bench.visit.latest(bench.visit.current.key)
    if own is None or not isinstance(latest, Taken):
        raise StepError(_("no reading stands at this step: take one, then mark its part"))
    if marking_of(bench.visit, latest.stamp.id).said is Said.GOOD:
        bench.ask(Purpose.UNMARK, memory=latest.stamp.id)
        return
    bench.message = own.mark(bench.visit.header.id, latest.stamp.id)


def cancel(bench: Walk) -> None:
    """Leave the line that is being typed; what opens a visit goes on without it."""
    prompt, bench.prompt = bench.prompt, None
    if prompt is not None and prompt.purpose is Purpose.TEMPERATURE:
        bench.begin_stages()
    if prompt is not None and prompt.purpose is Purpose.RUN:
        bench.run.work.forget_question()


def _close(bench: Walk) -> None:
    visit = bench.visit
    if open_looks := visit.open_obligations():
        bench.move_to(open_looks[0])
        raise StepError(_("before closing, answer: {title}").format(title=open_looks[0].title))
    by_meter = any(isinstance(e, Taken) and e.reading.channel != TYPED for e in visit.entries)
    if by_meter and visit.self_check(Moment.END) is None and not visit.closed:
        bench.begin_self_check(Moment.END)
        return
    bench.close_now()


def _reopen(bench: Walk) -> None:
    if not bench.visit.closed:
        raise StepError(_("this visit is open"))
    bench.taker.write(lambda stamp: Reopened(stamp=stamp))
    bench.arrive()


def handler_of(action: str) -> Handler | None:
    """What an action does, None for one the bench does not know."""
    return _HANDLERS.get(action)


_IN_RUN = (
    *(Action.RUN_MARK, Action.RUN_TURN, Action.RUN_TYPE),
    *(Action.RUN_ANSWER, Action.RUN_DROP),
)


def _act_in_run(action: str, bench: Walk, argument: str) -> None:
    run_key.act(bench, action, argument)


_HANDLERS: dict[str, Handler] = {
    Action.TAKE: lambda bench, _text: take(bench, by_key=True),
    Action.REDO: lambda bench, _text: _redo(bench),
    Action.NOTE: lambda bench, _text: bench.ask(Purpose.NOTE),
    Action.TYPE: lambda bench, _text: _type(bench),
    Action.ZERO: lambda bench, _text: zero(bench),
    Action.SKIP: lambda bench, _text: _skip(bench),
    Action.BACK: lambda bench, _text: _step(bench, -1),
    Action.NEXT: lambda bench, _text: _step(bench, 1),
    Action.GOTO: _go_to,
    Action.CHOOSE: _choose,
    Action.FIX: _begin_fix,
    Action.TEMPERATURE: lambda bench, _text: bench.ask(Purpose.TEMPERATURE),
    Action.OPTION: lambda bench, _text: _ask_option_again(bench),
    Action.DID: lambda bench, _text: bench.ask(Purpose.DID),
    Action.MARK: lambda bench, _text: _mark(bench),
    Action.CLOSE_VISIT: lambda bench, _text: _close(bench),
    Action.REOPEN: lambda bench, _text: _reopen(bench),
    Action.SUBMIT: bench_prompt.submit,
    Action.PREVIEW: bench_prompt.preview,
    Action.CANCEL: lambda bench, _text: cancel(bench),
    Action.LEAVE: lambda _bench, _text: None,
    Action.SELF_CHECK: lambda bench, _text: bench.begin_self_check(Moment.START),
    Action.RUN_START: run_key.start,
    Action.RUN_END: run_key.end,
    Action.DRILL: run_key.drill,
    **{action: partial(_act_in_run, action) for action in _IN_RUN},
}
