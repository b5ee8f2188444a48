"""A meter's link, range, leads and card in words."""

from benchassist.core.accuracy import Accuracy, LeadZero, MeterRange
from benchassist.core.procedure import MeterCard
from benchassist.core.quantity import Quantity
from benchassist.core.reading import LinkState, Mode, Reading
from benchassist.services.desk import RangeRow
from benchassist.services.translation import _
from benchassist.units import text_of


def link_text(state: LinkState, *, name: str = "A", age: float | None = None) -> str:
    """Where a link stands, in words beside the meter's letter."""
    match state:
        case LinkState.LIVE:
            return _("Meter {name} linked").format(name=name)
        case LinkState.CLOSED:
            return _("No meter")
        case LinkState.OPENING | LinkState.IDENTIFYING | LinkState.RESYNC:
            return _("Meter {name}: listening").format(name=name)
        case LinkState.STALLED:
            if age is None:
                return _("Meter {name}: silent").format(name=name)
            return _("Meter {name}: old, {age:.0f} s").format(name=name, age=age)
        case LinkState.GARBAGE:
            return _("Meter {name}: not understood").format(name=name)
        case LinkState.LOST | LinkState.WAITING:
            return _("Meter {name}: lost, coming back").format(name=name)


def link_trouble(state: LinkState, detail: str) -> str:
    """One line to act on while a link is in trouble, empty while it is not."""
    match state:
        case LinkState.GARBAGE:
            return _("The meter sends something else: check its family and line under Meters")
        case LinkState.LOST | LinkState.WAITING:
            plain = detail or _("plug its lead in again")
            return _("Meter lost: {why}. Readings so far are kept").format(why=plain)
        case _:
            return ""


def leads_text(zero: LeadZero | None) -> str:
    """The lead zero, for the top bar and the slip."""
    if zero is None:
        return _("Leads not zeroed")
    shown = text_of(
        zero.value,
        Quantity.RESISTANCE,
        resolution=zero.resolution,
        exponent=3 if (zero.resolution or 0.0) >= 10.0 else 0,
    )
    return _("Leads {value}, taken off").format(value=shown)


def dial_text(reading: Reading) -> str:
    """What the meter is on: 'ohms, 20 kΩ range (steps of 10 Ω)'."""
    quantity = reading.quantity
    names = {
        Quantity.RESISTANCE: _("ohms"),
        Quantity.VOLTAGE: _("volts"),
        Quantity.CURRENT: _("amperes"),
        Quantity.FREQUENCY: _("hertz"),
        Quantity.SPEED: _("rpm"),
        Quantity.TEMPERATURE: _("temperature"),
        Quantity.CAPACITANCE: _("capacitance"),
    }
    if reading.mode is Mode.DIODE:
        return _("diode test")
    if reading.mode is Mode.CONTINUITY:
        return _("the beeper")
    if quantity is None or quantity not in names:
        return _("something this program does not read")
    name = names[quantity]
    if reading.mode is Mode.AC:
        name = _("{name}, AC").format(name=name)
    steps = ""
    if reading.resolution is not None and quantity is not Quantity.TEMPERATURE:
        steps = _("steps of {step}").format(step=text_of(reading.resolution, quantity))
    if reading.full_scale is None or quantity is Quantity.SPEED:
        return f"{name} ({steps})" if steps else name
    scale = text_of(reading.full_scale, quantity)
    if not steps:
        return _("{name}, {scale} range").format(name=name, scale=scale)
    return _("{name}, {scale} range ({steps})").format(name=name, scale=scale, steps=steps)


def statement_text(accuracy: Accuracy) -> str:
    """An accuracy statement as its maker writes it."""
    parts = [f"{accuracy.percent:g}%"]
    if accuracy.percent_of_range:
        parts.append(_("{percent:g}% of range").format(percent=accuracy.percent_of_range))
    if accuracy.counts:
        parts.append(f"{accuracy.counts:g}")
    return " + ".join(parts)


def range_rows(card: MeterCard | None, k: float) -> tuple[RangeRow, ...]:
    """The meter card as a table, each range with an example of its doubt."""
    if card is None:
        return ()
    return tuple(
        _row(quantity, one, k)
        for quantity in (Quantity.RESISTANCE, Quantity.VOLTAGE, Quantity.FREQUENCY)
        for one in card.ranges.get(quantity, ())
    )


def _row(quantity: Quantity, one: MeterRange, k: float) -> RangeRow:
    example = 0.45 * one.full_scale
    half = one.accuracy.half_width(example, resolution=one.resolution, full_scale=one.full_scale)
    doubt = k * (((half or 0.0) ** 2) / 3.0 + one.resolution**2 / 12.0) ** 0.5
    value = text_of(example, quantity, resolution=one.resolution)
    wide = text_of(doubt, quantity, uncertainty=doubt)
    return RangeRow(
        range_text=str(text_of(one.full_scale, quantity)),
        steps_text=str(text_of(one.resolution, quantity)),
        doubt_text=statement_text(one.accuracy),
        example_text=_("{value} is ±{doubt}").format(value=value, doubt=wide),
    )
