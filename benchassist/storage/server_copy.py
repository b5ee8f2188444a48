"""A server's shop as it stands, at its own revision, copied into a file.

Unlike a dump it needs no program of the server's here, and this program opens it: it can be moved
back to an empty database. One is made before a server's shop is migrated, too.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from gettext import gettext as _
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, MetaData, Table, func, insert, inspect, select
from sqlalchemy.exc import DBAPIError

from benchassist.errors import ShopFileError
from benchassist.storage.backup import THOUSANDTHS, Along, Backup, Progress, part_of, photos_in
from benchassist.storage.engine import fresh_file_engine, reading_engine, trouble, unchecked
from benchassist.storage.head import REVISION_TABLE
from benchassist.storage.integrity import look_into
from benchassist.storage.place import ShopFile, ShopServer
from benchassist.storage.revision import make_tables_of, server_revision
from benchassist.storage.room import require_room
from benchassist.storage.seal import Seal
from benchassist.storage.snapshot import Snapshot, snapshot
from benchassist.storage.whole_file import finished

PORTION: Final = 100
"""Rows in memory at a time."""

ROOM: Final = 1.2
"""What a file may take of its tables on a server; it came to 1.06 in a drawn shop of 500 visits."""

COPIED: Final = 0.7
"""How much of the work is done when the file is written: the rest looks it through."""

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


def copy_to_file(
    server: ShopServer, revision: str, to: Path, progress: Progress | None = None
) -> Backup:
    """Copy a server's shop of that revision into a new file, and verify the copy.

    Raises ShopFileError where the server or the disk does not go along, or another bench has
    migrated the shop meanwhile; InputError for a name that cannot be used, NoRoomError. What was
    begun is gone then.
    """
    with snapshot(server) as moment:
        if moment.revision != revision:
            raise ShopFileError(
                _("another bench has just migrated {name}: open it again").format(name=server.name)
            )
        return copy(moment, to, progress)


def room_for_copy(moment: Snapshot) -> int:
    """Return how many bytes a copy may take."""
    return round(ROOM * sum(moment.table_bytes(indices=True).values()))


def copy(
    moment: Snapshot, to: Path, progress: Progress | None = None, *, along: Along | None = None
) -> Backup:
    """As `copy_to_file`, of a moment that is seen already.

    Raises DBAPIError where the server is lost.
    """
    with finished(to) as fresh:
        require_room((fresh.parent, room_for_copy(moment)))
        target = fresh_file_engine(fresh)
        try:
            with unchecked(target) as writing:
                _copy(moment, writing, part_of(progress, 0.0, COPIED))
        except DBAPIError as error:
            if isinstance(error.orig, sqlite3.Error):  # the file's, not the server's
                raise trouble(ShopFile(to), error, opening=True) from None
            raise
        finally:
            target.dispose()
        checked = part_of(progress, COPIED, 1.0)
        made = look_into(fresh, told=lambda share: checked(round(THOUSANDTHS * share), THOUSANDTHS))
        checked(1, 1)
        if along is not None:
            along(photos_in(fresh))
    return Backup(file=to, bytes=made.bytes, visits=made.visits)


def _copy(moment: Snapshot, writing: Connection, progress: Progress) -> None:
    make_tables_of(moment.revision, writing)
    reading = moment.connection
    known = set(inspect(writing).get_table_names()) - {REVISION_TABLE}
    here, there = MetaData(), MetaData()
    here.reflect(reading, only=sorted(known))
    there.reflect(writing, only=sorted(known))
    whole = sum(
        reading.scalar(select(func.count()).select_from(t)) or 0 for t in here.sorted_tables
    )
    steps = _Steps(2 * whole, progress)
    for table in here.sorted_tables:
        told = there.tables[table.name]
        if _sent(reading, writing, table, told, steps) != _sealed(_portions(writing, told, steps)):
            raise ShopFileError(
                _("the table {table} of {name} was not copied as it is: try again").format(
                    table=table.name, name=moment.server.name
                )
            )


class _Steps:
    """How far a copy is: a row counts twice, written and read back."""

    def __init__(self, whole: int, progress: Progress) -> None:
        self._done, self._whole, self._progress = 0, whole, progress

    def go(self, rows: int) -> None:
        """So many more are done."""
        self._done += rows
        self._progress(self._done, self._whole)


def _sent(
    reading: Connection, writing: Connection, table: Table, copied: Table, steps: _Steps
) -> str:
    """Copy a table's rows; returns their digest."""

    def sent() -> Iterator[Rows]:
        for rows in _portions(reading, table, steps):
            told = [tuple(_in_a_file(value) for value in row) for row in rows]
            names = table.c.keys()
            writing.execute(insert(copied), [dict(zip(names, r, strict=True)) for r in told])
            yield told

    return _sealed(sent())


def _sealed(portions: Iterator[Rows]) -> str:
    seal = Seal()
    for rows in portions:
        seal.add(rows)
    return seal.digest


def _portions(connection: Connection, table: Table, steps: _Steps) -> Iterator[Rows]:
    asked = select(table).execution_options(yield_per=PORTION)
    with closing(connection.execute(asked)) as found:
        for rows in found.partitions():
            yield [tuple(row) for row in rows]
            steps.go(len(rows))


def _in_a_file(value: object) -> object:
    """SQLite keeps a time without its zone, in UTC."""
    if isinstance(value, datetime):
        return value.astimezone(UTC).replace(tzinfo=None)
    return value
