"""How much room there is on a disk, asked before a copy is begun; a disk is never filled.

A shelf of backups may take a share of what would be free without it, so that it grows with the disk
and gives way as other things need the room; a small shop's may take as much as it likes.
"""

import shutil
from dataclasses import dataclass
from gettext import gettext as _
from pathlib import Path
from typing import Final

from benchassist.core.byte_count import size_text
from benchassist.errors import BenchError

SHARE: Final = 4
"""The shelf may take one part in so many of what is free and what it takes already."""

FLOOR: Final = 256 * 2**20
"""Bytes that the shelf may take however full the disk is."""

SPARE: Final = 64 * 2**20
SPARE_SHARE: Final = 10
"""What is left free beside a copy: so many bytes, or one part in so many of it where that is more.

The shop itself goes on writing meanwhile, and a copy may be larger than it was thought to be.
"""


class NoRoomError(BenchError):
    """A copy that was not begun because its disk has no room for it."""


@dataclass(frozen=True, slots=True)
class Disk:
    """What a disk says of itself: bytes that this user may still write, and which disk it is."""

    free: int
    device: int = 0


def disk_of(folder: Path) -> Disk | None:
    """Return the disk a folder is on, or will be; None where the system does not tell."""
    try:
        there = next(f for f in (folder.absolute(), *folder.absolute().parents) if f.exists())
        return Disk(shutil.disk_usage(there).free, there.stat().st_dev)
    except (OSError, StopIteration):
        return None


def lacking(folder: Path, need: int) -> int:
    """Return how many bytes are missing for a copy of so many; none where nothing is known."""
    disk = disk_of(folder)
    return 0 if disk is None else max(0, need + spare(need) - disk.free)


def spare(need: int) -> int:
    """Return how many bytes stay free beside a copy of so many."""
    return max(SPARE, need // SPARE_SHARE)


def require_room(*needs: tuple[Path, int]) -> None:
    """Raise NoRoomError where a disk has no room for what goes into its folders.

    Folders on one disk need it together.
    """
    by_disk = dict[int, tuple[Path, int, int]]()
    for folder, need in needs:
        disk = disk_of(folder)
        if disk is not None and need:
            first, before, free = by_disk.get(disk.device, (folder, 0, disk.free))
            by_disk[disk.device] = (first, before + need, free)
    for folder, need, free in by_disk.values():
        if need + spare(need) > free:
            raise NoRoomError(
                _(
                    "no room in {folder}: {need} would be written there, {free} are free and "
                    "{spare} must stay free: make room there, or choose another disk"
                ).format(
                    folder=folder,
                    need=size_text(need),
                    free=size_text(free),
                    spare=size_text(spare(need)),
                )
            )


def allowance(folder: Path, taken: int) -> int | None:
    """Return how many bytes a shelf may take that takes so many now; None where any number."""
    disk = disk_of(folder)
    return None if disk is None else max(FLOOR, (disk.free + taken) // SHARE)


def size_of(file: Path) -> int:
    """Return a file's bytes, none where it is not there."""
    try:
        return file.stat().st_size
    except OSError:
        return 0
