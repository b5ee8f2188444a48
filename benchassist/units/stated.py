"""What profiles and commands state: quantities and bands. Exponents are understood here.

Everything refused is a UnitError of one line that names the input and what would be right.
"""

from decimal import Decimal
from typing import NamedTuple

from benchassist.core.quantity import NEVER_NEGATIVE, Quantity
from benchassist.errors import UnitError
from benchassist.units.known import Unit
from benchassist.units.number import (
    EXAMPLE,
    possible_value,
    read_line,
    read_number,
    read_unit,
)


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


def read_quantity(text: str, *, quantity: Quantity | None = None) -> Measure:
    """A quantity of a profile or command, such as `20 kohm` or `0.3 mm`: the unit decides.

    Raises UnitError, also where `quantity` is given and the unit is another's.
    """
    line = read_line(text)
    number, unit_text, _ = read_number(line, EXAMPLE[quantity or Quantity.RESISTANCE])
    return _measure(line, number, read_unit(line, unit_text, quantity=quantity))


def read_band(text: str, *, quantity: Quantity | None = None) -> Limits:
    """Limits such as `3.75 kohm..6.25 kohm`, `..5 kohm`, `0.6..1.3 ohm`.

    A unit on one side serves both. Raises UnitError, also for limits that limit nothing.
    """
    line = read_line(text)
    low_text, dots, high_text = line.partition("..")
    if not dots:
        raise UnitError(f"'{line}' is no band: write two limits, such as 3.75 kohm..6.25 kohm")
    sides = [
        read_number(side.strip(), "0.6..1.3 ohm") if side.strip() else None
        for side in (low_text, high_text)
    ]
    units = [side.unit for side in sides if side is not None]
    if not units:
        raise UnitError(f"'{line}' has no limit: write at least one, such as ..5 kohm")
    shared = next((u for u in reversed(units) if u), None)
    last = read_unit(line, units[-1], quantity=quantity, default=shared)
    low, high = (
        None
        if side is None
        else _measure(
            line, side.number, read_unit(line, side.unit, quantity=last.quantity, default=shared)
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


def _measure(line: str, number: Decimal, unit: Unit) -> Measure:
    count = Decimal(1).scaleb(int(number.as_tuple().exponent))
    return Measure(possible_value(line, number, unit), float(count * unit.factor), unit.quantity)
