"""segment-14: fourteen bytes, each its index in the high nibble and four segments in the low one.

     1      AC DC AUTO sending           (bit 3 to bit 0, as in what follows)
     2..9   two a digit: x e f a, then d c g b; x is the sign, then the points after digits 1 to 3
    10      µ n k diode
    11      m % M beep
    12      F Ω REL HOLD
    13      A V Hz battery
    14      four symbols of the meter's own maker

The index 1 to 14 in order is what a frame is known by. 4000 counts. One of the maker's symbols
alone may be a unit, which one is wired differently in every meter: the number is read and its
quantity left open. MIN and MAX do not show in the frame. It has no checksum, so digits that no
display draws and units that no display prints are refused.
"""

from collections.abc import Mapping
from functools import partial
from types import MappingProxyType
from typing import Final

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag
from benchassist.meters.decoder import Unread
from benchassist.meters.family import Family
from benchassist.meters.framing import WindowSplitter
from benchassist.meters.shown import Shown
from benchassist.meters.symbol import Meaning, lit_meaning

LENGTH: Final = 14
INDEX: Final = tuple(range(1, LENGTH + 1))
COUNTS: Final = 4000
GLYPHS: Final[Mapping[int, str]] = MappingProxyType(
    dict(zip(bytes.fromhex("7D 05 5B 1F 27 3E 7E 15 7F 3F 68 00"), "0123456789L ", strict=True))
)
"""By segments e f a d c g b."""
SYMBOLS: Final[tuple[tuple[str, ...], ...]] = (
    ("µ", "n", "k", "diode"),
    ("m", "%", "M", "beep"),
    ("F", "Ω", "rel", "hold"),
    ("A", "V", "Hz", "low_battery"),
)
"""Of bytes 10 to 13, bit 3 first; flags under the names of core."""
AC, DC, AUTO, SENDING = 0b1000, 0b0100, 0b0010, 0b0001
FLAGS: Final = frozenset(Flag)
UNKNOWN: Final = Meaning(quantity=None)
KEEPS_COUNTS: Final = frozenset(
    {Quantity.RESISTANCE, Quantity.VOLTAGE, Quantity.CURRENT, Quantity.CAPACITANCE}
)
"""What is counted to 4000; a frequency counter and a thermometer have their own ends."""


def fits(window: bytes) -> bool:
    """Whether the high nibbles of fourteen bytes count from 1 to 14."""
    return tuple(byte >> 4 for byte in window) == INDEX


def parse(block: bytes) -> Shown | Unread | None:
    """What the display shows; Unread for another function, None if this is no frame."""
    if len(block) != LENGTH or not fits(block):
        return None
    low = tuple(byte & 0x0F for byte in block)
    pairs = tuple(zip(low[1:9:2], low[2:9:2], strict=True))
    digits = "".join(GLYPHS.get((upper & 0b0111) << 4 | lower, "?") for upper, lower in pairs)
    negative, *points = (upper & 0b1000 for upper, _lower in pairs)
    if "?" in digits or not low[0] & SENDING or sum(map(bool, points)) > 1:
        return None
    decimals = next((3 - place for place, point in enumerate(points) if point), 0)
    lit = _lit(low[0], low[9:13])
    meaning = _meaning(lit, low[13])
    if meaning is None or isinstance(meaning, Unread):
        return meaning
    full_counts = COUNTS if meaning.quantity in KEEPS_COUNTS else None
    number: str | None = digits.lstrip()
    if not number:
        return Unread.ASIDE
    if "L" in number:
        if number.replace("0", "").strip() != "L":
            return None
        number = None
    elif (
        " " in number
        or decimals >= len(number)  # a point with no digit before it
        or (full_counts is not None and int(number) > full_counts)
    ):
        return None
    return meaning.shown(
        number,
        decimals,
        negative=bool(negative),
        flags=frozenset(flag for flag in FLAGS if flag in lit),
        full_counts=full_counts,
    )


def _meaning(lit: frozenset[str], own: int) -> Meaning | Unread | None:
    """What is counted; a symbol of the maker's own beside another unit could be anything."""
    found = lit_meaning(lit)
    if not own:
        return found
    only_flags = lit <= FLAGS | {"AC", "DC"}
    return UNKNOWN if only_flags and own.bit_count() == 1 else Unread.FUNCTION


def _lit(first: int, rest: tuple[int, ...]) -> frozenset[str]:
    above = {"AC": first & AC, "DC": first & DC, "auto": first & AUTO}
    return frozenset(symbol for symbol, bit in above.items() if bit) | frozenset(
        symbol
        for nibble, symbols in zip(rest, SYMBOLS, strict=True)
        for place, symbol in enumerate(symbols)
        if nibble & 0b1000 >> place
    )


FAMILY: Final = Family(
    name="segment-14",
    line="2400-8N1",
    make_splitter=partial(WindowSplitter, LENGTH, fits),
    parse=parse,
    dtr=True,
    rts=False,
)
