"""Accuracy statements as a booklet prints them: by function, and by range where it does.

    0.8% + 3                      ohms, every range        percent of reading, counts
    V 0.5% + 2                    another function
    200 ohm 1% + 5                one range
    0.01% + 0.004% of range       as bench instruments state it
    1 °C, or 0.5% + 1 °C          so many units, whatever it shows

Everything refused is a UnitError of one line that names the input and what would be right.
"""

import re
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from benchassist.core.accuracy import Accuracy
from benchassist.core.quantity import Quantity
from benchassist.errors import UnitError
from benchassist.units.known import NAME, Unit, find_unit
from benchassist.units.number import possible_value, read_decimal, read_line, read_unit

_NUMBER: Final = r"[0-9.,]+"
_UNIT: Final = r"[^\d\s±(.,%+:;]+"
_PART: Final = re.compile(
    rf"(?:(?P<top>{_NUMBER})\s*)?(?P<unit>{_UNIT})\s*(?:range\s*)?:?\s*"
    rf"(?P<statement>[±(\s]*{_NUMBER}.*)",
    re.ASCII,
)
"""A unit, perhaps with the top of a range before it, then the statement."""
_STATEMENT: Final = re.compile(
    rf"(?P<percent>{_NUMBER})\s*%\s*(?:of\s+)?(?:rdg|reading)?"
    rf"(?:\s*\+\s*(?P<range>{_NUMBER})\s*%\s*(?:of\s+)?(?:range|rng|fs))?"
    rf"(?:\s*\+\s*(?P<counts>{_NUMBER})\s*(?:counts?|digits?|dgts?|d|lsd)?)?"
    rf"(?:\s*\+\s*(?P<fixed>{_NUMBER})\s*(?P<unit>{_UNIT}))?",
    re.IGNORECASE | re.ASCII,
)
_DEGREES: Final = re.compile(rf"(?P<fixed>{_NUMBER})\s*(?P<unit>°?\s*[CFK]|deg[CF])", re.ASCII)
"""A thermometer may be so many degrees out and nothing else; for a volt that is no statement."""
_WORDS: Final = MappingProxyType({Quantity.TEMPERATURE: "°C"})
"""What to write before a statement without a unit, where it is not for ohms."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """What a meter's maker states: for a function, or for one range of it where one is named.

    `full_scale` is the top of that range in the base unit of `quantity`; `text` is as it was typed.
    """

    quantity: Quantity
    accuracy: Accuracy
    full_scale: float | None = None
    text: str = ""


def read_accuracy(text: str) -> Accuracy:
    """One statement without a function: `0.8% + 3`, `0.01% + 0.004% of range`.

    Raises UnitError.
    """
    line = read_line(text)
    return _statement(line, line, None, Quantity.RESISTANCE)[0]


def read_accuracies(text: str, *, bare: Quantity = Quantity.RESISTANCE) -> tuple[Statement, ...]:
    """Statements with a semicolon between: `0.8% + 3; V 0.5% + 2; 200 ohm 1% + 5`.

    One without a unit is for `bare`. Raises UnitError, also where something is stated twice.
    """
    found: list[Statement] = []
    for part in text.split(";"):
        one = _read_part(part, bare)
        if any((one.quantity, one.full_scale) == (o.quantity, o.full_scale) for o in found):
            what = NAME[one.quantity] if one.full_scale is None else "this range"
            raise UnitError(f"'{one.text}': {what} is stated twice, write each once")
        found.append(one)
    return tuple(found)


def _read_part(part: str, bare: Quantity) -> Statement:
    line = read_line(part)
    match = _PART.fullmatch(line)
    if match is None:
        accuracy, own = _statement(line, line, None, bare)
        text = line if own is not None or bare not in _WORDS else f"{_WORDS[bare]} {line}"
        return Statement(quantity=own or bare, accuracy=accuracy, text=text)
    unit = read_unit(line, match["unit"], quantity=None)
    accuracy, _own = _statement(line, match["statement"], unit.quantity, bare)
    top = None
    if match["top"] is not None:
        top = possible_value(line, read_decimal(line, match["top"]), unit)
        if top <= 0.0:
            raise UnitError(f"'{line}': a range ends above zero, such as 200 ohm 1% + 5")
    return Statement(quantity=unit.quantity, accuracy=accuracy, full_scale=top, text=line)


def _statement(
    line: str, text: str, of: Quantity | None, bare: Quantity
) -> tuple[Accuracy, Quantity | None]:
    """The statement, and the quantity that its own unit names, None where it carries none."""
    plain = text.strip("±() ")
    match = _STATEMENT.fullmatch(plain) or _DEGREES.fullmatch(plain)
    if match is None:
        raise UnitError(
            f"'{line}' is no accuracy statement: write percent of reading and counts, "
            "such as 0.8% + 3, V 0.5% + 2, 200 ohm 1% + 5 or 1 °C"
        )
    parts = match.groupdict()
    percent, of_range, counts, fixed = (
        float(read_decimal(line, digits)) if (digits := parts.get(name)) else 0.0
        for name in ("percent", "range", "counts", "fixed")
    )
    if percent > 100.0 or of_range > 100.0:
        raise UnitError(f"'{line}': no meter is that far off, write percents below 100")
    if not (percent or of_range or counts or fixed):
        raise UnitError(f"'{line}': no meter is that good, write what its booklet states")
    own = None
    if parts.get("unit"):
        unit = _own_unit(line, str(parts["unit"]), of, bare)
        own, fixed = unit.quantity, fixed * float(unit.factor)
    accuracy = Accuracy(percent=percent, counts=counts, percent_of_range=of_range, fixed=fixed)
    return accuracy, own


def _own_unit(line: str, text: str, of: Quantity | None, bare: Quantity) -> Unit:
    """The unit of a fixed part; where it could be two, the one of what is meant."""
    if of is not None:
        return read_unit(line, text, quantity=of)
    try:
        return find_unit(text)
    except UnitError:
        return read_unit(line, text, quantity=bare)
