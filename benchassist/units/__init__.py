"""The only door to pint: typed text and profile text to core values, and values to text.

`known` holds the units and asks pint for the rest; `typed` reads what a display showed, `stated`
what a profile or command says, `accuracy` what a booklet states; `shown` writes in the units of a
`choice`.
"""

from benchassist.units.accuracy import Statement, read_accuracies, read_accuracy
from benchassist.units.choice import LengthUnit, PressureUnit, TemperatureUnit, UnitChoice
from benchassist.units.known import Unit, find_unit
from benchassist.units.shown import (
    Shown,
    difference_text,
    display_unit,
    limits_text,
    scaled,
    shown,
    step_text,
    text_of,
    with_doubt,
)
from benchassist.units.stated import (
    Limits,
    Measure,
    read_band,
    read_quantity,
)
from benchassist.units.typed import Typed, read_part_temperature, read_typed

__all__ = [
    "LengthUnit",
    "Limits",
    "Measure",
    "PressureUnit",
    "Shown",
    "Statement",
    "TemperatureUnit",
    "Typed",
    "Unit",
    "UnitChoice",
    "difference_text",
    "display_unit",
    "find_unit",
    "limits_text",
    "read_accuracies",
    "read_accuracy",
    "read_band",
    "read_part_temperature",
    "read_quantity",
    "read_typed",
    "scaled",
    "shown",
    "step_text",
    "text_of",
    "with_doubt",
]
