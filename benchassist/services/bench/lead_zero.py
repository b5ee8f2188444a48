"""What the leads themselves add, judged before it is taken off every reading."""

from typing import Final

from benchassist.core.accuracy import LeadZero
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.core.steady import Phase, Steadiness
from benchassist.errors import StepError
from benchassist.services.bench.taking import MeterSetup
from benchassist.services.translation import _

WORN_LEADS: Final = 0.5
"""Ohm. Leads above it are to be renewed (common practice)."""


def held_together(reading: Reading | None, steady: Steadiness) -> Reading:
    """The live reading of probes held together. Raises StepError saying what to do instead."""
    if reading is None:
        raise StepError(_("no live reading: check the link, or type what the meter shows"))
    if reading.quantity is not Quantity.RESISTANCE or steady.wrong_function:
        raise StepError(_("set the meter to ohms to zero the leads"))
    if reading.value is None:
        raise StepError(_("the probes are apart: touch them together, then press Z"))
    if steady.phase not in (Phase.STEADY, Phase.LIFT):
        raise StepError(_("not steady yet: hold the probes together, then press Z"))
    return reading


def judged_zero(reading: Reading, setup: MeterSetup) -> LeadZero:
    """A lead zero from a reading. Raises StepError where worn leads or something else is between.

    Two counts of a coarse range are no fault of the leads.
    """
    if reading.value is None:
        raise StepError(_("above range: the probes are not together"))
    allowed = max(WORN_LEADS, 2.0 * (reading.resolution or 0.0))
    if abs(reading.value) > allowed:
        raise StepError(
            _("{value:.2f} Ω is too much for leads (up to {most:g} Ω): renew them").format(
                value=reading.value, most=allowed
            )
        )
    return LeadZero(
        value=reading.value,
        resolution=reading.resolution,
        accuracy=setup.accuracy_of(reading),
        full_scale=reading.full_scale,
    )
