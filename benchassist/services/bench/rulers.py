"""A verdict as a band ruler with its labels, in the shop's units."""

from collections.abc import Sequence
from dataclasses import replace

from benchassist.core.accuracy import LeadZero, Part
from benchassist.core.band import Band, Judgement
from benchassist.core.own_band import OwnBand
from benchassist.core.quantity import NEVER_NEGATIVE, Quantity
from benchassist.core.reading import Reading
from benchassist.core.ruler import Ruler
from benchassist.services.record.own_band_text import own_line
from benchassist.services.translation import _
from benchassist.services.wording import band_label
from benchassist.units import UnitChoice, display_unit, scaled, text_of, with_doubt

SHOP = UnitChoice()
MOST_DECIMALS = 4


def ruler_of(
    judgement: Judgement,
    band: Band,
    *,
    reading: Reading,
    units: UnitChoice = SHOP,
    before: float | None = None,
    earlier: Sequence[tuple[str, float]] = (),
    zero: LeadZero | None = None,
    so_far: bool = False,
) -> Ruler:
    """The ruler of one reading. `earlier` pairs a date or year with a value in base units.

    Degrees Fahrenheit have another zero, so a temperature's ruler holds values in the shop's unit.
    """
    limits = [v for v in (band.lower, band.high) if v is not None]
    unit = display_unit(max((abs(v) for v in limits), default=0.0), band.quantity, units=units)
    shifted = bool(unit.offset)

    def place(value: float | None) -> float | None:
        return unit.from_base(value) if shifted and value is not None else value

    doubt = judgement.expanded_uncertainty or 0.0
    past = tuple(place(v) or 0.0 for _when, v in earlier)
    return Ruler(
        low=place(band.lower),
        high=place(band.high),
        value=place(judgement.value),
        doubt=doubt / float(unit.factor) if shifted else doubt,
        verdict=judgement.verdict,
        side=judgement.side,
        so_far=so_far,
        overload=reading.overload,
        earlier=past,
        before=place(before),
        unit_text=unit.symbol,
        factor=1.0 if shifted else float(unit.factor),
        band_label=band_label(band, units=units),
        reading_label=_reading_label(judgement, band, reading, exponent=unit.exponent, units=units),
        earlier_label=_earlier_label(earlier, band, exponent=unit.exponent, units=units),
        leads_label=_leads_label(judgement, band.quantity, zero),
        doubt_label=_("as wide as the doubt") if judgement.expanded_uncertainty else "",
        floor_at_zero=band.quantity in NEVER_NEGATIVE,
    )


def empty_ruler(band: Band, *, units: UnitChoice = SHOP) -> Ruler:
    """The band alone, before there is a reading."""
    limits = [v for v in (band.lower, band.high) if v is not None]
    unit = display_unit(max((abs(v) for v in limits), default=0.0), band.quantity, units=units)
    shifted = bool(unit.offset)
    low, high = (
        unit.from_base(v) if shifted and v is not None else v for v in (band.lower, band.high)
    )
    return Ruler(
        low=low,
        high=high,
        unit_text=unit.symbol,
        factor=1.0 if shifted else float(unit.factor),
        band_label=band_label(band, units=units),
        floor_at_zero=band.quantity in NEVER_NEGATIVE,
    )


def with_own(ruler: Ruler, own: OwnBand | None, beside: Band, units: UnitChoice = SHOP) -> Ruler:
    """A ruler with the band that the shop's own parts make beside the one in force.

    Without such a band, or where it is the one in force, the ruler stays as it is.
    """
    band = own.band if own is not None else None
    if own is None or band is None or (band.lower, band.high) == (beside.lower, beside.high):
        return ruler
    limits = [abs(v) for v in (beside.lower, beside.high) if v is not None]
    unit = display_unit(max(limits, default=0.0), beside.quantity, units=units)
    low, high = (
        unit.from_base(v) if unit.offset and v is not None else v for v in (band.lower, band.high)
    )
    return replace(ruler, own_low=low, own_high=high, own_label=own_line(own, units))


def _reading_label(
    judgement: Judgement, band: Band, reading: Reading, *, exponent: int, units: UnitChoice
) -> str:
    """'4.38 ±0.08', in the unit of the axis; far below that unit, in the display's own with it."""
    if judgement.value is None:
        return _("Above range") if reading.overload else ""
    resolution = reading.resolution if reading.quantity is band.quantity else None
    if not judgement.expanded_uncertainty:
        return text_of(
            judgement.value, band.quantity, resolution=resolution, exponent=exponent, units=units
        ).digits
    number, doubt = with_doubt(
        judgement.value,
        band.quantity,
        uncertainty=judgement.expanded_uncertainty,
        resolution=resolution,
        exponent=exponent,
        units=units,
    )
    if len(number.digits.partition(".")[2]) <= MOST_DECIMALS:
        return f"{number.digits} ±{doubt}"
    number, doubt = with_doubt(
        judgement.value,
        band.quantity,
        uncertainty=judgement.expanded_uncertainty,
        resolution=resolution,
        exponent=reading.exponent,
        units=units,
    )
    return f"{number.digits} ±{doubt} {number.unit}"


def _earlier_label(
    earlier: Sequence[tuple[str, float]], band: Band, *, exponent: int, units: UnitChoice
) -> str:
    """'2024: 4.35 · 2025: 4.33'."""
    return " · ".join(
        f"{when}: {text_of(value, band.quantity, exponent=exponent, units=units).digits}"
        for when, value in earlier
    )


def _leads_label(judgement: Judgement, quantity: Quantity, zero: LeadZero | None) -> str:
    """What the leads came to: taken off, or too small to matter beside the doubt."""
    by_part = {c.name: c.standard_uncertainty for c in judgement.contributions}
    if quantity is not Quantity.RESISTANCE or Part.LEAD_ZERO not in by_part:
        return ""
    if zero is None:
        return _("Leads taken off")
    value = scaled(zero.value, Quantity.RESISTANCE, resolution=zero.resolution)
    small = abs(zero.value) < 0.1 * (judgement.expanded_uncertainty or 0.0)
    text = _("Leads {value}: too small to matter here") if small else _("Leads {value} taken off")
    return text.format(value=value)
