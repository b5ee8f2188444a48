"""What a plan of an engine run allows, and what of it stands after something was taken back."""

from collections.abc import Sequence
from typing import Final

from benchassist.core.entry import RunMarked
from benchassist.core.run import MarkKind, RunPlan
from benchassist.core.run_finding import IdleCycle
from benchassist.errors import InputError
from benchassist.services.runs.engine_load import NO_LONGER
from benchassist.services.runs.engine_typed import middle_of
from benchassist.services.translation import _

_DROPPABLE: Final = frozenset(
    {
        *(MarkKind.SPEED, MarkKind.HERTZ, MarkKind.VOLTS),
        *(MarkKind.FALL, MarkKind.RECOVER, MarkKind.LOAD),
    }
)


def is_droppable(mark: RunMarked) -> bool:
    """Whether a mark can be taken back by itself."""
    return mark.kind in _DROPPABLE and (mark.kind is not MarkKind.LOAD or mark.text != NO_LONGER)


def goes_with(mark: RunMarked, last: RunMarked) -> bool:
    """Whether a mark goes with the last one: itself, its gauge pressure, the end of its load."""
    if mark is last:
        return True
    if mark.kind is MarkKind.PRESSURE:
        return last.kind in {MarkKind.FALL, MarkKind.RECOVER} and mark.t_s == last.t_s
    return mark.kind is MarkKind.LOAD and mark.text == NO_LONGER and mark.t_s >= last.t_s


def without(cycles: tuple[IdleCycle, ...], drops: Sequence[float]) -> tuple[IdleCycle, ...]:
    """The idle-downs that were not taken back: each drop takes the last one begun before it."""
    left = list(cycles)
    for t_s in drops:
        before = [cycle for cycle in left if cycle.fall_start_s < t_s]
        if before:
            left.remove(before[-1])
    return tuple(left)


def refuse(plan: RunPlan) -> None:
    """Raise InputError for pulses that no pick-up gives and for bands in the wrong order."""
    pulses, low, high = plan.pulses_per_rev, plan.limits.low, plan.limits.high
    if pulses is not None and not pulses > 0.0:
        raise InputError(
            _("{n:g} pulses a turn cannot be: state a number above zero, such as 1 or 0.5").format(
                n=pulses
            )
        )
    if low is not None and high is not None and not middle_of(low) < middle_of(high):
        raise InputError(_("the low speed band must lie below the high speed band: check both"))
