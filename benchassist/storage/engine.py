"""A shop's two engines: one connection that writes, and a few that read."""

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from gettext import gettext as _
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError
from sqlalchemy.pool import NullPool, QueuePool

from benchassist.errors import BenchError, InputError, ShopFileError, StoreError
from benchassist.storage import shop_file
from benchassist.storage.passing import refusal
from benchassist.storage.place import Place, ShopFile, ShopServer
from benchassist.storage.revision import bring_up, refuse_other_revisions, server_revision
from benchassist.storage.stage import Stages

READERS: Final = 4

FRESH_CACHE_KIB: Final = 65536
"""Of a file that is written whole: its keys come in no order."""

OUR_NAME: Final = "benchassist"
"""What a connection of this program's is called on a server, for whoever looks who is there."""

SERVER_OPTIONS: Final = {
    "application_name": OUR_NAME,
    "connect_timeout": "5",
    # A server that fell silent is noticed within ten seconds, not after the system's hours.
    "tcp_user_timeout": "10000",
    "options": "-c lock_timeout=5s -c timezone=UTC -c jit=off",
}

PROMPT_OPTIONS: Final = SERVER_OPTIONS | {
    "connect_timeout": "2",
    "options": "-c lock_timeout=1500ms -c timezone=UTC -c jit=off",
}
WRITE_PATIENCE_S: Final = 2.0
READ_PATIENCE_S: Final = 5.0
"""Seconds without an answer after which a bench that can do without its server hangs up."""


@dataclass(frozen=True, slots=True)
class Engines:
    """`writer` is None where the shop was opened for reading only."""

    reader: Engine
    writer: Engine | None

    def dispose(self) -> None:
        """Close every connection that is not in use."""
        self.reader.dispose()
        if self.writer is not None:
            self.writer.dispose()


def open_engines(place: Place, *, read_only: bool, stages: Stages | None = None) -> Engines:
    """Return the engines of a shop whose tables are there and of this program's revision.

    `stages` are told how far a migration is. Raises ShopFileError for a place that cannot be used,
    with one line saying why.
    """
    if isinstance(place, ShopFile):
        revision = shop_file.examine(place.path, read_only=read_only)
        engines = _file_engines(place, read_only=read_only)
    else:
        engines = _server_engines(place, read_only=read_only)
        revision = None
    try:
        if isinstance(place, ShopServer):
            revision = server_revision(engines.reader)
        refuse_other_revisions(place.name, revision, read_only=read_only)
        if engines.writer is not None:
            bring_up(engines.writer, revision, place.name, stages)
    except DBAPIError as error:
        engines.dispose()
        raise trouble(place, error, opening=True) from None
    except BaseException:
        engines.dispose()
        raise
    return engines


def _file_engines(place: ShopFile, *, read_only: bool) -> Engines:
    path = place.path
    reader = create_engine(
        "sqlite+pysqlite://",
        creator=lambda: shop_file.connect(path, read_only=read_only),
        poolclass=QueuePool,
        pool_size=READERS,
    )
    event.listen(reader, "begin", _begin)
    if read_only:
        return Engines(reader, None)
    writer = create_engine(
        "sqlite+pysqlite://",
        creator=lambda: shop_file.connect(path, writer=True),
        poolclass=NullPool,
    )
    event.listen(writer, "begin", _begin_writing)
    return Engines(reader, writer)


def prompt_engines(place: ShopServer) -> Engines:
    """Return engines that give a silent server up within seconds. No table is looked at."""
    from benchassist.storage.line import be_prompt

    engines = _server_engines(place, read_only=False, options=PROMPT_OPTIONS)
    be_prompt(engines.reader, READ_PATIENCE_S)
    if engines.writer is not None:
        be_prompt(engines.writer, WRITE_PATIENCE_S)
    return engines


def _server_engines(
    place: ShopServer, *, read_only: bool, options: Mapping[str, str] = SERVER_OPTIONS
) -> Engines:
    try:
        url = make_url(place.url)
    except (ArgumentError, ValueError):  # the second for a port that is no number
        raise InputError(
            _("the shop address cannot be read: give postgresql://USER@HOST/DATABASE")
        ) from None
    options = {k: v for k, v in options.items() if k not in url.query}
    reader = create_engine(
        url,
        connect_args=options,
        pool_size=READERS,
        pool_pre_ping=True,
        execution_options={"postgresql_readonly": True, "isolation_level": "REPEATABLE READ"},
    )
    if read_only:
        return Engines(reader, None)
    return Engines(reader, create_engine(url, connect_args=options, poolclass=NullPool))


def writing_engine(place: Place) -> Engine:
    """Return an engine that writes to a place as it is found: no table is made or looked at.

    Raises ShopFileError for a file that is no shop's, or cannot be written.
    """
    if isinstance(place, ShopServer):
        engine = _server_engines(place, read_only=False).writer
    else:
        shop_file.examine(place.path)
        engine = _file_engines(place, read_only=False).writer
    assert engine is not None  # noqa: S101 - not opened for reading only
    return engine


def reading_engine(place: Place) -> Engine:
    """Return an engine that reads a shop as it is found, whatever its revision."""
    if isinstance(place, ShopServer):
        return _server_engines(place, read_only=True).reader
    return _file_engines(place, read_only=True).reader


def fresh_file_engine(path: Path) -> Engine:
    """Return an engine that writes a shop file nobody knows of yet: it is synced when whole."""

    def connected() -> sqlite3.Connection:
        connection = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA synchronous = OFF")
        connection.execute(f"PRAGMA cache_size = -{FRESH_CACHE_KIB}")
        return connection

    engine = create_engine("sqlite+pysqlite://", creator=connected, poolclass=NullPool)
    event.listen(engine, "begin", _begin_writing)
    return engine


@contextmanager
def unchecked(engine: Engine) -> Iterator[Connection]:
    """A transaction on a file in which rows may come before those they belong to."""
    with engine.connect() as connection:
        # Out of a transaction only; it holds for this connection alone.
        connection.connection.driver_connection.execute("PRAGMA foreign_keys = OFF")  # type: ignore[union-attr]
        with connection.begin():
            yield connection


def _begin(connection: Connection) -> None:
    """Start a transaction in so many words: sqlite3 does not before a read or a table is made."""
    connection.exec_driver_sql("BEGIN")


def _begin_writing(connection: Connection) -> None:
    """Ask for the right to write at once, so that two processes queue and neither fails midway."""
    connection.exec_driver_sql("BEGIN IMMEDIATE")


def trouble(place: Place, error: DBAPIError, *, opening: bool = False) -> BenchError:
    """Return what a database error means to the technician, in one line."""
    if isinstance(place, ShopFile):
        return shop_file.refusal(place.path, error.orig or error)
    said = next(iter(str(error.orig or error).strip().splitlines()), type(error).__name__)
    said = said.rpartition("FATAL:")[2].rpartition("failed: ")[2].strip()
    if refusal(error):
        words = _(
            "the server lets nobody into the shop's database {name} ({said}): check the user, the "
            "password and the database in the shop's address"
        )
    elif error.connection_invalidated or getattr(error.orig, "sqlstate", None) is None:
        words = _(
            "the shop's database {name} cannot be reached ({said}): check the server and the "
            "network"
        )
    else:
        words = _("the shop's database {name} refused ({said}): check the server")
    kind = ShopFileError if opening else StoreError
    return kind(words.format(name=place.name, said=said))
