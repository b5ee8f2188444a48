"""text-line: one display a line, read token by token: `OHM  3.860 kOhm`.

A line may begin with 1 (a key was pressed) or 2 (a reading). One count is the last printed
decimal times the prefix. A line with a word that is not known is refused whole: it could be the
one that changes what the number means.
"""

import re
from collections.abc import Mapping
from functools import partial
from types import MappingProxyType
from typing import Final

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, Mode
from benchassist.meters.family import Family
from benchassist.meters.framing import LineSplitter
from benchassist.meters.shown import PREFIX, Shown, count_of, scaled

FUNCTIONS: Final[Mapping[str, tuple[Quantity, Mode]]] = MappingProxyType(
    {
        "OHM": (Quantity.RESISTANCE, Mode.PLAIN),
        "BEP": (Quantity.RESISTANCE, Mode.CONTINUITY),
        "DIO": (Quantity.VOLTAGE, Mode.DIODE),
        "DCV": (Quantity.VOLTAGE, Mode.PLAIN),
        "ACV": (Quantity.VOLTAGE, Mode.AC),
        "DCA": (Quantity.CURRENT, Mode.PLAIN),
        "ACA": (Quantity.CURRENT, Mode.AC),
        "CAP": (Quantity.CAPACITANCE, Mode.PLAIN),
        "FRQ": (Quantity.FREQUENCY, Mode.PLAIN),
        "TMP": (Quantity.TEMPERATURE, Mode.PLAIN),
    }
)
UNITS: Final[Mapping[str, Quantity]] = MappingProxyType(
    {
        "OHM": Quantity.RESISTANCE,
        "OHMS": Quantity.RESISTANCE,
        "\N{GREEK CAPITAL LETTER OMEGA}": Quantity.RESISTANCE,
        "\N{OHM SIGN}": Quantity.RESISTANCE,
        "V": Quantity.VOLTAGE,
        "A": Quantity.CURRENT,
        "F": Quantity.CAPACITANCE,
        "HZ": Quantity.FREQUENCY,
    }
)
CELSIUS: Final = frozenset({"C", "°C", "DEGC"})
FAHRENHEIT: Final = frozenset({"°F", "DEGF"})
"""A bare F is fahrenheit only after TMP, else farad."""
FLAGS: Final[Mapping[str, Flag]] = MappingProxyType(
    {
        "AUTO": Flag.AUTO,
        "HOLD": Flag.HOLD,
        "REL": Flag.REL,
        "MIN": Flag.MIN,
        "MAX": Flag.MAX,
        "BAT": Flag.LOW_BATTERY,
        "LOBAT": Flag.LOW_BATTERY,
    }
)
OVERLOADS: Final = frozenset({"OL", "O.L", ".OL", "OVLOAD", "OVFLOW", "----"})
PLAIN_NUMBER: Final = re.compile(r"(?!(?:\.?\d){10})(?:\d+\.?\d*|\.\d+)", re.ASCII)
"""Nine digits at most, as the longest display has; a longer row of them is a fault of the line."""


def parse(block: bytes) -> Shown | None:
    """What the display shows; None where the line is not one, or says more than is understood."""
    tokens = _text(block).split()
    if tokens and tokens[0] in {"1", "2"}:
        tokens = tokens[1:]
    named = FUNCTIONS.get(tokens[0].upper()) if tokens else None
    if named is not None:
        tokens = tokens[1:]
    flags = frozenset(FLAGS[t.upper()] for t in tokens if t.upper() in FLAGS)
    tokens = [t for t in tokens if t.upper() not in FLAGS]
    sign, digits, unit = _signed(tokens)
    is_over = digits.upper() in OVERLOADS
    if not is_over and not PLAIN_NUMBER.fullmatch(digits):
        return None
    if is_over and not unit and named is not None:
        return Shown(quantity=named[0], value=None, mode=named[1], flags=flags)
    measured = _measured(unit, named)
    if measured is None:
        return None
    quantity, exponent, is_fahrenheit = measured
    mode = Mode.PLAIN if named is None else named[1]
    if is_over:
        return Shown(quantity=quantity, value=None, mode=mode, flags=flags, exponent=exponent)
    value = sign * scaled(digits, exponent)
    count = count_of(digits, exponent)
    if is_fahrenheit:
        value, count = (value - 32) * 5 / 9, count * 5 / 9
    return Shown(
        quantity=quantity,
        value=value,
        resolution=count,
        mode=mode,
        flags=flags,
        exponent=exponent,
    )


def _text(block: bytes) -> str:
    stripped = block.strip(b"\x00\xff\r\n ")
    try:
        return stripped.decode("utf-8")
    except UnicodeDecodeError:
        return stripped.decode("latin-1")


def _signed(tokens: list[str]) -> tuple[int, str, str]:
    """Sign, digits and unit of what is left of a line; the sign may stand alone."""
    text = tokens[0] if tokens else ""
    rest = tokens[1:]
    sign = 1
    if text[:1] in {"+", "-"} and text != "----":
        sign = -1 if text[0] == "-" else 1
        text = text[1:]
        if not text and rest:
            text, rest = rest[0], rest[1:]
    return sign, text, "".join(rest)


def _measured(unit: str, named: tuple[Quantity, Mode] | None) -> tuple[Quantity, int, bool] | None:
    """Quantity, prefix exponent and whether in fahrenheit; None unless both words agree."""
    quantity = None if named is None else named[0]
    upper = unit.upper()
    is_fahrenheit = upper in FAHRENHEIT or (quantity is Quantity.TEMPERATURE and upper == "F")
    if is_fahrenheit or upper in CELSIUS:
        return (
            None
            if quantity not in {None, Quantity.TEMPERATURE}
            else (
                Quantity.TEMPERATURE,
                0,
                is_fahrenheit,
            )
        )
    for prefix, exponent in PREFIX.items():
        found = UNITS.get(unit.removeprefix(prefix).upper()) if unit.startswith(prefix) else None
        if found is not None:
            return None if quantity not in {None, found} else (found, exponent, False)
    return None


OPENING: Final = re.compile(
    rb"\s*(?:[12]\s+)?(?:" + "|".join(FUNCTIONS).encode("ascii") + rb")\s", re.IGNORECASE
)
"""How a line begins whose beginning was seen; `60 kOhm` could be the tail of any number."""

FAMILY: Final = Family(
    name="text-line",
    line="19200-8N1",
    make_splitter=partial(LineSplitter, b"\r\n", longest=80, opening=OPENING),
    parse=parse,
)
