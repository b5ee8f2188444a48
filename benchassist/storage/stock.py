"""What a bench could go on with if its server were lost: kept in hand while the server is there.

The open visits that no other bench has on, as far as they are written, and what new cards and
slips are numbered from. Of a visit that another bench has on nothing is kept, so that it is not
gone on with here by mistake.
"""

import logging
import time
from typing import Final

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import DBAPIError

from benchassist.errors import BenchError
from benchassist.storage import query
from benchassist.storage.frozen import Thaw
from benchassist.storage.hand import MOST_IN_HAND
from benchassist.storage.journal import Journal
from benchassist.storage.lease import Leases

PERIOD_S: Final = 5.0

log = logging.getLogger(__name__)


class Stock:
    """`take` looks at the server in the caller's thread, one at a time."""

    def __init__(self, engine: Engine, leases: Leases, journal: Journal) -> None:
        self._engine, self._leases, self._journal = engine, leases, journal
        self._thaw = Thaw()
        self._due_s = 0.0
        self.letter = ""
        """The letter of this bench's slips."""

    def is_due(self) -> bool:
        """Whether it is time; if so, not again for a while."""
        now = time.monotonic()
        if now < self._due_s or self._journal.away is not None:
            return False
        self._due_s = now + PERIOD_S
        return True

    def take(self) -> None:
        """See what there is, and read what is not in hand as it stands. Raises nothing."""
        try:
            with self._engine.begin() as server:
                self._take(server)
        except (BenchError, DBAPIError) as error:
            log.info("what is open could not be kept in hand: %s", error)

    def _take(self, server: Connection) -> None:
        letter, journal = self.letter, self._journal
        journal.serials[letter] = query.highest_serial(server, letter)
        journal.machines = query.machine_count(server)
        elsewhere = {lease.visit_id for lease in self._leases.look(server)}
        journal.hand.drop(elsewhere - set(self._leases.held))
        briefs = query.briefs(server, open_only=True, machine_id="")
        free = [brief for brief in briefs if brief.id not in elsewhere]
        for brief in free[:MOST_IN_HAND]:
            here = brief.id in self._leases.held
            if not here and journal.hand.entries_of(brief.id) != brief.entries:
                journal.hand.stock(*query.visit(server, brief.id, self._thaw))
