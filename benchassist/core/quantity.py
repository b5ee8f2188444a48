"""Kinds of quantity and their base units.

Values everywhere in the program are floats in the base unit of their kind.
Text in other units is read and written in `benchassist.units` only.
"""

from enum import StrEnum
from types import MappingProxyType
from typing import Final


class Quantity(StrEnum):
    """What a number is a number of."""

    RESISTANCE = "resistance"
    VOLTAGE = "voltage"
    CURRENT = "current"
    CAPACITANCE = "capacitance"
    FREQUENCY = "frequency"
    SPEED = "speed"
    TEMPERATURE = "temperature"
    LENGTH = "length"
    PRESSURE = "pressure"
    DURATION = "duration"


BASE_UNIT: Final = MappingProxyType(
    {
        Quantity.RESISTANCE: "ohm",
        Quantity.VOLTAGE: "volt",
        Quantity.CURRENT: "ampere",
        Quantity.CAPACITANCE: "farad",
        Quantity.FREQUENCY: "hertz",
        Quantity.SPEED: "rpm",
        Quantity.TEMPERATURE: "celsius",
        Quantity.LENGTH: "metre",
        Quantity.PRESSURE: "pascal",
        Quantity.DURATION: "second",
    }
)

NEVER_NEGATIVE: Final = frozenset(
    {
        Quantity.RESISTANCE,
        Quantity.CAPACITANCE,
        Quantity.FREQUENCY,
        Quantity.SPEED,
        Quantity.LENGTH,
        Quantity.DURATION,
    }
)
"""Quantities for which a lower limit of zero or less is no limit."""
