"""Typed text to values. A typed reading carries its resolution: the last digit is one count.

Everything refused is a UnitError of one line that names the input and what would be right.
"""

import re
from dataclasses import dataclass, replace
from decimal import Decimal
from math import isfinite
from types import MappingProxyType
from typing import Final, NamedTuple

from benchassist.core.accuracy import Accuracy
from benchassist.core.estimate import COLDEST_PART, HOTTEST_PART
from benchassist.core.quantity import BASE_UNIT, NEVER_NEGATIVE, Quantity
from benchassist.core.speed import rpm_per_hertz
from benchassist.errors import UnitError
from benchassist.units.known import NAME, Unit, find_unit

MOST_DIGITS: Final = 12
"""No display shows more."""
ABSOLUTE_ZERO: Final = -273.15
"""Celsius."""

EXAMPLE: Final = MappingProxyType(
    {
        Quantity.RESISTANCE: "3.86k, .8, 1.1 Mohm or OL",
        Quantity.VOLTAGE: "12.6 V or 47.5 mV",
        Quantity.CURRENT: "50.2 mA",
        Quantity.CAPACITANCE: "0.22 µF",
        Quantity.FREQUENCY: "60.0 Hz",
        Quantity.SPEED: "3600 rpm",
        Quantity.TEMPERATURE: "21.5 °C or 71 °F",
        Quantity.LENGTH: "0.92 mm or 0.030 in",
        Quantity.PRESSURE: "90 psi or 620 kPa",
        Quantity.DURATION: "25 min",
    }
)
"""What would be right, for the end of an error line."""

PLAIN_UNIT: Final = MappingProxyType(
    {
        Quantity.RESISTANCE: "ohm",
        Quantity.VOLTAGE: "V",
        Quantity.CURRENT: "A",
        Quantity.FREQUENCY: "Hz",
        Quantity.SPEED: "rpm",
    }
)
"""What a display means that shows digits and no prefix. Farads and metres it never means."""

_CAN_OVERLOAD: Final = frozenset(
    {
        Quantity.RESISTANCE,
        Quantity.VOLTAGE,
        Quantity.CURRENT,
        Quantity.CAPACITANCE,
        Quantity.FREQUENCY,
    }
)
_OVERLOAD: Final = re.compile(
    r"\.?[O0]\.?L\.?(?![A-Za-z])\s*(?P<unit>.*)", re.IGNORECASE | re.ASCII
)
_NUMBER: Final = re.compile(
    r"(?P<sign>[+-]?)\s*(?P<digits>[0-9.,]+)(?P<power>[eE][+-]?[0-9]{1,4})?(?P<unit>.*)", re.ASCII
)
_ACCURACY: Final = re.compile(
    r"(?P<percent>[0-9.,]+)\s*%\s*(?:of\s+)?(?:rdg|reading)?"
    r"(?:\s*\+\s*(?P<range>[0-9.,]+)\s*%\s*(?:of\s+)?(?:range|rng|fs))?"
    r"(?:\s*\+\s*(?P<counts>[0-9.,]+)\s*(?:counts?|digits?|dgts?|d|lsd)?)?",
    re.IGNORECASE | re.ASCII,
)


class Number(NamedTuple):
    """The number at the start of a text, and what stands after it."""

    number: Decimal
    unit: str
    has_power: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """A reading as typed from a display, in base units; `resolution` is one count.

    `exponent` is the power of ten of the prefix it was typed with, `with_unit` whether a unit or
    prefix was typed at all. An overload has no value.
    """

    value: float | None
    resolution: float | None
    exponent: int
    overload: bool
    quantity: Quantity
    with_unit: bool = True


class Measure(NamedTuple):
    """A quantity from a profile or command, in base units."""

    value: float
    resolution: float
    quantity: Quantity


class Limits(NamedTuple):
    """The limits of a band in base units, None where open, and the unit they were written in."""

    low: float | None
    high: float | None
    quantity: Quantity
    unit: str


