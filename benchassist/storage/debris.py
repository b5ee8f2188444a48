"""What a damaged shop file still gives, row by row, past every place that cannot be read."""

import sqlite3
from collections.abc import Iterator
from itertools import islice
from typing import Final

from sqlalchemy import Connection, inspect

from benchassist.storage.schema import REVISIONS

MOST_MISSES: Final = 20_000
"""Row numbers tried in a table beyond which its rest is given up."""

PORTION: Final = 100

TOLD_BY: Final = (("search_place", "0004"), ("frozen", "0003"), ("run", "0002"))
"""A table that a revision brought, the latest first."""

Row = tuple[object, ...]


def revision_of(source: sqlite3.Connection) -> str:
    """Return the revision of a file's tables, told by themselves where it does not say it.

    Raises sqlite3.Error where not even their names can be read.
    """
    names = {str(name) for (name,) in source.execute("SELECT name FROM sqlite_schema")}
    try:
        said = source.execute("SELECT version_num FROM alembic_version").fetchone()
    except sqlite3.Error:
        said = None
    told = next((revision for table, revision in TOLD_BY if table in names), REVISIONS[0])
    return str(said[0]) if said is not None else told


class Debris:
    """A damaged file that is read; `places` counts what could not be."""

    def __init__(self, source: sqlite3.Connection) -> None:
        self._source = source
        self.places = 0

    def move(self, target: Connection, table: str) -> None:
        """Put the rows of a table into the same one of a new file.

        Raises DBAPIError, or sqlite3.Error where the table cannot be read at all.
        """
        known = {column["name"] for column in inspect(target).get_columns(table)}
        here = [
            str(name) for (_n, name, *_rest) in self._source.execute(f"PRAGMA table_info({table})")
        ]
        names = [name for name in here if name in known]
        if not names:
            return
        columns = ", ".join(f'"{name}"' for name in names)
        put = f"INSERT OR IGNORE INTO {table} ({columns}) VALUES ({', '.join('?' * len(names))})"  # noqa: S608 - names of our own tables
        rows = self._rows(table, columns)
        while portion := list(islice(rows, PORTION)):
            target.exec_driver_sql(put, portion)

    def _rows(self, table: str, columns: str) -> Iterator[Row]:
        """The rows of a table, by their numbers, past every one that cannot be read."""
        asked = f"SELECT rowid, {columns} FROM {table} WHERE rowid >= ? ORDER BY rowid"  # noqa: S608 - the same
        start, misses, in_hole = 0, 0, False
        while misses < MOST_MISSES:
            try:
                for number, *row in self._source.execute(asked, (start,)):
                    start, in_hole = number + 1, False
                    yield tuple(row)
                return
            except (sqlite3.DatabaseError, UnicodeDecodeError):
                self.places += not in_hole
                start, misses, in_hole = start + 1, misses + 1, True
