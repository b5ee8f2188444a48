"""What is in a shop file, and whether it is whole; the file is only read."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from gettext import gettext as _
from pathlib import Path
from typing import Final

from benchassist.errors import NotAShopError, ShopFileError
from benchassist.storage.revision import refuse_other_revisions
from benchassist.storage.schema import metadata
from benchassist.storage.shop_file import connect, examine, refusal

FAULTS_SHOWN: Final = 10

PLAIN: Final = ("CREATE TABLE", "CREATE INDEX", "CREATE UNIQUE INDEX")

Hold = Callable[[sqlite3.Connection], None]


@dataclass(frozen=True, slots=True)
class Contents:
    """What a shop file holds; `newest` is when its newest visit was opened."""

    file: Path
    revision: str
    bytes: int
    visits: int
    newest: datetime | None


def look_into(path: Path) -> Contents:
    """Return what a sound shop file of this program, or of an earlier one, holds.

    Raises ShopFileError in one line for a file that is none, is damaged or newer than the program.
    """
    revision = examine(path, read_only=True)
    if revision is None:
        raise NotAShopError(_("{file} is empty: choose a backup of a shop").format(file=path))
    refuse_other_revisions(str(path), revision, read_only=False)
    try:
        with closing(connect(path, read_only=True)) as connection:
            _refuse_foreign(path, connection)
            found = faults_of(connection)
            if found:
                raise damaged(path, found[0])
            return contents_of(path, revision, connection)
    except sqlite3.Error as error:
        raise refusal(path, error) from None


def contents_of(path: Path, revision: str, connection: sqlite3.Connection) -> Contents:
    """Return what an open shop file holds. Raises sqlite3.Error."""
    visits, newest = connection.execute("SELECT count(*), max(opened_at) FROM visit").fetchone()
    return Contents(
        file=path,
        revision=revision,
        bytes=path.stat().st_size,
        visits=int(visits),
        newest=None if newest is None else datetime.fromisoformat(newest).replace(tzinfo=UTC),
    )


def faults_of(connection: sqlite3.Connection, *, quick: bool = False) -> tuple[str, ...]:
    """Return what SQLite finds wrong, nothing for a file that is whole. Raises sqlite3.Error.

    Quick does not compare the indices with their tables.
    """
    check = "quick_check" if quick else "integrity_check"
    said = [str(line) for (line,) in connection.execute(f"PRAGMA {check}({FAULTS_SHOWN})")]
    if said != ["ok"]:
        return tuple(" ".join(line.split()) for line in said)
    if quick:
        return ()
    lost = connection.execute("PRAGMA foreign_key_check").fetchall()
    return tuple(f"a row of {table} belongs to none of {other}" for table, _row, other, _n in lost)


def fault(path: Path, *, quick: bool = False, hold: Hold | None = None) -> str | None:
    """Return what is wrong with a shop file that may be in use, None where nothing was found.

    What cannot be looked at just now, locked or interrupted, is not a fault. `hold` is handed the
    connection, so that another thread may interrupt it.
    """
    try:
        with closing(connect(path, read_only=True)) as connection:
            if hold is not None:
                hold(connection)
            found = faults_of(connection, quick=quick)
    except sqlite3.Error as error:
        return str(error) if _tells_damage(error) else None
    return found[0] if found else None


def damaged(path: Path, fault: str) -> ShopFileError:
    """Return what a fault means to the technician, in one line."""
    return refusal(path, sqlite3.DatabaseError(fault))


def _tells_damage(error: sqlite3.Error) -> bool:
    code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR) & 0xFF
    return code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)


def _refuse_foreign(path: Path, connection: sqlite3.Connection) -> None:
    """A shop file has its own tables and indices; anything else may act by itself."""
    ours = {*metadata.tables, "alembic_version"}
    for kind, name, sql in connection.execute("SELECT type, tbl_name, sql FROM sqlite_schema"):
        is_plain = sql is None or sql.upper().startswith(PLAIN)
        if kind not in ("table", "index") or name not in ours or not is_plain:
            raise NotAShopError(
                _(
                    "the file {file} belongs to another program: choose one this program made"
                ).format(file=path)
            )
