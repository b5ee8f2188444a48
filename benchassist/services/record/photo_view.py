"""What the window shows of a machine's photos, and what it asks of them.

Every text is final. Tiles run newest first.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoTile:
    """A photo, small. `text` stands below it: 'Today: coil, crack by tab', '2023: as it came in'.

    `thumbnail` is a JPEG of at most 320 pixels a side, the right way up; empty where the shop has
    none, and `note` says why. `missing`: the original is not on this computer, and `note` says
    where it may be. `pencilled`: it is not known to be on disk yet.
    """

    entry_id: str
    visit_id: str
    text: str
    caption: str = ""
    thumbnail: bytes = b""
    width: int = 0
    height: int = 0
    missing: bool = False
    note: str = ""
    pencilled: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoStrip:
    """All photos of a machine. How many of them show is for the window to count.

    `goes_to` says which visit a photo that is added belongs to, empty where there is none; `said`
    what became of those added last, `trouble` what could not be done, `busy_text` that some are
    still being read. `fresh` is the entry of the one added last: what it shows may be typed.
    `empty_text` stands where there are none.
    """

    tiles: tuple[PhotoTile, ...] = ()
    title: str = ""
    goes_to: str = ""
    said: str = ""
    trouble: str = ""
    busy_text: str = ""
    fresh: str = ""
    empty_text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoData:
    """A picture's bytes: the file's as it lies here, else the thumbnail; empty where neither is.

    `note` says what is shown where it is not the original.
    """

    data: bytes = b""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LargePhoto:
    """A photo to be looked at large. `load` reads its file, in whatever thread it is called."""

    entry_id: str
    load: Callable[[], PhotoData]
    text: str
    detail: str = ""


class PhotoDesk(Protocol):
    """Photos of a machine. Adding returns at once; `tick` brings what became of it."""

    def tick(self) -> None:
        """Take in what was read and what is on disk. From the GUI thread."""
        ...

    def strip(self) -> PhotoStrip:
        """What to show now."""
        ...

    def add_files(self, paths: Sequence[Path], caption: str = "") -> None:
        """Add files to the visit. Raises StepError where the machine has no visit yet."""
        ...

    def add_image(self, data: bytes, caption: str = "") -> None:
        """Add a picture that was pasted, as the bytes of a file. Raises as `add_files`."""
        ...

    def say(self, entry_id: str, caption: str) -> None:
        """Say what a photo shows. Raises NotFoundError for one that is gone."""
        ...

    def remove(self, entry_id: str) -> None:
        """Show a photo no more; its original is kept. Raises NotFoundError."""
        ...

    def large(self, entry_id: str) -> LargePhoto:
        """A photo to look at large. Raises NotFoundError."""
        ...
