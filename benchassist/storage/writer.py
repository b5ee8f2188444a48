"""The one thread that writes, over the only write connection of the process.

Each submission is one transaction, committed as soon as its turn comes; what became of it goes
into a queue that never drops. A submission that failed leaves nothing behind, and what follows it
in the same visit is refused too until it has been handed in again: a visit has no holes.

Between submissions it works for the runs under way, a short piece at a time; what fails there is
tried again for as long as the run lasts.

A bench of a server has a journal: what the server does not take goes there, in the same order,
until all of it is delivered, by the same thread.
"""

import logging
import threading
import time
from collections.abc import Callable, Sequence
from gettext import gettext as _
from queue import Empty, SimpleQueue
from typing import TYPE_CHECKING, Final

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import DBAPIError

from benchassist.core.record import Acknowledgement, Refused, Stored
from benchassist.errors import BenchError, StoreError
from benchassist.storage.chore import Chore, Portable, Returning, Wake
from benchassist.storage.chores import FIRST_PAUSE, LONGEST_PAUSE, PATIENCE_SECONDS, Chores
from benchassist.storage.head import OtherRevisionError
from benchassist.storage.lease import Leases, TakenOverError
from benchassist.storage.ledger import HoleError, Ledger, NumberUsedError, Work, visits_of
from benchassist.storage.passing import Loss, away_for, may_pass
from benchassist.storage.submission import Lost, Submission, as_it_is, fault

if TYPE_CHECKING:
    from benchassist.storage.journal import Journal

JOURNAL_PATIENCE_SECONDS: Final = 1.5
"""The same where there is a journal to write it in."""

log = logging.getLogger(__name__)


