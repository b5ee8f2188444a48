"""What the simulated meters send. Written from the frame tables, apart from the decoders."""

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, Mode
from benchassist.practice.meter import Face

NIBBLE_FUNCTION: Final[Mapping[tuple[Quantity, Mode], int]] = MappingProxyType(
    {
        (Quantity.RESISTANCE, Mode.PLAIN): 0x33,
        (Quantity.RESISTANCE, Mode.CONTINUITY): 0x35,
        (Quantity.RESISTANCE, Mode.DIODE): 0x31,
        (Quantity.FREQUENCY, Mode.PLAIN): 0x32,
        (Quantity.VOLTAGE, Mode.PLAIN): 0x3B,
    }
)
LINE_FUNCTION: Final[Mapping[tuple[Quantity, Mode], tuple[str, str]]] = MappingProxyType(
    {
        (Quantity.RESISTANCE, Mode.PLAIN): ("OHM", "Ohm"),
        (Quantity.RESISTANCE, Mode.CONTINUITY): ("BEP", "Ohm"),
        (Quantity.RESISTANCE, Mode.DIODE): ("DIO", "V"),
        (Quantity.FREQUENCY, Mode.PLAIN): ("FRQ", "Hz"),
        (Quantity.VOLTAGE, Mode.PLAIN): ("DCV", "V"),
        (Quantity.TEMPERATURE, Mode.PLAIN): ("TMP", "C"),
    }
)
THOUSANDS: Final = ((1e6, "M"), (1e3, "k"), (1.0, ""))
FLAG_WORDS: Final = ((Flag.HOLD, "HOLD"), (Flag.REL, "REL"), (Flag.MIN, "MIN"), (Flag.MAX, "MAX"))


def nibble_14(face: Face) -> bytes:
    """Range, five digits, function, status, four option nibbles, CR LF."""
    digits = 22000 if face.over else face.counts
    flags = face.flags
    status = 0x2 * (Flag.LOW_BATTERY in flags) + 0x1 * face.over
    option1 = 0x8 * (Flag.MAX in flags) + 0x4 * (Flag.MIN in flags) + 0x2 * (Flag.REL in flags)
    is_dc = face.quantity is Quantity.VOLTAGE and face.mode is Mode.PLAIN
    option3 = 0x8 * is_dc + 0x2 * (Flag.AUTO in flags)
    option4 = 0x2 * (Flag.HOLD in flags)
    # Diode and continuity have one range.
    code = face.spanned.code if face.mode is Mode.PLAIN else 0
    nibbles = (code, *map(int, f"{digits:05d}"))
    options = (status, option1, 0, option3, option4)
    return bytes(
        (
            *(0x30 + nibble for nibble in nibbles),
            NIBBLE_FUNCTION[face.quantity, face.mode],
            *(0x30 + nibble for nibble in options),
            0x0D,
            0x0A,
        )
    )


def text_line(face: Face) -> bytes:
    """Function, number with its prefix and unit, and the words of the flags."""
    name, unit = LINE_FUNCTION[face.quantity, face.mode]
    spanned = face.spanned
    factor, prefix = next(
        ((f, p) for f, p in THOUSANDS if spanned.full_scale / 2.0 >= f), THOUSANDS[-1]
    )
    if face.quantity is Quantity.TEMPERATURE:
        factor, prefix = 1.0, ""
    count = spanned.count / factor
    decimals = max(0, -round(math.log10(count)))
    shown = "OL" if face.over else f"{face.counts * count:.{decimals}f}"
    words = [name, shown, f"{prefix}{unit}"]
    words += [word for flag, word in FLAG_WORDS if flag in face.flags]
    if Flag.LOW_BATTERY in face.flags:
        words.append("BAT")
    return (" ".join(words) + "\r\n").encode("ascii")


FRAMES: Final[Mapping[str, Callable[[Face], bytes]]] = MappingProxyType(
    {"nibble-14": nibble_14, "text-line": text_line}
)
