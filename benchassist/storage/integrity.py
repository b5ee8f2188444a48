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
from benchassist.storage.pulse import counted
from benchassist.storage.revision import refuse_other_revisions
from benchassist.storage.schema import metadata
from benchassist.storage.shop_file import connect, examine, refusal

FAULTS_SHOWN: Final = 10

TICK: Final = 100_000
"""Steps of SQLite's machine after which a check that is watched tells how far it is."""

A_ROW: Final = 8
AN_INDEX: Final = 10
A_KEY: Final = 4
"""Steps that the check of a row takes, and more for each index and foreign key; as counted."""

LAST_SHARE: Final = 0.99

PLAIN: Final = ("CREATE TABLE", "CREATE INDEX", "CREATE UNIQUE INDEX")

Hold = Callable[[sqlite3.Connection], None]
Told = Callable[[float], None]


@dataclass(frozen=True, slots=True)
class Contents:
    """What a shop file holds; `newest` is when its newest visit was opened."""

    file: Path
    revision: str
    bytes: int
    visits: int
    newest: datetime | None

    @property
    def name(self) -> str:
        """How messages call it."""
        return str(self.file)


def look_into(path: Path, *, told: Told | None = None) -> Contents:
    """Return what a sound shop file of this program, or of an earlier one, holds.

    `told` is as `faults_of` takes it. Raises ShopFileError in one line for a file that is none, is
    damaged or newer than the program.
    """
    revision = examine(path, read_only=True)
    if revision is None:
        raise NotAShopError(_("{file} is empty: choose a backup of a shop").format(file=path))
    refuse_other_revisions(str(path), revision, read_only=False)
    try:
        with closing(connect(path, read_only=True)) as connection:
            _refuse_foreign(path, connection)
            found = faults_of(connection, told=told)
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


def faults_of(
    connection: sqlite3.Connection, *, quick: bool = False, told: Told | None = None
) -> tuple[str, ...]:
    """Return what SQLite finds wrong, nothing for a file that is whole. Raises sqlite3.Error.

    Quick does not compare the indices with their tables. `told` hears how far the check is, as a
    share of it; what it raises ends the check.
    """
    if told is not None:
        steps = _steps(connection)
        with counted(connection, lambda done: told(min(LAST_SHARE, done / steps)), TICK):
            return faults_of(connection, quick=quick)
    check = "quick_check" if quick else "integrity_check"
    said = [str(line) for (line,) in connection.execute(f"PRAGMA {check}({FAULTS_SHOWN})")]
    if said != ["ok"]:
        return tuple(" ".join(line.split()) for line in said)
    if quick:
        return ()
    lost = connection.execute("PRAGMA foreign_key_check").fetchall()
    return tuple(f"a row of {table} belongs to none of {other}" for table, _row, other, _n in lost)


def _steps(connection: sqlite3.Connection) -> int:
    """About how many steps SQLite's machine takes for the whole check, never none."""
    steps = 1
    for (name,) in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'"):
        (rows,) = connection.execute(f'SELECT count(*) FROM "{name}"').fetchone()  # noqa: S608 - its own name
        indices = len(connection.execute(f'PRAGMA index_list("{name}")').fetchall())
        keys = len(connection.execute(f'PRAGMA foreign_key_list("{name}")').fetchall())
        steps += int(rows) * (A_ROW + AN_INDEX * indices + A_KEY * keys)
    return steps


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
