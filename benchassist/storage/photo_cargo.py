"""The originals that go along with a backup to a place of its own, and come back with it.

They lie in a folder beside the backup, as they do in the home folder: each under its digest, once
for all backups in that place.
"""

from collections.abc import Collection
from contextlib import suppress
from dataclasses import dataclass
from gettext import gettext as _
from pathlib import Path
from typing import Final

from benchassist.errors import StoreError
from benchassist.storage.backup import Progress
from benchassist.storage.photo_shelf import PhotoShelf

FOLDER: Final = "benchassist-photos"


@dataclass(frozen=True, slots=True)
class Carried:
    """What became of photos: how many were copied, were there, or are unharmed in neither place."""

    copied: int = 0
    there: int = 0
    absent: int = 0


def folder_beside(backup: Path) -> Path:
    """Return the folder in which the originals of a backup lie, if any went along with it."""
    return backup.absolute().parent / FOLDER


def still_to_carry(source: PhotoShelf, target: PhotoShelf, digests: Collection[str]) -> list[int]:
    """Return the bytes of each photo that the target has not, by their names alone."""
    return [size for size in (_lacking(source, target, digest) for digest in digests) if size]


def _lacking(source: PhotoShelf, target: PhotoShelf, digest: str) -> int:
    size, whole = source.lying(digest)
    there, whole_there = target.lying(digest)
    return size if whole > whole_there or (whole == whole_there and size != there) else 0


def carry(
    source: PhotoShelf,
    target: PhotoShelf,
    digests: Collection[str],
    progress: Progress | None = None,
) -> Carried:
    """Copy the photos that the target has not unharmed, each held against its digest, twice.

    `progress` is told photos; whatever ends the work takes back what it had copied. Raises
    StoreError where the target does not take them.
    """
    copied, there, absent = list[Path](), 0, 0
    try:
        for number, digest in enumerate(sorted(digests)):
            if progress is not None:
                progress(number, len(digests))
            found = target.read(digest)
            if found is not None and (found.whole or not source.lying(digest)[1]):
                there += 1
            elif (fetched := source.read(digest)) is not None:
                copied.append(target.keep_as(digest, fetched))
                _require(target, digest, whole=fetched.whole)
            elif found is not None:
                there += 1
            else:
                absent += 1
        if progress is not None:
            progress(1, 1)
    except BaseException:
        for file in copied:
            with suppress(OSError):
                file.unlink()
        raise
    return Carried(len(copied), there, absent)


def _require(target: PhotoShelf, digest: str, *, whole: bool) -> None:
    """Raise StoreError where a photo cannot be read as it was written."""
    found = target.read(digest)
    if found is None or found.whole is not whole:
        raise StoreError(
            _("a photo was not written as it is: look after that disk, or choose another")
        )
