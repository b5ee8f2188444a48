"""The originals of a shop's photos, on their way to the place of a backup and back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from benchassist.assembly import Place, photo_shelf

if TYPE_CHECKING:
    from collections.abc import Collection
    from pathlib import Path

    from benchassist.storage.backup import Progress
    from benchassist.storage.photo_cargo import Carried
    from benchassist.storage.photo_shelf import PhotoShelf


@dataclass(slots=True)
class Luggage:
    """What goes along with a backup to a place of its own; without one, nothing.

    Those that are made by day lie on the disk of the originals: there they would be safe from
    nothing that the originals are not, and outlive an erasure. `carried` is what became of it.
    """

    place: Place
    to: Path | None
    progress: Progress | None
    carried: Carried | None = None
    share: float = 1.0
    """How much of the work the backup itself is."""

    def weigh(self, need: int, digests: Collection[str]) -> None:
        """See what will go along with a backup of so many bytes.

        Raises NoRoomError where there is none for both.
        """
        from benchassist.storage.photo_cargo import still_to_carry
        from benchassist.storage.room import require_room

        if self.to is None or not digests:
            return
        home, there = photo_shelf(self.place), shelf_beside(self.to)
        require_room((self.to.parent, need + sum(still_to_carry(home, there, digests))))
        # Those that are there already are read as well.
        read = sum(home.lying(digest)[0] for digest in digests)
        self.share = need / max(1, need + read)

    @property
    def first(self) -> Progress | None:
        """What the backup itself tells its progress."""
        from benchassist.storage.backup import part_of

        return self.progress if self.share == 1.0 else part_of(self.progress, 0.0, self.share)

    def bring(self, digests: Collection[str]) -> None:
        """Bring them. Raises StoreError; nothing of them is left there then."""
        from benchassist.storage.backup import part_of
        from benchassist.storage.photo_cargo import carry

        if self.to is not None:
            told = part_of(self.progress, self.share, 1.0) if digests else None
            home, there = photo_shelf(self.place), shelf_beside(self.to)
            self.carried = carry(home, there, digests, told)


def folder_beside(backup: Path) -> Path:
    """The folder in which the originals lie that went along with a backup."""
    from benchassist.storage.photo_cargo import folder_beside as beside

    return beside(backup)


def shelf_beside(backup: Path) -> PhotoShelf:
    """Where the originals lie that went along with a backup."""
    from benchassist.storage.photo_shelf import PhotoShelf

    return PhotoShelf(folder_beside(backup))


def coming_back(place: Place, backup: Path) -> list[int]:
    """The bytes of each photo that restoring a backup brings back. Raises ShopFileError."""
    from benchassist.storage.photo_cargo import still_to_carry

    return still_to_carry(shelf_beside(backup), photo_shelf(place), _photos_in(backup))


def bring_back(place: Place, backup: Path, progress: Progress | None = None) -> Carried:
    """Bring back what a backup names and is not here. Raises ShopFileError, StoreError."""
    from benchassist.storage.photo_cargo import carry

    return carry(shelf_beside(backup), photo_shelf(place), _photos_in(backup), progress)


def _photos_in(backup: Path) -> frozenset[str]:
    """The digests of the photos that a backup names, a shop file or a dump."""
    from benchassist.storage import backup as shop_file
    from benchassist.storage import dump_file
    from benchassist.storage.whole_file import begins_as_dump

    is_dump = begins_as_dump(backup)
    return dump_file.photos_in(backup) if is_dump else shop_file.photos_in(backup)
