"""A server's shop as it stands, at its own revision, copied into a file: before it is migrated.

Unlike a dump it needs no program of the server's here, and this program opens it: brought up there,
it can be moved back to an empty database.
"""

from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from gettext import gettext as _
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, MetaData, Table, insert, inspect, select
from sqlalchemy.exc import DBAPIError

from benchassist.errors import ShopFileError
from benchassist.storage.backup import Backup
from benchassist.storage.engine import fresh_file_engine, reading_engine, trouble, unchecked
from benchassist.storage.integrity import look_into
from benchassist.storage.place import ShopServer
from benchassist.storage.revision import make_tables_of, server_revision
from benchassist.storage.seal import Seal
from benchassist.storage.whole_file import finished

PORTION: Final = 100
"""Rows in memory at a time."""

OF_ALEMBIC: Final = "alembic_version"

Rows = list[tuple[object, ...]]


def revision_of(server: ShopServer) -> str | None:
    """Return the revision of a server's shop, None where there is none yet.

    Raises ShopFileError where it cannot be reached.
    """
    engine = reading_engine(server)
    try:
        return server_revision(engine)
    except DBAPIError as error:
        raise trouble(server, error, opening=True) from None
    finally:
        engine.dispose()


def copy_to_file(server: ShopServer, revision: str, to: Path) -> Backup:
    """Copy a server's shop of that revision into a new file, and verify the copy.

    Raises ShopFileError where the server or the disk does not go along, InputError for a name that
    cannot be used. What was begun is gone then.
    """
    source = reading_engine(server)
    try:
        with finished(to) as fresh:
            target = fresh_file_engine(fresh)
            try:
                with source.begin() as reading, unchecked(target) as writing:
                    _copy(server, reading, writing, revision)
            finally:
                target.dispose()
            made = look_into(fresh)
    except DBAPIError as error:
        raise trouble(server, error, opening=True) from None
    finally:
        source.dispose()
    return Backup(file=to, bytes=made.bytes, visits=made.visits)


def _copy(server: ShopServer, reading: Connection, writing: Connection, revision: str) -> None:
    make_tables_of(revision, writing)
    known = set(inspect(writing).get_table_names()) - {OF_ALEMBIC}
    here, there = MetaData(), MetaData()
    here.reflect(reading, only=sorted(known))
    there.reflect(writing, only=sorted(known))
    for table in here.sorted_tables:
        copy = there.tables[table.name]
        if _sent(reading, writing, table, copy) != _sealed(_portions(writing, copy)):
            raise ShopFileError(
                _("the table {table} of {name} was not copied as it is: try again").format(
                    table=table.name, name=server.name
                )
            )


def _sent(reading: Connection, writing: Connection, table: Table, copy: Table) -> str:
    """Copy a table's rows; returns their digest."""

    def sent() -> Iterator[Rows]:
        for rows in _portions(reading, table):
            told = [tuple(_in_a_file(value) for value in row) for row in rows]
            writing.execute(insert(copy), [dict(zip(table.c.keys(), r, strict=True)) for r in told])
            yield told

    return _sealed(sent())


def _sealed(portions: Iterator[Rows]) -> str:
    seal = Seal()
    for rows in portions:
        seal.add(rows)
    return seal.digest


def _portions(connection: Connection, table: Table) -> Iterator[Rows]:
    asked = select(table).execution_options(yield_per=PORTION)
    with closing(connection.execute(asked)) as found:
        for rows in found.partitions():
            yield [tuple(row) for row in rows]


def _in_a_file(value: object) -> object:
    """SQLite keeps a time without its zone, in UTC."""
    if isinstance(value, datetime):
        return value.astimezone(UTC).replace(tzinfo=None)
    return value
