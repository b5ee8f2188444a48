"""The units of the trade, and pint for every other one.

The everyday units stand in a table of exact decimals, so that a typed reading never waits for
pint's import and registry (0.4 s and more). Each names the unit of pint it is: a test holds every
factor against pint's definition. Anything not in the table is asked of pint, once, lazily.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from benchassist.core.plain_text import brief
from benchassist.core.quantity import BASE_UNIT, Quantity
from benchassist.errors import UnitError

if TYPE_CHECKING:
    import pint

_ONE: Final = Decimal(1)
_DEGREE_F: Final = Decimal(5) / Decimal(9)


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: value in base units = number x factor + offset.

    `exponent` is the power of ten of its prefix, `pint_name` what pint calls it.
    """

    symbol: str
    quantity: Quantity
    factor: Decimal
    pint_name: str
    offset: Decimal = Decimal(0)
    exponent: int = 0

    def to_base(self, number: Decimal) -> float:
        """A number in this unit as a float in the base unit of its quantity."""
        return float(number * self.factor + self.offset)

    def from_base(self, value: float) -> float:
        """A value in the base unit as a number in this unit."""
        return (value - float(self.offset)) / float(self.factor)


PREFIXES: Final = MappingProxyType(
    {"p": -12, "n": -9, "u": -6, "µ": -6, "m": -3, "": 0, "k": 3, "K": 3, "M": 6, "G": 9}
)
PREFIX_SHOWN: Final = MappingProxyType(
    {-12: "p", -9: "n", -6: "µ", -3: "m", 0: "", 3: "k", 6: "M", 9: "G"}
)
_PREFIX_OF_PINT: Final = MappingProxyType(
    {-12: "pico", -9: "nano", -6: "micro", -3: "milli", 0: "", 3: "kilo", 6: "mega", 9: "giga"}
)

PREFIXABLE: Final = MappingProxyType(
    {
        Quantity.RESISTANCE: Unit("Ω", Quantity.RESISTANCE, _ONE, "ohm"),
        Quantity.VOLTAGE: Unit("V", Quantity.VOLTAGE, _ONE, "volt"),
        Quantity.CURRENT: Unit("A", Quantity.CURRENT, _ONE, "ampere"),
        Quantity.CAPACITANCE: Unit("F", Quantity.CAPACITANCE, _ONE, "farad"),
        Quantity.FREQUENCY: Unit("Hz", Quantity.FREQUENCY, _ONE, "hertz"),
        Quantity.PRESSURE: Unit("Pa", Quantity.PRESSURE, _ONE, "pascal"),
        Quantity.DURATION: Unit("s", Quantity.DURATION, _ONE, "second"),
    }
)
"""Units that take a prefix, by quantity."""

LONE_PREFIX: Final = frozenset(
    {
        Quantity.RESISTANCE,
        Quantity.VOLTAGE,
        Quantity.CURRENT,
        Quantity.CAPACITANCE,
        Quantity.FREQUENCY,
    }
)
"""Quantities a meter shows with a prefix that may be typed alone; `25 m` of time is refused."""

_STEMS: Final = MappingProxyType(
    {
        "ohm": Quantity.RESISTANCE,
        "ohms": Quantity.RESISTANCE,
        "r": Quantity.RESISTANCE,
        "v": Quantity.VOLTAGE,
        "volt": Quantity.VOLTAGE,
        "volts": Quantity.VOLTAGE,
        "a": Quantity.CURRENT,
        "amp": Quantity.CURRENT,
        "amps": Quantity.CURRENT,
        "ampere": Quantity.CURRENT,
        "amperes": Quantity.CURRENT,
        "f": Quantity.CAPACITANCE,
        "farad": Quantity.CAPACITANCE,
        "hz": Quantity.FREQUENCY,
        "hertz": Quantity.FREQUENCY,
        "pa": Quantity.PRESSURE,
        "pascal": Quantity.PRESSURE,
        "s": Quantity.DURATION,
        "sec": Quantity.DURATION,
    }
)

