"""The two things of an Exif block that matter here: which way up, and whether a place is in it.

Source: Exif 2.32 (CIPA DC-008), TIFF 6.0. Only the first directory is read, once, within its
bounds; whatever does not fit says nothing.
"""

import struct
from typing import Final

MARK: Final = b"Exif\x00\x00"

ORIENTATION: Final = 0x0112
GPS_DIRECTORY: Final = 0x8825

PLACE_WORDS: Final = (b"GPSLatitude", b"GPSLongitude", b"GPSPosition")
"""What an XMP packet calls a place."""

_SHORT, _LONG = 3, 4
_ENTRY = 12


def orientation_of(block: bytes) -> int:
    """The orientation, 1 to 8, that a TIFF block states; 1 where it states none that is known."""
    found = _first_directory(block).get(ORIENTATION, 1)
    return found if 1 <= found <= 8 else 1


def has_place(block: bytes) -> bool:
    """Whether a TIFF block points to a directory of the place."""
    return GPS_DIRECTORY in _first_directory(block)


def names_place(packet: bytes) -> bool:
    """Whether an XMP packet names a place."""
    return any(word in packet for word in PLACE_WORDS)


def minimal(orientation: int) -> bytes:
    """A TIFF block that states an orientation and nothing else."""
    entry = struct.pack(">HHIHH", ORIENTATION, _SHORT, 1, orientation, 0)
    return b"MM\x00\x2a" + struct.pack(">IH", 8, 1) + entry + b"\x00\x00\x00\x00"


def _first_directory(block: bytes) -> dict[int, int]:
    """Tags of the first directory, the first of each, with the number in their value's place."""
    order = {b"II*\x00": "<", b"MM\x00*": ">"}.get(block[:4])
    if order is None or len(block) < 8:
        return {}
    (start,) = struct.unpack_from(f"{order}I", block, 4)
    if start + 2 > len(block):
        return {}
    (count,) = struct.unpack_from(f"{order}H", block, start)
    found: dict[int, int] = {}
    for at in range(start + 2, min(start + 2 + count * _ENTRY, len(block) - _ENTRY + 1), _ENTRY):
        tag, kind = struct.unpack_from(f"{order}HH", block, at)
        layout = {_SHORT: "H", _LONG: "I"}.get(kind)
        (value,) = struct.unpack_from(f"{order}{layout}", block, at + 8) if layout else (0,)
        found.setdefault(tag, value)
    return found