def read_typed(
    text: str,
    *,
    quantity: Quantity,
    default_unit: str | None = None,
    pulses_per_rev: float | None = None,
) -> Typed:
    """A reading typed exactly as the display shows it.

    `default_unit` is the check's unit where none is typed: plain ohms, volts, amperes, hertz or rpm
    unless given. With `pulses_per_rev` a speed may be
    typed in hertz. Raises UnitError.
    """
    line = _line(text)
    if match := _OVERLOAD.fullmatch(line):
        return _overload(line, match["unit"], quantity=quantity, default=default_unit)
    number, unit_text, has_power = _number(line, EXAMPLE[quantity])
    if has_power:
        raise UnitError(f"'{line}': no display shows an exponent, type the digits as shown")
    if len(number.as_tuple().digits) > MOST_DIGITS:
        raise UnitError(f"'{line}': no display shows that many digits")
    default_unit = default_unit or PLAIN_UNIT.get(quantity)
    by_pulses = quantity is Quantity.SPEED and pulses_per_rev is not None
    try:
        unit = find_unit(unit_text, quantity=None if by_pulses else quantity, default=default_unit)
        if by_pulses and pulses_per_rev is not None:
            unit = _as_speed(unit, unit_text, pulses_per_rev)
    except UnitError as error:
        raise UnitError(f"'{line}': {error}; type it as {EXAMPLE[quantity]}") from None
    count = Decimal(1).scaleb(int(number.as_tuple().exponent))
    return Typed(
        value=_possible(line, number, unit),
        resolution=float(count * unit.factor),
        exponent=unit.exponent,
        overload=False,
        quantity=quantity,
        with_unit=bool(unit_text),
    )


def read_quantity(text: str, *, quantity: Quantity | None = None) -> Measure:
    """A quantity of a profile or command, such as `20 kohm` or `0.3 mm`: the unit decides.

    Raises UnitError, also where `quantity` is given and the unit is another's.
    """
    line = _line(text)
    number, unit_text, _ = _number(line, EXAMPLE[quantity or Quantity.RESISTANCE])
    return _measure(line, number, _unit(line, unit_text, quantity=quantity))


def read_band(text: str, *, quantity: Quantity | None = None) -> Limits:
    """Limits such as `3.75 kohm..6.25 kohm`, `..5 kohm`, `0.6..1.3 ohm`.

    A unit on one side serves both. Raises UnitError, also for limits that limit nothing.
    """
    line = _line(text)
    low_text, dots, high_text = line.partition("..")
    if not dots:
        raise UnitError(f"'{line}' is no band: write two limits, such as 3.75 kohm..6.25 kohm")
    sides = [
        _number(side.strip(), "0.6..1.3 ohm") if side.strip() else None
        for side in (low_text, high_text)
    ]
    units = [side.unit for side in sides if side is not None]
    if not units:
        raise UnitError(f"'{line}' has no limit: write at least one, such as ..5 kohm")
    shared = next((u for u in reversed(units) if u), None)
    last = _unit(line, units[-1], quantity=quantity, default=shared)
    low, high = (
        None
        if side is None
        else _measure(
            line, side.number, _unit(line, side.unit, quantity=last.quantity, default=shared)
        ).value
        for side in sides
    )
    if low is not None and high is not None and not low < high:
        raise UnitError(f"'{line}': the lower limit must stand first and be below the upper one")
    if last.quantity in NEVER_NEGATIVE:
        if high is not None and high <= 0.0:
            raise UnitError(f"'{line}': the upper limit must be above zero")
        if high is None and low is not None and low <= 0.0:
            raise UnitError(f"'{line}' limits nothing: a lower limit must be above zero")
    return Limits(low, high, last.quantity, last.symbol)


def read_accuracy(text: str) -> Accuracy:
    """An accuracy statement: `0.8% + 3`, `0.01% + 0.004% of range`, `0.8 % + 3 counts`.

    Raises UnitError.
    """
    line = _line(text)
    plain = line.strip("±() ")
    match = _ACCURACY.fullmatch(plain)
    if match is None:
        raise UnitError(
            f"'{line}' is no accuracy statement: write percent of reading and counts, "
            "such as 0.8% + 3, or 0.01% + 0.004% of range"
        )
    percent, of_range, counts = (
        float(_decimal(line, match[name])) if match[name] else 0.0
        for name in ("percent", "range", "counts")
    )
    if percent > 100.0 or of_range > 100.0:
        raise UnitError(f"'{line}': no meter is that far off, write percents below 100")
    return Accuracy(percent=percent, counts=counts, percent_of_range=of_range)


