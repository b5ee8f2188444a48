"""What a figure stands on, in words: the value itself, its band, meter, leads, temperature, day."""

from datetime import datetime

from benchassist.core.accuracy import Accuracy, LeadZero
from benchassist.core.band import Band, BandSource, Verdict
from benchassist.core.entry import Moment, SelfChecked
from benchassist.core.estimate import PartTemperature
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.services.translation import _
from benchassist.units import (
    UnitChoice,
    limits_text,
    scaled,
    shown,
    step_text,
    text_of,
    with_doubt,
)

SHOP = UnitChoice()

_QUANTITY = {
    Quantity.RESISTANCE: _("ohms"),
    Quantity.VOLTAGE: _("volts"),
    Quantity.CURRENT: _("amperes"),
    Quantity.CAPACITANCE: _("capacitance"),
    Quantity.FREQUENCY: _("hertz"),
    Quantity.SPEED: _("rpm"),
    Quantity.TEMPERATURE: _("temperature"),
    Quantity.LENGTH: _("length"),
    Quantity.PRESSURE: _("pressure"),
    Quantity.DURATION: _("time"),
}

_SOURCE = {
    BandSource.MAKER: (_("maker’s manual"), _("maker’s manual, {note}")),
    BandSource.COMMON_PRACTICE: (_("common practice"), _("common practice")),
    BandSource.OWN_PARTS: (
        _("this shop’s own good parts"),
        _("this shop’s own good parts, {note}"),
    ),
    BandSource.MARKING: (_("by its marking"), _("marked {note}")),
    BandSource.TYPED: (_("typed in"), _("typed in")),
}
"""Where a band comes from, without a note and with one."""

_MONTH = tuple(_("Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec").split())


def value_and_doubt(
    value: float,
    doubt: float | None,
    quantity: Quantity,
    *,
    reading: Reading | None = None,
    units: UnitChoice = SHOP,
) -> tuple[str, str]:
    """A value with its unit, in the prefix the meter showed, and its doubt as '±0.08'."""
    same = reading is not None and reading.quantity is quantity
    exponent = reading.exponent if reading is not None and same else None
    resolution = reading.resolution if reading is not None and same else None
    if doubt is None:
        plain = text_of(value, quantity, resolution=resolution, exponent=exponent, units=units)
        return str(plain), ""
    number, digits = with_doubt(
        value, quantity, uncertainty=doubt, resolution=resolution, exponent=exponent, units=units
    )
    return str(number), f"±{digits}" if digits else ""


def reading_text(reading: Reading, *, units: UnitChoice = SHOP) -> str:
    """A reading as its display had it, words for an overload."""
    return _("Above range") if reading.overload else str(shown(reading, units))


def band_label(band: Band, *, units: UnitChoice = SHOP) -> str:
    """The band and where it comes from: 'Band: 3.75 to 6.25 kΩ, marked 5 kΩ'."""
    limits = band_limits(band, units=units)
    return _("Band: {limits}, {source}").format(limits=limits, source=source_text(band))


def band_limits(band: Band, *, units: UnitChoice = SHOP) -> str:
    """The limits of a band that count: '3.75 to 6.25 kΩ', 'up to 10 Ω', 'at least 10 MΩ'."""
    low, high, unit = limits_text(band.lower, band.high, band.quantity, units=units)
    if low is None and high is None:
        return _("any value")
    if low is None:
        return _("up to {high} {unit}").format(high=high, unit=unit)
    if high is None:
        return _("at least {low} {unit}").format(low=low, unit=unit)
    return _("{low} to {high} {unit}").format(low=low, high=high, unit=unit)


def source_text(band: Band) -> str:
    """Where a band comes from, in words that end a label."""
    bare, noted = _SOURCE[band.source]
    return noted.format(note=band.source_note) if band.source_note else bare


def accuracy_text(accuracy: Accuracy, quantity: Quantity | None = None) -> str:
    """An accuracy statement as it stands on the slip; says so where none was given.

    `quantity` is what it is of, for a part that it states in units.
    """
    parts = []
    if accuracy.percent or not accuracy.fixed:
        parts.append(_("{percent:g} %").format(percent=accuracy.percent))
    if accuracy.percent_of_range:
        parts.append(_("{percent:g} % of range").format(percent=accuracy.percent_of_range))
    if accuracy.counts:
        parts.append(_("{counts:g} counts").format(counts=accuracy.counts))
    if accuracy.fixed:
        fixed = step_text(accuracy.fixed, quantity) if quantity is not None else accuracy.fixed
        parts.append(str(fixed))
    text = " + ".join(parts)
    return text if accuracy.stated else _("{text} assumed: no accuracy statement").format(text=text)


def leads_text(zero: LeadZero | None) -> str:
    """What was done about the leads, as one line of the conditions."""
    if zero is None:
        return _("Leads not zeroed: what they add is in the ohms.")
    value = scaled(zero.value, Quantity.RESISTANCE, resolution=zero.resolution)
    return _("Leads {value} taken off ohms readings.").format(value=value)


def temperature_text(temperature: PartTemperature, units: UnitChoice = SHOP) -> str:
    """The part's temperature and how well it is known."""
    number, doubt = with_doubt(
        temperature.celsius, Quantity.TEMPERATURE, uncertainty=2.0 * temperature.u, units=units
    )
    return _("Part at {value} ±{doubt}.").format(value=number, doubt=doubt)


def self_check_text(entry: SelfChecked, units: UnitChoice = SHOP, *, amid: bool = False) -> str:
    """The known resistor at the start or end of a visit; `amid`: between its steps."""
    nominal = scaled(entry.nominal, Quantity.RESISTANCE)
    found = reading_text(entry.reading, units=units)
    agrees = entry.judgement.verdict is Verdict.IN_BAND
    start = _("between the steps") if amid else _("at the start")
    when = start if entry.moment is Moment.START else _("at the end")
    told = {True: _("agrees"), False: _("does not agree")}[agrees]
    if entry.judgement.verdict is Verdict.CANNOT_TELL:
        told = _("not decided")
    return _("Known {nominal} ±{tolerance:g} % {when}: {found}, {told}.").format(
        nominal=nominal, tolerance=entry.tolerance_percent, when=when, found=found, told=told
    )


def quantity_text(quantity: Quantity) -> str:
    """What a meter measures, as its dial has it: 'ohms'."""
    return _QUANTITY[quantity]


def range_text(reading: Reading) -> str:
    """What the meter is on: 'ohms, 20 kΩ range (steps of 10 Ω)', as far as it says so."""
    if reading.quantity is None:
        return ""
    text = quantity_text(reading.quantity)
    if reading.full_scale is not None:
        range_ = scaled(reading.full_scale, reading.quantity)
        text = _("{what}, {range} range").format(what=text, range=range_)
    if reading.resolution is not None:
        step = step_text(reading.resolution, reading.quantity)
        text = _("{text} (steps of {step})").format(text=text, step=step)
    return text


def month_text(at: datetime) -> str:
    """The month in the shop's own time zone: Jun 2026."""
    local = at.astimezone()
    return _("{month} {year}").format(month=_MONTH[local.month - 1], year=local.year)


def day_text(at: datetime) -> str:
    """The day in the shop's own time zone: 9 Jun 2026."""
    local = at.astimezone()
    return _("{day} {month} {year}").format(
        day=local.day, month=_MONTH[local.month - 1], year=local.year
    )
