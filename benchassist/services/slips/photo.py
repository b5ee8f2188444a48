"""Photos on the slip: the newest ones of the visit, small and without what a camera adds."""

from collections.abc import Callable
from typing import Final

from benchassist.core.entry import PhotoAdded
from benchassist.core.photo import JPEG, Photo
from benchassist.core.photo_log import photos_of
from benchassist.core.slip import SlipPhoto
from benchassist.core.visit import Visit
from benchassist.errors import BenchError
from benchassist.services.errand import Errand
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
        data = self.kept(entry.digest) or self.made(entry.digest)
        self.keep(entry.digest, data)
        return data

    def kept(self, digest: str) -> bytes:
        """A photo that is ready; empty for one that is not."""
        return self._kept.get(digest, b"")

    def keep(self, digest: str, data: bytes) -> None:
        """Have a photo ready from now on."""
        if data:
            self._kept[digest] = data
        while len(self._kept) > MOST_KEPT:
            del self._kept[next(iter(self._kept))]

    def small(self, digest: str) -> bytes:
        """A photo's thumbnail, empty where there is none."""
        kept = self._photo(digest)
        return kept.thumbnail if kept is not None else b""

    def made(self, digest: str) -> bytes:
        """A photo made ready, which takes its time; from any thread."""
        kept = self._photo(digest)
        if kept is None or kept.size <= (MOST_BYTES if kept.media == JPEG else MOST_OTHER_BYTES):
            try:
                found = self._shelf.read(digest)
                if found is not None:
                    return self._eye.reduced(found.data, PRINT_SIDE)
            except BenchError:
                pass
        return kept.thumbnail if kept is not None else b""

    def _photo(self, digest: str) -> Photo | None:
        try:
            return self._store.photos([digest]).get(digest)
        except BenchError:
            return None


class PrintsBeside:
    """The photos of a slip in view: thumbnails, until those for print were made in a thread.

    From one thread: `take_in` before a slip is composed with them, `make` after it.
    """

    def __init__(self, prints: PhotoPrints) -> None:
        self._prints = prints
        self._wanted: dict[str, None] = {}
        """In order, and each once."""
        self._tried: set[str] = set()
        self._errand: Errand[dict[str, bytes]] | None = None

    def __call__(self, entry: PhotoAdded) -> bytes:
        """A photo as it is ready, else small; empty where it cannot be shown."""
        digest = entry.digest
        data = self._prints.kept(digest)
        if not data and digest not in self._tried:
            self._wanted[digest] = None
        return data or self._prints.small(digest)

    def take_in(self) -> None:
        """Have ready what was made meanwhile."""
        if self._errand is None or not self._errand.done:
            return
        made, self._errand = self._errand.result(), None
        self._tried |= made.keys()
        for digest, data in made.items():
            self._wanted.pop(digest, None)
            self._prints.keep(digest, data)

    def make(self) -> None:
        """Begin to make what was asked for and is not ready."""
        if self._errand is None and self._wanted:
            wanted, made = tuple(self._wanted), self._prints.made
            self._errand = Errand(lambda: {d: made(d) for d in wanted}, "photos for print")

    @property
    def coming(self) -> bool:
        """Whether some that were given are small ones still."""
        return self._errand is not None

    @property
    def made(self) -> bool:
        """Whether those for print are there to be taken in."""
        return self._errand is not None and self._errand.done

    def close(self, timeout: float | None = 5.0) -> None:
        """Wait for those that are being made; None: until they are."""
        if self._errand is not None:
            self._errand.close(timeout)


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
