"""A copy of a shop as it stands at one moment, made while programs are at work on it.

A file is copied by SQLite's own online backup within one read transaction, then opened, checked
and counted before it takes its name. A damaged file is saved row by row (`salvage`). A server's
shop is dumped by the server's own program, where this computer has it.
"""

import os
import shutil
import sqlite3
import subprocess
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from gettext import gettext as _
from pathlib import Path
from typing import Final
from urllib.parse import unquote, urlsplit, urlunsplit

from benchassist.errors import BenchError, ShopFileError
from benchassist.storage.integrity import Contents, Told, contents_of, damaged, faults_of
from benchassist.storage.place import ShopServer
from benchassist.storage.revision import refuse_other_revisions
from benchassist.storage.shop_file import connect, examine, refusal
from benchassist.storage.whole_file import finished

PAGE: Final = 4096
"""Bytes."""

PAGES: Final = 512
"""Copied at once, 2 MB."""

Progress = Callable[[int, int], None]
"""Is told parts done and parts in all; what it raises ends the work."""

VERIFYING: Final = 2
"""How many times longer than the copy its verification takes, about."""


@dataclass(frozen=True, slots=True)
class Backup:
    """A backup that was made. `lost` says in one line what could not be saved; empty: nothing."""

    file: Path
    bytes: int
    visits: int
    lost: str = ""


def back_up(path: Path, to: Path, progress: Progress | None = None) -> Backup:
    """Copy a shop file that may be in use to a new file, and verify the copy.

    Raises ShopFileError where the shop is damaged or cannot be read, InputError for a name that
    cannot be used. What was begun is gone then.
    """
    revision = examine(path, read_only=True)
    refuse_other_revisions(str(path), revision, read_only=False)
    if revision is None:
        raise ShopFileError(
            _("the shop file {file} is empty: nothing to back up").format(file=path)
        )
    with finished(to) as fresh:
        try:
            with closing(connect(path, read_only=True)) as source:
                # What is read in one transaction stays as it was, whoever writes meanwhile.
                source.execute("BEGIN")
                expected = contents_of(path, revision, source)
                copy_to(source, fresh, None if progress is None else _copying(progress))
        except sqlite3.Error as error:
            raise refusal(path, error) from None
        made = verified(path, fresh, expected, progress)
    return Backup(file=to, bytes=made.bytes, visits=made.visits)


def copy_to(source: sqlite3.Connection, fresh: Path, progress: Progress | None = None) -> None:
    """Copy what an open shop file holds into a file that stands by itself. Raises sqlite3.Error."""
    with closing(sqlite3.connect(fresh, isolation_level=None)) as target:
        copy_pages(source, target, progress)
        # One file by itself, that is read on a write-protected stick as well.
        target.execute("PRAGMA journal_mode = DELETE")


def copy_pages(
    source: sqlite3.Connection, target: sqlite3.Connection, progress: Progress | None = None
) -> None:
    """Copy all of one database over another, in one transaction of its. Raises sqlite3.Error."""

    def told(_status: int, remaining: int, total: int) -> None:
        if progress is not None:
            progress(total - remaining, total)

    source.backup(target, pages=PAGES, progress=told)


def _copying(progress: Progress) -> Progress:
    """Tells the copy as the first part of a backup."""
    return lambda done, pages: progress(done, pages * (1 + VERIFYING))


def _verifying(progress: Progress, size: int) -> Told:
    """Tells the verification of so many bytes as what comes after the copy."""
    pages = max(1, size // PAGE)
    return lambda share: progress(pages + round(share * pages * VERIFYING), pages * (1 + VERIFYING))


def verified(
    path: Path, fresh: Path, expected: Contents, progress: Progress | None = None
) -> Contents:
    """Return what a copy of a shop holds; `progress` is told as after a copy.

    Raises ShopFileError where it is damaged or not what was expected.
    """
    told = None if progress is None else _verifying(progress, fresh.stat().st_size)
    try:
        with closing(connect(fresh, read_only=True)) as copy:
            found = faults_of(copy, told=told)
            if told is not None:
                told(1.0)
            if found:
                raise damaged(path, found[0])
            made = contents_of(fresh, expected.revision, copy)
    except sqlite3.Error as error:
        raise refusal(path, error) from None
    if (made.visits, made.newest) != (expected.visits, expected.newest):
        raise ShopFileError(_("the backup does not hold what the shop does: make it again"))
    return made


def dump(server: ShopServer, to: Path, visits: int) -> Backup:
    """Have the server's own program dump a shop, and its list of contents read back.

    Raises BenchError where this computer has no such program, or it fails.
    """
    program, reader = shutil.which("pg_dump"), shutil.which("pg_restore")
    if program is None or reader is None:
        raise BenchError(
            _(
                "the shop {name} is on a server and pg_dump is not on this computer: back it up "
                "on the server"
            ).format(name=server.name)
        )
    address, secret = _address_of(server)
    with finished(to) as fresh:
        _run([program, "--format=custom", f"--file={fresh}", f"--dbname={address}"], secret)
        _run([reader, "--list", str(fresh)], {})
        size = fresh.stat().st_size
    return Backup(file=to, bytes=size, visits=visits)


def _address_of(server: ShopServer) -> tuple[str, dict[str, str]]:
    """The address as the server's programs take it; the password goes where no list shows it."""
    parts = urlsplit(server.url)
    user, at, host = parts.netloc.rpartition("@")
    name, _colon, password = user.partition(":")
    address = urlunsplit(parts._replace(scheme="postgresql", netloc=f"{name}{at}{host}"))
    return address, {"PGPASSWORD": unquote(password)} if password else {}


def _run(command: list[str], secret: dict[str, str]) -> None:
    done = subprocess.run(
        command,
        env=os.environ | secret,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        errors="replace",
        check=False,
    )
    if done.returncode:
        said = next(iter(done.stderr.strip().splitlines()), _("it does not say why"))
        raise BenchError(
            _("{program} failed: {said}").format(program=Path(command[0]).name, said=said)
        )
