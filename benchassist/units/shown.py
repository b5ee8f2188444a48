"""Values to text in the shop's units. Base units in, digits and unit out.

A reading is shown with the digits its display had. A computed value is rounded no coarser than its
doubt allows: the doubt keeps at most two digits and is rounded up, the value ends at its place.
"""

from math import ceil, floor, log10
from types import MappingProxyType
from typing import Final, NamedTuple

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.units.choice import SHOP, UnitChoice
from benchassist.units.known import (
    MINUTE,
    PREFIXABLE,
    Unit,
    prefixed,
)

_EXPONENTS: Final = MappingProxyType(
    {
        Quantity.RESISTANCE: (0, 3, 6, 9),
        Quantity.VOLTAGE: (-3, 0, 3),
        Quantity.CURRENT: (-6, -3, 0),
        Quantity.CAPACITANCE: (-12, -9, -6),
        Quantity.FREQUENCY: (0, 3, 6),
    }
)
"""Prefixes in use, by quantity."""


class Shown(NamedTuple):
    """Digits and unit as they stand on screen or paper."""

    digits: str
    unit: str

    def __str__(self) -> str:
        """Digits and unit with a space."""
        return f"{self.digits} {self.unit}".strip()


def shown(reading: Reading, units: UnitChoice = SHOP) -> Shown:
    """A reading as its display had it; ('', unit) for an overload, which is never a number."""
    if reading.quantity is None:
        return Shown(_significant(reading.value), "")
    unit = display_unit(
        reading.value or 0.0, reading.quantity, exponent=reading.exponent, units=units
    )
    if reading.value is None:
        return Shown("", unit.symbol)
    number = unit.from_base(reading.value)
    if reading.resolution is None:
        return Shown(_significant(number), unit.symbol)
    step = reading.resolution / float(unit.factor)
    return Shown(_fixed(number, decimals_of(step)), unit.symbol)


def text_of(
    value: float,
    quantity: Quantity,
    *,
    resolution: float | None = None,
    uncertainty: float | None = None,
    exponent: int | None = None,
    units: UnitChoice = SHOP,
) -> Shown:
    """A value rounded to its doubt, else to its count, else to four digits."""
    number, _, unit = _rounded(
        value,
        quantity,
        resolution=resolution,
        uncertainty=uncertainty,
        exponent=exponent,
        units=units,
    )
    return Shown(number, unit.symbol)


def with_doubt(
    value: float,
    quantity: Quantity,
    *,
    uncertainty: float,
    resolution: float | None = None,
    exponent: int | None = None,
    units: UnitChoice = SHOP,
) -> tuple[Shown, str]:
    """A value and the digits of its doubt, both ending at the same place."""
    number, doubt, unit = _rounded(
        value,
        quantity,
        resolution=resolution,
        uncertainty=uncertainty,
        exponent=exponent,
        units=units,
    )
    return Shown(number, unit.symbol), doubt


def scaled(
    value: float,
    quantity: Quantity,
    *,
    resolution: float | None = None,
    units: UnitChoice = SHOP,
) -> Shown:
    """A stated value, such as a full scale, with the digits it was stated with."""
    if resolution is not None:
        return text_of(value, quantity, resolution=resolution, units=units)
    unit = display_unit(value, quantity, units=units)
    number = unit.from_base(value)
    return Shown(_fixed(number, _needed_decimals(number)), unit.symbol)


def difference_text(
    value: float, quantity: Quantity, *, exponent: int | None = None, units: UnitChoice = SHOP
) -> Shown:
    """A difference or width to two digits; an offset such as that of °F does not enter."""
    unit = display_unit(value, quantity, exponent=exponent, units=units)
    number = value / float(unit.factor)
    return Shown(_fixed(number, _decimals_for_digits(number, 2)), unit.symbol)


