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
from functools import partial
from types import MappingProxyType
from typing import Final

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, Mode
from benchassist.meters.decoder import Unread
from benchassist.meters.family import Family
from benchassist.meters.framing import LineSplitter
from benchassist.meters.nibble import nibbles
from benchassist.meters.shown import Shown, Span, spans

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


def parse(block: bytes) -> Shown | Unread | None:
    """What the display shows; Unread for another function, None if this is no frame."""
    values = nibbles(block, 12)
    if values is None:
        return None
    code, *digits, function, status, o1, o2, o3, o4 = values
    if max(digits) > 9:
        return None
    judge, overload = status & 0b1000, status & 0b0001
    underflow, of_volts_or_amps = o2 & 0b1000, o3 & 0b0001
    if (
        function not in FUNCTIONS
        or underflow
        or of_volts_or_amps
        or (function == FREQUENCY and judge)
    ):
        return Unread.FUNCTION
    quantity, mode, table = FUNCTIONS[function]
    spanned = table[code] if code < len(table) else None
    counts = int("".join(map(str, digits)))
    if spanned is None or (counts > OVER_FULL_SCALE * spanned.counts and not overload):
        return None
    value = counts * spanned.resolution
    return Shown(
        quantity=quantity,
        value=None if overload else (-value if status & 0b0100 else value),
        resolution=spanned.resolution,
        full_scale=spanned.full_scale,
        mode=Mode.AC if mode is Mode.PLAIN and o3 & 0b0100 else mode,
        flags=_flags(status, o1, o2, o3, o4),
        exponent=spanned.exponent,
    )


def _flags(status: int, o1: int, o2: int, o3: int, o4: int) -> frozenset[Flag]:
    """Flags of a frame; a peak or a recording counts as MAX or MIN."""
    shown = {
        Flag.AUTO: o3 & 0b0010,
        Flag.HOLD: o4 & 0b0010,
        Flag.REL: o1 & 0b0010,
        Flag.MIN: o1 & 0b0101 or o2 & 0b0010,
        Flag.MAX: o1 & 0b1001 or o2 & 0b0100,
        Flag.LOW_BATTERY: status & 0b0010,
    }
    return frozenset(flag for flag, bits in shown.items() if bits)


FAMILY: Final = Family(
    name="nibble-14",
    line="19200-7O1",
    make_splitter=partial(LineSplitter, b"\n", longest=64, mask=0x7F),
    parse=parse,
)
