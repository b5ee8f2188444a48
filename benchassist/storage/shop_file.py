"""A shop's SQLite file, looked at before anything else touches it, and its connections."""

import os
import sqlite3
import stat
from dataclasses import dataclass
from gettext import gettext as _
from pathlib import Path
from typing import Any, Final

from benchassist.errors import NotAShopError, ShopFileError

BUSY_SECONDS: Final = 2.0
"""How long a statement waits for another process's short write."""

SMALLEST_PAGE: Final = 512
"""Bytes: a file that is shorter and not empty is no database (the file format, section 1.3.2)."""

APPLICATION_ID: Final = 0x53484F50
"""Marks a file as a shop's (the letters SHOP)."""

LOOSE: Final = 1
"""The user_version of a file that was migrated and is still to be made compact; else it is 0."""

UNREADABLE: Final = "database disk image is malformed"
"""What SQLite says of most damage."""

ANY_WRITE: Final = stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH


@dataclass(frozen=True, slots=True)
class Standing:
    """The revision of a file, None for one still to be made; whether it is to be made compact."""

    revision: str | None
    loose: bool = False


class FileConnection(sqlite3.Connection):
    """Says of a file so damaged that SQLite's own words about it are no text what it is."""

    def execute(self, *asked: Any) -> sqlite3.Cursor:  # noqa: ANN401 - as sqlite3 takes it
        """As ever. Raises sqlite3.DatabaseError instead of UnicodeDecodeError."""
        try:
            return super().execute(*asked)
        except UnicodeDecodeError:
            error = sqlite3.DatabaseError(UNREADABLE)
            error.sqlite_errorcode = sqlite3.SQLITE_CORRUPT
            raise error from None


def connect(path: Path, *, read_only: bool = False, writer: bool = False) -> sqlite3.Connection:
    """Return a connection: the writer's syncs at every commit, any other one cannot write.

    Raises sqlite3.Error.
    """
    mode = "ro" if read_only else "rwc" if writer else "rw"
    if read_only and _lies_still(path):
        mode += "&immutable=1"
    connection = sqlite3.connect(
        f"{path.absolute().as_uri()}?mode={mode}",
        uri=True,
        timeout=BUSY_SECONDS,
        isolation_level=None,
        check_same_thread=False,
        factory=FileConnection,
    )
    try:
        connection.execute("PRAGMA foreign_keys = ON")
        if writer:
            connection.execute("PRAGMA journal_mode = WAL")
            connection.execute("PRAGMA synchronous = FULL")
        else:
            connection.execute("PRAGMA query_only = ON")
    except sqlite3.Error:
        connection.close()
        raise
    return connection


def examine(path: Path, *, read_only: bool = False) -> str | None:
    """Return the revision of a shop file, None for one still to be made. Raises as `standing`."""
    return standing(path, read_only=read_only).revision


def standing(path: Path, *, read_only: bool = False) -> Standing:
    """Return how a shop file stands.

    Raises ShopFileError where the file cannot be a shop's, or cannot be used as asked.
    """
    try:
        there = _look(path, read_only=read_only)
    except OSError as error:
        raise ShopFileError(
            _("the shop file {file} cannot be opened ({why}): choose another").format(
                file=path, why=error.strerror
            )
        ) from None
    if not there:
        return Standing(None)
    try:
        return _standing(path, read_only=read_only)
    except sqlite3.Error as error:
        raise refusal(path, error) from None


def refusal(path: Path, error: BaseException) -> ShopFileError:
    """Return what SQLite's error means to the technician, in one line."""
    said = str(error)
    if "locked" in said or "busy" in said:
        words = _(
            "the shop file {file} is locked by another program: close that, then open it again"
        )
    elif "not a database" in said:
        not_one = _("{file} is not a shop file: choose one this program made, or a new name")
        return NotAShopError(not_one.format(file=path))
    elif "readonly" in said:
        words = _(
            "the shop file {file} is read-only: make it writable, or copy it to a folder you may "
            "write in"
        )
    elif "full" in said:
        words = _("the disk is full: make room, the shop file {file} cannot grow")
    elif "disk I/O" in said:
        # A quota that is used up says so too: it is no damage, and no reason to restore.
        words = _(
            "the disk refused to read or write the shop file {file} ({said}): check the disk and "
            "the room left on it"
        )
    elif "unable to open" in said:
        words = _("the shop file {file} cannot be opened: check that its folder is writable")
    else:
        words = _(
            "the shop file {file} is damaged or cannot be read ({said}): restore it from a backup"
        )
    return ShopFileError(words.format(file=path, said=said))


def _look(path: Path, *, read_only: bool) -> bool:
    """Whether there is a file with something in it; what its place on disk does not allow raises.

    The file is not opened: on closing it the system would drop every lock that this program's own
    connections have on it (POSIX, fcntl), and another program that closes the shop would take
    itself for the last and remove the log under them. The mode is read besides asking the system,
    because to the system's own account nothing is read-only.
    """
    folder = path.absolute().parent
    if path.is_dir():
        raise NotAShopError(_("{file} is a folder: name a shop file in it").format(file=path))
    if path.exists() and not path.is_file():
        # A pipe would be waited at for ever, a device read without end.
        raise refusal(path, sqlite3.DatabaseError("not a database"))
    if not folder.is_dir():
        raise ShopFileError(
            _("there is no folder {folder}: make it first, or choose another").format(folder=folder)
        )
    there = path.exists()
    if not there and read_only:
        raise NotAShopError(_("there is no shop file {file}: check its name").format(file=path))
    # SQLite would write over a file too short to be one; of any longer one it says so itself.
    if there and 0 < path.stat().st_size < SMALLEST_PAGE:
        raise refusal(path, sqlite3.DatabaseError("not a database"))
    if not read_only:
        if there and not _writable(path):
            raise refusal(path, sqlite3.OperationalError("readonly"))
        if not _writable(folder):
            raise ShopFileError(
                _(
                    "the folder {folder} is read-only: a shop file needs one you may write in"
                ).format(folder=folder)
            )
    return there and path.stat().st_size > 0


def _lies_still(path: Path) -> bool:
    """Whether a file lies where SQLite cannot put its log beside it, and nobody has it open.

    Such a file, on a write-protected stick say, is read without the log's locks.
    """
    return not _writable(path.absolute().parent) and not Path(f"{path}-wal").exists()


def _writable(path: Path) -> bool:
    return os.access(path, os.W_OK) and bool(path.stat().st_mode & ANY_WRITE)


def _standing(path: Path, *, read_only: bool) -> Standing:
    connection = connect(path, read_only=read_only)
    try:
        (mark,) = connection.execute("PRAGMA application_id").fetchone()
        tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_schema")}
        if not tables and mark in (0, APPLICATION_ID):
            return Standing(None)
        if mark != APPLICATION_ID or "alembic_version" not in tables:
            raise NotAShopError(
                _(
                    "the file {file} belongs to another program: choose one this program made"
                ).format(file=path)
            )
        row = connection.execute("SELECT version_num FROM alembic_version").fetchone()
        (left,) = connection.execute("PRAGMA user_version").fetchone()
        return Standing(str(row[0]) if row else None, left == LOOSE)
    finally:
        connection.close()
