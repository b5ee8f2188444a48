"""Work that the writer's thread does between submissions."""

from enum import Enum
from typing import Protocol

from sqlalchemy import Connection


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
