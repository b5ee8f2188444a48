"""A reading typed from a display. It carries its resolution: the last digit is one count.

Everything refused is a UnitError of one line that names the input and what would be right.
"""

import re
from dataclasses import dataclass, replace
from decimal import Decimal
from types import MappingProxyType
from typing import Final

from benchassist.core.estimate import COLDEST_PART, HOTTEST_PART
from benchassist.core.quantity import BASE_UNIT, Quantity
from benchassist.core.speed import rpm_per_hertz
from benchassist.errors import UnitError
from benchassist.units.known import Unit, find_unit
from benchassist.units.number import EXAMPLE, possible_value, read_line, read_number, read_unit

MOST_DIGITS: Final = 12
"""No display shows more."""
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
    line = read_line(text)
    if match := _OVERLOAD.fullmatch(line):
        return _overload(line, match["unit"], quantity=quantity, default=default_unit)
    number, unit_text, has_power = read_number(line, EXAMPLE[quantity])
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
        value=possible_value(line, number, unit),
        resolution=float(count * unit.factor),
        exponent=unit.exponent,
        overload=False,
        quantity=quantity,
        with_unit=bool(unit_text),
    )


def read_part_temperature(text: str, *, default_unit: str = "°C") -> float:
    """A part's temperature in celsius. Raises UnitError outside -40 to 300 celsius."""
    typed = read_typed(text, quantity=Quantity.TEMPERATURE, default_unit=default_unit)
    celsius = typed.value
    if celsius is None or not COLDEST_PART <= celsius <= HOTTEST_PART:
        raise UnitError(
            f"'{read_line(text)}' is no part temperature: type one between "
            f"{COLDEST_PART:.0f} and {HOTTEST_PART:.0f} °C"
        )
    return celsius


def _as_speed(unit: Unit, text: str, pulses_per_rev: float) -> Unit:
    """Hertz as a unit of speed; a unit of another quantity is refused."""
    if unit.quantity is not Quantity.FREQUENCY:
        return find_unit(text or unit.symbol, quantity=Quantity.SPEED)
    factor = unit.factor * Decimal(repr(rpm_per_hertz(pulses_per_rev)))
    return replace(unit, quantity=Quantity.SPEED, factor=factor, exponent=0)


def _overload(line: str, unit_text: str, *, quantity: Quantity, default: str | None) -> Typed:
    if quantity not in _CAN_OVERLOAD:
        raise UnitError(f"'{line}' is no reading here: type {EXAMPLE[quantity]}")
    unit = read_unit(line, unit_text, quantity=quantity, default=default or BASE_UNIT[quantity])
    return Typed(
        value=None, resolution=None, exponent=unit.exponent, overload=True, quantity=quantity
    )
