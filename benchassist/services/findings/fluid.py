"""Oil as typed and as shown: its grade by SAE or ISO VG, its quantity in litres or US ounces."""

import re
from types import MappingProxyType
from typing import Final

from benchassist.core.plain_text import brief
from benchassist.errors import InputError
from benchassist.services.runs.tank_text import LITRES, US_GALLONS, is_us
from benchassist.services.translation import _
from benchassist.units import UnitChoice

OUNCES: Final = 128.0
"""US fluid ounces in a US gallon; 32 make a quart."""
MOST: Final = 0.05
"""Cubic metres: no small engine or pump holds fifty litres of oil."""

_SAE: Final = re.compile(r"(?:SAE\s*)?(\d{1,2})\s*W(?:\s*-?\s*(\d{1,2}))?", re.IGNORECASE)
_SAE_PLAIN: Final = re.compile(r"SAE\s*(\d{1,2})", re.IGNORECASE)
_ISO: Final = re.compile(r"ISO\s*(?:VG\s*)?(\d{1,4})", re.IGNORECASE)
SAE_WINTER: Final = frozenset({0, 5, 10, 15, 20, 25})
SAE_SUMMER: Final = frozenset({8, 12, 16, 20, 30, 40, 50, 60})
ISO_VG: Final = frozenset(
    {2, 3, 5, 7, 10, 15, 22, 32, 46, 68, 100, 150, 220, 320, 460, 680, 1000, 1500, 2200, 3200}
)
"""Viscosity grades of SAE J300 and ISO 3448, from memory."""

_VOLUME: Final = MappingProxyType(
    {
        **dict.fromkeys(("l", "litre", "litres", "liter", "liters"), 1.0 / LITRES),
        **dict.fromkeys(("ml", "cc", "cm3"), 1e-3 / LITRES),
        **dict.fromkeys(("oz", "floz"), 1.0 / (US_GALLONS * OUNCES)),
        **dict.fromkeys(("qt", "quart", "quarts"), 32.0 / (US_GALLONS * OUNCES)),
    }
)
_TYPED: Final = re.compile(r"(?P<number>\d+(?:[.,]\d+)?|[.,]\d+)\s*(?P<unit>[a-z0-9 ]*)")


def read_grade(text: str, label: str) -> str:
    """A grade as it is kept: 'SAE 10W-30', 'SAE 30', 'ISO VG 100'. Raises InputError."""
    line = " ".join(text.split())
    if match := _ISO.fullmatch(line):
        if int(match[1]) in ISO_VG:
            return f"ISO VG {int(match[1])}"
    elif match := _SAE.fullmatch(line):
        winter, summer = int(match[1]), match[2]
        if winter in SAE_WINTER and (summer is None or int(summer) in SAE_SUMMER):
            return f"SAE {winter}W-{int(summer)}" if summer else f"SAE {winter}W"
    elif (match := _SAE_PLAIN.fullmatch(line)) and int(match[1]) in SAE_SUMMER:
        return f"SAE {int(match[1])}"
    raise InputError(
        _("{label}: '{text}' is no grade, such as SAE 30, 10W-30 or ISO VG 100").format(
            label=label, text=brief(line)
        )
    )


def read_fluid(text: str, label: str, units: UnitChoice) -> float:
    """A quantity of oil in cubic metres. Raises InputError naming the field."""
    line = " ".join(text.lower().split())
    match = _TYPED.fullmatch(line)
    default = "oz" if is_us(units) else "l"
    unit = match["unit"].replace(" ", "") or default if match is not None else ""
    factor = _VOLUME.get(unit)
    value = 0.0
    if match is not None and factor is not None:
        value = float(match["number"].replace(",", ".")) * factor
    if not 0.0 < value <= MOST:
        raise InputError(
            _("{label}: '{text}' is no quantity of oil, such as {example}").format(
                label=label, text=brief(text), example="20 oz" if is_us(units) else "0.6 L"
            )
        )
    return value


def fluid_text(cubic_metres: float, units: UnitChoice) -> str:
    """A quantity of oil in litres or US fluid ounces."""
    if is_us(units):
        return _("{n:.3g} fl oz").format(n=cubic_metres * US_GALLONS * OUNCES)
    return _("{n:.3g} L").format(n=cubic_metres * LITRES)
