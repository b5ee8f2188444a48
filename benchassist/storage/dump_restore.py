"""A dump takes the place of a server's shop: looked into first, and all of it or nothing.

Everything is done over one connection and in one transaction: nobody else writes, the present shop
is copied aside, nobody else reads, its rows go and those of the dump come, an older one is brought
up, all is counted. Ended at any moment, the shop is the old one or the new one. The dump is only
read from: what else stands in it than the rows of a shop's tables is not carried out, so that it
can do nothing but be a shop, and tables of others in the same database stay as they are.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from gettext import gettext as _
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Connection, MetaData, Table, func, select, text
from sqlalchemy.exc import DBAPIError

from benchassist.errors import ShopFileError
from benchassist.storage import schema
from benchassist.storage.backup import Progress
from benchassist.storage.dump_file import (
    DumpFile,
    Rows,
    look_into,
    rows_in,
    said_of,
)
from benchassist.storage.engine import trouble, writing_engine
from benchassist.storage.fencing import leases_of, raise_tokens
from benchassist.storage.head import REVISION_TABLE
from benchassist.storage.integrity import Contents
from benchassist.storage.line import be_prompt
from benchassist.storage.place import ShopServer
from benchassist.storage.revision import (
    make_tables,
    make_tables_of,
    migrate_within,
    revision_on,
)
from benchassist.storage.server_copy import revision_of
from benchassist.storage.server_hold import own_tables, shut, take_turn
from benchassist.storage.snapshot import snapshot
from benchassist.storage.stage import COPY, Stages

PATIENCE_S: Final = 600.0
"""Seconds without an answer after which a server counts as lost: keys are checked meanwhile."""

PIECE: Final = 1 << 18
"""Bytes that are sent to the server at once."""

NO_RIGHT: Final = "42501"
UNFIT: Final = ("22", "23")
"""PostgreSQL's codes, appendix A: of a missing right, and classes of rows that do not fit."""

Keep = Callable[[], None]
"""Copies the present shop aside, while nobody writes in it."""


@dataclass(frozen=True, slots=True)
class ServedShop:
    """What a server's shop holds; `newest` is when its newest visit was opened."""

    name: str
    revision: str
    bytes: int
    visits: int
    newest: datetime | None


@dataclass(frozen=True, slots=True)
class ServerExchange:
    """What would come, and what would go; `present` is None where the database is empty."""

    dump: DumpFile
    present: ServedShop | None
    fault: str = ""
    """Never one: a server's shop that cannot be read cannot be kept aside, and is not replaced."""

    @property
    def backup(self) -> Contents:
        """What the dump holds."""
        return self.dump.contents


def look_at(file: Path, server: ShopServer) -> ServerExchange:
    """Return what restoring a dump would do; nothing is changed.

    Raises ShopFileError and InputError for a file that cannot be restored, ShopFileError for a
    server that cannot be reached, or holds no shop of this or an earlier program.
    """
    dump = look_into(file)
    if revision_of(server) is None:
        return ServerExchange(dump, None)
    with snapshot(server) as moment:
        size = sum(moment.table_bytes(indices=True).values())
        newest = moment.connection.scalar(select(func.max(schema.visit.c.opened_at)))
        present = ServedShop(server.name, moment.revision, size, moment.visits, newest)
    return ServerExchange(dump, present)


def restore(
    exchange: ServerExchange, server: ShopServer, keep: Keep, progress: Progress | None = None
) -> None:
    """Put a dump in the place of a server's shop, the present one kept aside first.

    `progress` is told how far it is, after that; what it raises leaves the shop as it was. Raises
    ShopFileError where a bench has the shop open, the server does not go along or is lost.
    """
    engine = writing_engine(server)
    be_prompt(engine, PATIENCE_S)
    try:
        with _told(exchange, server), engine.connect() as connection, connection.begin():
            take_turn(connection, server)
            present = revision_on(connection)
            if present is not None:
                shut(connection, server, for_readers=False)
                keep()
                shut(connection, server, for_readers=True)
            _put(connection, server, exchange.dump, present, progress)
    finally:
        engine.dispose()


def _put(
    connection: Connection,
    server: ShopServer,
    dump: DumpFile,
    present: str | None,
    progress: Progress | None,
) -> None:
    contents, revision = dump.contents, dump.contents.revision
    stages = Stages(revision, progress, of_file=False)
    leases = leases_of(connection)
    _make_empty(connection, server, present, revision)
    told = stages.of(COPY) if progress is None or revision != schema.HEAD else progress
    loading = _Loading(dump, told)
    with said_of(contents.file):
        for table in _tables_of(connection, revision).sorted_tables:
            loading.load(connection, table)
    if revision != schema.HEAD:
        migrate_within(connection, stages)
    raise_tokens(connection, leases)
    connection.execute(text(f"ANALYZE {', '.join(own_tables(connection))}"))
    found = connection.execute(text("SELECT count(*), max(opened_at) FROM visit")).one()
    if tuple(found) != (contents.visits, contents.newest):
        raise ShopFileError(
            _("{name} does not hold what the dump does: nothing is replaced").format(
                name=server.name
            )
        )
    stages.ended()