def step_text(value: float, quantity: Quantity, *, units: UnitChoice = SHOP) -> Shown:
    """A stated step or width, such as one count, with the digits it was stated with."""
    unit = display_unit(value, quantity, units=units)
    number = value / float(unit.factor)
    return Shown(_fixed(number, _needed_decimals(number)), unit.symbol)


def limits_text(
    low: float | None,
    high: float | None,
    quantity: Quantity,
    *,
    exponent: int | None = None,
    units: UnitChoice = SHOP,
) -> tuple[str | None, str | None, str]:
    """The digits of both limits and their common unit, with the digits they were stated with."""
    largest = max((abs(v) for v in (low, high) if v is not None), default=0.0)
    unit = display_unit(largest, quantity, exponent=exponent, units=units)
    numbers = [None if v is None else unit.from_base(v) for v in (low, high)]
    decimals = max((_needed_decimals(n) for n in numbers if n is not None), default=0)
    low_text, high_text = (None if n is None else _fixed(n, decimals) for n in numbers)
    return low_text, high_text, unit.symbol


def display_unit(
    value: float, quantity: Quantity, *, exponent: int | None = None, units: UnitChoice = SHOP
) -> Unit:
    """The unit to show a value in: the shop's choice, the display's prefix, else one that fits."""
    chosen = units.unit(quantity)
    if chosen is not None:
        return chosen
    if quantity is Quantity.DURATION:
        return MINUTE if abs(value) >= 120.0 else PREFIXABLE[quantity]
    allowed = _EXPONENTS[quantity]
    if exponent is None:
        fitting = [e for e in allowed if abs(value) >= 10.0**e * (1.0 - 1e-9)]
        exponent = max(fitting, default=0 if value == 0.0 and 0 in allowed else allowed[0])
    return prefixed(quantity, exponent)


def decimals_of(step: float) -> int:
    """Decimals needed to show a number that moves in steps of `step`."""
    return max(0, ceil(-log10(step) - 1e-6)) if step > 0.0 else 0


def _rounded(
    value: float,
    quantity: Quantity,
    *,
    resolution: float | None,
    uncertainty: float | None,
    exponent: int | None,
    units: UnitChoice,
) -> tuple[str, str, Unit]:
    unit = display_unit(value, quantity, exponent=exponent, units=units)
    factor = float(unit.factor)
    number = unit.from_base(value)
    if resolution is None and not uncertainty:
        return _significant(number, digits=4), "", unit
    places = []
    if resolution is not None:
        places.append(floor(log10(resolution / factor) + 1e-6))
    if uncertainty:
        places.append(floor(log10(uncertainty / factor) + 1e-9) - 1)
    place = max(places)
    step = 10.0**place
    decimals = max(0, -place)
    number_text = _fixed(round(number / step) * step, decimals)
    if uncertainty is None:
        return number_text, "", unit
    # Up, so that the doubt is never stated smaller than it is; a twentieth of a step is forgiven.
    doubt = max(1, ceil(uncertainty / factor / step - 0.05)) if uncertainty else 0
    return number_text, _fixed(doubt * step, decimals), unit


def _fixed(number: float, decimals: int) -> str:
    text = f"{number:.{decimals}f}"
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text


def _significant(number: float | None, digits: int = 6) -> str:
    """At most that many digits, never an exponent, no zeros at the end."""
    if number is None:
        return ""
    text = _fixed(number, _decimals_for_digits(number, digits))
    return text.rstrip("0").rstrip(".") if "." in text else text


def _decimals_for_digits(number: float, digits: int) -> int:
    if number == 0.0:
        return 0
    return min(12, max(0, digits - 1 - floor(log10(abs(number)) + 1e-9)))


def _needed_decimals(number: float) -> int:
    """Decimals of a limit as stated, at most what four digits need."""
    most = _decimals_for_digits(number, 4)
    text = f"{number:.{most}f}"
    return len(text.rstrip("0").partition(".")[2]) if "." in text else 0
