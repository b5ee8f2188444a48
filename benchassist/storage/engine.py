"""A shop's two engines: one connection that writes, and a few that read."""

from dataclasses import dataclass
from gettext import gettext as _
from typing import Final

from sqlalchemy import Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError
from sqlalchemy.pool import NullPool, QueuePool

from benchassist.errors import BenchError, InputError, ShopFileError, StoreError
from benchassist.storage import shop_file
from benchassist.storage.place import Place, ShopFile, ShopServer
from benchassist.storage.revision import bring_up, refuse_other_revisions, server_revision

READERS: Final = 4

SERVER_OPTIONS: Final = {
    "connect_timeout": "5",
    # A server that fell silent is noticed within ten seconds, not after the system's hours.
    "tcp_user_timeout": "10000",
    "options": "-c lock_timeout=5s -c timezone=UTC",
}


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


def open_engines(place: Place, *, read_only: bool) -> Engines:
    """Return the engines of a shop whose tables are there and of this program's revision.

    Raises ShopFileError for a place that cannot be used, with one line saying why.
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
            bring_up(engines.writer, revision)
    except DBAPIError as error:
        engines.dispose()
        raise trouble(place, error, opening=True) from None
    except BenchError:
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


def _server_engines(place: ShopServer, *, read_only: bool) -> Engines:
    try:
        url = make_url(place.url)
    except ArgumentError:
        raise InputError(
            _("the shop address cannot be read: give postgresql://USER@HOST/DATABASE")
        ) from None
    options = {k: v for k, v in SERVER_OPTIONS.items() if k not in url.query}
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
    said = said.rpartition("FATAL:")[2].strip()
    unreached = error.connection_invalidated or getattr(error.orig, "sqlstate", None) is None
    words = (
        _("the shop's database {name} cannot be reached ({said}): check the server and the network")
        if unreached
        else _("the shop's database {name} refused ({said}): check the server")
    )
    kind = ShopFileError if opening else StoreError
    return kind(words.format(name=place.name, said=said))
