"""stx-16: sixteen characters from STX to CR.

    STX 4 display ann1 ann0 polarity point d8 ... d1 CR

display is 1 for the main one and 2 for the one beside it, which is not read; polarity 1 is
negative; point is the number of decimals, 0 to 3. How the family says over range, HOLD and AUTO is
not published: a frame whose digits are none gives no reading.
"""

from collections.abc import Mapping
from functools import partial
from types import MappingProxyType
from typing import Final

from benchassist.core.reading import Mode
from benchassist.meters.decoder import Unread
from benchassist.meters.family import Family
from benchassist.meters.framing import WindowSplitter
from benchassist.meters.shown import Shown
from benchassist.meters.symbol import CELSIUS, FAHRENHEIT, Meaning, meaning

LENGTH: Final = 16
MAIN: Final = ord("1")
NEGATIVE: Final = ord("1")
PRINTED: Final = bytes(range(0x20, 0x7F))
HEX: Final = b"0123456789ABCDEFabcdef"
MEANINGS: Final[Mapping[bytes, Meaning | None]] = MappingProxyType(
    {
        b"18": meaning("V", "m"),
        b"34": meaning("V"),
        b"49": meaning("V", "m", Mode.AC),
        b"50": meaning("V", "", Mode.AC),
        b"35": meaning("A", "µ"),
        b"37": meaning("A", "m"),
        b"36": meaning("A"),
        b"51": meaning("A", "µ", Mode.AC),
        b"53": meaning("A", "m", Mode.AC),
        b"52": meaning("A", "", Mode.AC),
        b"38": meaning("Ω"),
        b"39": meaning("Ω", "k"),
        b"40": meaning("Ω", "M"),
        b"31": meaning("Hz"),
        b"33": meaning("Hz", "k"),
        b"67": meaning("Hz", "M"),
        b"01": meaning(CELSIUS),
        b"02": meaning(FAHRENHEIT),
        b"A4": meaning("F", "p"),
        b"43": meaning("F", "n"),
        b"44": meaning("F", "µ"),
        b"46": meaning("V", "", Mode.DIODE),
    }
)
"""By annunciator."""


def fits(window: bytes) -> bool:
    """Whether sixteen bytes are a frame by all its fixed places."""
    return (
        window[:2] == b"\x024"
        and window[-1:] == b"\r"
        and window[2] in b"12"
        and window[3] in HEX
        and window[4] in HEX
        and window[5] in b"01"
        and window[6] in b"0123"
        and not window[7:15].translate(None, PRINTED)
    )


def parse(block: bytes) -> Shown | Unread | None:
    """What the main display shows; Unread for what is not read, None if this is no frame."""
    if len(block) != LENGTH or not fits(block):
        return None
    if block[2] != MAIN:
        return Unread.ASIDE
    found = MEANINGS.get(block[3:5].upper())
    if found is None:
        return Unread.FUNCTION
    digits = block[7:15]
    if not digits.isdigit():
        return Unread.ASIDE
    return found.shown(digits.decode("ascii"), block[6] - ord("0"), negative=block[5] == NEGATIVE)


FAMILY: Final = Family(
    name="stx-16",
    line="9600-8N1",
    make_splitter=partial(WindowSplitter, LENGTH, fits),
    parse=parse,
    dtr=True,
    rts=False,
)
