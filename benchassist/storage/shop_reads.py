"""What is asked of a shop's machines, visits and parts."""

from collections.abc import Collection, Iterable
from datetime import datetime
from typing import TYPE_CHECKING

from benchassist.core.entry import Entry, Machine
from benchassist.core.lease import Lease
from benchassist.core.photo import Photo
from benchassist.core.photo_log import VisitPhotos
from benchassist.core.record import Found, History, VisitBrief, VisitSummary
from benchassist.core.slip_number import number_of
from benchassist.core.visit import VisitHeader
from benchassist.errors import ShopFileError
from benchassist.storage import query
from benchassist.storage.head import require_head
from benchassist.storage.reads import Reads

if TYPE_CHECKING:
    from benchassist.core.own_mark import MarkedReading


class ShopReads(Reads):
    """What is asked of machines, visits and parts."""

    def visit(self, visit_id: str) -> tuple[VisitHeader, tuple[Entry, ...]]:
        """A visit by id, or by slip number. Raises NotFoundError."""
        with self._reading() as connection:
            return query.visit(connection, visit_id, self._thaw)

    def history(self, machine_id: str, *, but: Collection[str] = ()) -> History:
        """A machine's visits with all their entries, oldest first, without those in `but`."""
        try:
            with self._reading() as connection:
                return query.history(connection, machine_id, self._thaw, but=but)
        except ShopFileError:
            # The file is damaged somewhere: what else stands in it is read visit by visit.
            return self._history_apart(machine_id, but)

    def _history_apart(self, machine_id: str, but: Collection[str]) -> History:
        with self._reading() as connection:
            slips = query.slips_of(connection, machine_id)
        visits, unread = list[tuple[VisitHeader, tuple[Entry, ...]]](), list[str]()
        for visit_id, number in slips:
            if visit_id not in but:
                try:
                    visits.append(self.visit(visit_id))
                except ShopFileError:
                    unread.append(number)
        return History(tuple(visits), tuple(unread))

    def machine(self, machine_id: str) -> Machine | None:
        """A machine by its id, None where there is none."""
        with self._reading() as connection:
            return query.machine(connection, machine_id)

    def entry_counts(self, machine_id: str) -> tuple[tuple[str, int], ...]:
        """How far each visit of a machine is written: its id and the number of its last entry."""
        with self._reading() as connection:
            return query.entry_counts(connection, machine_id)

    def photos(self, digests: Iterable[str]) -> dict[str, Photo]:
        """What is kept of these photos, by digest; one that is not kept is left out."""
        from benchassist.storage.photo_query import photos

        with self._reading() as connection:
            return photos(connection, digests)

    def photo_log(self, machine_id: str) -> tuple[VisitPhotos, ...]:
        """The visits of a machine, oldest first, each with what is written of photos on it."""
        from benchassist.storage.photo_query import photo_log

        with self._reading() as connection:
            return photo_log(connection, machine_id)

    def visits(self, *, open_only: bool = False, machine_id: str = "") -> tuple[VisitSummary, ...]:
        """Visits, newest first."""
        with self._reading() as connection:
            return query.visits(connection, open_only=open_only, machine_id=machine_id)

    def briefs(self, *, open_only: bool = False, machine_id: str = "") -> tuple[VisitBrief, ...]:
        """Visits by their outside, newest first, for whoever looks for news.

        Raises StoreError where the news is that another bench has changed the shop's tables.
        """
        with self._reading() as connection:
            require_head(connection)
            return query.briefs(connection, open_only=open_only, machine_id=machine_id)

    def closed_since(self, moment: datetime) -> int:
        """How many visits were closed at that moment or later, and are."""
        with self._reading() as connection:
            return query.closed_since(connection, moment)

    def parts_fitted(self, machine_id: str) -> int:
        """How many parts were fitted at a machine's visits."""
        with self._reading() as connection:
            return query.parts_fitted(connection, machine_id)

    def find(self, words: str, limit: int) -> Found:
        """Machines that have every word, best first, at most `limit` of them."""
        from benchassist.storage.search_find import find

        with self._reading() as connection:
            return find(connection, words, limit=limit)

    def machines_of_tag(self, tag: str) -> tuple[Machine, ...]:
        """Machines with this very tag, whatever its case: one, unless shops were put together."""
        with self._reading() as connection:
            return query.machines_of_tag(connection, tag)

    def machine_count(self) -> int:
        """How many machines there are."""
        with self._reading() as connection:
            return query.machine_count(connection)

    def visit_ids(self, *, machine_id: str = "") -> tuple[str, ...]:
        """The ids of all visits, or of a machine's, oldest first."""
        with self._reading() as connection:
            return query.visit_ids(connection, machine_id=machine_id)

    def visits_in_all(self) -> tuple[int, datetime | None]:
        """How many visits there are, and when the newest was opened."""
        with self._reading() as connection:
            return query.visits_in_all(connection)

    def machines(self) -> tuple[Machine, ...]:
        """Every machine, the one seen last first."""
        with self._reading() as connection:
            return query.machines(connection)

    def next_slip_number(self, letter: str = "") -> str:
        """The number a visit opened now would carry: four digits from 0001, after a letter's."""
        return number_of(letter, self.highest_serial(letter) + 1)

    def highest_serial(self, letter: str) -> int:
        """The highest serial among the slip numbers of a letter; 0 for none."""
        with self._reading() as connection:
            return query.highest_serial(connection, letter)

    def part_marks(self, check_key: str) -> "tuple[MarkedReading, ...]":
        """What was last said of every reading of a check that was ever marked, by visit."""
        from benchassist.storage import mark_query

        with self._reading() as connection:
            return mark_query.part_marks(connection, check_key, self._thaw)

    def mark_count(self, check_key: str) -> int:
        """How many marks were ever set at a check: how long `part_marks` will take."""
        from benchassist.storage import mark_query

        with self._reading() as connection:
            return mark_query.mark_count(connection, check_key)

    def under_work(self) -> tuple[Lease, ...]:
        """The visits that other benches, or other windows, have on."""
        with self._reading() as connection:
            return self._leases.look(connection)
