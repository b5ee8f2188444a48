"""A backup takes the place of a shop file: looked into first, and all of it or nothing.

The present file is held so that no other program can open it, copied aside, and then overwritten
within one transaction of SQLite's own: ended at any moment, it is the old one or the new one.
"""

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from gettext import gettext as _
from pathlib import Path

from benchassist.errors import BenchError, InputError, ShopFileError
from benchassist.storage import room
from benchassist.storage.backup import Progress, copy_pages, copy_to, room_for, verified
from benchassist.storage.integrity import Contents, contents_of, look_into
from benchassist.storage.room import size_of
from benchassist.storage.shop_file import BUSY_SECONDS, connect, refusal
from benchassist.storage.whole_file import BESIDE, UNFINISHED, finished, sync


@dataclass(frozen=True, slots=True)
class Exchange:
    """What would come, and what would go.

    `present` is None where there is no shop file, or where it cannot be read: `fault` says why.
    """

    backup: Contents
    present: Contents | None
    fault: str


def look_at(file: Path, path: Path) -> Exchange:
    """Return what restoring a backup would do; nothing is changed.

    Raises InputError for the shop's own file, ShopFileError for a file that cannot be restored.
    """
    if path.exists() and file.exists() and path.samefile(file):
        raise InputError(_("{file} is the shop file itself: name a backup of it").format(file=file))
    backup = look_into(file)
    if not path.exists():
        return Exchange(backup, None, "")
    try:
        return Exchange(backup, look_into(path), "")
    except BenchError as error:
        if path.is_dir():
            raise
        return Exchange(backup, None, str(error))


def require_room(exchange: Exchange, path: Path, aside: Path) -> None:
    """Raise NoRoomError where a disk has none for what a restore writes.

    The present file is copied aside, and every page of it kept until all are overwritten.
    """
    present = room_for(path)
    more = max(0, exchange.backup.bytes - size_of(path))
    room.require_room((aside.parent, present), (path.parent, present + more))


def restore(exchange: Exchange, path: Path, aside: Path, progress: Progress | None = None) -> None:
    """Put a backup in the place of the shop file, the present one copied aside first.

    `progress` is told of the second half; what it raises leaves the present file as it was.
    Raises ShopFileError where another program has the shop open, or a disk does not take it.
    """
    if not path.exists():
        with (
            closing(connect(exchange.backup.file, read_only=True)) as source,
            finished(path) as new,
        ):
            _copy(source, new, path)
            verified(path, new, exchange.backup)
        return
    if exchange.present is None:
        _keep_bytes(path, aside)
    try:
        with _held(path) as present:
            if exchange.present is not None:
                _keep(exchange.present, present, aside)
            with closing(connect(exchange.backup.file, read_only=True)) as source:
                copy_pages(source, present, progress)
    except sqlite3.DatabaseError as error:
        if exchange.present is not None or isinstance(error, sqlite3.OperationalError):
            if exchange.present is None:
                _drop(aside)
            raise _why(path, error) from None
        _replace(exchange, path)
    restored = look_into(path)
    if (restored.visits, restored.newest) != (exchange.backup.visits, exchange.backup.newest):
        raise ShopFileError(
            _("{file} does not hold what the backup does: restore it again").format(file=path)
        )


@contextmanager
def _held(path: Path) -> Iterator[sqlite3.Connection]:
    """The shop file, which nobody else has open, nor can open. Raises sqlite3.Error."""
    with closing(
        sqlite3.connect(
            f"{path.absolute().as_uri()}?mode=rw",
            uri=True,
            isolation_level=None,
            timeout=BUSY_SECONDS,
        )
    ) as present:
        # Not given to a connection that is not the only one, even where the others are idle.
        present.execute("PRAGMA journal_mode = DELETE")
        present.execute("PRAGMA locking_mode = EXCLUSIVE")
        present.execute("BEGIN EXCLUSIVE")
        present.execute("COMMIT")
        yield present


def _copy(source: sqlite3.Connection, fresh: Path, path: Path) -> None:
    try:
        copy_to(source, fresh)
    except sqlite3.Error as error:
        raise refusal(path, error) from None


def _why(path: Path, error: sqlite3.Error) -> ShopFileError:
    said = str(error)
    if "locked" in said or "busy" in said:
        return ShopFileError(
            _("another program has the shop file {file} open: close it, then restore again").format(
                file=path
            )
        )
    return refusal(path, error)


def _keep(contents: Contents, present: sqlite3.Connection, aside: Path) -> None:
    """Copy a sound shop file aside as it stands now, and verify the copy."""
    with finished(aside) as fresh:
        copy_to(present, fresh)
        verified(contents.file, fresh, contents_of(contents.file, contents.revision, present))


def _keep_bytes(path: Path, aside: Path) -> None:
    """Copy a damaged file aside as it is, with its log, before SQLite looks at it again."""
    try:
        for beside in BESIDE:
            if (old := Path(f"{path}{beside}")).exists():
                shutil.copyfile(old, f"{aside}{beside}")
    except OSError as error:
        raise _unwritten(aside, error) from None


def _drop(aside: Path) -> None:
    """Nothing was replaced after all."""
    for beside in BESIDE:
        Path(f"{aside}{beside}").unlink(missing_ok=True)


def _replace(exchange: Exchange, path: Path) -> None:
    """In the place of a file that is no database any more."""
    fresh = path.with_name(f"{path.name}{UNFINISHED}")
    try:
        fresh.unlink(missing_ok=True)
        with closing(connect(exchange.backup.file, read_only=True)) as source:
            _copy(source, fresh, path)
        verified(path, fresh, exchange.backup)
        sync(fresh)
        # A log of the old file must not be taken for one of the new.
        for beside in BESIDE[1:]:
            Path(f"{path}{beside}").unlink(missing_ok=True)
        fresh.replace(path)
        sync(path.absolute().parent)
    except OSError as error:
        raise _unwritten(path, error) from None
    finally:
        fresh.unlink(missing_ok=True)


def _unwritten(path: Path, error: OSError) -> ShopFileError:
    return ShopFileError(
        _("{file} cannot be written ({why})").format(file=path, why=error.strerror)
    )
