"""What is on file of a machine's photos, read in a thread and again as others are added."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from benchassist.core.entry import Entry
from benchassist.core.photo import Photo
from benchassist.core.photo_log import ShownPhoto, VisitPhotos, photos_of
from benchassist.errors import BenchError
from benchassist.services.errand import Errand
from benchassist.services.needs import Clock, Store

LOOK_EVERY_S: Final = 1.0
"""Seconds between two looks for what another bench added."""
SOON_S: Final = 0.2
"""The same while something is on its way to disk."""


@dataclass(frozen=True, slots=True, eq=False)
class _Found:
    """What is on file; `kept` are the photos that were not known before."""

    log: tuple[VisitPhotos, ...]
    kept: Mapping[str, Photo]


class PhotoWatch:
    """One machine's. Call `tick` from the GUI thread; it never waits."""

    def __init__(self, machine_id: str, store: Store, clock: Clock) -> None:
        self._machine_id, self._store, self._clock = machine_id, store, clock
        self._log: tuple[VisitPhotos, ...] = ()
        self._kept: dict[str, Photo] = {}
        self._written: list[Entry] = []
        self.loaded = False
        """Whether it was read once."""
        self.trouble = ""
        """Why it could not be read, in one line; what was read before stays."""
        self._looked_at = clock.monotonic()
        self._looking: Errand[_Found] | None = self._look()

    def tick(self) -> bool:
        """Fetch what was read, look again when it is time; whether anything changed."""
        changed = self._fetch()
        since = self._clock.monotonic() - self._looked_at
        if self._looking is None and since >= (SOON_S if self._written else LOOK_EVERY_S):
            self._looked_at = self._clock.monotonic()
            self._looking = self._look()
        return changed

    def close(self) -> None:
        """Wait for the thread."""
        if self._looking is not None:
            self._looking.close()

    def wrote(self, entry: Entry, photo: Photo | None = None) -> None:
        """What was written here counts at once; it is in pencil until it is seen on file."""
        self._written.append(entry)
        if photo is not None:
            self._kept[photo.digest] = photo

    @property
    def visit_ids(self) -> frozenset[str]:
        """The machine's visits."""
        return frozenset(visit.visit_id for visit in self._log)

    def photos(self) -> list[ShownPhoto]:
        """Every photo that is shown, visit by visit."""
        found: list[ShownPhoto] = []
        for visit in self._log:
            written = (e for e in self._written if e.stamp.visit_id == visit.visit_id)
            found += photos_of((*visit.entries, *written))
        return found

    def kept(self, digest: str) -> Photo | None:
        """What the shop keeps of a photo."""
        return self._kept.get(digest)

    def pencilled(self, entry: Entry) -> bool:
        """Whether an entry was not seen on file yet."""
        return any(entry is written for written in self._written)

    def goes_to(self, visit_id: str) -> VisitPhotos | None:
        """That visit, else the newest that is open, else the newest; None where there is none."""
        named = [visit for visit in self._log if visit.visit_id == visit_id]
        still_open = [visit for visit in self._log if not visit.closed]
        return next(iter(named or still_open[-1:] or self._log[-1:]), None)

    def _look(self) -> Errand[_Found]:
        store, machine_id, known = self._store, self._machine_id, frozenset(self._kept)

        def look() -> _Found:
            log = store.photo_log(machine_id)
            wanted = {p.entry.digest for visit in log for p in photos_of(visit.entries)} - known
            return _Found(log, store.photos(wanted) if wanted else {})

        return Errand(look, "photos on file")

    def _fetch(self) -> bool:
        looking = self._looking
        if looking is None or not looking.done:
            return False
        self._looking = None
        trouble = self.trouble
        try:
            found = looking.result()
        except BenchError as error:
            self.trouble = str(error)
            return self.trouble != trouble
        on_file = {entry.stamp.id for visit in found.log for entry in visit.entries}
        written = [entry for entry in self._written if entry.stamp.id not in on_file]
        before = (self._log, self._written, self.loaded, trouble)
        changed = bool(found.kept) or before != (found.log, written, True, "")
        self._kept |= found.kept
        self._log, self._written, self.loaded, self.trouble = found.log, written, True, ""
        return changed
