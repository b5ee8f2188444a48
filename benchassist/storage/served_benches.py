"""The benches of a shop whose server may be away: what is in the journal may be gone on with."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from sqlalchemy import Connection

from benchassist.core.away import Away, Delivered
from benchassist.core.lease import Granted, TakeUp
from benchassist.storage.benches import Benches
from benchassist.storage.chore import Question
from benchassist.storage.delivery import Outcome
from benchassist.storage.journal import Journal
from benchassist.storage.query import highest_serial

if TYPE_CHECKING:
    from benchassist.storage.served_store import ServedStore


class ServedBenches(Benches):
    """The benches of a shop on a server that may be away."""

    def __init__(self, store: "ServedStore", journal: Journal, outcome: Outcome) -> None:
        super().__init__(store.writing, store.leases, store.under_work, on_server=True)
        self._store = store
        self._journal = journal
        self._outcome = outcome

    def wear(self, name: str, letter: str) -> None:
        """The letter's numbers are asked for at once: they are counted on without the server."""
        super().wear(name, letter)
        self._store.stock.letter = letter
        self._store.writing.take_on(Question(lambda server: self._learn_serial(server, letter)))

    def _learn_serial(self, server: Connection, letter: str) -> None:
        with server.begin():
            self._journal.serials[letter] = highest_serial(server, letter)

    def _answer(self, question: Question[TakeUp]) -> TakeUp:
        """Wait for an answer as long as the server may give one. StoreError where none comes."""
        self._store.watch.wait(question.ended)
        return question.answer(0.0)

    def take_up(self, visit_id: str, *, new: bool = False) -> TakeUp:
        """While the server is away, what is in the journal may be gone on with.

        So may what is kept apart by now, as long as it is not put down.
        """
        if visit_id in self._outcome.aparts:
            return Granted(stale=False)
        if self._journal.away is None:
            return super().take_up(visit_id, new=new)
        if self.holds(visit_id):
            return Granted(stale=False)
        granted = self._leases.assume(visit_id, self._store.kept_token(visit_id, new=new))
        return Granted(stale=False) if new else granted

    def holds(self, visit_id: str) -> bool:
        """Whether a visit is this bench's, or its part of it is."""
        return visit_id in self._outcome.aparts or super().holds(visit_id)

    def put_down(self, visit_ids: Iterable[str]) -> None:
        """What is kept apart of them is free as well."""
        own = list(visit_ids)
        aparts = [self._outcome.aparts.pop(v) for v in own if v in self._outcome.aparts]
        for visit_id in own:
            self._outcome.renamed.pop(visit_id, None)
        super().put_down([*own, *(apart.id for apart in aparts)])

    @property
    def away(self) -> Away | None:
        """What is known of the server while it is lost."""
        return self._journal.away

    @property
    def delivered(self) -> Delivered | None:
        """What was last brought to it."""
        return self._outcome.delivered

    def kept_apart(self, visit_id: str) -> tuple[str, str] | None:
        """How a visit under work reads on the server by now."""
        found = self._outcome.renamed.get(visit_id)
        return None if found is None else (found.slip_number, found.apart_of)
