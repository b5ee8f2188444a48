"""Photos as an export tells them, and as they are read back from a file that may be hostile.

A photo is known by the SHA-256 of its original. What leaves the shop is a copy without anything a
camera or a program added; it has a digest of its own, by which it is checked on arrival. Where the
original lies on another computer, or the export has no room for more, its thumbnail goes alone.
"""

import hashlib
from base64 import b64decode, b64encode
from binascii import Error as Base64Error
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from gettext import gettext as _
from typing import Any, Final

from benchassist.core.entry import Entry, PhotoAdded
from benchassist.core.photo import (
    JPEG,
    MOST_BYTES,
    MOST_THUMBNAIL_BYTES,
    SUFFIXES,
    THUMBNAIL_SIDE,
    Photo,
    PhotoCopy,
    is_digest,
)
from benchassist.core.photo_log import ShownPhoto, photos_of
from benchassist.errors import InputError
from benchassist.storage import photo_text
from benchassist.storage.codec import Plain

MOST_COPIED: Final = 128 * 2**20
"""Bytes of photos that go into one export; as text they are a third more."""


@dataclass(slots=True)
class PhotoPost:
    """What goes along with visits on their way out, while there is room.

    `rows` gives what the shop keeps of photos, `copy` a photo as it may leave the shop, None where
    it does not lie on this computer. `left_out` counts those that had no room.
    """

    rows: Callable[[Iterable[str]], Mapping[str, Photo]]
    copy: Callable[[str], PhotoCopy | None]
    room: int = MOST_COPIED
    left_out: int = 0

    def copied(self, digest: str) -> PhotoCopy | None:
        """A photo's copy, while there is room for it."""
        copy = self.copy(digest)
        if copy is None:
            return None
        if len(copy.data) > self.room:
            self.left_out += 1
            return None
        self.room -= len(copy.data)
        return copy


@dataclass(frozen=True, slots=True)
class PhotoParcel:
    """A photo from elsewhere: what the shop will keep of it, and its file, where it has them."""

    digest: str
    photo: Photo | None
    copy: PhotoCopy | None


def photo_accounts(entries: Iterable[Entry], post: PhotoPost | None) -> list[Plain]:
    """Return the photos that are shown of a visit, oldest first; without `post` no pictures."""
    shown = photos_of(entries)
    rows = post.rows([p.entry.digest for p in shown]) if post is not None and shown else {}
    return [
        _account(p, rows.get(p.entry.digest), post.copied(p.entry.digest) if post else None)
        for p in shown
    ]


def _account(shown: ShownPhoto, photo: Photo | None, copy: PhotoCopy | None) -> Plain:
    entry = shown.entry
    return {
        "id": entry.stamp.id,
        "seq": entry.stamp.seq,
        "at": shown.at.isoformat(),
        "check": entry.check_key or None,
        "caption": entry.caption,
        "digest": entry.digest,
        "media": entry.media,
        "width": entry.width,
        "height": entry.height,
        "size": None if photo is None else photo.size,
        "thumbnail": None if photo is None else _text(photo.thumbnail),
        "copy": None
        if copy is None
        else {"digest": copy.digest, "size": len(copy.data), "data": _text(copy.data)},
    }


def read_photos(document: Mapping[str, Any], entries: Iterable[Entry]) -> tuple[PhotoParcel, ...]:
    """Return the pictures of a visit's document; one of an earlier program has none.

    Raises InputError for one that is no photo, is not what it says or that no entry names.
    """
    told = document.get("photos", [])
    if not isinstance(told, list):
        raise InputError(_("its photos are no list"))
    named = {e.digest: e for e in entries if isinstance(e, PhotoAdded)}
    for entry in named.values():
        if not is_digest(entry.digest) or entry.media not in SUFFIXES:
            raise InputError(_("a photo in it has no name that can be kept"))
    parcels = tuple(_parcel(one, named) for one in told)
    if len({parcel.digest for parcel in parcels}) != len(parcels):
        raise InputError(_("a photo stands in it twice"))
    return parcels


def _parcel(told: object, named: Mapping[str, PhotoAdded]) -> PhotoParcel:
    entry = named.get(told["digest"]) if isinstance(told, dict) else None
    if not isinstance(told, dict) or entry is None:
        raise InputError(_("a photo stands in it that it does not name"))
    return PhotoParcel(entry.digest, _row(told, entry), _copy(told.get("copy"), entry))


def _row(told: Plain, entry: PhotoAdded) -> Photo | None:
    if told.get("thumbnail") is None:
        return None
    size, data = told.get("size"), _bytes(told["thumbnail"], MOST_THUMBNAIL_BYTES)
    facts = photo_text.look_at(data)
    if facts.media != JPEG or max(facts.upright) > THUMBNAIL_SIDE or facts.orientation != 1:
        raise InputError(_("the small picture of a photo in it is none"))
    if type(size) is not int or not 0 < size <= MOST_BYTES:
        raise InputError(_("a photo in it has no size that can be"))
    return Photo(
        digest=entry.digest, media=entry.media, size=size, thumbnail=photo_text.stripped(data)
    )


def _copy(told: object, entry: PhotoAdded) -> PhotoCopy | None:
    if told is None:
        return None
    data = _bytes(told["data"] if isinstance(told, dict) else None, MOST_BYTES)
    if not isinstance(told, dict) or hashlib.sha256(data).hexdigest() != told.get("digest"):
        raise InputError(_("a photo in it is not the one it says: export the visit again"))
    facts = photo_text.look_at(data)
    if facts.media != entry.media or facts.upright != (entry.width, entry.height):
        raise InputError(_("a photo in it is another than its visit names"))
    # Whatever wrote the file: what a camera adds is not taken in.
    bare = photo_text.stripped(data)
    own = hashlib.sha256(bare).hexdigest()
    return PhotoCopy(original=entry.digest, digest=own, media=entry.media, data=bare)


def _text(data: bytes) -> str:
    return b64encode(data).decode("ascii")


def _bytes(text: object, most: int) -> bytes:
    """What base64 text holds. Raises InputError where it holds nothing, or more than may be."""
    if isinstance(text, str) and text.isascii() and len(text) <= 4 * (most // 3 + 1):
        try:
            return b64decode(text, validate=True)
        except (Base64Error, ValueError):
            pass
    raise InputError(_("a photo in it cannot be read: export the visit again"))
