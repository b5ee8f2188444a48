"""What is said of a visit beside the work on it: a note, a mark, a photo; also once it is closed.

A visit on a bench is written by that bench's own pen, so that no two number the same entry.
"""

import uuid
from collections.abc import Callable
from dataclasses import dataclass, replace

from benchassist.core.entry import Entry, Stamp
from benchassist.core.record import Refused
from benchassist.core.visit import Visit
from benchassist.errors import BenchError
from benchassist.services.bench.pen import RETRY_AFTER, Pen
from benchassist.services.needs import Clock, Store
from benchassist.services.receipt import Receipts
from benchassist.services.typed_line import refuse_misfit


@dataclass(slots=True)
class _Said:
    """An entry that is not known to be on disk. `ticket` None: it was refused and waits."""

    entry: Entry
    ticket: int | None
    retry_at: float = 0.0


class SidePen:
    """Writes on visits that no bench has open. Call `settle` at every tick.

    `bench_pen` gives the pen of a visit that is on a bench, None for any other.
    """

    def __init__(
        self,
        *,
        store: Store,
        receipts: Receipts,
        clock: Clock,
        bench_pen: Callable[[str], Pen | None],
    ) -> None:
        self._store, self._receipts, self._clock = store, receipts, clock
        self._bench_pen = bench_pen
        self._in_hand: list[_Said] = []
        self.trouble = ""
        """Why the last write was refused, in one line; empty when all is on disk or on its way."""

    def write(self, visit_id: str, make: Callable[[Stamp], Entry]) -> Entry:
        """Make the next entry of a visit and hand it over.

        Raises StepError where the visit's state does not allow it, InputError for words that
        cannot be kept, NotFoundError for no visit.
        """
        pen = self._bench_pen(visit_id)
        if pen is not None:
            return pen.write(make)
        visit = self.visit(visit_id)
        entry = make(
            Stamp(
                id=str(uuid.uuid4()),
                visit_id=visit.header.id,
                seq=visit.next_seq,
                at=self._clock.now(),
            )
        )
        refuse_misfit(entry)
        visit.apply(entry)
        self._in_hand.append(_Said(entry, self._store.submit(entry)))
        return entry

    def visit(self, visit_id: str) -> Visit:
        """A visit from the store with what is still on its way there. Raises NotFoundError."""
        header, entries = self._store.visit(visit_id)
        kept = {entry.stamp.id for entry in entries}
        visit = Visit(header, entries)
        for said in self._in_hand:
            stamp = said.entry.stamp
            if stamp.visit_id == header.id and stamp.id not in kept:
                visit.apply(_renumbered(said.entry, visit.next_seq))
        return visit

    @property
    def pencilled(self) -> frozenset[str]:
        """Ids of the entries that are not yet known to be on disk."""
        return frozenset(said.entry.stamp.id for said in self._in_hand)

    def settle(self) -> tuple[Entry, ...]:
        """Take in what the store says; returns what turned to ink just now."""
        inked: list[Entry] = []
        tickets = {said.ticket: said for said in self._in_hand if said.ticket is not None}
        for answer in self._receipts.claim(tickets):
            said = tickets[answer.ticket]
            if isinstance(answer, Refused):
                self.trouble = answer.why
                said.ticket, said.retry_at = None, self._clock.monotonic() + RETRY_AFTER
            else:
                inked.append(said.entry)
                self._in_hand.remove(said)
        if not self._in_hand:
            self.trouble = ""
        now = self._clock.monotonic()
        for said in list(self._in_hand):
            if said.ticket is None and now >= said.retry_at:
                self._again(said)
        return tuple(inked)

    def hand_over(self) -> None:
        """Whatever the store has refused once more: the program is closing."""
        self.settle()
        for said in list(self._in_hand):
            if said.ticket is None:
                self._again(said)

    def _again(self, said: _Said) -> None:
        """Once more, behind what another bench may have written meanwhile."""
        stamp = said.entry.stamp
        try:
            _header, entries = self._store.visit(stamp.visit_id)
        except BenchError as error:
            self.trouble, said.retry_at = str(error), self._clock.monotonic() + RETRY_AFTER
            return
        if any(entry.stamp.id == stamp.id for entry in entries):
            self._in_hand.remove(said)
            return
        before = [entry.stamp.seq for entry in entries[-1:]]
        before += [
            other.entry.stamp.seq
            for other in self._in_hand
            if other.ticket is not None and other.entry.stamp.visit_id == stamp.visit_id
        ]
        said.entry = _renumbered(said.entry, max(before, default=0) + 1)
        said.ticket = self._store.submit(said.entry)


def _renumbered(entry: Entry, seq: int) -> Entry:
    return replace(entry, stamp=replace(entry.stamp, seq=seq))
