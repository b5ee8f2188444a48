"""Photos on their way into the shop: read one after the other in a thread, kept, then written down.

The original is on disk first, then what the shop keeps of it, then the entry of the visit that
names it: whatever ends the program, no entry names a photo that is not there. Nothing is lost when
another page comes to the front; the shop's `settle` goes on with it.
"""

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from benchassist.core.entry import Entry, PhotoAdded, Stamp
from benchassist.core.photo import MOST_BYTES, Photo, PhotoFacts
from benchassist.core.record import Refused
from benchassist.errors import BenchError, InputError
from benchassist.services.bench.pen import RETRY_AFTER
from benchassist.services.bench.side_pen import SidePen
from benchassist.services.errand import Errand
from benchassist.services.needs import Clock, Store
from benchassist.services.receipt import Receipts
from benchassist.services.record.photo_need import Eye, Shelf
from benchassist.services.translation import _

MOST_WAITING: Final = 100
"""Photos that may wait to be read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """A photo to be added: a file, or the bytes of one that was pasted, and where it belongs.

    `known` says which photos the machine has already.
    """

    name: str
    source: Path | bytes
    visit_id: str
    caption: str = ""
    check_key: str = ""
    known: Callable[[], frozenset[str]] = frozenset


@dataclass(frozen=True, slots=True)
class ReadPhoto:
    """A photo that was read and lies on the shelf."""

    photo: Photo
    facts: PhotoFacts


@dataclass(slots=True)
class _Coming:
    """A photo whose row is on its way to disk. `ticket` None: it was refused and waits."""

    request: Request
    read: ReadPhoto
    ticket: int | None
    retry_at: float = 0.0


@dataclass(slots=True)
class Outcome:
    """What became of what was added to a machine's visits since it was last looked at."""

    added: list[tuple[PhotoAdded, Photo]] = field(default_factory=list)
    twice: list[str] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)


class PhotoRoom:
    """One shop's. Call `settle` at every tick."""

    def __init__(
        self,
        *,
        store: Store,
        receipts: Receipts,
        shelf: Shelf,
        eye: Eye,
        side: SidePen,
        clock: Clock,
    ) -> None:
        self.store, self.shelf, self.eye, self.side, self.clock = store, shelf, eye, side, clock
        self._receipts = receipts
        self._waiting: deque[Request] = deque()
        self._reading: tuple[Request, Errand[ReadPhoto]] | None = None
        self._coming: list[_Coming] = []
        self._outcomes: dict[str, Outcome] = {}
        self.trouble = ""
        """Why a photo is not on disk yet, in one line; empty while all is well."""

    def add(self, request: Request) -> None:
        """Begin to add a photo. Raises InputError where too many wait already."""
        if len(self._waiting) >= MOST_WAITING:
            raise InputError(
                _("{name}: {most} photos wait already, add it when they are in").format(
                    name=request.name, most=MOST_WAITING
                )
            )
        self._waiting.append(request)
        self._begin()

    def busy(self, visit_ids: frozenset[str]) -> bool:
        """Whether a photo is on its way to one of these visits."""
        under_way = [*self._waiting, *(c.request for c in self._coming)]
        under_way += [self._reading[0]] if self._reading is not None else []
        return any(request.visit_id in visit_ids for request in under_way)

    def outcome(self, visit_ids: frozenset[str]) -> Outcome:
        """What became of the photos of these visits since this was last asked."""
        told = Outcome()
        for visit_id in visit_ids & self._outcomes.keys():
            one = self._outcomes.pop(visit_id)
            told.added += one.added
            told.twice += one.twice
            told.faults += one.faults
        return told

    def settle(self) -> None:
        """Go on with what was read and with what the store says."""
        if self._reading is not None and self._reading[1].done:
            self._take_in()
        self._begin()
        tickets = {c.ticket: c for c in self._coming if c.ticket is not None}
        for answer in self._receipts.claim(tickets) if tickets else ():
            coming = tickets[answer.ticket]
            if isinstance(answer, Refused):
                self.trouble = answer.why
                coming.ticket, coming.retry_at = None, self.clock.monotonic() + RETRY_AFTER
            else:
                self._coming.remove(coming)
                self._write(coming)
        if not self._coming:
            self.trouble = ""
        now = self.clock.monotonic()
        for coming in self._coming:
            if coming.ticket is None and now >= coming.retry_at:
                coming.ticket = self.store.submit_photo(coming.read.photo)

    def hand_over(self, timeout: float = 20.0) -> None:
        """Bring everything to the store without waiting for its word: the program is closing."""
        while self._reading is not None:
            self._reading[1].close(timeout)
            if not self._reading[1].done:
                break
            self._take_in()
            self._begin()
        self.settle()
        for coming in self._coming:
            if coming.ticket is None:
                self.store.submit_photo(coming.read.photo)
            self._write(coming)
        self._coming.clear()

    def _begin(self) -> None:
        """Read the next one, in a thread."""
        if self._reading is None and self._waiting:
            request = self._waiting.popleft()
            self._reading = request, Errand(lambda: self._read(request.source), "photo")

    def _read(self, source: Path | bytes) -> ReadPhoto:
        """In the thread: a photo read, looked at, made small and kept. Raises BenchError."""
        data = source if isinstance(source, bytes) else _bytes_of(source)
        facts = self.shelf.look_at(data)
        thumbnail = self.eye.thumbnail(data)
        digest = self.shelf.keep(data, facts.media)
        photo = Photo(digest=digest, media=facts.media, size=len(data), thumbnail=thumbnail)
        return ReadPhoto(photo, facts)

    def _take_in(self) -> None:
        assert self._reading is not None  # noqa: S101 - its callers have seen to it
        (request, errand), self._reading = self._reading, None
        outcome = self._outcomes.setdefault(request.visit_id, Outcome())
        try:
            read = errand.result()
            coming = {c.read.photo.digest for c in self._coming}
            if read.photo.digest in request.known() | coming:
                outcome.twice.append(request.name)
                return
            ticket = self.store.submit_photo(read.photo)
        except BenchError as error:
            outcome.faults.append(f"{request.name}: {error}")
            return
        self._coming.append(_Coming(request, read, ticket))

    def _write(self, coming: _Coming) -> None:
        """What the shop keeps of it is on disk: now the visit names it."""
        request, photo = coming.request, coming.read.photo
        width, height = coming.read.facts.upright

        def added(stamp: Stamp) -> Entry:
            return PhotoAdded(
                stamp=stamp,
                digest=photo.digest,
                media=photo.media,
                width=width,
                height=height,
                caption=request.caption,
                check_key=request.check_key,
            )

        outcome = self._outcomes.setdefault(request.visit_id, Outcome())
        try:
            entry = self.side.write(request.visit_id, added)
        except BenchError as error:
            outcome.faults.append(f"{request.name}: {error}")
            return
        if isinstance(entry, PhotoAdded):
            outcome.added.append((entry, photo))


def _bytes_of(path: Path) -> bytes:
    """A file's bytes, one more than are allowed at most. Raises InputError."""
    try:
        if not path.is_file():
            raise InputError(_("there is no such file"))
        with path.open("rb") as file:
            return file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise InputError(_("the file cannot be read ({why})").format(why=why)) from None
