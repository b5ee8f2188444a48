"""A photo as a file from elsewhere: what kinds are read, how large it may be, what is known of it.

`photo_file` looks into the bytes; nothing here decodes a picture.
"""

from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final

JPEG: Final = "image/jpeg"
PNG: Final = "image/png"
WEBP: Final = "image/webp"

SUFFIXES: Final = MappingProxyType({JPEG: ".jpg", PNG: ".png", WEBP: ".webp"})
"""The kinds of file that are read, and what their names end in."""

MOST_BYTES: Final = 64 * 2**20
MOST_PIXELS: Final = 100_000_000
THUMBNAIL_SIDE: Final = 320
"""Pixels on a thumbnail's long side at most."""
MOST_THUMBNAIL_BYTES: Final = 128 * 2**10


class PhotoFault(StrEnum):
    """Why a file is not taken as a photo."""

    EMPTY = "empty"
    HEIC = "heic"
    OTHER_PICTURE = "other_picture"
    NO_PICTURE = "no_picture"
    TOO_MANY_BYTES = "too_many_bytes"
    TOO_MANY_PIXELS = "too_many_pixels"
    MOVING = "moving"
    CUT_SHORT = "cut_short"
    BROKEN = "broken"


class UnfitPhotoError(ValueError):
    """A file that is not taken as a photo, and why."""

    def __init__(self, fault: PhotoFault) -> None:
        super().__init__(fault.value)
        self.fault = fault


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoFacts:
    """What a photo's file says of it, nothing decoded.

    `width` and `height` are pixels as they are stored; `orientation` 1 to 8 says how they are
    turned to be looked at (Exif 2.32, tag 0x0112). `located`: where it was taken is in it.
    """

    media: str
    width: int
    height: int
    orientation: int = 1
    located: bool = False

    @property
    def upright(self) -> tuple[int, int]:
        """Width and height as it is looked at."""
        turned = self.orientation >= 5
        return (self.height, self.width) if turned else (self.width, self.height)


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo:
    """What a shop keeps of a photo beside its entry, so that every bench shows it.

    `digest` is the SHA-256 of the original in hexadecimal digits, `size` its bytes; `thumbnail` is
    a JPEG of at most THUMBNAIL_SIDE pixels, the right way up, with nothing in it but the picture.
    """

    digest: str
    media: str
    size: int
    thumbnail: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoCopy:
    """A photo's file without what a camera adds, on its way to another shop.

    `original` is the digest of the file it was made from, `digest` that of `data` itself.
    """

    original: str
    digest: str
    media: str
    data: bytes


def is_digest(text: str) -> bool:
    """Whether a text is a SHA-256 as it is written here: 64 hexadecimal digits, small letters."""
    return len(text) == 64 and all(c in "0123456789abcdef" for c in text)
