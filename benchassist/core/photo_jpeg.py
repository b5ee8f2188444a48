"""The segments of a JPEG file: its size, which way up, and the same picture by itself.

Source: ITU-T T.81, annex B; JFIF 1.02; Exif 2.32. What is not needed to draw the picture is left
out, and the drawn bytes are copied as they are: no pixel changes.
"""

import re
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from benchassist.core import photo_exif
from benchassist.core.photo import JPEG, PhotoFacts, PhotoFault, UnfitPhotoError

BEGIN: Final = b"\xff\xd8"
MOST_SCANS: Final = 64
"""A progressive picture has about ten; hundreds are made to keep a decoder busy."""

MOST_SEGMENTS: Final = 20_000

_END, _SCAN = 0xD9, 0xDA
_APP0, _APP1, _APP2, _APP14 = 0xE0, 0xE1, 0xE2, 0xEE
_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
_TABLES = frozenset({0xC4, 0xCC, 0xDB, 0xDC, 0xDD, _SCAN})
_JFIF, _ADOBE, _ICC = b"JFIF\x00", b"Adobe", b"ICC_PROFILE\x00"
_FRAME_HEAD = 6
"""Bytes of a frame's precision, height, width and number of colours."""
_XMP = (b"http://ns.adobe.com/xap/1.0/\x00", b"http://ns.adobe.com/xmp/extension/\x00")

_MARKER = re.compile(rb"\xff[\x02-\xcf\xd8-\xfe]", re.DOTALL)
"""A marker that is neither a stuffed byte nor one of the restarts within a scan."""


@dataclass(frozen=True, slots=True)
class Segment:
    """A segment: its marker, what it holds, and for a scan the coded data that follow it."""

    marker: int
    body: bytes
    coded: bytes = b""


def look_at(data: bytes) -> PhotoFacts:
    """Return what the file says of itself. Raises UnfitPhotoError where it is not whole."""
    size: tuple[int, int] | None = None
    orientation, located, scans = 0, False, 0
    for segment in _segments(data):
        body = segment.body
        if segment.marker in _FRAMES:
            if size is not None or len(body) < _FRAME_HEAD:
                raise UnfitPhotoError(PhotoFault.BROKEN)
            height, width = struct.unpack_from(">HH", body, 1)
            size = width, height
        elif segment.marker == _SCAN:
            scans += 1
            if size is None or scans > MOST_SCANS:
                raise UnfitPhotoError(PhotoFault.BROKEN)
        elif segment.marker == _APP1 and body.startswith(photo_exif.MARK):
            block = body[len(photo_exif.MARK) :]
            orientation = orientation or photo_exif.orientation_of(block)
            located = located or photo_exif.has_place(block)
        elif segment.marker == _APP1 and body.startswith(_XMP):
            located = located or photo_exif.names_place(body)
    if size is None or not scans or 0 in size:
        raise UnfitPhotoError(PhotoFault.BROKEN)
    return PhotoFacts(
        media=JPEG, width=size[0], height=size[1], orientation=orientation or 1, located=located
    )


def stripped(data: bytes) -> bytes:
    """Return the same picture without what a camera or a program adds to it.

    Kept are the frame, its tables and scans, the colour profile and the two marks that say how
    colours are coded; where it lies on its side, which way up. What trails is gone.
    Raises UnfitPhotoError as `look_at`.
    """
    orientation = look_at(data).orientation
    parts = [BEGIN]
    kept = [(s, _kept(s)) for s in _segments(data)]
    head = [body for s, body in kept if s.marker == _APP0 and body is not None][:1]
    parts += [_segment(_APP0, body) for body in head]
    if orientation != 1:
        parts.append(_segment(_APP1, photo_exif.MARK + photo_exif.minimal(orientation)))
    for segment, body in kept:
        if body is not None and segment.marker != _APP0:
            parts += (_segment(segment.marker, body), segment.coded)
    parts.append(bytes((0xFF, _END)))
    return b"".join(parts)


def _kept(segment: Segment) -> bytes | None:
    """What is kept of a segment, None where nothing is."""
    marker, body = segment.marker, segment.body
    if marker in _FRAMES or marker in _TABLES:
        return body
    if marker == _APP0 and body.startswith(_JFIF) and len(body) >= 14:
        return body[:12] + b"\x00\x00"  # without the small picture that may stand in it
    if marker == _APP14 and body.startswith(_ADOBE) and len(body) >= 12:
        return body[:12]
    if marker == _APP2 and body.startswith(_ICC):
        return body
    return None


def _segment(marker: int, body: bytes) -> bytes:
    return bytes((0xFF, marker)) + struct.pack(">H", len(body) + 2) + body


def _segments(data: bytes) -> Iterator[Segment]:
    """Every segment up to the end of the picture; stray bytes between two are passed over."""
    if not data.startswith(BEGIN):
        raise UnfitPhotoError(PhotoFault.BROKEN)
    at = len(BEGIN)
    for _number in range(MOST_SEGMENTS):
        found = _MARKER.search(data, at)
        if found is None:
            raise UnfitPhotoError(PhotoFault.CUT_SHORT)
        marker, start = data[found.end() - 1], found.end()
        if marker == _END:
            return
        if marker == BEGIN[1]:
            raise UnfitPhotoError(PhotoFault.BROKEN)
        length = int.from_bytes(data[start : start + 2], "big")
        if start + max(length, 2) > len(data):
            raise UnfitPhotoError(PhotoFault.CUT_SHORT)
        if length < 2:
            raise UnfitPhotoError(PhotoFault.BROKEN)
        at = start + length
        body, coded = data[start + 2 : at], b""
        if marker == _SCAN:
            after = _MARKER.search(data, at)
            if after is None:
                raise UnfitPhotoError(PhotoFault.CUT_SHORT)
            coded, at = data[at : after.start()], after.start()
        yield Segment(marker, body, coded)
    raise UnfitPhotoError(PhotoFault.BROKEN)