METRE: Final = Unit("m", Quantity.LENGTH, _ONE, "metre")
MICROMETRE: Final = Unit("µm", Quantity.LENGTH, Decimal("0.000001"), "micrometre", exponent=-6)
MILLIMETRE: Final = Unit("mm", Quantity.LENGTH, Decimal("0.001"), "millimetre", exponent=-3)
INCH: Final = Unit("in", Quantity.LENGTH, Decimal("0.0254"), "inch")
THOUSANDTH: Final = Unit("thou", Quantity.LENGTH, Decimal("0.0000254"), "thou")
KILOPASCAL: Final = Unit("kPa", Quantity.PRESSURE, Decimal(1000), "kilopascal", exponent=3)
PSI: Final = Unit("psi", Quantity.PRESSURE, Decimal("6894.757293168361"), "psi")
CELSIUS: Final = Unit("°C", Quantity.TEMPERATURE, _ONE, "degree_Celsius")
FAHRENHEIT: Final = Unit(
    "°F", Quantity.TEMPERATURE, _DEGREE_F, "degree_Fahrenheit", offset=-32 * _DEGREE_F
)
KELVIN: Final = Unit("K", Quantity.TEMPERATURE, _ONE, "kelvin", offset=Decimal("-273.15"))
RPM: Final = Unit("rpm", Quantity.SPEED, _ONE, "revolutions_per_minute")
MINUTE: Final = Unit("min", Quantity.DURATION, Decimal(60), "minute")
HOUR: Final = Unit("h", Quantity.DURATION, Decimal(3600), "hour")

_NAMED: Final = MappingProxyType(
    {
        "m": METRE,
        "metre": METRE,
        "meter": METRE,
        "mm": MILLIMETRE,
        "µm": MICROMETRE,
        "um": MICROMETRE,
        "cm": Unit("cm", Quantity.LENGTH, Decimal("0.01"), "centimetre"),
        "in": INCH,
        "inch": INCH,
        "inches": INCH,
        '"': INCH,
        "″": INCH,
        "thou": THOUSANDTH,
        "mil": THOUSANDTH,
        "mils": THOUSANDTH,
        "/1000": THOUSANDTH,
        "/1000in": THOUSANDTH,
        '/1000"': THOUSANDTH,
        "hpa": Unit("hPa", Quantity.PRESSURE, Decimal(100), "hectopascal"),
        "bar": Unit("bar", Quantity.PRESSURE, Decimal(100_000), "bar"),
        "mbar": Unit("mbar", Quantity.PRESSURE, Decimal(100), "millibar"),
        "psi": PSI,
        "psig": PSI,
        "°c": CELSIUS,
        "c": CELSIUS,
        "degc": CELSIUS,
        "celsius": CELSIUS,
        "°f": FAHRENHEIT,
        "f": FAHRENHEIT,
        "degf": FAHRENHEIT,
        "fahrenheit": FAHRENHEIT,
        "kelvin": KELVIN,
        "rpm": RPM,
        "r/min": RPM,
        "1/min": RPM,
        "min": MINUTE,
        "minute": MINUTE,
        "minutes": MINUTE,
        "h": HOUR,
        "hr": HOUR,
        "hour": HOUR,
        "hours": HOUR,
        "second": PREFIXABLE[Quantity.DURATION],
        "seconds": PREFIXABLE[Quantity.DURATION],
    }
)

NAME: Final = MappingProxyType(
    {
        Quantity.RESISTANCE: "ohms",
        Quantity.VOLTAGE: "volts",
        Quantity.CURRENT: "amperes",
        Quantity.CAPACITANCE: "a capacitance",
        Quantity.FREQUENCY: "hertz",
        Quantity.SPEED: "rpm",
        Quantity.TEMPERATURE: "a temperature",
        Quantity.LENGTH: "a length",
        Quantity.PRESSURE: "a pressure",
        Quantity.DURATION: "a time",
    }
)
"""What an error line calls a quantity."""


def prefixed(quantity: Quantity, exponent: int) -> Unit:
    """The unit of a quantity with the prefix of that power of ten: kilo-ohm for 3.

    Raises KeyError for a quantity without prefixes or a power without one.
    """
    plain = PREFIXABLE[quantity]
    return replace(
        plain,
        symbol=PREFIX_SHOWN[exponent] + plain.symbol,
        factor=plain.factor.scaleb(exponent),
        pint_name=_PREFIX_OF_PINT[exponent] + plain.pint_name,
        exponent=exponent,
    )