def read_part_temperature(text: str, *, default_unit: str = "°C") -> float:
    """A part's temperature in celsius. Raises UnitError outside -40 to 300 celsius."""
    typed = read_typed(text, quantity=Quantity.TEMPERATURE, default_unit=default_unit)
    celsius = typed.value
    if celsius is None or not COLDEST_PART <= celsius <= HOTTEST_PART:
        raise UnitError(
            f"'{_line(text)}' is no part temperature: type one between "
            f"{COLDEST_PART:.0f} and {HOTTEST_PART:.0f} °C"
        )
    return celsius


def _line(text: str) -> str:
    """The text as one printable line, unicode minus made plain, for reading and for errors."""
    plain = " ".join(text.replace("\u2212", "-").split())
    if not plain:
        raise UnitError("nothing was typed: type the digits and unit exactly as shown")
    if not plain.isprintable():
        plain = "".join(c if c.isprintable() else "?" for c in plain)
    if len(plain) > 60:
        raise UnitError(f"'{plain[:40]}...' is too long: type the digits and unit as shown")
    return plain


def _number(line: str, example: str) -> Number:
    """Split a line into its number and its unit."""
    match = _NUMBER.fullmatch(line)
    if match is None:
        raise UnitError(f"'{line}' does not start with a number in digits 0 to 9: type {example}")
    number = _decimal(line, match["digits"])
    if match["power"]:
        number = number.scaleb(int(match["power"][1:]))
    if match["sign"] == "-":
        number = -number
    unit = match["unit"].strip()
    if re.match(r"[0-9]|[a-zA-Zµ]+[0-9]+$", unit):
        raise UnitError(f"'{line}' has digits in two places: type one number, such as {example}")
    return Number(number, unit, match["power"] is not None)


def _decimal(line: str, digits: str) -> Decimal:
    """Digits with at most one point or comma, as written."""
    points = digits.count(".") + digits.count(",")
    if points > 1:
        raise UnitError(f"'{line}' has more than one point or comma: type one")
    if not digits.strip(".,"):
        raise UnitError(f"'{line}' has no digits: type the digits as shown")
    whole, comma, decimals = digits.partition(",")
    if comma and len(decimals) == 3:
        raise UnitError(
            f"'{line}' could be {whole or '0'}.{decimals} or {whole}{decimals}: "
            "type a point for decimals, nothing for thousands"
        )
    return Decimal(digits.replace(",", "."))


def _unit(line: str, text: str, *, quantity: Quantity | None, default: str | None = None) -> Unit:
    try:
        return find_unit(text, quantity=quantity, default=default)
    except UnitError as error:
        raise UnitError(f"'{line}': {error}") from None


def _as_speed(unit: Unit, text: str, pulses_per_rev: float) -> Unit:
    """Hertz as a unit of speed; a unit of another quantity is refused."""
    if unit.quantity is not Quantity.FREQUENCY:
        return find_unit(text or unit.symbol, quantity=Quantity.SPEED)
    factor = unit.factor * Decimal(repr(rpm_per_hertz(pulses_per_rev)))
    return replace(unit, quantity=Quantity.SPEED, factor=factor, exponent=0)


def _possible(line: str, number: Decimal, unit: Unit) -> float:
    """The value in base units. Raises UnitError for one that cannot be."""
    value = unit.to_base(number)
    if not isfinite(value):
        raise UnitError(f"'{line}' is beyond any meter")
    if unit.quantity is Quantity.TEMPERATURE and value < ABSOLUTE_ZERO:
        raise UnitError(f"'{line}' is below absolute zero (-273.15 °C)")
    # Ohms may show a few counts below zero after a lead zero: that is a reading, and judged.
    if number < 0 and unit.quantity in NEVER_NEGATIVE - {Quantity.RESISTANCE}:
        raise UnitError(f"'{line}': {NAME[unit.quantity]} cannot be below zero")
    return value


def _measure(line: str, number: Decimal, unit: Unit) -> Measure:
    count = Decimal(1).scaleb(int(number.as_tuple().exponent))
    return Measure(_possible(line, number, unit), float(count * unit.factor), unit.quantity)


def _overload(line: str, unit_text: str, *, quantity: Quantity, default: str | None) -> Typed:
    if quantity not in _CAN_OVERLOAD:
        raise UnitError(f"'{line}' is no reading here: type {EXAMPLE[quantity]}")
    unit = _unit(line, unit_text, quantity=quantity, default=default or BASE_UNIT[quantity])
    return Typed(
        value=None, resolution=None, exponent=unit.exponent, overload=True, quantity=quantity
    )
