"""scpi: what instruments of IEEE 488.2 and SCPI-99 say, read strictly.

The digits of an answer say nothing of its resolution: nine of them are printed whatever was
measured. Only a dialect that prints the unit behind its number prints its count as well.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Final

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Mode
from benchassist.meters.family import Family
from benchassist.meters.shown import Shown

OVER_RANGE: Final = Decimal("9e37")
"""+-9.9E37 is over range, 9.91E37 no number (SCPI-99, 7.2.1.5); neither is ever a value."""

NUMBER: Final = re.compile(r"([+-]?(?:\d+\.?\d*|\.\d+))(?:\s*[eE]\s*([+-]?\d{1,3}))?", re.ASCII)
OVERLOADS: Final = frozenset({"OVLOAD", "OVERLOAD", "OL", "+OL", "-OL", "INF", "+INF", "-INF"})
NO_NUMBERS: Final = frozenset({"NAN", "+NAN", "-NAN"})
ERROR: Final = re.compile(r'([+-]?\d+)\s*(?:,\s*("?)(.*)\2)?', re.ASCII | re.DOTALL)
LARGEST_PREFIX: Final = 9


@dataclass(frozen=True, slots=True)
class Function:
    """A measuring function: its header in commands, what it measures, and whether it has ranges."""

    header: str
    quantity: Quantity
    mode: Mode = Mode.PLAIN
    has_range: bool = True


FUNCTIONS: Final = (
    Function("RES", Quantity.RESISTANCE),
    Function("FRES", Quantity.RESISTANCE),
    Function("VOLT:DC", Quantity.VOLTAGE),
    Function("VOLT:AC", Quantity.VOLTAGE, Mode.AC),
    Function("CURR:DC", Quantity.CURRENT),
    Function("CURR:AC", Quantity.CURRENT, Mode.AC),
    Function("FREQ", Quantity.FREQUENCY, has_range=False),
    Function("TEMP", Quantity.TEMPERATURE, has_range=False),
    Function("CAP", Quantity.CAPACITANCE),
    Function("DIOD", Quantity.VOLTAGE, Mode.DIODE, has_range=False),
    Function("CONT", Quantity.RESISTANCE, Mode.CONTINUITY, has_range=False),
)
BY_HEADER: Final[Mapping[str, Function]] = MappingProxyType(
    {function.header: function for function in FUNCTIONS}
    | {function.header.removesuffix(":DC"): function for function in FUNCTIONS}
)
SHORT: Final[Mapping[str, str]] = MappingProxyType(
    {
        "RESISTANCE": "RES",
        "FRESISTANCE": "FRES",
        "VOLTAGE": "VOLT",
        "CURRENT": "CURR",
        "FREQUENCY": "FREQ",
        "TEMPERATURE": "TEMP",
        "CAPACITANCE": "CAP",
        "DIODE": "DIOD",
        "CONTINUITY": "CONT",
    }
)
UNITS: Final[Mapping[str, Quantity]] = MappingProxyType(
    {
        "V": Quantity.VOLTAGE,
        "A": Quantity.CURRENT,
        "OHM": Quantity.RESISTANCE,
        "OHMS": Quantity.RESISTANCE,
        "HZ": Quantity.FREQUENCY,
        "F": Quantity.CAPACITANCE,
        "C": Quantity.TEMPERATURE,
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Set:
    """How the meter is set: its function, full scale and one count; None where it does not say."""

    function: Function | None = None
    full_scale: Decimal | None = None
    resolution: Decimal | None = None


def function_for(quantity: Quantity) -> Function | None:
    """The plain function that measures this; None where there is none."""
    return next((f for f in FUNCTIONS if f.quantity is quantity and f.mode is Mode.PLAIN), None)


def number(text: str) -> Decimal | None:
    """A number in any of the forms NR1, NR2, NR3 of IEEE 488.2; None for anything else."""
    found = NUMBER.fullmatch(text.strip())
    return None if found is None else Decimal(f"{found[1]}e{found[2] or 0}")


def is_no_number(text: str) -> bool:
    """Whether the meter says in so many words that it has no value."""
    return text.strip().upper() in NO_NUMBERS


def identity(text: str) -> str | None:
    """An answer to *IDN?: four fields (IEEE 488.2, 10.14), the first of them no number."""
    fields = [field.strip() for field in text.split(",")]
    if len(fields) != 4 or not fields[0] or number(fields[0]) is not None:
        return None
    return ",".join(fields)


def error(text: str) -> tuple[int, str] | None:
    """An answer to SYST:ERR?: number and words, quoted or not; None for anything else."""
    found = ERROR.fullmatch(text.strip())
    return None if found is None else (int(found[1]), found[3] or "")


def function(text: str) -> Function | None:
    """The function named in an answer to FUNC? or CONF?; None where it is none of ours."""
    words = text.strip().strip('"').split()
    if not words:
        return None
    parts = [SHORT.get(part, part) for part in words[0].upper().split(":")]
    return BY_HEADER.get(":".join(parts))


def configuration(text: str) -> Set:
    """An answer to CONF?, such as "RES +1.0E+4,+3.0E-3": function, range and resolution."""
    named, _, parameters = text.strip().strip('"').partition(" ")
    values = [*map(number, parameters.split(",")), None, None]
    return Set(function=function(named), full_scale=values[0], resolution=values[1])


def shown(text: str, is_set: Set) -> Shown | None:
    """An answer to READ? as a display under this setting; None if it is no single value."""
    what = is_set.function
    quantity = None if what is None else what.quantity
    mode = Mode.PLAIN if what is None else what.mode
    resolution = is_set.resolution
    first, _, behind = text.strip().upper().partition(" ")
    value = number(first)
    if behind:  # the dialect with units, whose printed digits are its count
        unit, _, kind = behind.strip().partition(" ")
        if value is None or unit not in UNITS or kind not in {"", "DC", "AC"}:
            return None
        if quantity not in {None, UNITS[unit]}:
            return None
        quantity = UNITS[unit]
        mode = Mode.AC if kind == "AC" else mode
        resolution = Decimal(1).scaleb(int(value.as_tuple().exponent))
    over = first in OVERLOADS or (value is not None and abs(value) >= OVER_RANGE)
    if value is None and not over:
        return None
    return Shown(
        quantity=quantity,
        value=None if over else value,
        resolution=resolution,
        full_scale=is_set.full_scale,
        mode=mode,
        exponent=_prefix(quantity, is_set.full_scale, None if over else value),
    )


def _prefix(quantity: Quantity | None, full_scale: Decimal | None, value: Decimal | None) -> int:
    """The prefix a display would choose: by range, else by value, in steps of a thousand."""
    size = full_scale or value
    if quantity is Quantity.TEMPERATURE or not size:
        return 0
    thousands = size.adjusted() // 3 * 3
    return max(-LARGEST_PREFIX, min(LARGEST_PREFIX, thousands))


FAMILY: Final = Family(name="scpi", line="9600-8N1", dtr=True, rts=True)
