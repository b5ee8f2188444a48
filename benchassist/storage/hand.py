"""The visits in hand: what a bench needs to go on with them while the server is lost."""

import threading
from collections import OrderedDict
from collections.abc import Iterable
from typing import Final

from benchassist.core.entry import Entry
from benchassist.core.visit import VisitHeader
from benchassist.storage.ledger import Work

MOST_IN_HAND: Final = 32
"""Visits kept in memory, so that they are there when the server is not."""


class Hand:
    """Visits that this bench works on, or could, as they stand, in memory. From any thread."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._visits: OrderedDict[str, tuple[VisitHeader, tuple[Entry, ...]]] = OrderedDict()

    def keep(self, header: VisitHeader, entries: tuple[Entry, ...]) -> None:
        """A visit as it was read."""
        with self._lock:
            self._visits[header.id] = (header, entries)
            self._visits.move_to_end(header.id)
            while len(self._visits) > MOST_IN_HAND:
                self._visits.popitem(last=False)

    def stock(self, header: VisitHeader, entries: tuple[Entry, ...]) -> None:
        """A visit that may be worked on here; it pushes out none that was."""
        with self._lock:
            known = self._visits.get(header.id)
            if known is None and len(self._visits) >= MOST_IN_HAND:
                return
            if known is None or len(known[1]) < len(entries):
                self._visits[header.id] = (header, entries)
            if known is None:
                self._visits.move_to_end(header.id, last=False)

    def drop(self, visit_ids: Iterable[str]) -> None:
        """Visits that others have on."""
        with self._lock:
            for visit_id in visit_ids:
                self._visits.pop(visit_id, None)

    def entries_of(self, visit_id: str) -> int:
        """The number of a visit's last entry in hand; -1 where it is not."""
        with self._lock:
            known = self._visits.get(visit_id)
        if known is None:
            return -1
        return known[1][-1].stamp.seq if known[1] else 0

    def wrote(self, work: Work) -> None:
        """Something is on the server now."""
        if isinstance(work, VisitHeader):
            with self._lock:
                known = work.id in self._visits
            if not known:
                self.keep(work, ())
        elif isinstance(work, tuple):
            with self._lock:
                for entry in work:
                    self._add(entry)

    def _add(self, entry: Entry) -> None:
        known = self._visits.get(entry.stamp.visit_id)
        if known is None:
            return
        header, entries = known
        due = entries[-1].stamp.seq + 1 if entries else 1
        if entry.stamp.seq == due:
            self._visits[header.id] = (header, (*entries, entry))

    def renamed(self, visit_id: str, header: VisitHeader) -> None:
        """A visit's header reads otherwise on the server."""
        with self._lock:
            if visit_id in self._visits:
                self._visits[visit_id] = (header, self._visits[visit_id][1])

    def visits(self) -> tuple[tuple[VisitHeader, tuple[Entry, ...]], ...]:
        """All of them."""
        with self._lock:
            return tuple(self._visits.values())
