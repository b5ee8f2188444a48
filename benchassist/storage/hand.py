"""The visits in hand: what a bench needs to go on with them while the server is lost."""

import threading
from collections import OrderedDict
from typing import Final

from benchassist.core.entry import Entry
from benchassist.core.visit import VisitHeader
from benchassist.storage.ledger import Work

MOST_IN_HAND: Final = 32
"""Visits kept in memory, so that they are there when the server is not."""


class Hand:
    """Visits that this bench works on, as they stand, in memory. From any thread."""

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
