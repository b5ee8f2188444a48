"""The symbols beside the digits of a display: what they make of the number.

A unit goes with the prefixes that displays print before it and with no others: a frame has no
checksum, so a nanohm is a damaged kilohm and is refused.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Final

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, Mode
from benchassist.meters.decoder import Unread
from benchassist.meters.shown import PREFIX, Shown

CELSIUS: Final = "°C"
FAHRENHEIT: Final = "°F"
UNITS: Final[Mapping[str, tuple[Quantity, str]]] = MappingProxyType(
    {
        "Ω": (Quantity.RESISTANCE, "kM"),
        "V": (Quantity.VOLTAGE, "mµ"),
        "A": (Quantity.CURRENT, "mµ"),
        "F": (Quantity.CAPACITANCE, "pnµm"),
        "Hz": (Quantity.FREQUENCY, "kM"),
        CELSIUS: (Quantity.TEMPERATURE, ""),
        FAHRENHEIT: (Quantity.TEMPERATURE, ""),
    }
)
"""Quantity and the prefixes of each; all but the farad also stand alone."""

NEEDS_PREFIX: Final = frozenset({"F"})
UNREAD: Final = frozenset({"%", "hFE"})
DIRECTED: Final = frozenset({Quantity.VOLTAGE, Quantity.CURRENT})
"""What is either direct or alternating; without either symbol nobody knows which."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Meaning:
    """What the digits count: quantity (None where it cannot be known), prefix and mode."""

    quantity: Quantity | None
    exponent: int = 0
    mode: Mode = Mode.PLAIN
    in_fahrenheit: bool = False

    def shown(
        self,
        digits: str | None,
        decimals: int | None,
        *,
        negative: bool = False,
        flags: frozenset[Flag] = frozenset(),
        full_counts: int | None = None,
    ) -> Shown:
        """The display of these digits, None for an overload; `decimals` None if not known."""
        count = None if decimals is None else Decimal(1).scaleb(self.exponent - decimals)
        value = None if digits is None or count is None else int(digits) * count
        if negative and value is not None:
            value = -value
        full_scale = None if count is None or full_counts is None else full_counts * count
        if self.in_fahrenheit:
            value = None if value is None else (value - 32) * 5 / 9
            count = None if count is None else count * 5 / 9
        return Shown(
            quantity=self.quantity,
            value=value,
            resolution=count,
            full_scale=full_scale,
            mode=self.mode,
            flags=flags,
            exponent=self.exponent,
        )


def meaning(unit: str, prefix: str = "", mode: Mode = Mode.PLAIN) -> Meaning | None:
    """What a unit with this prefix says; None where no display prints the two together."""
    known = UNITS.get(unit)
    if known is None:
        return None
    quantity, prefixes = known
    if prefix not in prefixes or (not prefix and unit in NEEDS_PREFIX):
        return None
    return Meaning(
        quantity=quantity,
        exponent=PREFIX[prefix],
        mode=mode,
        in_fahrenheit=unit == FAHRENHEIT,
    )


def lit_meaning(lit: frozenset[str]) -> Meaning | Unread | None:
    """What the symbols lit on a display say, of `UNITS`, prefixes, AC, DC, diode and beep.

    Unread where they say something that is not read here or nothing that tells; None where no
    display lights them together.
    """
    if lit & UNREAD:
        return Unread.FUNCTION
    units, prefixes = lit & UNITS.keys(), lit & PREFIX.keys()
    if len(units) > 1 or len(prefixes) > 1:
        return None
    if not units:
        return Unread.FUNCTION
    (unit,), prefix = units, "".join(prefixes)
    quantity = UNITS[unit][0]
    if "diode" in lit or "beep" in lit:
        if "diode" in lit and unit == "V":
            return meaning(unit, prefix, Mode.DIODE)
        if "beep" in lit and unit == "Ω":
            return meaning(unit, prefix, Mode.CONTINUITY)
        return Unread.FUNCTION
    if quantity in DIRECTED and not lit & {"AC", "DC"}:
        return Unread.FUNCTION
    return meaning(unit, prefix, Mode.AC if "AC" in lit else Mode.PLAIN)
