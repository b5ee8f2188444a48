"""A reading of a part marked known-good, as a value that a band may be made of, or why not."""

from collections.abc import Container, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum
from math import isfinite

from benchassist.core.band import Verdict
from benchassist.core.copper import correction
from benchassist.core.entry import Taken
from benchassist.core.estimate import UNSTATED_U
from benchassist.core.quantity import NEVER_NEGATIVE, Quantity


class LeftOut(StrEnum):
    """Why a value is not among those a band is made of."""

    NO_VALUE = "no_value"
    """An overload: a part, perhaps, but no number."""
    CANNOT_TELL = "cannot_tell"
    """The meter could not tell on that range, or its doubt is unknown."""
    STRUCK = "struck"
    """It was redone since."""
    NOT_CORRECTED = "not_corrected"
    """A winding whose temperature was not known."""
    OTHER_QUANTITY = "other_quantity"
    SAME_PART = "same_part"
    """Another value of the same part was made with less doubt."""
    SET_ASIDE = "set_aside"
    """A person said so, with a reason."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnPart:
    """A reading of a part marked known-good, in base units.

    `part` is the same for every reading of one part and of no other. `value` and `u` (standard
    uncertainty) are corrected to the temperature the band is to hold for. `left_out` is there
    where the reading says nothing by itself; `reason` is what a person said in setting it aside.
    `visit_id` and `entry_id` name the reading, `tag` its machine, `meter` what read it: for who
    looks it up.
    """

    part: str
    at: datetime
    quantity: Quantity
    value: float | None
    u: float | None
    left_out: LeftOut | None = None
    reason: str = ""
    visit_id: str = ""
    entry_id: str = ""
    tag: str = ""
    meter: str = ""


def own_part(
    taken: Taken,
    *,
    part: str,
    quantity: Quantity,
    copper: bool = False,
    reference_celsius: float = 20.0,
    set_aside: str | None = None,
    struck: bool = False,
    tag: str = "",
) -> OwnPart:
    """A taken reading as a value for a band at a reference temperature in celsius.

    A winding that was corrected to another one is brought over by the copper law, its doubt with
    it. `quantity` is what the check measures, which for a volt drop is not what the meter showed.
    `set_aside` is a person's reason for leaving the part out, None where nobody did.
    """
    value, expanded = taken.judgement.value, taken.judgement.expanded_uncertainty
    u = None if expanded is None else expanded / taken.judgement.k
    why: LeftOut | None = None
    if struck:
        why = LeftOut.STRUCK
    elif set_aside is not None:
        why = LeftOut.SET_ASIDE
    elif value is None:
        why = LeftOut.NO_VALUE
    elif tells_nothing(taken, quantity):
        why = LeftOut.CANNOT_TELL
    if copper and value is not None:
        known, reference = taken.conditions.part_temperature, taken.conditions.copper_reference
        if known is None or reference is None or known.u >= UNSTATED_U:
            why = why or LeftOut.NOT_CORRECTED
        if reference is not None:
            over = correction(reference, reference_celsius)[0]
            value, u = value * over, None if u is None else u * over
    return OwnPart(
        part=part,
        at=taken.stamp.at,
        quantity=quantity,
        value=value,
        u=u,
        left_out=why,
        reason=set_aside or "",
        visit_id=taken.stamp.visit_id,
        entry_id=taken.stamp.id,
        tag=tag,
        meter=taken.meter,
    )


def tells_nothing(taken: Taken, quantity: Quantity) -> bool:
    """Whether the meter could not tell the part from others, or not even from none.

    Without a band no verdict asks what the meter could tell; there a value that its own doubt may
    have made, |y| <= U, says nothing of a quantity that cannot be negative.
    """
    judged = taken.judgement
    y, expanded = judged.value, judged.expanded_uncertainty
    if judged.verdict is Verdict.CANNOT_TELL or expanded is None or not isfinite(expanded):
        return True
    unasked = taken.band is None and quantity in NEVER_NEGATIVE
    return unasked and y is not None and abs(y) <= expanded


def one_each(
    readings: Iterable[OwnPart], quantity: Quantity
) -> tuple[tuple[OwnPart, ...], tuple[OwnPart, ...]]:
    """The readings that count, one a part, and all others with the reason; both by time."""
    chosen: dict[str, OwnPart] = {}
    left_out: list[OwnPart] = []
    given = sorted(readings, key=lambda one: one.at)
    aside = {one.part: one.reason for one in given if one.left_out is LeftOut.SET_ASIDE}
    for one in given:
        why = _alone(one, quantity, aside)
        if why is not None:
            kin = why is LeftOut.SET_ASIDE and not one.reason
            told = replace(one, reason=aside[one.part]) if kin else one
            left_out.append(_without(told, why))
            continue
        rival = chosen.get(one.part)
        if rival is None:
            chosen[one.part] = one
            continue
        better = one if (one.u or 0.0) <= (rival.u or 0.0) else rival
        left_out.append(_without(rival if better is one else one, LeftOut.SAME_PART))
        chosen[one.part] = better
    return _by_time(list(chosen.values())), _by_time(left_out)


def _alone(one: OwnPart, quantity: Quantity, aside: Container[str]) -> LeftOut | None:
    """Why a reading cannot count, whatever else there is of its part."""
    if one.left_out is not None:
        return one.left_out
    if one.part in aside:
        return LeftOut.SET_ASIDE
    if one.quantity is not quantity:
        return LeftOut.OTHER_QUANTITY
    if one.value is None or not isfinite(one.value):
        return LeftOut.NO_VALUE
    if one.u is None or not isfinite(one.u):
        return LeftOut.CANNOT_TELL
    return None


def _without(one: OwnPart, why: LeftOut) -> OwnPart:
    return one if one.left_out is why else replace(one, left_out=why)


def _by_time(parts: Sequence[OwnPart]) -> tuple[OwnPart, ...]:
    return tuple(sorted(parts, key=lambda one: one.at))
