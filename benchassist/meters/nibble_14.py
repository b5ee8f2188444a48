"""nibble-14: twelve bytes 0x30 + nibble, CR LF; 22000 counts.

    range d4 d3 d2 d1 d0 function status o1 o2 o3 o4 CR LF

status  judge sign battery overload      (bit 3 to bit 0, as in what follows)
o1      MAX MIN REL recording
o2      underflow peak-MAX peak-MIN 0
o3      DC AC AUTO frequency-of-V-or-A
o4      0 bar HOLD low-pass

The frame has no checksum: everything a frame cannot be is refused.
"""

from collections.abc import Mapping
from functools import lru_cache, partial
from types import MappingProxyType
from typing import Final

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, Mode
from benchassist.meters.decoder import Unread
from benchassist.meters.family import Family
from benchassist.meters.framing import LineSplitter
from benchassist.meters.nibble import Dial, counted, flag_sets
from benchassist.meters.shown import Display, Span, spans

OHMS: Final = spans(("220.00", "2.2000k", "22.000k", "220.00k", "2.2000M", "22.000M", "220.00M"))
VOLTS: Final = spans(("2.2000", "22.000", "220.00", "2200.0", "220.00m"))
HERTZ: Final = spans(
    ("22.00", "220.0", None, "22.000k", "220.00k", "2.2000M", "22.000M", "220.00M")
)
FARADS: Final = spans(
    ("22.000n", "220.00n", "2.2000µ", "22.000µ", "220.00µ", "2.2000m", "22.000m", "220.00m")
)
AMPERES: Final = spans(("22.000",))

FREQUENCY: Final = 0x2
FUNCTIONS: Final[Mapping[int, tuple[Quantity, Mode, tuple[Span | None, ...]]]] = MappingProxyType(
    {
        0x0: (Quantity.CURRENT, Mode.PLAIN, AMPERES),
        0x1: (Quantity.VOLTAGE, Mode.DIODE, VOLTS),
        0x2: (Quantity.FREQUENCY, Mode.PLAIN, HERTZ),
        0x3: (Quantity.RESISTANCE, Mode.PLAIN, OHMS),
        0x5: (Quantity.RESISTANCE, Mode.CONTINUITY, OHMS),
        0x6: (Quantity.CAPACITANCE, Mode.PLAIN, FARADS),
        0xB: (Quantity.VOLTAGE, Mode.PLAIN, VOLTS),
    }
)
"""By code. The milli- and microampere ranges, temperature and adapter codes are not known to us."""

OVER_FULL_SCALE: Final = 1.1
"""A display may run a little past its nominal counts; further is not a display."""


STATUS_FLAGS: Final = flag_sets({0b0010: Flag.LOW_BATTERY})
O1_FLAGS: Final = flag_sets(
    {0b1000: Flag.MAX, 0b0100: Flag.MIN, 0b0010: Flag.REL, 0b0001: (Flag.MIN, Flag.MAX)}
)
O2_FLAGS: Final = flag_sets({0b0100: Flag.MAX, 0b0010: Flag.MIN})
O3_FLAGS: Final = flag_sets({0b0010: Flag.AUTO})
O4_FLAGS: Final = flag_sets({0b0010: Flag.HOLD})
"""Flags by nibble; a peak or a recording counts as MAX or MIN."""


def parse(block: bytes) -> Display | Unread | None:
    """What the display shows; Unread for another function, None if this is no frame."""
    return counted(block, length=12, digits=5, dial=_dial, most=OVER_FULL_SCALE)


@lru_cache(maxsize=256)
def _dial(code: bytes, rest: bytes) -> Dial | Unread | None:
    """What a frame says beside its digits: seldom anything new from one frame to the next."""
    function, status, o1, o2, o3, o4 = (byte & 0x0F for byte in rest)
    judge = status & 0b1000
    underflow, of_volts_or_amps = o2 & 0b1000, o3 & 0b0001
    found = FUNCTIONS.get(function)
    if found is None or underflow or of_volts_or_amps or (function == FREQUENCY and judge):
        return Unread.FUNCTION
    quantity, mode, table = found
    place = code[0] & 0x0F
    spanned = table[place] if place < len(table) else None
    if spanned is None:
        return None
    return Dial(
        quantity=quantity,
        spanned=spanned,
        mode=Mode.AC if mode is Mode.PLAIN and o3 & 0b0100 else mode,
        flags=STATUS_FLAGS[status].union(O1_FLAGS[o1], O2_FLAGS[o2], O3_FLAGS[o3], O4_FLAGS[o4]),
        overload=bool(status & 0b0001),
        negative=bool(status & 0b0100),
    )


FAMILY: Final = Family(
    name="nibble-14",
    line="19200-7O1",
    make_splitter=partial(LineSplitter, b"\n", longest=64, mask=0x7F),
    parse=parse,
)
