"""The one thread that writes, over the only write connection of the process.

Each submission is one transaction, committed as soon as its turn comes; what became of it goes
into a queue that never drops. A submission that failed leaves nothing behind, and what follows it
in the same visit is refused too until it has been handed in again: a visit has no holes.

Between submissions it works for the runs under way, a short piece at a time; what fails there is
tried again for as long as the run lasts.
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
from benchassist.storage.chore import Chore, Wake
from benchassist.storage.ledger import HoleError, Ledger, Work

PATIENCE_SECONDS: Final = 5.0
"""How long a write is tried again while the shop is locked or out of reach."""

FINISH_SECONDS: Final = 30.0
"""How long closing may go on writing what is in hand."""

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
        self._inbox: SimpleQueue[Submission | Chore | Wake | None] = SimpleQueue()
        self._chores: list[Chore] = []
        self._outbox: SimpleQueue[Acknowledgement] = SimpleQueue()
        self._ledger = Ledger(engine.dialect.name)
        self._connection: Connection | None = None
        self._out_of_reach = False
        self._why: dict[str, str] = {}
        self._held = ""
        self._thread = threading.Thread(target=self._run, name="shop writer", daemon=True)
        self._thread.start()

    def submit(self, work: Work) -> int:
        """Queue what is to be committed together. Raises StoreError once closed."""
        with self._lock:
            self.refuse_closed()
            self._ticket += 1
            self._inbox.put(Submission(self._ticket, work))
            return self._ticket

    def refuse_closed(self) -> None:
        """Raise StoreError once closed."""
        if self._closed:
            raise StoreError(_("the shop is closed: open it again to write"))

    def take_on(self, chore: Chore) -> None:
        """Work for a chore until it is done. Raises StoreError once closed."""
        with self._lock:
            self.refuse_closed()
            self._inbox.put(chore)

    def wake(self) -> None:
        """Look at once whether a chore has something to do."""
        self._inbox.put(Wake.UP)

    def hold(self, why: str) -> None:
        """Write nothing more, and say why to whoever asks for it."""
        self._held = why

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
            while (item := self._next()) is not None:
                if isinstance(item, Submission):
                    self._outbox.put(self._outcome(item))
                elif not isinstance(item, Wake):
                    self._chores.append(item)
                # One piece at most: a submission that came meanwhile goes first.
                self._work_one_piece()
            self._finish_chores()
        finally:
            self._hang_up()

    def _next(self) -> "Submission | Chore | Wake | None":
        """What comes in next, or that a chore is due."""
        if not self._chores:
            return self._inbox.get()
        wait_s = min(chore.due_s for chore in self._chores) - time.monotonic()
        try:
            return self._inbox.get(timeout=max(0.0, wait_s))
        except Empty:
            return Wake.UP

    def _work_one_piece(self) -> None:
        due = min(self._chores, key=lambda chore: chore.due_s, default=None)
        if due is not None and due.due_s <= time.monotonic():
            self._work(due)
            self._chores = [chore for chore in self._chores if not chore.is_done]

    def _finish_chores(self) -> None:
        """What is in hand goes to disk; where that cannot be, after a while it is given up."""
        for chore in self._chores:
            chore.close()
        begin_s = time.monotonic()
        limit_s = begin_s + FINISH_SECONDS
        while self._chores and time.monotonic() < limit_s:
            if not self._work(self._chores[0]):
                limit_s = min(limit_s, begin_s + PATIENCE_SECONDS)
            self._chores = [chore for chore in self._chores if not chore.is_done]
            pause_s = min((c.due_s for c in self._chores), default=0.0) - time.monotonic()
            time.sleep(max(0.0, min(pause_s, LONGEST_PAUSE)))
        if self._chores:
            log.warning("the last samples of a run could not be written")

    def _work(self, chore: Chore) -> bool:
        """Do a piece; whether it could be done."""
        if self._held:
            chore.failed(self._held)
            return False
        try:
            if self._connection is None:
                self._connection = self._engine.connect()
            chore.work(self._connection)
        except DBAPIError as error:
            if error.connection_invalidated:
                self._hang_up()
            chore.failed(str(self._explain(error)))
        except BenchError as error:
            chore.failed(str(error))
        except Exception as error:
            log.exception("the writer failed")
            self._hang_up()
            chore.failed(_fault(error))
        else:
            return True
        return False

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
            why = _fault(error)
        else:
            for visit_id in visits:
                self._why.pop(visit_id, None)
            return Stored(submission.ticket)
        self._why.update(dict.fromkeys(visits, why))
        return Refused(submission.ticket, why)

    def _write(self, work: Work) -> None:
        """Write, trying again for a while what may pass by itself. Raises BenchError."""
        if self._held:
            raise StoreError(self._held)
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


def _fault(error: Exception) -> str:
    """What an error that nobody foresaw is told as."""
    return _("the program could not write this ({error}): its log says more").format(
        error=type(error).__name__
    )


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
