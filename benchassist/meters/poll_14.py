"""poll-14: fourteen characters in answer to the letter D.

    function[2] value[7] unit[4] CR

The meter is asked once a second at most and is never asked again while its answer may still come:
at 1200 baud it takes 117 ms. Both fields are padded with spaces; above range the value has an L in
it. No flag and no range shows in the answer, so HOLD cannot be seen.
"""

import re
from collections.abc import Mapping
from functools import partial
from types import MappingProxyType
from typing import Final

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Mode
from benchassist.meters.decoder import Unread
from benchassist.meters.family import Family, Poll
from benchassist.meters.framing import LineSplitter
from benchassist.meters.shown import Shown
from benchassist.meters.symbol import CELSIUS, FAHRENHEIT, Meaning, meaning

LENGTH: Final = 14
FUNCTIONS: Final[Mapping[str, tuple[frozenset[Quantity], Mode]]] = MappingProxyType(
    {
        "OH": (frozenset({Quantity.RESISTANCE}), Mode.PLAIN),
        "DC": (frozenset({Quantity.VOLTAGE, Quantity.CURRENT}), Mode.PLAIN),
        "AC": (frozenset({Quantity.VOLTAGE, Quantity.CURRENT}), Mode.AC),
        "DI": (frozenset({Quantity.VOLTAGE}), Mode.DIODE),
        "FR": (frozenset({Quantity.FREQUENCY}), Mode.PLAIN),
        "CA": (frozenset({Quantity.CAPACITANCE}), Mode.PLAIN),
        "TE": (frozenset({Quantity.TEMPERATURE}), Mode.PLAIN),
    }
)
SPELLED: Final[Mapping[str, str]] = MappingProxyType(
    {"OHM": "Ω", "V": "V", "A": "A", "HZ": "Hz", "F": "F"}
)
DEGREES: Final[Mapping[str, str]] = MappingProxyType({"C": CELSIUS, "F": FAHRENHEIT})
PREFIXES: Final[Mapping[str, str]] = MappingProxyType(
    {"k": "k", "K": "k", "M": "M", "m": "m", "u": "µ", "n": "n", "p": "p"}
)
NUMBER: Final = re.compile(r"([+-]?) *(?=\.?\d)(\d*)(?:\.(\d*))?", re.ASCII)
OVER_RANGE: Final = re.compile(r"[+-]? *[O0]?\.?[O0]?L\.?")


def parse(block: bytes) -> Shown | Unread | None:
    """What the display shows; Unread for another function, None if this is no answer."""
    if len(block) != LENGTH or not block.isascii():
        return None
    text = block.decode("ascii")
    function, value, unit = text[:2], text[2:9].strip(), text[9:13].strip()
    if function not in FUNCTIONS:
        return Unread.FUNCTION if function.isalpha() and function.isupper() else None
    found = _meaning(function, unit)
    if found is None:
        return None
    if OVER_RANGE.fullmatch(value):
        return found.shown(None, None)
    number = NUMBER.fullmatch(value)
    if number is None:
        return None
    sign, whole, decimals = number[1], number[2], number[3] or ""
    return found.shown(whole + decimals, len(decimals), negative=sign == "-")


def _meaning(function: str, unit: str) -> Meaning | None:
    """What is counted; None unless function and unit agree."""
    quantities, mode = FUNCTIONS[function]
    spelled, prefix = SPELLED, ""
    if Quantity.TEMPERATURE in quantities:
        spelled = DEGREES
    elif unit.upper() not in SPELLED and unit[:1] in PREFIXES:
        prefix, unit = PREFIXES[unit[0]], unit[1:]
    found = meaning(spelled.get(unit.upper(), ""), prefix, mode)
    return found if found is not None and found.quantity in quantities else None


FAMILY: Final = Family(
    name="poll-14",
    line="1200-7N2",
    make_splitter=partial(LineSplitter, b"\r\n", longest=64),
    parse=parse,
    poll=Poll(ask=b"D", every_s=1.0, patience_s=1.0),
    dtr=True,
    rts=False,
)
