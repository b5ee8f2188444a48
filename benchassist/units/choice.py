"""The units a shop works in."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from benchassist.core.quantity import Quantity
from benchassist.units.known import (
    CELSIUS,
    FAHRENHEIT,
    INCH,
    KILOPASCAL,
    MILLIMETRE,
    PREFIXABLE,
    PSI,
    RPM,
    Unit,
)


class TemperatureUnit(StrEnum):
    """The shop's choice for temperatures."""

    CELSIUS = "celsius"
    FAHRENHEIT = "fahrenheit"


class LengthUnit(StrEnum):
    """The shop's choice for gaps; thousandths are shown as 0.030 in."""

    MILLIMETRE = "mm"
    THOUSANDTH = "thousandths"


class PressureUnit(StrEnum):
    """The shop's choice for pressures."""

    KILOPASCAL = "kpa"
    PSI = "psi"


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitChoice:
    """The units a shop works in; files and storage are in base units."""

    temperature: TemperatureUnit = TemperatureUnit.CELSIUS
    length: LengthUnit = LengthUnit.MILLIMETRE
    pressure: PressureUnit = PressureUnit.KILOPASCAL

    def unit(self, quantity: Quantity) -> Unit | None:
        """The unit chosen for a quantity, None where its prefix follows the value."""
        match quantity:
            case Quantity.TEMPERATURE:
                return CELSIUS if self.temperature is TemperatureUnit.CELSIUS else FAHRENHEIT
            case Quantity.LENGTH:
                return MILLIMETRE if self.length is LengthUnit.MILLIMETRE else INCH
            case Quantity.PRESSURE:
                return KILOPASCAL if self.pressure is PressureUnit.KILOPASCAL else PSI
            case Quantity.SPEED:
                return RPM
            case _:
                return None

    def to_shop(self, value: float, quantity: Quantity) -> float:
        """A base value in the shop's unit (unchanged where there is no choice)."""
        unit = self.unit(quantity)
        return value if unit is None else unit.from_base(value)

    def from_shop(self, value: float, quantity: Quantity) -> float:
        """A value in the shop's unit as a base value."""
        unit = self.unit(quantity)
        return value if unit is None else value * float(unit.factor) + float(unit.offset)

    def typed_unit(self, quantity: Quantity) -> str:
        """The unit a typed number has where none is typed."""
        unit = self.unit(quantity)
        if unit is not None:
            return unit.symbol
        return "min" if quantity is Quantity.DURATION else PREFIXABLE[quantity].symbol


SHOP: Final = UnitChoice()
