"""A program that runs holds a lock in a folder of this computer; others see by it that it lives.

The system lets go of the lock when the program ends, whatever ended it: so what a killed program
had on its bench is free at once on the same computer, before its lease has run out.
"""

import os
import sqlite3
import tempfile
import time
from contextlib import suppress
from enum import Enum
from pathlib import Path
from typing import Final
from uuid import UUID, uuid4

KEPT_S: Final = 86400.0
"""How long a killed program's lock is left lying."""


class Alive(Enum):
    """What is known of another program."""

    HERE = "here"
    """It runs on this computer."""
    GONE = "gone"
    """It ran on this computer and has ended."""
    UNKNOWN = "unknown"
    """It is on another computer, or left no sign."""


def presence_folder() -> Path:
    """Where the locks lie: a folder of this user's, on this computer."""
    user = getattr(os, "getuid", lambda: "own")()
    return Path(tempfile.gettempdir()) / f"benchassist-{user}"


class Presence:
    """This program, from now until `close` or its end. Without a place for its lock it has none."""

    def __init__(self) -> None:
        self.id = str(uuid4())
        self._path = _path_of(self.id)
        self._lock: sqlite3.Connection | None = None
        with suppress(OSError, sqlite3.Error):
            self._path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            _clear_away(self._path.parent)
            self._lock = locked_file(self._path)

    def close(self) -> None:
        """No sign of it is left. May be called twice."""
        if self._lock is not None:
            self._lock.close()
            self._lock = None
            with suppress(OSError):
                self._path.unlink(missing_ok=True)


def locked_file(path: Path) -> sqlite3.Connection | None:
    """Hold the lock of a file, made where it is not there, until the connection is closed.

    None where another program holds it. Raises sqlite3.Error.
    """
    lock = _open(path, "rwc")
    try:
        _take(lock)
    except sqlite3.OperationalError:
        lock.close()
        return None
    return lock


def look_for(holder: str) -> Alive:
    """Whether the program of that id runs."""
    try:
        lock = _open(_path_of(str(UUID(holder))), "rw")
    except (ValueError, sqlite3.Error):
        return Alive.UNKNOWN
    try:
        _take(lock)
    except sqlite3.OperationalError:
        return Alive.HERE
    except sqlite3.Error:
        return Alive.UNKNOWN
    else:
        return Alive.GONE
    finally:
        lock.close()


def _path_of(holder: str) -> Path:
    return presence_folder() / f"{holder}.lock"


def _open(path: Path, mode: str) -> sqlite3.Connection:
    """An empty database: its lock is one that every system has, and that dies with its program."""
    return sqlite3.connect(
        f"{path.as_uri()}?mode={mode}",
        uri=True,
        timeout=0.0,
        isolation_level=None,
        check_same_thread=False,
    )


def _take(lock: sqlite3.Connection) -> None:
    """Raises OperationalError where another connection has it."""
    lock.execute("PRAGMA journal_mode = MEMORY")
    lock.execute("BEGIN EXCLUSIVE")


def _clear_away(folder: Path) -> None:
    """Remove what killed programs left, once no lease of theirs can be in force any more."""
    for path in folder.glob("*.lock"):
        with suppress(OSError):
            if time.time() - path.stat().st_mtime > KEPT_S and look_for(path.stem) is Alive.GONE:
                path.unlink()