def find_unit(text: str, *, quantity: Quantity | None = None, default: str | None = None) -> Unit:
    """The unit a text names, for a quantity if one is given.

    An empty text is the `default`; a prefix alone (`k`) stands before the default's unit.
    Raises UnitError for a unit that is not known, that fits several quantities, or another one.
    """
    name = _plain(text)
    if not name:
        if default is None:
            raise UnitError("there is no unit: write one, such as ohm, kohm, V, Hz, rpm or mm")
        return find_unit(default, quantity=quantity)
    found = list(_candidates(name))
    fitting = [u for u in found if quantity in {None, u.quantity}]
    if not fitting and name in PREFIXES and (base := _stem_of(default, quantity)) is not None:
        if name == "m" and base.quantity is Quantity.RESISTANCE:
            raise UnitError("'m' alone could be milli or mega: write mohm or Mohm")
        return prefixed(base.quantity, PREFIXES[name])
    if not fitting and not found and (asked := _ask_pint(name)) is not None:
        found = [asked]
        fitting = [u for u in found if quantity in {None, u.quantity}]
    if len(fitting) > 1:
        raise UnitError(f"'{brief(text)}' could mean several units: write °F or µF")
    if fitting:
        return fitting[0]
    if found and quantity is not None:
        raise UnitError(f"'{brief(text)}' is {NAME[found[0].quantity]}, not {NAME[quantity]}")
    raise UnitError(f"'{brief(text)}' is no unit this program knows")


def _plain(text: str) -> str:
    """One spelling: no spaces, one omega, one micro sign."""
    name = "".join(text.split())
    # Two omegas (ohm sign and Greek letter) and two micro signs look alike on every screen.
    for other in ("\u2126", "\u03a9"):
        name = name.replace(other, "ohm")
    return name.replace("\u03bc", "µ").replace("º", "°")


def _candidates(name: str) -> Iterator[Unit]:
    """Units of the table that carry this name."""
    if name == "K":
        yield KELVIN
    lower = name.lower()
    if lower in _NAMED and name != "M":
        yield _NAMED[lower]
    for length in (0, 1):
        prefix, stem = name[:length], lower[length:]
        if prefix in PREFIXES and stem in _STEMS:
            yield prefixed(_STEMS[stem], PREFIXES[prefix])


def _stem_of(default: str | None, quantity: Quantity | None) -> Unit | None:
    """The unit a lone prefix belongs to: that of the default, else ohm, as the trade writes it."""
    if quantity is None:
        quantity = find_unit(default).quantity if default else Quantity.RESISTANCE
    return PREFIXABLE[quantity] if quantity in LONE_PREFIX else None


@cache
def _ask_pint(name: str) -> Unit | None:
    """A unit the table does not hold, as pint defines it; None if it knows none that is ours.

    Hertz and rpm are never asked: pint counts both in radians.
    """
    if not re.fullmatch(r"[A-Za-zµ][A-Za-z0-9_µ]{0,23}", name):
        return None
    import pint

    registry = _registry()
    try:
        unit = registry.parse_units(name)
    except (pint.errors.UndefinedUnitError, pint.errors.DefinitionSyntaxError, ValueError):
        # A ValueError where it reads a number in it: "nan" is one to pint.
        return None
    for quantity, base in BASE_UNIT.items():
        if quantity in {Quantity.FREQUENCY, Quantity.SPEED}:
            continue
        if unit.is_compatible_with(registry.parse_units(_BASE_OF_PINT.get(base, base))):
            target = _BASE_OF_PINT.get(base, base)
            try:
                zero, one = (float(registry.Quantity(n, unit).m_as(target)) for n in (0.0, 1.0))
            except pint.errors.DimensionalityError:
                return None  # a difference of temperatures is none
            factor = Decimal(repr(one - zero)) if zero else Decimal(repr(one))
            return Unit(name, quantity, factor, str(unit), offset=Decimal(repr(zero)))
    return None


_BASE_OF_PINT: Final = MappingProxyType({"celsius": "degree_Celsius"})


@cache
def _registry() -> "pint.UnitRegistry[float]":
    import pint

    return pint.UnitRegistry()
