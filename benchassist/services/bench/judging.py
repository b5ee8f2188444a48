"""The `judge` command: one typed reading against one typed band, as plain data.

Its JSON is a contract: base units, null where there is no number.
"""

from math import isfinite
from typing import Any

from benchassist.core.accuracy import WORST_CASE, Accuracy, LeadZero
from benchassist.core.advice import advise
from benchassist.core.band import Band, BandSource, Judgement, judge, judge_overload
from benchassist.core.estimate import (
    COLDEST_PART,
    HOTTEST_PART,
    Conditions,
    PartTemperature,
    corrected_full_scale,
    estimate,
)
from benchassist.core.plain_text import brief
from benchassist.core.quantity import BASE_UNIT, Quantity
from benchassist.core.reading import Reading, Source
from benchassist.errors import InputError, UnitError
from benchassist.services import wording
from benchassist.services.translation import _
from benchassist.units import Limits, Typed, read_accuracy, read_band, read_quantity, read_typed
from benchassist.units.known import LONE_PREFIX, prefixed

FEW_OHMS = 10.0
"""A copper winding up to here may be measured by volt drop."""


def judge_text(
    reading: str,
    band: str,
    *,
    accuracy: str | None = None,
    range_: str | None = None,
    lead_zero: str | None = None,
    part_temp: float | None = None,
    copper: bool = False,
    k: float = 2.0,
) -> dict[str, Any]:
    """The verdict as the JSON object of the command. Raises InputError in one line.

    For OL the touch of the probes is taken as seen. `part_temp` is in celsius.
    """
    limits = read_band(band)
    typed = _reading(reading, limits)
    stated = read_accuracy(accuracy) if accuracy is not None else WORST_CASE
    full_scale = _full_scale(range_, typed, reading, limits.quantity)
    temperature = _temperature(part_temp, copper=copper, quantity=limits.quantity)
    if not (isfinite(k) and k > 0.0):
        raise InputError(
            _("k = {k} is no coverage factor: give one above zero, such as 2").format(k=k)
        )
    held = Band(
        quantity=limits.quantity,
        low=limits.low,
        high=limits.high,
        source=BandSource.TYPED,
        copper=copper,
    )
    seen = Reading(
        t_s=0.0,
        channel="typed",
        quantity=limits.quantity,
        value=typed.value,
        resolution=typed.resolution,
        full_scale=full_scale,
        overload=typed.overload,
        exponent=typed.exponent,
        source=Source.TYPED,
    )
    conditions = Conditions(
        accuracy=stated,
        lead_zero=_zero(lead_zero, stated, full_scale, limits.quantity),
        part_temperature=temperature,
        copper_reference=held.reference_celsius if copper else None,
    )
    judgement = (
        judge_overload(corrected_full_scale(full_scale, conditions), held, leads_proved=True)
        if seen.overload
        else judge(estimate(seen, conditions), held, k=k)
    )
    return _as_data(judgement, held, seen, conditions)


def _as_data(
    judgement: Judgement, band: Band, reading: Reading, conditions: Conditions
) -> dict[str, Any]:
    winding = band.copper and band.high is not None and band.high <= FEW_OHMS
    advice = advise(judgement, band, conditions, reading=reading, volt_drop=winding)
    said = [wording.advice_sentence(a, band.quantity) for a in advice[:2]]
    return {
        "verdict": judgement.verdict.value,
        "side": judgement.side.value if judgement.side is not None else None,
        "value": judgement.value,
        "unit": BASE_UNIT[band.quantity],
        "expanded_uncertainty": judgement.expanded_uncertainty,
        "probability_in_band": judgement.probability_in_band,
        "contributions": [
            {"name": c.name.value, "standard_uncertainty": c.standard_uncertainty}
            for c in judgement.contributions
        ],
        "reason": " ".join(wording.reasons(judgement, band, reading)),
        "advice": " ".join(said) or None,
    }


def _reading(text: str, limits: Limits) -> Typed:
    """The reading; without a unit it has the band's, unless a prefix could be what is missing."""
    typed = read_typed(text, quantity=limits.quantity, default_unit=limits.unit)
    if (
        limits.quantity in LONE_PREFIX
        and not (typed.overload or typed.with_unit)
        and typed.exponent
    ):
        plain = prefixed(limits.quantity, 0).symbol
        raise UnitError(
            _("reading '{text}' has no unit: write {text} {plain} or {text} {unit}").format(
                text=brief(text), plain=plain, unit=limits.unit
            )
        )
    return typed


def _full_scale(text: str | None, typed: Typed, reading: str, quantity: Quantity) -> float | None:
    """The range as full scale; a reading above it is a slip in one of the two."""
    if text is None:
        return None
    full_scale = read_quantity(text, quantity=quantity).value
    if full_scale <= 0.0:
        raise UnitError(_("range '{text}' must be above zero").format(text=brief(text)))
    if typed.value is not None and abs(typed.value) > full_scale * (1.0 + 1e-12):
        raise InputError(
            _("reading '{reading}' is above the range '{text}': check both, or write OL").format(
                reading=brief(reading), text=brief(text)
            )
        )
    return full_scale


def _temperature(
    celsius: float | None, *, copper: bool, quantity: Quantity
) -> PartTemperature | None:
    if copper and quantity is not Quantity.RESISTANCE:
        raise InputError(_("--copper corrects ohms only: leave it out for this band"))
    if celsius is None:
        if copper:
            raise InputError(_("--copper needs the part's temperature: give --part-temp too"))
        return None
    if not COLDEST_PART <= celsius <= HOTTEST_PART:
        raise InputError(
            _("part temperature {celsius:g} is not possible: give {low:g} to {high:g} °C").format(
                celsius=celsius, low=COLDEST_PART, high=HOTTEST_PART
            )
        )
    return PartTemperature(celsius=celsius)


def _zero(
    text: str | None, accuracy: Accuracy, full_scale: float | None, quantity: Quantity
) -> LeadZero | None:
    if text is None:
        return None
    if quantity is not Quantity.RESISTANCE:
        raise InputError(_("--lead-zero comes off ohms only: leave it out for this band"))
    typed = read_typed(text, quantity=quantity)
    if typed.value is None:
        raise InputError(
            _("lead zero '{text}' is above range: hold the probes together").format(
                text=brief(text)
            )
        )
    return LeadZero(
        value=typed.value, resolution=typed.resolution, accuracy=accuracy, full_scale=full_scale
    )
