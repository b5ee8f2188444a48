"""ascii-14: fourteen bytes, digits in ASCII, then flags of one bit a symbol; 4000 or 6000 counts.

    sign d1 d2 d3 d4 space point SA SB SC SD bar CR LF

SA      . . AUTO DC AC REL HOLD bar      (bit 7 to bit 0, as in what follows)
SB      . . MAX MIN auto-power-off battery n .
SC      µ m k M beep diode % .
SD      V A Ω Hz hFE F °C °F

Flags and bar can be 0x0D or 0x0A, so nothing is cut at line ends: a window of fourteen bytes slides
until its fixed places fit. A dot is a symbol of the meter's own maker: lit, it could change what
the number means, so that frame is not read. The frame has no checksum.
"""

from collections.abc import Mapping
from functools import partial
from types import MappingProxyType
from typing import Final

from benchassist.core.reading import Flag
from benchassist.meters.decoder import Unread
from benchassist.meters.family import Family
from benchassist.meters.framing import WindowSplitter
from benchassist.meters.shown import Shown
from benchassist.meters.symbol import lit_meaning

LENGTH: Final = 14
POINTS: Final[Mapping[int, int]] = MappingProxyType(
    {ord("0"): 0, ord("1"): 3, ord("2"): 2, ord("3"): 1, ord("4"): 1}
)
"""Decimals by the point byte; d.ddd, dd.dd, and two ways of writing ddd.d."""
OVERLOAD: Final = b"?0:?"
LEAST_COUNTS: Final = 4000
"""What every meter of the family counts to: above an overload it is, whichever it has."""

SYMBOLS: Final[tuple[tuple[str, ...], ...]] = (
    ("own", "own", "auto", "DC", "AC", "rel", "hold", "bar"),
    ("own", "own", "max", "min", "apo", "low_battery", "n", "own"),
    ("µ", "m", "k", "M", "beep", "diode", "%", "own"),
    ("V", "A", "Ω", "Hz", "hFE", "F", "°C", "°F"),
)
"""Of SA, SB, SC and SD, bit 7 first; flags under the names of core."""
FLAGS: Final = frozenset(Flag)


def fits(window: bytes) -> bool:
    """Whether fourteen bytes are a frame by all its fixed places."""
    return (
        window[12:] == b"\r\n"
        and window[0] in b"+-"
        and window[5] == 0x20
        and window[6] in POINTS
        and (window[1:5].isdigit() or window[1:5] == OVERLOAD)
    )


def parse(block: bytes) -> Shown | Unread | None:
    """What the display shows; Unread for another function, None if this is no frame."""
    if len(block) != LENGTH or not fits(block):
        return None
    lit = _lit(block[7:11])
    if "own" in lit:
        return Unread.FUNCTION
    meaning = lit_meaning(lit)
    if meaning is None or isinstance(meaning, Unread):
        return meaning
    is_over = block[1:5] == OVERLOAD
    return meaning.shown(
        None if is_over else block[1:5].decode("ascii"),
        POINTS[block[6]],
        negative=block[:1] == b"-",
        flags=frozenset(flag for flag in FLAGS if flag in lit),
        full_counts=LEAST_COUNTS if is_over else None,
    )


def _lit(flags: bytes) -> frozenset[str]:
    return frozenset(
        symbol
        for byte, symbols in zip(flags, SYMBOLS, strict=True)
        for place, symbol in enumerate(symbols)
        if byte & 0x80 >> place
    )


FAMILY: Final = Family(
    name="ascii-14",
    line="2400-8N1",
    make_splitter=partial(WindowSplitter, LENGTH, fits),
    parse=parse,
    dtr=True,
    rts=False,
)