class Writer:
    """Starts when made; `close` writes what is in hand and joins it.

    `explain` turns a database's error into a line for the technician.
    """

    def __init__(
        self,
        engine: Engine,
        explain: Callable[[Loss], BenchError],
        *,
        leases: Leases | None = None,
        journal: "Journal | None" = None,
    ) -> None:
        self._engine = engine
        self._explain = explain
        self._lock = threading.Lock()
        self._ticket, self._closed = 0, False
        self._inbox: SimpleQueue[Submission | Chore | Lost | Wake | None] = SimpleQueue()
        self._chores = Chores(self._work)
        self._outbox: SimpleQueue[Acknowledgement] = SimpleQueue()
        self._ledger = Ledger(engine.dialect.name, leases.fence if leases is not None else None)
        self._leases, self._journal = leases, journal
        self.redirect: Callable[[Work], Work] = as_it_is
        """Where work goes that belongs to a visit which is kept apart by now."""
        self._connection: Connection | None = None
        self._out_of_reach, self._held = False, ""
        self._why: dict[str, str] = {}
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

    def lose(self, error: Loss) -> None:
        """The server is gone: write in the journal from now on."""
        self._inbox.put(Lost(error))

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
                match item:
                    case Submission():
                        self._outbox.put(self._outcome(item))
                    case Lost(error=error):
                        self._try_to_leave(error)
                    case Wake():
                        pass
                    case _:
                        self._chores.add(item, away=self._is_away)
                # One piece at most: a submission that came meanwhile goes first.
                self._chores.work_one_piece()
            self._chores.finish()
        finally:
            self._hang_up()

    def _next(self) -> "Submission | Chore | Lost | Wake | None":
        """What comes in next, or that a chore is due."""
        try:
            return self._inbox.get(timeout=self._chores.wait_s())
        except Empty:
            return Wake.UP

    def _work(self, chore: Chore) -> bool:
        """Do a piece; whether it could be done."""
        if self._held:
            chore.failed(self._held)
            return False
        if self._journal is not None and self._is_away and not isinstance(chore, Returning):
            return self._work_away(chore, self._journal)
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
            chore.failed(fault(error))
        else:
            if isinstance(chore, Returning) and not self._is_away:
                self._come_back()
            return True
        return False

    def _outcome(self, submission: Submission) -> Acknowledgement:
        """What becomes of a submission; whatever happens, the writer goes on."""
        visits = visits_of(submission.work)
        final = number_used = False
        try:
            self._write(submission.work)
        except HoleError as error:
            why = next((self._why[v] for v in visits if v in self._why), str(error))
        except BenchError as error:
            why, final = str(error), isinstance(error, TakenOverError)
            number_used = isinstance(error, NumberUsedError)
        except Exception as error:
            log.exception("the writer failed")
            self._hang_up()
            why = fault(error)
        else:
            for visit_id in visits:
                self._why.pop(visit_id, None)
            return Stored(submission.ticket)
        self._why.update(dict.fromkeys(visits, why))
        return Refused(submission.ticket, why, final=final, number_used=number_used)

    def _write(self, work: Work) -> None:
        """Write, trying again for a while what may pass by itself. Raises BenchError."""
        if self._held:
            raise StoreError(self._held)
        if self._out_of_reach and self._closed:
            raise StoreError(_("the shop is out of reach, and the program is closing"))
        if self._journal is not None and self._is_away:
            self._journal.write(work)
            return
        patience = PATIENCE_SECONDS if self._journal is None else JOURNAL_PATIENCE_SECONDS
        self._write_until(time.monotonic() + (0.0 if self._out_of_reach else patience), work)

    def _write_until(self, deadline: float, work: Work) -> None:
        """Write to the shop, in the end to the journal. Raises BenchError."""
        pause = FIRST_PAUSE
        while True:
            try:
                if self._connection is None:
                    self._connection = self._engine.connect()
                self._ledger.write(self._connection, self.redirect(work))
            except (DBAPIError, OtherRevisionError) as error:
                if isinstance(error, DBAPIError) and error.connection_invalidated:
                    self._hang_up()
                if not may_pass(error) or time.monotonic() >= deadline:
                    self._could_not(work, error)
                    return
                time.sleep(pause)
                pause = min(2.0 * pause, LONGEST_PAUSE)
            else:
                self._out_of_reach = False
                if self._journal is not None:
                    self._journal.hand.wrote(work)
                return

    def _could_not(self, work: Work, error: Loss) -> None:
        """Keep in the journal what could not be written for long enough. Raises BenchError."""
        is_lost = isinstance(error, OtherRevisionError) or may_pass(error)
        if is_lost and self._journal is not None:
            self._leave(error)
            self._journal.write(work)
            return
        self._out_of_reach = may_pass(error)
        raise self._explain(error) from None

    # --- while the server is away -----------------------------------------------------------------

    @property
    def _is_away(self) -> bool:
        return self._journal is not None and self._journal.away is not None

    def _try_to_leave(self, error: Loss) -> None:
        try:
            self._leave(error)
        except BenchError as trouble:
            log.warning("nothing can be kept on this computer: %s", trouble)

    def _leave(self, error: Loss) -> None:
        """Go over to the journal. Raises BenchError where nothing can be kept there."""
        if self._journal is None:
            return
        tokens = self._leases.known if self._leases is not None else {}
        away = away_for(error, self._explain)
        if self._journal.begin(away, tokens):
            log.info("the server is lost: %s", away.why)
            self._hang_up()
            self._chores.move(away=True)

    def _come_back(self) -> None:
        """The journal is empty: write to the server again."""
        log.info("the server is back, and has what was kept on this computer")
        self._out_of_reach = False
        self._chores.move(away=False)

    def _work_away(self, chore: Chore, journal: "Journal") -> bool:
        """Do a piece in the journal, where that can be."""
        why = journal.away.why if journal.away is not None else ""
        try:
            if isinstance(chore, Portable):
                chore.work(journal.connection)
                journal.was_written()
                return True
        except DBAPIError as error:
            journal.hang_up()
            why = str(self._explain(error))
        except BenchError as error:
            why = str(error)
        chore.failed(why)
        return False

    def _hang_up(self) -> None:
        """Let go of the connection; the next write makes another."""
        connection, self._connection = self._connection, None
        if connection is not None:
            connection.close()
