"""The folder where the originals of photos lie, each under the SHA-256 of its bytes.

`<first two digits>/<digest>.jpg` is an original. `<digest>-<other digest>.jpg` is what came from
another shop instead of it: the same picture without what its camera added, under its own digest
too. Names are made of digests and of nothing else, so that no file from elsewhere says where it
goes. Whatever is read is held against the digest in its name.
"""

import hashlib
import os
import time
from contextlib import suppress
from dataclasses import dataclass
from gettext import gettext as _
from pathlib import Path
from threading import get_native_id
from typing import Final

from benchassist.core.photo import MOST_BYTES, SUFFIXES, PhotoCopy, PhotoFacts, is_digest
from benchassist.errors import BenchError, InputError, StoreError
from benchassist.storage import photo_text
from benchassist.storage.whole_file import UNFINISHED, sync

STALE_S: Final = 86_400.0
"""Seconds after which nobody is still writing a file that was begun."""


@dataclass(frozen=True, slots=True)
class PhotoOnFile:
    """A photo's bytes as they lie here; `whole`: it is the original. `name` is its file's."""

    data: bytes
    whole: bool
    name: str = ""


class PhotoShelf:
    """Photos of one home folder. Any thread may use it; it keeps nothing in memory."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def look_at(self, data: bytes) -> PhotoFacts:
        """What a file says of itself. Raises InputError for one that is not taken."""
        return photo_text.look_at(data)

    def stripped(self, data: bytes) -> bytes:
        """The same picture with nothing but it in the file. Raises InputError as `look_at`."""
        return photo_text.stripped(data)

    def keep(self, data: bytes, media: str) -> str:
        """Put an original on the shelf, its bytes untouched; returns its digest.

        One that is there already stays as it is. Raises StoreError where it cannot be written.
        """
        digest = hashlib.sha256(data).hexdigest()
        self._write(self._room(digest) / f"{digest}{SUFFIXES[media]}", data)
        return digest

    def keep_copy(self, copy: PhotoCopy) -> None:
        """Put what came instead of an original on the shelf, unless either is there already.

        Raises InputError where its bytes are not what its digest says, StoreError as `keep`.
        """
        if copy.media not in SUFFIXES or not (is_digest(copy.original) and is_digest(copy.digest)):
            raise InputError(_("a photo in it has no name that can be kept"))
        if hashlib.sha256(copy.data).hexdigest() != copy.digest:
            raise InputError(_("a photo in it is not the one it says: export the visit again"))
        if not self.holds(copy.original):
            name = (
                copy.original if copy.original == copy.digest else f"{copy.original}-{copy.digest}"
            )
            self._write(self._room(copy.original) / f"{name}{SUFFIXES[copy.media]}", copy.data)

    def keep_as(self, digest: str, found: PhotoOnFile) -> Path:
        """Put a photo as it was read from another shelf on this one; its file. StoreError."""
        file = self._room(digest) / found.name
        self._write(file, found.data)
        return file

    def holds(self, digest: str) -> bool:
        """Whether a photo lies here, whole or stripped; its bytes are not looked at."""
        return bool(self._files(digest))

    def lying(self, digest: str) -> tuple[int, bool]:
        """How many bytes a photo has here, none where it does not lie here; whether it is whole.

        They are not looked at.
        """
        for file in self._files(digest):
            with suppress(OSError):
                return file.stat().st_size, file.stem == digest
        return 0, False

    def read(self, digest: str) -> PhotoOnFile | None:
        """A photo's bytes, the original before a copy; None where neither lies here unharmed."""
        for file in self._files(digest):
            name = file.stem.rpartition("-")[2]
            try:
                with file.open("rb") as opened:
                    data = opened.read(MOST_BYTES + 1)
            except OSError:
                continue
            if hashlib.sha256(data).hexdigest() == name:
                return PhotoOnFile(data, whole=name == digest, name=file.name)
        return None

    def copy(self, digest: str) -> PhotoCopy | None:
        """A photo as it may leave the shop, stripped; None where it does not lie here."""
        found = self.read(digest)
        if found is None:
            return None
        try:
            data = photo_text.stripped(found.data)
            media = photo_text.look_at(data).media
        except BenchError:
            return None
        own = hashlib.sha256(data).hexdigest()
        return PhotoCopy(original=digest, digest=own, media=media, data=data)

    def discard(self, digest: str) -> None:
        """Take a photo off the shelf for good, with any copy. Raises StoreError where it cannot."""
        for file in [*self._room(digest).glob(f"{digest}*")] if is_digest(digest) else []:
            try:
                file.unlink(missing_ok=True)
            except OSError as error:
                raise StoreError(
                    _("the photo {file} cannot be removed ({why})").format(
                        file=file, why=error.strerror
                    )
                ) from None

    def _room(self, digest: str) -> Path:
        return self._folder / digest[:2]

    def _files(self, digest: str) -> list[Path]:
        """The files of a photo that are there, the original first."""
        if not is_digest(digest):
            return []
        room = self._room(digest)
        whole = [room / f"{digest}{suffix}" for suffix in SUFFIXES.values()]
        found = [file for file in whole if file.is_file()]
        if found:
            return found
        with suppress(OSError):
            copies = sorted(room.glob(f"{digest}-*"))
            return [
                file
                for file in copies
                if file.suffix in SUFFIXES.values() and is_digest(file.stem[len(digest) + 1 :])
            ]
        return []

    def _write(self, file: Path, data: bytes) -> None:
        """Write a file whole or not at all: under another name, to the disk, then renamed."""
        fresh = file.with_name(f"{file.name}.{os.getpid()}-{get_native_id()}{UNFINISHED}")
        try:
            if file.is_file() and file.read_bytes() == data:
                return
            file.parent.mkdir(parents=True, exist_ok=True)
            fresh.write_bytes(data)
            sync(fresh)
            fresh.replace(file)
            sync(file.parent)
            _sweep(file.parent)
        except OSError as error:
            with suppress(OSError):
                fresh.unlink(missing_ok=True)
            raise StoreError(
                _("the photo cannot be kept in {folder} ({why})").format(
                    folder=self._folder, why=error.strerror or error
                )
            ) from None


def _sweep(room: Path) -> None:
    """Clear away what a program that was killed had begun, a day and more ago."""
    for begun in room.glob(f"*{UNFINISHED}"):
        with suppress(OSError):
            if time.time() - begun.stat().st_mtime > STALE_S:
                begun.unlink()
