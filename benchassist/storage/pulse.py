"""A long statement of SQLite's says how many steps it has taken, and can be ended in the middle."""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import count
from typing import Final

from sqlalchemy.exc import OperationalError

TICK: Final = 100_000
"""Steps of SQLite's machine after which something is told."""


@contextmanager
def counted(
    connection: sqlite3.Connection, told: Callable[[int], None], every: int = TICK
) -> Iterator[None]:
    """Tell how many steps the statements within have taken; what `told` raises ends them."""
    done, raised = count(every, every), list[BaseException]()

    def tick() -> int:
        try:
            told(next(done))
        except BaseException as error:  # noqa: BLE001 - SQLite's hook hands on none
            raised.append(error)
        return len(raised)

    connection.set_progress_handler(tick, every)
    try:
        yield
    except (sqlite3.OperationalError, OperationalError):
        if raised:
            raise raised[0] from None
        raise
    finally:
        connection.set_progress_handler(None, 0)
