"""Lines of 0x30 + nibble, as the `nibble` families send them."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final, NamedTuple

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, Mode, Reading
from benchassist.meters.decoder import Unread
from benchassist.meters.shown import Display, Shown, Span

ODD: Final = frozenset(byte for byte in range(256) if byte.bit_count() % 2)
SEVEN_BITS: Final = bytes(byte & 0x7F for byte in range(256))
NIBBLES: Final = bytes(range(0x30, 0x40))

FlagSets = tuple[frozenset[Flag], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Dial:
    """What a frame says beside its digits."""

    quantity: Quantity
    spanned: Span
    mode: Mode
    flags: frozenset[Flag]
    overload: bool
    negative: bool


class Counted(NamedTuple):
    """The display of a frame: its digits at this position of the dial."""

    dial: Dial
    counts: int

    def reading(self, *, t_s: float, channel: str) -> Reading:
        """The same as a reading of that moment and channel; above range the digits say nothing."""
        dial, counts = self.dial, self.counts
        spanned = dial.spanned
        return Reading(
            t_s=t_s,
            channel=channel,
            quantity=dial.quantity,
            value=None if dial.overload else spanned.value(-counts if dial.negative else counts),
            resolution=spanned.resolution,
            full_scale=spanned.full_scale,
            overload=dial.overload,
            mode=dial.mode,
            flags=dial.flags,
            exponent=spanned.exponent,
        )


def nibbles(line: bytes, count: int) -> bytes | None:
    """The bytes 0x30 + nibble of a line that ends with CR LF; None unless it has exactly `count`.

    A nibble that is a decimal digit stands there as that digit in ASCII. An adapter set to eight
    bits without parity hands the parity bit on in bit 7: then every byte of the line must have odd
    parity.
    """
    if not line.isascii():
        if not ODD.issuperset(line):
            return None
        line = line.translate(SEVEN_BITS)
    if len(line) != count + 2 or not line.endswith(b"\r\n"):
        return None
    body = line[:count]
    return None if body.translate(None, NIBBLES) else body


def counted(
    block: bytes,
    *,
    length: int,
    digits: int,
    dial: Callable[[bytes, bytes], Dial | Shown | Unread | None],
    most: float = 1.0,
) -> Display | Unread | None:
    """What the display of a frame of `length` nibbles shows: a range, so many digits, the rest.

    `dial` reads all but the digits. None if it is no frame: a display shows at most `most` times
    its nominal counts.
    """
    line = nibbles(block, length)
    end = 1 + digits
    if line is None or not line[1:end].isdigit():
        return None
    found = dial(line[:1], line[end:])
    if not isinstance(found, Dial):
        return found
    counts = int(line[1:end])
    if counts > most * found.spanned.counts and not found.overload:
        return None
    return Counted(found, counts)


def flag_sets(bits: Mapping[int, Flag | tuple[Flag, ...]]) -> FlagSets:
    """The flags of each value of a nibble, 0 to 15, by what its bits stand for."""
    of_bit = {
        bit: {found} if isinstance(found, Flag) else set(found) for bit, found in bits.items()
    }
    return tuple(
        frozenset[Flag]().union(*(flags for bit, flags in of_bit.items() if value & bit))
        for value in range(16)
    )
