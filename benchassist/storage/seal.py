"""A digest of a table's rows that does not depend on the order in which a database gives them.

Two databases sort texts differently, and sorting a large table takes longer than reading it: so
every row has a BLAKE2b digest of its own (RFC 7693), and the table's is their sum modulo 2^256.
"""

import hashlib
import struct
from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from types import MappingProxyType
from typing import Any, Final

SIZE: Final = 32
"""Bytes of a digest."""

_ROUND: Final = 1 << (8 * SIZE)


class Seal:
    """Rows put under it, however many at a time and in whatever order."""

    def __init__(self) -> None:
        self.rows = 0
        self._sum = 0

    def add(self, rows: Iterable[Iterable[Any]]) -> None:
        """Put rows under it: every value as a database gives it back."""
        for row in rows:
            digest = hashlib.blake2b(_row_bytes(row), digest_size=SIZE).digest()
            self._sum += int.from_bytes(digest, "big")
            self.rows += 1
        self._sum %= _ROUND

    @property
    def digest(self) -> str:
        """What stands for all of them, in hexadecimal digits."""
        return f"{self._sum:0{2 * SIZE}x}"


def _row_bytes(row: Iterable[Any]) -> bytes:
    """Each value with its kind and its length, so that no two rows read the same."""
    parts = list[bytes]()
    for value in row:
        mark, body = WAYS[type(value)](value)
        parts += (mark, len(body).to_bytes(8, "big"), body)
    return b"".join(parts)


def _float(value: float) -> tuple[bytes, bytes]:
    """To the last bit; SQLite keeps a negative zero as zero."""
    return b"f", struct.pack(">d", value + 0.0)


def _time(value: datetime) -> tuple[bytes, bytes]:
    return b"t", value.isoformat().encode()


WAYS: Final[Mapping[type, Callable[[Any], tuple[bytes, bytes]]]] = MappingProxyType(
    {
        type(None): lambda _none: (b"n", b""),
        bool: lambda value: (b"b", b"1" if value else b"0"),
        int: lambda value: (b"i", str(value).encode()),
        float: _float,
        str: lambda value: (b"s", value.encode()),
        bytes: lambda value: (b"x", value),
        datetime: _time,
    }
)
