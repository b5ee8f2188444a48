"""The visits this bench has on, among the benches of the shop; and what is to be said of that."""

import platform
from collections.abc import Iterable, Mapping
from dataclasses import replace

from benchassist.core.lease import Lease
from benchassist.core.slip_number import before_apart
from benchassist.core.visit import VisitHeader
from benchassist.errors import BenchError, StepError
from benchassist.services.front.away_text import away_text, counter_away_text, delivered_text
from benchassist.services.front.lease_text import (
    held_text,
    kept_apart_text,
    on_bench_text,
    taken_over_text,
)
from benchassist.services.needs import Benches, Clock, Store
from benchassist.services.settings import Settings
from benchassist.services.translation import _


class BenchLeases:
    """Asks for visits and puts them down. Without `benches` there is no other bench."""

    def __init__(self, benches: Benches | None, store: Store, clock: Clock) -> None:
        self._benches = benches
        self._store = store
        self._clock = clock
        self._letter = ""

    def wear(self, settings: Settings) -> None:
        """What other benches call this one."""
        self._letter = settings.bench_letter
        if self._benches is not None:
            self._benches.wear(settings.bench_label or platform.node() or "?", self._letter)

    def take_up(self, visit_id: str, *, new: bool) -> bool:
        """Take a visit up; whether what is in memory of it is old by now.

        Raises StepError where another bench has it, StoreError where that cannot be asked.
        """
        if self._benches is None:
            return False
        answer = self._benches.take_up(visit_id, new=new)
        if isinstance(answer, Lease):
            raise StepError(held_text(self._number_of(visit_id), answer))
        return answer.stale

    def put_down(self, visit_ids: Iterable[str]) -> None:
        """Visits are free again."""
        if self._benches is not None:
            self._benches.put_down(visit_ids)

    def holds(self, visit_id: str) -> bool:
        """Whether a visit is this bench's."""
        return self._benches is None or self._benches.holds(visit_id)

    def home_text(self) -> str:
        """Where the shop is kept, where that is not this computer."""
        if self._benches is None or not self._benches.on_server:
            return ""
        if self._benches.away is not None:
            return _("Kept on this computer until the server is back.")
        return _("Everything is kept on the shop’s server.")

    def partial_text(self) -> str:
        """Why a machine may be on file that is not found here; empty where it would be found."""
        if self._benches is None or self._benches.away is None:
            return ""
        return _("Not on this computer; the server has the other machines. F2 makes a new card.")

    def unread_text(self, why: str) -> str:
        """What stands where machines would, when they could not be looked up."""
        if self._benches is None or not self._benches.on_server:
            return why
        return _("Not looked up yet: the server has not answered.")

    def elsewhere(self) -> Mapping[str, str]:
        """Where other visits are under work, by id: 'on bench B'. Empty where nobody can tell."""
        if self._benches is None:
            return {}
        try:
            found = self._benches.elsewhere()
        except BenchError:
            return {}
        return {visit_id: on_bench_text(lease) for visit_id, lease in found.items()}

    def renamed(self, header: VisitHeader) -> VisitHeader:
        """A header of a visit under work as it reads by now on the server."""
        found = self._benches.kept_apart(header.id) if self._benches is not None else None
        if found is None:
            return header
        number, apart_of = found
        return replace(header, slip_number=number, apart_of=apart_of)

    def notice(self, visit_id: str) -> str:
        """What the bench has to say of this visit and of the server; empty for nothing."""
        benches = self._benches
        if benches is None:
            return ""
        found = benches.kept_apart(visit_id)
        if found is not None and found[1]:
            return kept_apart_text(found[0], before_apart(found[0]))
        if other := benches.lost_to(visit_id):
            return taken_over_text(other)
        if benches.away is not None:
            return away_text(benches.away)
        return self._delivered()

    def counter_notice(self) -> str:
        """What the counter has to say of the server and of the bench's letter."""
        benches = self._benches
        if benches is None:
            return ""
        if benches.away is not None:
            return counter_away_text(benches.away)
        if told := self._delivered():
            return told
        user = benches.letter_user
        if user and self._letter:
            return _(
                "Bench {bench} uses the letter {letter} as well: choose another in the settings"
            ).format(bench=user, letter=self._letter)
        if user:
            return _(
                "Bench {bench} has no letter either: give each a letter in the settings"
            ).format(bench=user)
        return ""

    def _delivered(self) -> str:
        done = self._benches.delivered if self._benches is not None else None
        return delivered_text(done, self._clock.now()) if done is not None else ""

    def _number_of(self, visit_id: str) -> str:
        try:
            return self._store.visit(visit_id)[0].slip_number
        except BenchError:
            return ""