def _tables_of(connection: Connection, revision: str) -> MetaData:
    """The tables of a revision, which are there."""
    if revision == schema.HEAD:
        return schema.metadata
    tables = MetaData()
    tables.reflect(connection, only=_with_rows(connection))
    return tables


def _with_rows(connection: Connection) -> list[str]:
    """The shop's tables that are there, without the one that says of which revision they are."""
    return [name for name in own_tables(connection) if name != REVISION_TABLE]


class _Loading:
    """The rows of a dump on their way into empty tables."""

    def __init__(self, dump: DumpFile, told: Progress) -> None:
        self._dump, self._told = dump, told
        self._whole = max(1, sum(extent.bytes for extent in dump.extents.values()))
        self._sent = 0

    def load(self, connection: Connection, table: Table) -> None:
        """Send a table's rows. Raises ShopFileError where they are no shop's, DumpError."""
        file, extent = self._dump.contents.file, self._dump.extents.get(table.name)
        if extent is None:
            raise ShopFileError(
                _("the dump {file} has no table {table}: choose another backup").format(
                    file=file, table=table.name
                )
            )
        if not extent.rows:
            return
        with rows_in(file, table.name) as rows:
            if not set(rows.columns) <= set(table.c.keys()):
                raise ShopFileError(
                    _("the dump {file} has a table {table} of another program").format(
                        file=file, table=table.name
                    )
                )
            if self._send(connection, table.name, rows) != extent.rows:
                raise ShopFileError(
                    _("the dump {file} is another file by now: look at it again").format(file=file)
                )

    def _send(self, connection: Connection, name: str, rows: Rows) -> int:
        """Returns how many rows arrived."""
        # Of letters the server reads as the dump has them; everything asked here is plain.
        connection.execute(text(f"SET LOCAL client_encoding = '{rows.encoding}'"))
        columns = ", ".join(f'"{column}"' for column in rows.columns)
        stream = f'COPY "{name}" ({columns}) FROM STDIN'
        driver: Any = connection.connection.driver_connection
        try:
            with driver.cursor() as cursor:
                with cursor.copy(stream) as copying:
                    for piece in _pieces(rows.lines):
                        copying.write(piece)
                        self._sent += len(piece)
                        self._told(self._sent, self._whole)
                arrived = int(cursor.rowcount)
        except connection.dialect.loaded_dbapi.Error as error:
            raise DBAPIError(stream, None, error) from None
        connection.execute(text("SET LOCAL client_encoding = 'UTF8'"))
        return arrived


def _pieces(lines: Iterator[bytes]) -> Iterator[bytes]:
    piece = bytearray()
    for line in lines:
        piece += line
        if len(piece) >= PIECE:
            yield bytes(piece)
            piece.clear()
    yield bytes(piece)


def _make_empty(
    connection: Connection, server: ShopServer, present: str | None, revision: str
) -> None:
    """Have the tables of a revision there, with no rows; what rights others have in them stay."""
    names = ", ".join(f'"{name}"' for name in _with_rows(connection))
    if present == revision:
        connection.execute(text(f"TRUNCATE {names}"))
        return
    if present is not None:
        connection.execute(text(f"DROP TABLE {names}, {REVISION_TABLE}"))
    if revision == schema.HEAD:
        make_tables(server.name, connection)
    else:
        make_tables_of(revision, connection)


# --- what goes wrong ------------------------------------------------------------------------------


@contextmanager
def _told(exchange: ServerExchange, server: ShopServer) -> Iterator[None]:
    """What the server refuses, in one line; nothing is replaced then."""
    try:
        yield
    except DBAPIError as error:
        state = getattr(error.orig, "sqlstate", None) or ""
        said = next(iter(str(error.orig or error).strip().splitlines()), "")
        if state == NO_RIGHT:
            raise ShopFileError(
                _(
                    "the user in the shop's address may not replace the shop {name} ({said}): "
                    "restore it as the owner of its tables"
                ).format(name=server.name, said=said)
            ) from None
        if state[:2] in UNFIT:
            raise ShopFileError(
                _(
                    "the dump {file} does not hold a whole shop ({said}): nothing is replaced, "
                    "choose another backup"
                ).format(file=exchange.backup.file, said=said)
            ) from None
        if not state:
            raise ShopFileError(
                _(
                    "the server of {name} was lost ({said}): the shop is as it was, or restored to "
                    "its end: look at it again"
                ).format(name=server.name, said=said)
            ) from None
        raise trouble(server, error, opening=True) from None
