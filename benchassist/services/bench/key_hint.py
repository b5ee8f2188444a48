"""The key strip: which keys do something now, the main one first."""

from benchassist.core.entry import Taken
from benchassist.core.procedure import CheckKind
from benchassist.core.quantity import Quantity
from benchassist.core.reading import LinkState
from benchassist.core.run import RunKind
from benchassist.services.bench.stage import Stage
from benchassist.services.bench.view import Fix, KeyHint
from benchassist.services.bench.walk import Walk
from benchassist.services.desk import Action
from benchassist.services.record.part_mark import Said, marking_of
from benchassist.services.runs import key as run_key
from benchassist.services.translation import _
from benchassist.units import text_of


def _is_gone(bench: Walk) -> bool:
    """Whether the meter is lost or silent: what there is to take must then be typed."""
    return bench.meter.link_state in {LinkState.LOST, LinkState.WAITING}


def keys_of(bench: Walk, fixes: tuple[Fix, ...]) -> tuple[KeyHint, ...]:
    """Key hints in order; the yellow one is what to press now."""
    if bench.prompt is not None:
        return (
            KeyHint(press="Enter", text=_("Keep it"), action=Action.SUBMIT, main=True),
            KeyHint(press="Esc", text=_("Leave it"), action=Action.CANCEL),
        )
    if bench.visit.closed:
        return (
            KeyHint(press="P", text=_("Print slip"), action="print", main=True),
            KeyHint(press="O", text=_("Open again"), action=Action.REOPEN),
            *mark_hint(bench),
            KeyHint(press="Esc", text=_("Counter"), action="counter"),
        )
    check = bench.visit.current
    if bench.stage is not Stage.CHECKS:
        main = KeyHint(press="Space", text=_("Take"), action=Action.TAKE, main=True, pedal=True)
        return (
            main,
            KeyHint(press="M", text=_("Type it in"), action=Action.TYPE),
            KeyHint(press="Right", text=_("Skip"), action=Action.SKIP),
            *_match_hint(bench),
        )
    if bench.run.here:
        return run_key.hints(bench)
    if bench.asking_option():
        last = len(check.options)
        return (
            KeyHint(press=f"1-{last}", text=_("Marking"), action=Action.CHOOSE, main=True),
            KeyHint(press="Right", text=_("Skip"), action=Action.SKIP),
        )
    if bench.visit.next_to_do() is None:
        first = KeyHint(press="C", text=_("Close the visit"), action=Action.CLOSE_VISIT, main=True)
    elif check.kind is CheckKind.LOOK:
        last = len(check.answers)
        first = KeyHint(press=f"1-{last}", text=_("Answer"), action=Action.CHOOSE, main=True)
    elif check.kind is CheckKind.GAUGE or not bench.meter.linked or _is_gone(bench):
        first = KeyHint(press="M", text=_("Type it in"), action=Action.TYPE, main=True)
    else:
        first = KeyHint(press="Space", text=_("Take"), action=Action.TAKE, main=True, pedal=True)
    rest = [
        KeyHint(press="Backspace", text=_("Redo"), action=Action.REDO),
        KeyHint(press="N", text=_("Note"), action=Action.NOTE),
        KeyHint(press="D", text=_("Did work"), action=Action.DID),
        *mark_hint(bench),
        KeyHint(press="Z", text=_("Zero leads"), action=Action.ZERO),
        KeyHint(press="Right", text=_("Skip"), action=Action.SKIP),
    ]
    offered = [
        KeyHint(press=fix.press, text=fix.title, action=Action.FIX, main=False) for fix in fixes
    ]
    return (first, *offered, *_match_hint(bench), *rest)


def mark_hint(bench: Walk) -> tuple[KeyHint, ...]:
    """Where a reading stands that may mark its part as known good, or has."""
    latest = bench.visit.latest(bench.visit.current.key)
    if bench.own_bands is None or not isinstance(latest, Taken) or bench.stage is not Stage.CHECKS:
        return ()
    marking = marking_of(bench.visit, latest.stamp.id)
    if marking.said is Said.GOOD:
        return (KeyHint(press="G", text=_("Unmark"), action=Action.MARK),)
    if marking.refusal:
        return ()
    return (KeyHint(press="G", text=_("Known good"), action=Action.MARK),)


def _match_hint(bench: Walk) -> tuple[KeyHint, ...]:
    """A link whose display was never matched waits for a key at every reading: what ends that."""
    if not bench.meter.linked or bench.meter.may_take_by_itself:
        return ()
    return (KeyHint(press="F5", text=_("Match display"), action="match"),)


def keys_note(bench: Walk) -> str:
    """What stands at the end of the strip: where to stop the heat, that a pedal takes."""
    plan = bench.visit.current.run
    if plan is not None and plan.kind is RunKind.HEAT:
        ceiling = text_of(plan.ceiling, Quantity.TEMPERATURE, resolution=1.0, units=bench.units)
        return _("Pull heat at {ceiling}").format(ceiling=ceiling)
    return _("Pedal takes too") if bench.settings.pedal_key else ""
