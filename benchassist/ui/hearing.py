"""What is to be heard of a bench: told from two views, one after the other."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from benchassist.core.band import Side, Verdict
from benchassist.core.slip import Ink
from benchassist.services.bench.spoken import spoken_value
from benchassist.services.bench.view import BenchView, NumberState, RibbonItem
from benchassist.services.translation import _
from benchassist.ui.cue import Cue, Heard

VERDICTS: Final[Mapping[Verdict, Cue]] = MappingProxyType(
    {
        Verdict.IN_BAND: Cue.IN_BAND,
        Verdict.TOO_CLOSE: Cue.TOO_CLOSE,
        Verdict.CANNOT_TELL: Cue.CANNOT_TELL,
        Verdict.BY_EYE: Cue.LOOKED,
    }
)


def verdict_cue(verdict: Verdict | None, side: Side | None) -> Cue:
    """The sound of a verdict; what has none of its own is merely taken."""
    if verdict is Verdict.OUT_OF_BAND:
        return Cue.OUT_LOW if side is Side.LOW else Cue.OUT_HIGH
    return Cue.TAKEN if verdict is None else VERDICTS.get(verdict, Cue.TAKEN)


def cue_name(cue: Cue) -> str:
    """What a sound stands for."""
    return {
        Cue.IN_BAND: _("In band"),
        Cue.OUT_LOW: _("Out of band, low"),
        Cue.OUT_HIGH: _("Out of band, high"),
        Cue.TOO_CLOSE: _("Too close to call"),
        Cue.CANNOT_TELL: _("Meter can’t tell"),
        Cue.TAKEN: _("Taken; there is no band"),
        Cue.LOOKED: _("Checked by eye"),
        Cue.ALARM: _("Alarm in a run"),
        Cue.LINK_LOST: _("Meter lost"),
        Cue.REFUSED: _("Not done"),
    }[cue]


def turned_to_ink(was: BenchView, view: BenchView) -> tuple[RibbonItem, ...]:
    """Steps that stood in pencil and stand in ink now: what was taken is on disk."""
    pencil = {item.key for item in was.ribbon if item.ink is Ink.PENCIL}
    return tuple(i for i in view.ribbon if i.key in pencil and i.ink is Ink.INK)


def alarmed(was: BenchView, view: BenchView) -> bool:
    """Whether an alarm of a run has come between two views."""
    before = was.run.alarms if was.run is not None else 0
    return view.run is not None and view.run.alarms > before


def heard_of(was: BenchView, view: BenchView) -> Heard | None:
    """What came between two views: something in ink, a can't tell, trouble; None for nothing."""
    if alarmed(was, view):
        return Heard(Cue.ALARM, view.run.alarm if view.run is not None else "")
    inked = turned_to_ink(was, view)
    if inked:
        return _taken(inked[-1], view)
    told = view.heard
    if told is not None and told != was.heard:
        return Heard(verdict_cue(told.verdict, told.side), told.text)
    if view.banner and not was.banner:
        return Heard(Cue.LINK_LOST if _went_quiet(was, view) else Cue.REFUSED, view.banner)
    number = view.number
    held = view.verdict is Verdict.CANNOT_TELL and number.state is NumberState.HELD
    if held and number.state is not was.number.state:
        value = number.words or f"{number.digits} {number.unit}"
        return Heard(Cue.CANNOT_TELL, spoken_value(value, view.verdict_text))
    return None


def _taken(item: RibbonItem, view: BenchView) -> Heard:
    """The step's verdict, and its line on the slip as a sentence."""
    cue = verdict_cue(item.verdict, item.side)
    line = next((line for line in view.lines if line.number == item.number), None)
    if line is None:
        return Heard(cue)
    return Heard(cue, spoken_value(line.words or line.value, line.verdict_text))


def _went_quiet(was: BenchView, view: BenchView) -> bool:
    silent = {NumberState.STALE, NumberState.WAITING}
    return not view.meter_live and (was.meter_live or view.number.state in silent)
