"""The benches of a shop: each asks for the visit it works on, and says that it is still there.

What is asked goes through the writer's thread, and is answered soon or not at all.
"""

import logging
import time
from collections.abc import Callable, Iterable, Mapping
from typing import Final

from sqlalchemy import Connection

from benchassist.core.away import Away, Delivered
from benchassist.core.lease import Granted, Lease, TakeUp
from benchassist.errors import BenchError
from benchassist.storage.chore import Question
from benchassist.storage.lease import RENEW_S, Leases
from benchassist.storage.writer import Writer

ANSWER_S: Final = 1.0
"""How long a bench waits for the answer whether a visit is free."""

CLOSING_S: Final = 1.0
AGAIN_S: Final = 2.0
"""Until a renewal that could not be written is tried again."""

LETTER: Final = "letter:"
"""Before a bench's letter, the lease of that letter."""

log = logging.getLogger(__name__)


class Renewal:
    """A chore: while a lease is held, its holder is heard of every `RENEW_S`."""

    def __init__(self, leases: Leases) -> None:
        self._leases = leases
        self.due_s = time.monotonic() + RENEW_S
        self.is_done = False

    def work(self, connection: Connection) -> None:
        """Renew what is held. Raises DBAPIError."""
        self._leases.renew(connection)
        self.due_s = time.monotonic() + RENEW_S

    def failed(self, why: str) -> None:
        """The lease holds on for a while without it."""
        log.info("a lease could not be renewed: %s", why)
        self.due_s = time.monotonic() + AGAIN_S

    def close(self) -> None:
        """Leases are given back, or run out."""
        self.is_done = True


class LetterClaim:
    """A chore: a letter is asked for until this bench has it, whoever lets go of it meanwhile."""

    def __init__(self, leases: Leases, key: str) -> None:
        self._leases, self._key = leases, key
        self.user = ""
        """The bench that has it; empty where none was found, or another window of this computer."""
        self.due_s = 0.0
        self.is_done = False

    def work(self, connection: Connection) -> None:
        """Ask. Raises DBAPIError."""
        if self.is_done:
            return
        answer = self._leases.take(connection, self._key)
        if not isinstance(answer, Lease):
            self.user, self.is_done = "", True
        else:
            self.user = "" if answer.here else answer.bench
        self.due_s = time.monotonic() + RENEW_S

    def failed(self, why: str) -> None:
        """Again: a server that is away now comes back."""
        log.info("the bench's letter could not be asked for: %s", why)
        self.due_s = time.monotonic() + AGAIN_S

    def close(self) -> None:
        """It is wanted no more."""
        self.is_done = True


class Benches:
    """This bench among those of the shop. From the window's thread."""

    def __init__(
        self,
        writer: Writer,
        leases: Leases,
        under_work: Callable[[], tuple[Lease, ...]],
        *,
        on_server: bool = False,
    ) -> None:
        self.on_server = on_server
        self._writer = writer
        self._leases = leases
        self._under_work = under_work
        self._renewal: Renewal | None = None
        self._letter: LetterClaim | None = None
        self._key = LETTER
        self._asked: dict[str, Question[TakeUp]] = {}
        """New visits: nobody waits for their answer."""

    def wear(self, name: str, letter: str) -> None:
        """What this bench is called from now on, and the letter of its slips.

        Benches that share a server see who has which letter; windows of one computer share it.
        """
        self._leases.bench = name
        if not self.on_server:
            return
        key, held = LETTER + letter, self._leases.held
        if others := [one for one in held if one.startswith(LETTER) and one != key]:
            self._give_back(others)
        self._wear_no_more()
        self._key = key
        if key not in held:
            self._letter = LetterClaim(self._leases, key)
            self._writer.take_on(self._letter)
            self._renew()

    @property
    def letter_user(self) -> str:
        """Another bench that has this one's letter; empty where none was found."""
        held = self._leases.held.get(self._key)
        if held is not None:
            return held.lost_to
        return self._letter.user if self._letter is not None else ""

    def take_up(self, visit_id: str, *, new: bool = False) -> TakeUp:
        """Ask for a visit; a new one is nobody else's yet.

        Raises StoreError where it cannot be asked just now.
        """
        held = self._leases.held.get(visit_id)
        if held is not None and held.is_sure:
            return Granted(stale=False)
        question = Question(lambda connection: self._leases.take(connection, visit_id))
        self._writer.take_on(question)
        self._renew()
        if new:
            self._asked[visit_id] = question
            return Granted(stale=False)
        return self._answer(question)

    def _answer(self, question: Question[TakeUp]) -> TakeUp:
        """Wait for an answer. Raises StoreError where none comes."""
        return question.answer(ANSWER_S)

    def holds(self, visit_id: str) -> bool:
        """Whether a visit is this bench's, as far as is known."""
        asked = self._asked.get(visit_id)
        if asked is not None and not asked.is_done:
            return True
        held = self._leases.held.get(visit_id)
        return held is not None and not held.lost_to

    def lost_to(self, visit_id: str) -> str:
        """The bench that has taken a visit over from this one; empty where none has."""
        held = self._leases.held.get(visit_id)
        return held.lost_to if held is not None else ""

    def put_down(self, visit_ids: Iterable[str]) -> None:
        """Visits are free again, once what was written before is on disk."""
        known = self._leases.held
        held = [v for v in visit_ids if v in known]
        if held:
            self._give_back(held)

    def elsewhere(self) -> Mapping[str, Lease]:
        """The visits that other benches, or other windows, have on, by id."""
        under_work = (one for one in self._under_work() if not one.visit_id.startswith(LETTER))
        return {one.visit_id: one for one in under_work}

    # --- the server -------------------------------------------------------------------------------

    @property
    def away(self) -> Away | None:
        """What is known of a server that is lost; None while it is there, or none is needed."""
        return None

    @property
    def delivered(self) -> Delivered | None:
        """What was last brought to a server that had been lost."""
        return None

    def kept_apart(self, visit_id: str) -> tuple[str, str] | None:  # noqa: ARG002 - see ServedBenches
        """What a visit under work is called by now: its slip number, and which it is apart of."""
        return None

    # --- within -----------------------------------------------------------------------------------

    def _wear_no_more(self) -> None:
        """The letter so far is not asked for any more."""
        if self._letter is not None:
            self._letter.close()
        self._letter = None

    def close(self) -> None:
        """Give everything back; what cannot be given back in a moment runs out."""
        held = list(self._leases.held)
        if held:
            try:
                self._give_back(held).answer(CLOSING_S)
            except BenchError as error:
                log.info("leases were left to run out: %s", error)

    def _give_back(self, visit_ids: list[str]) -> Question[None]:
        tokens = self._leases.let_go(visit_ids)
        question = Question(lambda connection: self._leases.give_back(connection, tokens))
        self._writer.take_on(question)
        return question

    def _renew(self) -> None:
        if self._renewal is None or self._renewal.is_done:
            self._renewal = Renewal(self._leases)
            self._writer.take_on(self._renewal)
