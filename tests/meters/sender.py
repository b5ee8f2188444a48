"""Meters that send a resistance: one encoder a family, made from the layouts and not from ours.

They stand for the other end of the cable in fuzzing, in counting damage and in taking.
"""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

TENS = {"": 0, "k": 3, "M": 6}


@dataclass(frozen=True, slots=True)
class Ohms:
    """A resistance as a display shows it: counts on a range with that point and prefix."""

    counts: int
    decimals: int
    prefix: str
    code: int

    @property
    def value(self) -> Decimal:
        """In ohm."""
        return self.counts * self.count

    @property
    def count(self) -> Decimal:
        """One count in ohm."""
        return Decimal(1).scaleb(TENS[self.prefix] - self.decimals)

    @property
    def text(self) -> str:
        """The digits with their point, at least one before it."""
        digits = f"{self.counts:0{self.decimals + 1}d}"
        if not self.decimals:
            return digits
        return f"{digits[: -self.decimals]}.{digits[-self.decimals :]}"


def nibble_11(shown: Ohms) -> bytes:
    """Nine nibbles, auto range."""
    digits = f"{shown.counts:04d}".encode()
    return bytes([0x30 + shown.code]) + digits + b"3002\r\n"


def nibble_14(shown: Ohms) -> bytes:
    """Twelve nibbles, auto range."""
    digits = f"{shown.counts:05d}".encode()
    return bytes([0x30 + shown.code]) + digits + b"300020\r\n"


def with_parity(frame: bytes) -> bytes:
    """A 7O1 frame as an adapter set to eight bits hands it on: odd parity in bit 7."""
    return bytes(byte | (0x80 if byte.bit_count() % 2 == 0 else 0) for byte in frame)


def ascii_14(shown: Ohms) -> bytes:
    """Digits, point, auto, prefix and ohm."""
    point = {0: b"0", 3: b"1", 2: b"2", 1: b"4"}[shown.decimals]
    prefix = {"": 0, "k": 0x20, "M": 0x10}[shown.prefix]
    symbols = bytes([0x20, 0x00, prefix, 0x20, 0x07])
    return b"+" + f"{shown.counts:04d}".encode() + b" " + point + symbols + b"\r\n"


SEGMENTS = dict(zip("0123456789", bytes.fromhex("7D 05 5B 1F 27 3E 7E 15 7F 3F"), strict=True))


def segment_14(shown: Ohms) -> bytes:
    """Each segment a bit, the index in the high nibble."""
    nibbles = [0x3]
    for place, digit in enumerate(f"{shown.counts:04d}"):
        segments = SEGMENTS[digit]
        point = place > 0 and shown.decimals == 4 - place
        nibbles += [segments >> 4 | (0x8 if point else 0), segments & 0xF]
    nibbles += [2 * (shown.prefix == "k"), 2 * (shown.prefix == "M"), 4, 0, 0]
    return bytes(index << 4 | nibble for index, nibble in enumerate(nibbles, 1))


def stx_16(shown: Ohms) -> bytes:
    """Annunciator by prefix, eight digits."""
    annunciator = {"": "38", "k": "39", "M": "40"}[shown.prefix]
    return f"\x0241{annunciator}0{shown.decimals}{shown.counts:08d}\r".encode()


def poll_14(shown: Ohms) -> bytes:
    """Both fields filled with spaces from the left."""
    return f"OH{shown.text:>7}{shown.prefix + 'Ohm':>4}\r".encode()


def text_line(shown: Ohms) -> bytes:
    """A line of words."""
    return f"OHM  {shown.text} {shown.prefix}Ohm\r\n".encode()


SENDERS: dict[str, Callable[[Ohms], bytes]] = {
    "nibble-11": nibble_11,
    "nibble-14": nibble_14,
    "ascii-14": ascii_14,
    "segment-14": segment_14,
    "stx-16": stx_16,
    "poll-14": poll_14,
    "text-line": text_line,
}
FOUR_DIGITS = ((1, ""), (3, "k"), (2, "k"), (1, "k"), (3, "M"), (2, "M"))
FIVE_DIGITS = ((2, ""), (4, "k"), (3, "k"), (2, "k"), (4, "M"), (3, "M"), (2, "M"))
"""Decimals and prefix of each range, from the smallest."""


def display(family: str, counts: int, code: int) -> Ohms:
    """Counts on the range of that code, as this family's meters have them."""
    ranges = FIVE_DIGITS if family == "nibble-14" else FOUR_DIGITS
    decimals, prefix = ranges[code % len(ranges)]
    return Ohms(counts, decimals, prefix, code % len(ranges))
