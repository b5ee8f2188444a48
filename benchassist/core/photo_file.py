"""A photo's file looked at and stripped, whatever kind it is."""

from types import MappingProxyType

from benchassist.core import photo_jpeg, photo_png, photo_webp
from benchassist.core.photo import (
    JPEG,
    MOST_BYTES,
    MOST_PIXELS,
    PNG,
    WEBP,
    PhotoFacts,
    PhotoFault,
    UnfitPhotoError,
)

_OTHERS = (b"GIF8", b"BM", b"II*\x00", b"MM\x00*", b"%PDF", b"8BPS", b"\x00\x00\x01\x00", b"<svg")
_HEIC = frozenset({b"heic", b"heix", b"heif", b"hevc", b"mif1", b"msf1", b"avif"})

_LOOK = MappingProxyType(
    {JPEG: photo_jpeg.look_at, PNG: photo_png.look_at, WEBP: photo_webp.look_at}
)
_STRIP = MappingProxyType(
    {JPEG: photo_jpeg.stripped, PNG: photo_png.stripped, WEBP: photo_webp.stripped}
)


def media_of(data: bytes) -> str:
    """Return the kind of file by its first bytes. Raises UnfitPhotoError for one not read here."""
    if data.startswith(photo_jpeg.BEGIN):
        return JPEG
    if data.startswith(photo_png.BEGIN):
        return PNG
    if photo_webp.begins(data):
        return WEBP
    if not data:
        fault = PhotoFault.EMPTY
    elif data[4:8] == b"ftyp" and data[8:12] in _HEIC:
        fault = PhotoFault.HEIC
    elif data.startswith(_OTHERS):
        fault = PhotoFault.OTHER_PICTURE
    else:
        fault = PhotoFault.NO_PICTURE
    raise UnfitPhotoError(fault)


def look_at(data: bytes) -> PhotoFacts:
    """Return what a photo's file says of itself; it is whole then, and within the limits.

    Raises UnfitPhotoError for a file that is not taken, before anything of it is decoded.
    """
    if len(data) > MOST_BYTES:
        raise UnfitPhotoError(PhotoFault.TOO_MANY_BYTES)
    facts = _LOOK[media_of(data)](data)
    if facts.width * facts.height > MOST_PIXELS:
        raise UnfitPhotoError(PhotoFault.TOO_MANY_PIXELS)
    return facts


def stripped(data: bytes) -> bytes:
    """Return the same picture, pixel by pixel, with nothing in the file but it and which way up.

    Stripping it again changes nothing. Raises UnfitPhotoError as `look_at`.
    """
    return _STRIP[look_at(data).media](data)
