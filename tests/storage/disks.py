"""A disk of a size that a test says."""

from collections.abc import Callable
from pathlib import Path

import pytest

from benchassist.storage import room
from benchassist.storage.room import Disk


def disk(monkeypatch: pytest.MonkeyPatch, free: Callable[[Path], int] | int) -> None:
    """Have every folder be on one disk with so many bytes free, as asked now or told by folder."""

    def disk_of(folder: Path) -> Disk:
        return Disk(free if isinstance(free, int) else free(folder))

    monkeypatch.setattr(room, "disk_of", disk_of)


def filling(folder: Path, size: int) -> Callable[[Path], int]:
    """A disk of so many bytes with nothing on it but what lies in a folder."""
    return lambda _asked: size - sum(f.stat().st_size for f in folder.rglob("*") if f.is_file())
