"""Visits from another shop are taken in, each in one transaction, by the writer's thread.

What is on file is never changed by it. A visit that is there already is compared:

- the same, or further on here: nothing is to be done;
- further on there: the entries that are missing here are added;
- worked on in both places: refused by its number, and what is here stays.

Another visit's slip number is no reason to refuse: two shops both count from 0001. The visit that
comes is then numbered 0001-2; a number of that make does not count towards the shop's next one.
A machine of the same id is the same machine: what is said of it here stays, what is blank here is
filled in. Where its customer's personal data was erased, none comes back; what differs only by an
erasure, here or there, is the same.
"""

import threading
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from gettext import gettext as _
from typing import Final

from sqlalchemy import Connection

from benchassist.core.visit import VisitHeader
from benchassist.storage.arrival import ConflictError, take_in
from benchassist.storage.parcel import Parcel
from benchassist.storage.photo_query import KeepCopy

TRIES: Final = 3
PAUSE_S: Final = 0.5
"""Between two tries of a visit, besides what the database itself waits for a lock."""


@dataclass(slots=True)
class Taking:
    """What has become of a file's visits so far. `renumbered` holds a line each."""

    imported: int = 0
    unchanged: int = 0
    conflicts: list[str] = field(default_factory=list)
    renumbered: list[str] = field(default_factory=list)
    failure: str = ""
    """Why the rest was not tried; empty where all was."""

    @property
    def done(self) -> int:
        """How many visits were looked at."""
        return self.imported + self.unchanged + len(self.conflicts)

    def add(self, other: "Taking") -> None:
        """What has become of another file's visits."""
        self.failure = other.failure
        self.imported += other.imported
        self.unchanged += other.unchanged
        self.conflicts += other.conflicts
        self.renumbered += other.renumbered


class Intake:
    """A chore of the writer's thread, a visit a piece.

    The newest visit goes first, so that of a new machine what was said last is what stays.
    """

    def __init__(self, parcels: Sequence[Parcel], keep_copy: KeepCopy | None = None) -> None:
        """`keep_copy` puts a photo's file on this computer; without it none is kept."""
        self._keep_copy = keep_copy
        self._left = sorted(parcels, key=lambda parcel: parcel.header.opened_at)
        self._taking = Taking()
        self._tries = 0
        self._ended, self._stopped = threading.Event(), threading.Event()
        self.due_s = 0.0
        if not self._left:
            self._ended.set()

    @property
    def is_done(self) -> bool:
        """Whether every visit was looked at, or the rest given up."""
        return self._ended.is_set()

    @property
    def done(self) -> int:
        """How many visits were looked at so far."""
        return self._taking.done

    def ended(self, timeout: float) -> bool:
        """Wait so many seconds at most; whether it is known what has become of the visits."""
        return self._ended.wait(timeout)

    def stop(self) -> None:
        """Leave the visits that were not looked at yet. From any thread."""
        self._stopped.set()

    def wait(self) -> Taking:
        """Return what has become of the visits, once that is known."""
        self._ended.wait()
        return self._taking

    def work(self, connection: Connection) -> None:
        """Take in one visit. Raises DBAPIError."""
        if not self._left:
            return
        if self._stopped.is_set():
            self._give_up(_("it was stopped"))
            return
        parcel = self._left[-1]
        try:
            with connection.begin():
                header = take_in(connection, parcel, self._keep_copy)
        except ConflictError as error:
            self._taking.conflicts.append(str(error))
        else:
            self._tell(parcel, header)
        self._left.pop()
        self._tries = 0
        if not self._left:
            self._ended.set()

    def _tell(self, parcel: Parcel, header: VisitHeader | None) -> None:
        if header is None:
            self._taking.unchanged += 1
            return
        self._taking.imported += 1
        if header.slip_number != parcel.header.slip_number:
            self._taking.renumbered.append(
                _("visit {number} is kept as {other}: its number was taken").format(
                    number=parcel.header.slip_number, other=header.slip_number
                )
            )

    def failed(self, why: str) -> None:
        """The visit is tried again a few times; then it and the rest are left."""
        self._tries += 1
        self.due_s = time.monotonic() + PAUSE_S
        if self._tries >= TRIES:
            self._give_up(why)

    def close(self) -> None:
        """The shop closes: what is not taken in is left."""
        if self._left:
            self._give_up(_("the shop was closed"))

    def _give_up(self, why: str) -> None:
        self._taking.failure = why
        self._left.clear()
        self._ended.set()
