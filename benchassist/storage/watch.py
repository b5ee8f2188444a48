"""Asks a server every few seconds whether it is there, in a thread of its own."""

import logging
import threading
import time
from collections.abc import Callable
from typing import Final

from sqlalchemy import Connection, Engine, text
from sqlalchemy.exc import DBAPIError

from benchassist.storage.head import OtherRevisionError
from benchassist.storage.passing import Loss

PERIOD_S: Final = 2.0
TRIES: Final = 2
"""A connection that was ended shows at the first; the second makes another."""

PROMPT_S: Final = 0.1
"""An answer that takes longer is waited for only while the watch has its own."""
SILENCE_S: Final = 0.3
"""Without an answer for so long a server is silent; one that is slow, for so many times what it
took of late."""
USUAL_TIMES: Final = 3.0
FORGOTTEN: Final = 0.7
"""What is left of a slow answer with each one after it."""
LONGEST_S: Final = 3.0
STEP_S: Final = 0.02

log = logging.getLogger(__name__)


class Watch:
    """Starts when made. `lost` and `back` are called from its thread, `back` again and again."""

    def __init__(
        self,
        engine: Engine,
        *,
        lost: Callable[[Loss], None],
        back: Callable[[], None],
    ) -> None:
        self._engine = engine
        self._lost, self._back = lost, back
        self._connection: Connection | None = None
        self._ended, self._hurry = False, threading.Event()
        self._asked_at: float | None = None
        self._usual_s = 0.0
        """How long its own answers take of late."""
        self._in_doubt = False
        self._thread = threading.Thread(target=self._run, name="server watch", daemon=True)
        self._thread.start()

    def wait(self, answered: Callable[[float], bool]) -> bool:
        """Wait for an answer as long as there is hope; whether it came.

        `answered` waits for so many seconds at most. From a server that is slow an answer is waited
        for; one from which the watch has no answer either is given up.
        """
        limit = time.monotonic() + LONGEST_S
        if answered(STEP_S if self._in_doubt else PROMPT_S):
            return True
        self.doubt()
        while time.monotonic() < limit and not self._is_silent:
            if answered(STEP_S):
                return True
        return False

    @property
    def _is_silent(self) -> bool:
        """Whether the watch has waited for its own answer for longer than there is hope."""
        asked_at = self._asked_at
        hope_s = max(SILENCE_S, USUAL_TIMES * self._usual_s)
        return asked_at is not None and time.monotonic() - asked_at >= hope_s

    def doubt(self) -> None:
        """Something was not answered: look at once."""
        self._in_doubt = True
        self._hurry.set()

    def close(self) -> None:
        """Stop. May be called twice."""
        self._ended = True
        self._hurry.set()
        self._thread.join()

    def _run(self) -> None:
        try:
            while not self._ended:
                self._look()
                self._hurry.wait(PERIOD_S)
                self._hurry.clear()
        except Exception:
            log.exception("the watch on the server failed")
        finally:
            self._hang_up()

    def _look(self) -> None:
        for tried in range(1, TRIES + 1):
            try:
                self._ask()
            except OtherRevisionError as error:
                self._lost(error)
                return
            except DBAPIError as error:
                self._hang_up()
                if tried == TRIES:
                    self._lost(error)
            else:
                self._in_doubt = False
                self._back()
                return

    def _ask(self) -> None:
        """Raises DBAPIError where no answer comes, OtherRevisionError where it is of no use."""
        asked_at = self._asked_at = time.monotonic()
        if self._connection is None:
            self._connection = self._engine.connect()
        with self._connection.begin():
            self._connection.execute(text("SELECT 1"))
        self._asked_at = None
        self._usual_s = max(time.monotonic() - asked_at, FORGOTTEN * self._usual_s)

    def _hang_up(self) -> None:
        connection, self._connection = self._connection, None
        if connection is not None:
            connection.close()
