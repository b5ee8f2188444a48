"""A shop file that is written whole or not at all."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from gettext import gettext as _
from pathlib import Path
from threading import get_native_id
from typing import Final

from benchassist.errors import InputError, ShopFileError

UNFINISHED: Final = ".new"
"""Ends the name of a file that is being written."""

DATABASE: Final = b"SQLite format 3\x00"
DUMP: Final = b"PGDMP"
"""How a shop file and a server's dump begin."""

HEAD: Final = 32
"""Bytes in which a file says what it is."""

BESIDE: Final = ("", "-journal", "-wal", "-shm")
"""A database's file and what SQLite may leave beside it."""


@contextmanager
def finished(path: Path) -> Iterator[Path]:
    """Write to the path that is handed out; at the end it is synced and takes its name.

    A file that is there already is never replaced: raises InputError, also where the folder cannot
    take it; ShopFileError where the disk does not.
    """
    folder = path.absolute().parent
    if path.is_dir():
        raise InputError(_("{file} is a folder: name a file in it").format(file=path))
    if path.exists():
        raise InputError(_("{file} is there already: give a new name").format(file=path))
    if not folder.is_dir():
        raise InputError(
            _("there is no folder {folder}: make it first, or choose another").format(folder=folder)
        )
    fresh = folder / f"{path.name}.{os.getpid()}-{get_native_id()}{UNFINISHED}"
    try:
        fresh.unlink(missing_ok=True)
        yield fresh
        sync(fresh)
        # Unlike a rename, a link does not replace what came there meanwhile.
        _take_name(fresh, path)
        sync(folder)
    except FileExistsError:
        raise InputError(_("{file} is there already: give a new name").format(file=path)) from None
    except OSError as error:
        raise ShopFileError(
            _("{file} cannot be written ({why})").format(file=path, why=error.strerror)
        ) from None
    finally:
        for beside in BESIDE:
            Path(f"{fresh}{beside}").unlink(missing_ok=True)


def _take_name(fresh: Path, path: Path) -> None:
    try:
        os.link(fresh, path)
    except FileExistsError:
        raise
    except OSError:  # a file system without links
        fresh.rename(path)


def sync(path: Path) -> None:
    """Have the disk hold a file, or a folder's names. Raises OSError."""
    if os.name == "nt" and path.is_dir():
        return
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def begins_as_shop(path: Path) -> bool:
    """Whether a file may be a shop's, by its first bytes."""
    return _head(path).startswith(DATABASE)


def begins_as_dump(path: Path) -> bool:
    """Whether a file may be a server's dump, by its first bytes."""
    return _head(path).startswith(DUMP)


def _head(path: Path) -> bytes:
    """What a file begins with; nothing of what is no file, or cannot be read."""
    try:
        if not path.is_file():
            return b""
        if Path(f"{path}-shm").exists():
            return DATABASE  # it may be open here: closing it would drop its locks, see shop_file
        with path.open("rb") as file:
            return file.read(HEAD)
    except OSError:
        return b""


def looks_whole(path: Path) -> bool:
    """Whether a backup is as long as its own head says; what is in it is not looked at.

    A dump's head does not say.
    """
    head = _head(path)
    if head.startswith(DUMP):
        return True
    if len(head) < HEAD or not head.startswith(DATABASE):
        return False
    # SQLite's file format, 1.3.2 and 1.3.7: the page's size, 1 for 65536, and the pages there are.
    page = int.from_bytes(head[16:18], "big")
    size = (65536 if page == 1 else page) * int.from_bytes(head[28:32], "big")
    try:
        return size == path.stat().st_size
    except OSError:
        return False
