"""nibble-11: nine bytes 0x30 + nibble, CR LF; 4000 counts; each block comes twice.

    range d3 d2 d1 d0 function status o1 o2 CR LF

status  judge sign battery overload      (bit 3 to bit 0, as in what follows)
o1      not known: a frame that uses it is not read
o2      DC AC AUTO auto-power-off

At an overload the digits stand at 4000, at a frequency they go on: the overload bit is believed.
HOLD does not show in the frame and does not stop the values it sends. The scale of microampere,
ampere, diode and revolutions is not known to us. The frame has no checksum: everything a frame
cannot be is refused.
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
from benchassist.meters.shown import Display, Shown, Span, spans

VOLTS: Final = spans(("400.0m", "4.000", "40.00", "400.0", "4000"))
MILLIAMPERES: Final = spans(("40.00m", "400.0m"))
OHMS: Final = spans(("400.0", "4.000k", "40.00k", "400.0k", "4.000M", "40.00M"))
HERTZ: Final = spans(("4.000k", "40.00k", "400.0k", "4.000M", "40.00M", "400.0M"))
FARADS: Final = spans(
    ("4.000n", "40.00n", "400.0n", "4.000µ", "40.00µ", "400.0µ", "4.000m", "40.00m")
)

DIODE: Final = 0x1
FREQUENCY: Final = 0x2
DIRECTED: Final = frozenset({0x9, 0xB})
"""Functions that are either direct or alternating."""
FUNCTIONS: Final[Mapping[int, tuple[Quantity, tuple[Span | None, ...]]]] = MappingProxyType(
    {
        FREQUENCY: (Quantity.FREQUENCY, HERTZ),
        0x3: (Quantity.RESISTANCE, OHMS),
        0x5: (Quantity.RESISTANCE, OHMS[:1]),
        0x6: (Quantity.CAPACITANCE, FARADS),
        0x9: (Quantity.CURRENT, MILLIAMPERES),
        0xB: (Quantity.VOLTAGE, VOLTS),
    }
)
MODES: Final = MappingProxyType({0x5: Mode.CONTINUITY})


STATUS_FLAGS: Final = flag_sets({0b0010: Flag.LOW_BATTERY})
O2_FLAGS: Final = flag_sets({0b0010: Flag.AUTO})


def parse(block: bytes) -> Display | Unread | None:
    """What the display shows; Unread for another function, None if this is no frame."""
    return counted(block, length=9, digits=4, dial=_dial)


@lru_cache(maxsize=256)
def _dial(code: bytes, rest: bytes) -> Dial | Shown | Unread | None:
    """What a frame says beside its digits: seldom anything new from one frame to the next."""
    function, status, o1, o2 = (byte & 0x0F for byte in rest)
    judge, overload = status & 0b1000, status & 0b0001
    flags = STATUS_FLAGS[status] | O2_FLAGS[o2]
    if function == DIODE and overload and not o1:
        return Shown(quantity=Quantity.VOLTAGE, value=None, mode=Mode.DIODE, flags=flags)
    found = FUNCTIONS.get(function)
    if (
        found is None
        or o1
        or (function == FREQUENCY and not judge)
        or (function in DIRECTED and not o2 & 0b1100)
    ):
        return Unread.FUNCTION
    quantity, table = found
    place = code[0] & 0x0F
    spanned = table[place] if place < len(table) else None
    if spanned is None:
        return None
    return Dial(
        quantity=quantity,
        spanned=spanned,
        mode=MODES.get(function, Mode.AC if o2 & 0b0100 else Mode.PLAIN),
        flags=flags,
        overload=bool(overload),
        negative=bool(status & 0b0100),
    )


FAMILY: Final = Family(
    name="nibble-11",
    line="2400-7O1",
    make_splitter=partial(LineSplitter, b"\n", longest=64, mask=0x7F),
    parse=parse,
    doubled=True,
    dtr=True,
    rts=False,
)
