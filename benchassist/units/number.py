"""The number at the start of a typed text, and the unit that stands after it.

Everything refused is a UnitError of one line that names the input and what would be right.
"""

import re
from decimal import Decimal
from math import isfinite
from types import MappingProxyType
from typing import Final, NamedTuple

from benchassist.core.plain_text import MOST_QUOTED, brief
from benchassist.core.quantity import NEVER_NEGATIVE, Quantity
from benchassist.errors import UnitError
from benchassist.units.known import NAME, Unit, find_unit

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

_NUMBER: Final = re.compile(
    r"(?P<sign>[+-]?)\s*(?P<digits>[0-9.,]+)(?P<power>[eE][+-]?[0-9]{1,4})?(?P<unit>.*)", re.ASCII
)


class Number(NamedTuple):
    """The number at the start of a text, and what stands after it."""

    number: Decimal
    unit: str
    has_power: bool


def read_line(text: str) -> str:
    """The text as one printable line, unicode minus made plain, for reading and for errors."""
    plain = " ".join(text.replace("\u2212", "-").split())
    if not plain:
        raise UnitError("nothing was typed: type the digits and unit exactly as shown")
    if not plain.isprintable():
        plain = "".join(c if c.isprintable() else "?" for c in plain)
    if len(plain) > MOST_QUOTED:
        raise UnitError(f"'{brief(plain)}' is too long: type the digits and unit as shown")
    return plain


def read_number(line: str, example: str) -> Number:
    """Split a line into its number and its unit."""
    match = _NUMBER.fullmatch(line)
    if match is None:
        raise UnitError(f"'{line}' does not start with a number in digits 0 to 9: type {example}")
    number = read_decimal(line, match["digits"])
    if match["power"]:
        number = number.scaleb(int(match["power"][1:]))
    if match["sign"] == "-":
        number = -number
    unit = match["unit"].strip()
    if re.match(r"[0-9]|[a-zA-Zµ]+[0-9]+$", unit):
        raise UnitError(f"'{line}' has digits in two places: type one number, such as {example}")
    return Number(number, unit, match["power"] is not None)


def read_decimal(line: str, digits: str) -> Decimal:
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


def read_unit(
    line: str, text: str, *, quantity: Quantity | None, default: str | None = None
) -> Unit:
    """The unit of a line; an error names the whole line."""
    try:
        return find_unit(text, quantity=quantity, default=default)
    except UnitError as error:
        raise UnitError(f"'{line}': {error}") from None


def possible_value(line: str, number: Decimal, unit: Unit) -> float:
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
