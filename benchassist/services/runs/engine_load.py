"""No load, half load, full load: when each was on, as marks.

A load counts from the key that says it has settled to the volts typed for it, or ten seconds; what
is read while the next one is being put on belongs to none.
"""

from collections.abc import Sequence
from types import MappingProxyType
from typing import Final

from benchassist.core.engine_mark import LOAD_SETTLES
from benchassist.core.entry import RunMarked
from benchassist.core.run import MarkKind
from benchassist.core.run_finding import Load
from benchassist.services.runs.work import Draft

HOLD: Final = 10.0
"""Seconds that a load counts for where no volts are typed."""
NO_LONGER: Final = ""
"""Text of a mark that ends a load."""

_FOLLOWS: Final = MappingProxyType(
    {Load.NONE: Load.HALF, Load.HALF: Load.FULL, Load.FULL: Load.NONE}
)


def last_load(marks: Sequence[RunMarked]) -> RunMarked | None:
    """The load marked last, on or not; None before the first."""
    return next((m for m in reversed(marks) if m.kind is MarkKind.LOAD and m.text), None)


def load_on(marks: Sequence[RunMarked]) -> RunMarked | None:
    """The load that is on and counts, None while it is being changed."""
    last = next((m for m in reversed(marks) if m.kind is MarkKind.LOAD), None)
    return last if last is not None and last.text != NO_LONGER else None


def next_load(marks: Sequence[RunMarked]) -> Load:
    """The load to put on now."""
    last = last_load(marks)
    return Load.NONE if last is None else _FOLLOWS[Load(last.text)]


def turning(marks: Sequence[RunMarked], now_s: float) -> tuple[Draft, ...]:
    """The next load has settled: the one before ends, where it has not."""
    start_s = max(0.0, now_s - LOAD_SETTLES)
    load = next_load(marks).value
    began = load_on(marks)
    if began is None:
        return (Draft(kind=MarkKind.LOAD, t_s=start_s, text=load),)
    end_s = max(began.t_s, min(began.t_s + LOAD_SETTLES + HOLD, start_s))
    return (
        Draft(kind=MarkKind.LOAD, t_s=end_s, text=NO_LONGER),
        Draft(kind=MarkKind.LOAD, t_s=max(end_s, start_s), text=load),
    )


def with_load(
    marks: Sequence[RunMarked], drafts: tuple[Draft, ...], now_s: float
) -> tuple[Draft, ...]:
    """Figures typed at a load, which ends with its volts; typed later they are that load's too."""
    last, volts = last_load(marks), any(d.kind is MarkKind.VOLTS for d in drafts)
    if last is None:
        return drafts
    if load_on(marks) is not None:
        end = (Draft(kind=MarkKind.LOAD, t_s=now_s, text=NO_LONGER),) if volts else ()
        return (*drafts, *end)
    t_s = drafts[-1].t_s
    return (
        Draft(kind=MarkKind.LOAD, t_s=t_s, text=last.text),
        *drafts,
        Draft(kind=MarkKind.LOAD, t_s=t_s, text=NO_LONGER),
    )
