"""Work that the writer's thread does between submissions."""

import threading
import time
from collections.abc import Callable
from enum import Enum
from gettext import gettext as _
from typing import Final, Generic, Protocol, TypeVar, runtime_checkable

from sqlalchemy import Connection

from benchassist.errors import StoreError

Answer = TypeVar("Answer")

TRIES: Final = 2
"""A connection that was lost meanwhile shows at the first."""

PAUSE_S: Final = 0.05


class Wake(Enum):
    """Nothing to write, but to look whether there is."""

    UP = "up"


class Chore(Protocol):
    """Work that lasts, done piece by piece in the writer's thread."""

    @property
    def due_s(self) -> float:
        """The moment of time.monotonic from which on there is something to do."""
        ...

    @property
    def is_done(self) -> bool:
        """Whether nothing is left to do, now or later."""
        ...

    def work(self, connection: Connection) -> None:
        """Do a short piece. Raises DBAPIError, BenchError."""
        ...

    def failed(self, why: str) -> None:
        """The piece could not be done."""
        ...

    def close(self) -> None:
        """The shop closes: what is in hand is the last of it."""
        ...


@runtime_checkable
class Portable(Protocol):
    """A chore that goes on in the journal while the server is away."""

    def moved(self, *, away: bool) -> None:
        """Another database is written to from now on."""
        ...


class Returning:
    """Base of the chore that brings what is in the journal to the server, which is away still."""


class Question(Generic[Answer]):
    """A short piece of work whose answer somebody waits for."""

    def __init__(self, ask: Callable[[Connection], Answer]) -> None:
        self._ask = ask
        self._answers: list[Answer] = []
        self._tries, self._why = 0, ""
        self._ended = threading.Event()
        self.due_s = 0.0

    @property
    def is_done(self) -> bool:
        """Whether there is an answer, or will be none."""
        return self._ended.is_set()

    def ended(self, timeout: float) -> bool:
        """Wait until it is known whether there is an answer; whether it is."""
        return self._ended.wait(timeout)

    def answer(self, timeout: float) -> Answer:
        """Wait for it. Raises StoreError where there is none within `timeout` seconds."""
        if not self._ended.wait(timeout):
            raise StoreError(_("the shop is busy or cannot be reached: try again in a moment"))
        if not self._answers:
            raise StoreError(self._why)
        return self._answers[0]

    def work(self, connection: Connection) -> None:
        """Ask. Raises DBAPIError, BenchError."""
        self._answers.append(self._ask(connection))
        self._ended.set()

    def failed(self, why: str) -> None:
        """Once more, then it has no answer."""
        self._tries += 1
        self._why, self.due_s = why, time.monotonic() + PAUSE_S
        if self._tries >= TRIES:
            self._ended.set()

    def close(self) -> None:
        """Nobody waits any more."""
        self._why = self._why or _("the shop was closed")
        self._ended.set()
