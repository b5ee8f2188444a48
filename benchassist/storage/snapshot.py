"""A server's shop as it stands at one moment, for as long as it takes to copy it.

One transaction sees the moment; it holds the place of the one bench that backs up, and its number
is handed to the server's own program, which then dumps the very same moment.
"""

import socket
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from gettext import gettext as _
from typing import Final

from sqlalchemy import Connection, ExceptionContext, event, func, inspect, select, text
from sqlalchemy.exc import DBAPIError

from benchassist.errors import ShopFileError
from benchassist.storage import schema
from benchassist.storage.engine import reading_engine, trouble
from benchassist.storage.line import be_prompt
from benchassist.storage.place import ShopServer
from benchassist.storage.revision import refuse_other_revisions, revision_on
from benchassist.storage.shop_file import APPLICATION_ID

BACKING_UP: Final = APPLICATION_ID + 1
"""The advisory lock of the bench that backs the shop up."""

PATIENCE_S: Final = 60.0
"""Seconds without an answer after which a server counts as lost; a count of all rows takes some."""

Hold = Callable[[Callable[[], None]], None]
"""Is handed what ends the work from another thread, at once."""


class Line:
    """The line to a server, to be hung up from another thread while it is in use."""

    def __init__(self, fileno: int) -> None:
        # A handle of its own: the other may be closed, and its number be another file's by then.
        self._line = socket.socket(fileno=socket.dup(fileno))

    def hang_up(self) -> None:
        """Whoever waits for an answer is told that the connection is lost."""
        with suppress(OSError):  # it may be closed by now
            self._line.shutdown(socket.SHUT_RDWR)

    def close(self) -> None:
        """It is not in use any more."""
        self._line.close()


@dataclass(frozen=True, slots=True)
class Snapshot:
    """What a server's shop is at one moment, read over one connection.

    `is_alone`: no other bench is backing the shop up just now.
    """

    server: ShopServer
    connection: Connection
    revision: str
    is_alone: bool
    visits: int

    @property
    def id(self) -> str:
        """What the server's own program knows the moment by."""
        return str(self.connection.scalar(select(func.pg_export_snapshot())))

    @property
    def photos(self) -> frozenset[str]:
        """The digests of the photos that the shop names; an early one has none."""
        if not inspect(self.connection).has_table(schema.photo.name):
            return frozenset()
        return frozenset(self.connection.scalars(select(schema.photo.c.digest)))

    def table_bytes(self, *, indices: bool = False) -> Mapping[str, int]:
        """Return what each of the database's tables takes, or it with its indices."""
        size = func.pg_total_relation_size if indices else func.pg_table_size
        asked = select(text("relname"), size(text("oid"))).select_from(text("pg_class"))
        ours = text("relkind = 'r' AND relnamespace = ANY(current_schemas(false)::regnamespace[])")
        return {str(name): int(taken) for name, taken in self.connection.execute(asked.where(ours))}


@contextmanager
def snapshot(server: ShopServer, hold: Hold | None = None) -> Iterator[Snapshot]:
    """See a server's shop as it stands now.

    Raises ShopFileError where it cannot be reached, is lost meanwhile, holds no shop or one that is
    newer than the program.
    """
    engine = reading_engine(server)
    be_prompt(engine, PATIENCE_S)
    event.listen(engine, "handle_error", _let_go)
    try:
        with engine.connect() as connection, _held(connection, hold):
            yield _seen(server, connection)
    except DBAPIError as error:
        raise trouble(server, error, opening=True) from None
    finally:
        engine.dispose()


def _let_go(context: ExceptionContext) -> None:
    """A question that was never answered holds a cursor open, and nobody else closes it."""
    asked = context.execution_context
    if context.is_disconnect and asked is not None and asked.cursor is not None:
        asked.cursor.close()


@contextmanager
def _held(connection: Connection, hold: Hold | None) -> Iterator[None]:
    line = Line(connection.connection.driver_connection.fileno())  # type: ignore[union-attr]
    try:
        if hold is not None:
            hold(line.hang_up)
        yield
    finally:
        line.close()


def _seen(server: ShopServer, connection: Connection) -> Snapshot:
    # The server's own program works for minutes, while nothing is asked here.
    connection.execute(text("SET LOCAL idle_in_transaction_session_timeout = 0"))
    is_alone = connection.scalar(select(func.pg_try_advisory_xact_lock(BACKING_UP)))
    revision = revision_on(connection)
    if revision is None:
        raise ShopFileError(
            _("there is no shop in {name} yet: nothing to back up").format(name=server.name)
        )
    refuse_other_revisions(server.name, revision, read_only=False)
    visits = connection.scalar(text("SELECT count(*) FROM visit")) or 0
    return Snapshot(server, connection, revision, bool(is_alone), int(visits))
