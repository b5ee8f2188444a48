"""The photos of a visit: those that are still shown, with what was last said of them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from benchassist.core.entry import Entry, PhotoAdded, PhotoRemoved


@dataclass(frozen=True, slots=True)
class ShownPhoto:
    """A photo that is shown: its latest entry, and when it was first added."""

    entry: PhotoAdded
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitPhotos:
    """What is written of photos on a visit, in order; a visit without any is told too."""

    visit_id: str
    slip_number: str
    opened_at: datetime
    closed: bool
    entries: tuple[Entry, ...] = ()


def photos_of(entries: Iterable[Entry]) -> tuple[ShownPhoto, ...]:
    """The photos that were not removed among the entries of one visit, oldest first.

    A picture that is added again, to say something else of it, keeps its place and its time.
    """
    shown: dict[str, ShownPhoto] = {}
    for entry in entries:
        if isinstance(entry, PhotoAdded):
            before = shown.get(entry.digest)
            shown[entry.digest] = ShownPhoto(entry, before.at if before else entry.stamp.at)
        elif isinstance(entry, PhotoRemoved):
            gone = [d for d, photo in shown.items() if photo.entry.stamp.id == entry.entry_id]
            for digest in gone:
                del shown[digest]
    return tuple(shown.values())
