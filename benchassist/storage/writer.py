"""The one thread that writes, over the only write connection of the process.

Each submission is one transaction, committed as soon as its turn comes; what became of it goes
into a queue that never drops. A submission that failed leaves nothing behind, and what follows it
in the same visit is refused too until it has been handed in again: a visit has no holes.
"""

import logging
import sqlite3
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from gettext import gettext as _
from queue import Empty, SimpleQueue
from typing import Final

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import DBAPIError

from benchassist.core.entry import Machine
from benchassist.core.record import Acknowledgement, Refused, Stored
from benchassist.core.visit import VisitHeader
from benchassist.errors import BenchError, StoreError
from benchassist.storage.ledger import HoleError, Ledger, Work

PATIENCE_SECONDS: Final = 5.0
"""How long a write is tried again while the shop is locked or out of reach."""

FIRST_PAUSE: Final = 0.05
LONGEST_PAUSE: Final = 0.8

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Submission:
    """What was handed in together, and its ticket."""

    ticket: int
    work: Work


class Writer:
    """Starts when made; `close` writes what is in hand and joins it.

    `explain` turns a database's error into a line for the technician.
    """

    def __init__(
        self,
        engine: Engine,
        explain: Callable[[DBAPIError], BenchError],
    ) -> None:
        self._engine = engine
        self._explain = explain
        self._lock = threading.Lock()
        self._ticket = 0
        self._closed = False
        self._inbox: SimpleQueue[Submission | None] = SimpleQueue()
        self._outbox: SimpleQueue[Acknowledgement] = SimpleQueue()
        self._ledger = Ledger(engine.dialect.name)
        self._connection: Connection | None = None
        self._out_of_reach = False
        self._why: dict[str, str] = {}
        self._thread = threading.Thread(target=self._run, name="shop writer", daemon=True)
        self._thread.start()

    def submit(self, work: Work) -> int:
        """Queue what is to be committed together. Raises StoreError once closed."""
        with self._lock:
            if self._closed:
                raise StoreError(_("the shop is closed: open it again to write"))
            self._ticket += 1
            self._inbox.put(Submission(self._ticket, work))
            return self._ticket

    def acknowledgements(self) -> Sequence[Acknowledgement]:
        """What became of submissions since the last call, in order."""
        said: list[Acknowledgement] = []
        while True:
            try:
                said.append(self._outbox.get_nowait())
            except Empty:
                return said

    def wait(self, timeout: float) -> Acknowledgement | None:
        """The next acknowledgement, None if `timeout` seconds pass first."""
        try:
            return self._outbox.get(timeout=timeout)
        except Empty:
            return None

    def close(self) -> None:
        """Write what is still in hand, then end the thread. May be called twice."""
        with self._lock:
            if not self._closed:
                self._closed = True
                self._inbox.put(None)
        self._thread.join()

    def _run(self) -> None:
        try:
            while (submission := self._inbox.get()) is not None:
                self._outbox.put(self._outcome(submission))
        finally:
            self._hang_up()

    def _outcome(self, submission: Submission) -> Acknowledgement:
        """What becomes of a submission; whatever happens, the writer goes on."""
        visits = _visits(submission.work)
        try:
            self._write(submission.work)
        except HoleError as error:
            why = next((self._why[v] for v in visits if v in self._why), str(error))
        except BenchError as error:
            why = str(error)
        except Exception as error:
            log.exception("the writer failed")
            self._hang_up()
            why = _("the program could not write this ({error}): its log says more").format(
                error=type(error).__name__
            )
        else:
            for visit_id in visits:
                self._why.pop(visit_id, None)
            return Stored(submission.ticket)
        self._why.update(dict.fromkeys(visits, why))
        return Refused(submission.ticket, why)

    def _write(self, work: Work) -> None:
        """Write, trying again for a while what may pass by itself. Raises BenchError."""
        if self._out_of_reach and self._closed:
            raise StoreError(_("the shop is out of reach, and the program is closing"))
        deadline = time.monotonic() + (0.0 if self._out_of_reach else PATIENCE_SECONDS)
        pause = FIRST_PAUSE
        while True:
            try:
                if self._connection is None:
                    self._connection = self._engine.connect()
                self._ledger.write(self._connection, work)
            except DBAPIError as error:
                passing = _may_pass(error)
                if error.connection_invalidated:
                    self._hang_up()
                if not passing or time.monotonic() >= deadline:
                    self._out_of_reach = passing
                    raise self._explain(error) from None
                time.sleep(pause)
                pause = min(2.0 * pause, LONGEST_PAUSE)
            else:
                self._out_of_reach = False
                return

    def _hang_up(self) -> None:
        """Let go of the connection; the next write makes another."""
        connection, self._connection = self._connection, None
        if connection is not None:
            connection.close()


def _visits(work: Work) -> tuple[str, ...]:
    """The visits a submission belongs to."""
    match work:
        case VisitHeader():
            return (work.id,)
        case Machine():
            return ()
        case _:
            return tuple(dict.fromkeys(entry.stamp.visit_id for entry in work))


def _may_pass(error: DBAPIError) -> bool:
    """Whether the same write may succeed a moment later: a lock, or a server that went away."""
    code = getattr(error.orig, "sqlite_errorcode", None)
    if code is not None:
        return code & 0xFF in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
    state = getattr(error.orig, "sqlstate", None)
    # No state: the server did not answer at all. 08 connection, 40 rolled back, 57P shutting
    # down or starting, 53300 too many connections, 55P03 lock not free (PostgreSQL, appendix A).
    return (
        error.connection_invalidated
        or state is None
        or state[:2] in ("08", "40")
        or state[:3] == "57P"
        or state in ("53300", "55P03")
    )
