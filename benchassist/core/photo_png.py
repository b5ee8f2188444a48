"""The chunks of a PNG file: its size, which way up, and the same picture with nothing else in it.

Source: PNG specification, third edition (W3C). Kept are the chunks that draw the picture and those
that say how its colours and its size are meant.
"""

import struct
import zlib
from collections.abc import Iterator
from typing import Final

from benchassist.core import photo_exif
from benchassist.core.photo import PNG, PhotoFacts, PhotoFault, UnfitPhotoError

BEGIN: Final = b"\x89PNG\r\n\x1a\n"

_DRAWN = frozenset({b"IHDR", b"PLTE", b"IDAT", b"IEND"})
_MEANT = frozenset({b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"pHYs"})
_TEXTS = frozenset({b"tEXt", b"iTXt"})
_MOST_CHUNKS = 200_000
_FRAME = 12
"""Bytes of a chunk besides its data: length, type, check."""


def look_at(data: bytes) -> PhotoFacts:
    """Return what the file says of itself. Raises UnfitPhotoError where it is not whole."""
    size: tuple[int, int] | None = None
    orientation, located, drawn = 0, False, False
    for kind, body in _chunks(data):
        if kind == b"IHDR":
            if size is not None or len(body) != 13:
                raise UnfitPhotoError(PhotoFault.BROKEN)
            size = struct.unpack_from(">II", body)
        elif size is None:
            raise UnfitPhotoError(PhotoFault.BROKEN)
        elif kind == b"IDAT":
            drawn = True
        elif kind == b"eXIf":
            orientation = orientation or photo_exif.orientation_of(body)
            located = located or photo_exif.has_place(body)
        elif kind in _TEXTS:
            located = located or photo_exif.names_place(body)
    if size is None or not drawn or 0 in size:
        raise UnfitPhotoError(PhotoFault.BROKEN)
    return PhotoFacts(
        media=PNG, width=size[0], height=size[1], orientation=orientation or 1, located=located
    )


def stripped(data: bytes) -> bytes:
    """Return the same picture without texts, dates, Exif and what trails.

    Raises UnfitPhotoError as `look_at`.
    """
    orientation = look_at(data).orientation
    parts = [BEGIN]
    for kind, body in _chunks(data):
        if kind == b"iCCP":
            body = b"icc\x00" + body.partition(b"\x00")[2]  # noqa: PLW2901 - its name is a text
        if kind in _DRAWN or kind in _MEANT:
            parts.append(_chunk(kind, body))
        if kind == b"IHDR" and orientation != 1:
            parts.append(_chunk(b"eXIf", photo_exif.minimal(orientation)))
    return b"".join(parts)


def _chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Every chunk up to the end of the picture."""
    if not data.startswith(BEGIN):
        raise UnfitPhotoError(PhotoFault.BROKEN)
    at = len(BEGIN)
    for _number in range(_MOST_CHUNKS):
        if at + _FRAME > len(data):
            raise UnfitPhotoError(PhotoFault.CUT_SHORT)
        (length,) = struct.unpack_from(">I", data, at)
        kind = data[at + 4 : at + 8]
        if at + _FRAME + length > len(data):
            raise UnfitPhotoError(PhotoFault.CUT_SHORT)
        body = data[at + 8 : at + 8 + length]
        (check,) = struct.unpack_from(">I", data, at + 8 + length)
        if kind in _DRAWN and zlib.crc32(kind + body) != check:
            raise UnfitPhotoError(PhotoFault.BROKEN)
        yield kind, body
        if kind == b"IEND":
            return
        at += _FRAME + length
    raise UnfitPhotoError(PhotoFault.BROKEN)
