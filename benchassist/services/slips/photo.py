"""Photos on the slip: the newest ones of the visit, small and without what a camera adds."""

from collections.abc import Callable
from typing import Final

from benchassist.core.entry import PhotoAdded
from benchassist.core.photo import JPEG
from benchassist.core.photo_log import photos_of
from benchassist.core.slip import SlipPhoto
from benchassist.core.visit import Visit
from benchassist.errors import BenchError
from benchassist.services.needs import Store
from benchassist.services.record.photo_need import Eye, Shelf
from benchassist.services.translation import _
from benchassist.services.wording import day_text

MOST_PHOTOS: Final = 3
PRINT_SIDE: Final = 800
"""Pixels of a photo's long side in print: 59 mm at 340 dots to the inch."""
MOST_BYTES: Final = 12 * 2**20
MOST_OTHER_BYTES: Final = 3 * 2**20
"""A larger file is printed from its thumbnail: a slip does not keep anybody waiting.

A JPEG is made small while it is unpacked, any other kind is unpacked whole.
"""
MOST_KEPT: Final = 12

Pictures = Callable[[PhotoAdded], bytes]
"""Gives a photo as a small upright JPEG; empty where it cannot be shown here."""


class PhotoPrints:
    """Photos made ready for print; the last ones stay ready."""

    def __init__(self, store: Store, shelf: Shelf, eye: Eye) -> None:
        self._store, self._shelf, self._eye = store, shelf, eye
        self._kept: dict[str, bytes] = {}

    def __call__(self, entry: PhotoAdded) -> bytes:
        """A photo from its file, else its thumbnail, else nothing."""
        data = self._kept.get(entry.digest) or self._made(entry.digest)
        if data:
            self._kept[entry.digest] = data
        while len(self._kept) > MOST_KEPT:
            del self._kept[next(iter(self._kept))]
        return data

    def _made(self, digest: str) -> bytes:
        try:
            kept = self._store.photos([digest]).get(digest)
        except BenchError:
            kept = None
        if kept is None or kept.size <= (MOST_BYTES if kept.media == JPEG else MOST_OTHER_BYTES):
            try:
                found = self._shelf.read(digest)
                if found is not None:
                    return self._eye.reduced(found.data, PRINT_SIDE)
            except BenchError:
                pass
        return kept.thumbnail if kept is not None else b""


def slip_photos(visit: Visit, pictures: Pictures | None) -> tuple[SlipPhoto, ...]:
    """The newest photos of a visit that can be shown; without `pictures` none."""
    if pictures is None:
        return ()
    found: list[SlipPhoto] = []
    for photo in reversed(photos_of(visit.entries)):
        entry = photo.entry
        data = pictures(entry)
        if data:
            day = _("Photo of {day}").format(day=day_text(photo.at))
            found.append(
                SlipPhoto(
                    data=data,
                    width=entry.width,
                    height=entry.height,
                    caption=entry.caption or day,
                )
            )
        if len(found) == MOST_PHOTOS:
            break
    return tuple(found)
