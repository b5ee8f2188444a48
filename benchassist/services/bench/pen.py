"""Writes a visit's entries: numbers them, hands them to the store, knows which are on disk.

An entry counts in the visit at once, in pencil; it turns to ink when the store has acknowledged
it. What the store refuses stays in pencil and is handed over again, in order.
"""

import uuid
from collections.abc import Callable
from dataclasses import replace

from benchassist.core.entry import Entry, Stamp
from benchassist.core.record import Refused
from benchassist.core.slip_number import letter_of
from benchassist.core.visit import Visit
from benchassist.errors import StepError
from benchassist.services.needs import Clock, Store
from benchassist.services.receipt import Receipts
from benchassist.services.typed_line import refuse_misfit

RETRY_AFTER = 2.0
"""Seconds before refused entries are handed to the store again."""


class Pen:
    """The only writer of one visit. Call `settle` at every tick.

    `new`: the visit itself is not in the store yet and is handed over first. `barred`: why nothing
    may be written, one line; empty where it may.
    """

    def __init__(
        self,
        visit: Visit,
        store: Store,
        receipts: Receipts,
        clock: Clock,
        *,
        new: bool = False,
        barred: str = "",
    ) -> None:
        self._visit = visit
        self._store = store
        self._receipts = receipts
        self._clock = clock
        self._in_hand: list[Entry] = []
        self._tickets: dict[int, tuple[Entry, ...]] = {}
        self._retry_at: float | None = None
        self._header_in_hand = new
        self.barred = barred
        if new:
            self._tickets[store.submit_visit(visit.header)] = ()
        self.trouble = ""
        """Why the last write was refused, in one line; empty when all is on disk or on its way."""

    def write(self, make: Callable[[Stamp], Entry]) -> Entry:
        """Make the next entry, apply it and hand it over.

        Raises StepError where the visit does not allow it, InputError for words that cannot be
        kept; either leaves nothing written.
        """
        if self.barred:
            raise StepError(self.barred)
        stamp = Stamp(
            id=str(uuid.uuid4()),
            visit_id=self._visit.header.id,
            seq=self._visit.next_seq,
            at=self._clock.now(),
        )
        entry = make(stamp)
        refuse_misfit(entry)
        self._visit.apply(entry)
        self._in_hand.append(entry)
        if self._retry_at is None:
            self._tickets[self._store.submit(entry)] = (entry,)
        return entry

    @property
    def pencilled(self) -> frozenset[str]:
        """Ids of the entries that are not yet known to be on disk."""
        return frozenset(entry.stamp.id for entry in self._in_hand)

    @property
    def all_in_ink(self) -> bool:
        """Whether everything written is on disk."""
        return not self._in_hand and not self._header_in_hand

    def settle(self) -> tuple[Entry, ...]:
        """Take in what the store says; returns the entries that turned to ink just now."""
        if not self._in_hand and not self._header_in_hand:
            return ()
        inked: list[Entry] = []
        for said in self._receipts.claim(self._tickets):
            entries = self._tickets.pop(said.ticket)
            if isinstance(said, Refused):
                self._was_refused(said)
                continue
            inked.extend(entries)
            self._header_in_hand = self._header_in_hand and bool(entries)
        self._in_hand = [entry for entry in self._in_hand if entry not in inked]
        if self.all_in_ink:
            self.trouble, self._retry_at = "", None
        elif self.barred:
            pass
        elif self._retry_at is not None and self._clock.monotonic() >= self._retry_at:
            self._hand_over_again()
        return tuple(inked)

    def _was_refused(self, said: Refused) -> None:
        self.trouble = said.why
        self._retry_at = self._clock.monotonic() + RETRY_AFTER
        if said.final:
            self.barred = said.why
        if said.number_used:
            # Another bench was quicker: the visit takes the next number, and goes at once.
            number = self._store.next_slip_number(letter_of(self._visit.header.slip_number))
            self._visit.header = replace(self._visit.header, slip_number=number)
            self.trouble, self._retry_at = "", self._clock.monotonic()

    def hand_over(self) -> None:
        """Whatever the store has refused once more, without waiting: the program is closing."""
        self.settle()
        if self._retry_at is not None and not self.barred:
            self._tickets.clear()
            self._hand_over_again()

    def _hand_over_again(self) -> None:
        """Everything in hand once more, in order; the store keeps an entry once, by its id."""
        if self._tickets:
            return
        self._retry_at = None
        if self._header_in_hand:
            self._tickets[self._store.submit_visit(self._visit.header)] = ()
        if self._in_hand:
            self._tickets[self._store.submit(*self._in_hand)] = tuple(self._in_hand)
