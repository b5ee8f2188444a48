"""The chunks of a WebP file: its size, which way up, and the same picture with nothing else in it.

Source: WebP container specification; RFC 6386 (VP8 frame header), RFC 9649 (lossless header).
"""

import struct
from collections.abc import Iterator

from benchassist.core import photo_exif
from benchassist.core.photo import WEBP, PhotoFacts, PhotoFault, UnfitPhotoError

_EXTENDED, _LOSSY, _LOSSLESS = b"VP8X", b"VP8 ", b"VP8L"
_KEPT = frozenset({_EXTENDED, _LOSSY, _LOSSLESS, b"ALPH", b"ICCP"})
_MOVING = frozenset({b"ANIM", b"ANMF"})
_MOVES, _HAS_XMP, _HAS_EXIF = 0x02, 0x04, 0x08
_HEAD = 12
_MOST_CHUNKS = 10_000


def begins(data: bytes) -> bool:
    """Whether bytes begin as a WebP file does."""
    return data[:4] == b"RIFF" and data[8:12] == b"WEBP"


def look_at(data: bytes) -> PhotoFacts:
    """Return what the file says of itself. Raises UnfitPhotoError where it is not whole."""
    canvas = size = None
    orientation, located = 0, False
    for kind, body in _chunks(data):
        if kind in _MOVING or (kind == _EXTENDED and body[:1] and body[0] & _MOVES):
            raise UnfitPhotoError(PhotoFault.MOVING)
        if kind == _EXTENDED:
            canvas = _canvas(body)
        elif kind in (_LOSSY, _LOSSLESS):
            if size is not None:
                raise UnfitPhotoError(PhotoFault.BROKEN)
            size = _lossy(body) if kind == _LOSSY else _lossless(body)
        elif kind == b"EXIF":
            block = body.removeprefix(photo_exif.MARK)
            orientation = orientation or photo_exif.orientation_of(block)
            located = located or photo_exif.has_place(block)
        elif kind == b"XMP ":
            located = located or photo_exif.names_place(body)
    if size is None or 0 in size or canvas not in (None, size):
        raise UnfitPhotoError(PhotoFault.BROKEN)
    return PhotoFacts(
        media=WEBP, width=size[0], height=size[1], orientation=orientation or 1, located=located
    )


def stripped(data: bytes) -> bytes:
    """Return the same picture without Exif, XMP and what is unknown.

    Raises UnfitPhotoError as `look_at`.
    """
    orientation = look_at(data).orientation
    parts: list[bytes] = []
    for kind, body in _chunks(data):
        if kind == _EXTENDED:
            flags = body[0] & ~(_HAS_EXIF | _HAS_XMP) | (_HAS_EXIF if orientation != 1 else 0)
            body = bytes((flags, 0, 0, 0)) + body[4:10]  # noqa: PLW2901 - what it says it holds
        if kind in _KEPT:
            parts.append(_chunk(kind, body))
    if orientation != 1:
        parts.append(_chunk(b"EXIF", photo_exif.minimal(orientation)))
    inner = b"WEBP" + b"".join(parts)
    return b"RIFF" + struct.pack("<I", len(inner)) + inner


def _canvas(body: bytes) -> tuple[int, int]:
    if len(body) < 10:
        raise UnfitPhotoError(PhotoFault.BROKEN)
    return int.from_bytes(body[4:7], "little") + 1, int.from_bytes(body[7:10], "little") + 1


def _lossy(body: bytes) -> tuple[int, int]:
    if len(body) < 10 or body[3:6] != b"\x9d\x01\x2a":
        raise UnfitPhotoError(PhotoFault.BROKEN)
    width, height = struct.unpack_from("<HH", body, 6)
    return width & 0x3FFF, height & 0x3FFF


def _lossless(body: bytes) -> tuple[int, int]:
    if len(body) < 5 or body[0] != 0x2F:
        raise UnfitPhotoError(PhotoFault.BROKEN)
    bits = int.from_bytes(body[1:5], "little")
    return (bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1


def _chunk(kind: bytes, body: bytes) -> bytes:
    return kind + struct.pack("<I", len(body)) + body + b"\x00" * (len(body) % 2)


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Every chunk within the size the file states."""
    if not begins(data):
        raise UnfitPhotoError(PhotoFault.BROKEN)
    end = 8 + int.from_bytes(data[4:8], "little")
    if end > len(data):
        raise UnfitPhotoError(PhotoFault.CUT_SHORT)
    at = _HEAD
    for _number in range(_MOST_CHUNKS):
        if at + 8 > end:
            return
        length = int.from_bytes(data[at + 4 : at + 8], "little")
        if at + 8 + length > end:
            raise UnfitPhotoError(PhotoFault.CUT_SHORT)
        yield data[at : at + 4], data[at + 8 : at + 8 + length]
        at += 8 + length + length % 2
    raise UnfitPhotoError(PhotoFault.BROKEN)
