"""Lines of 0x30 + nibble, as the `nibble` families send them."""

from typing import Final

ODD: Final = frozenset(byte for byte in range(256) if byte.bit_count() % 2)


def nibbles(line: bytes, count: int) -> tuple[int, ...] | None:
    """The nibbles of a line that ends with CR LF; None unless it has exactly `count`.

    An adapter set to eight bits without parity hands the parity bit on in bit 7: then every byte
    of the line must have odd parity.
    """
    if any(byte & 0x80 for byte in line):
        if not ODD.issuperset(line):
            return None
        line = bytes(byte & 0x7F for byte in line)
    if len(line) != count + 2 or line[count:] != b"\r\n":
        return None
    body = line[:count]
    if any(byte & 0xF0 != 0x30 for byte in body):
        return None
    return tuple(byte & 0x0F for byte in body)
