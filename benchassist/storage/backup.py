"""A copy of a shop as it stands at one moment, made while programs are at work on it.

A file is copied by SQLite's own online backup within one read transaction, then opened, checked
and counted before it takes its name. A damaged file is saved row by row (`salvage`). A server's
shop is dumped by the server's own program where this computer has it (`dump`), else copied into a
file (`server_copy`).
"""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from gettext import gettext as _
from pathlib import Path
from typing import TYPE_CHECKING, Final

from benchassist.errors import ShopFileError
from benchassist.storage.integrity import Contents, Told, contents_of, damaged, faults_of
from benchassist.storage.revision import refuse_other_revisions
from benchassist.storage.room import require_room, size_of
from benchassist.storage.shop_file import connect, examine, refusal
from benchassist.storage.whole_file import finished

if TYPE_CHECKING:
    from benchassist.storage.photo_cargo import Carried

PAGE: Final = 4096
"""Bytes."""

PAGES: Final = 512
"""Copied at once, 2 MB."""

THOUSANDTHS: Final = 1000

Progress = Callable[[int, int], None]
"""Is told parts done and parts in all; what it raises ends the work."""

Along = Callable[[frozenset[str]], None]
"""Is told the photos that a copy names, before it takes its name; what it raises ends the work."""

VERIFYING: Final = 2
"""How many times longer than the copy its verification takes, about."""


@dataclass(frozen=True, slots=True)
class Backup:
    """A backup that was made. `lost` says in one line what could not be saved; empty: nothing.

    `dumped`: by a server's own program, which alone can read it. `photos` is what became of the
    originals, None where none were to go along.
    """

    file: Path
    bytes: int
    visits: int
    lost: str = ""
    dumped: bool = False
    photos: "Carried | None" = None


def back_up(
    path: Path, to: Path, progress: Progress | None = None, *, along: Along | None = None
) -> Backup:
    """Copy a shop file that may be in use to a new file, and verify the copy.

    Raises ShopFileError where the shop is damaged or cannot be read, InputError for a name that
    cannot be used, NoRoomError. What was begun is gone then.
    """
    revision = examine(path, read_only=True)
    refuse_other_revisions(str(path), revision, read_only=False)
    if revision is None:
        raise ShopFileError(
            _("the shop file {file} is empty: nothing to back up").format(file=path)
        )
    with finished(to) as fresh:
        require_room((fresh.parent, room_for(path)))
        try:
            with closing(connect(path, read_only=True)) as source:
                # What is read in one transaction stays as it was, whoever writes meanwhile.
                source.execute("BEGIN")
                expected = contents_of(path, revision, source)
                copy_to(source, fresh, None if progress is None else _copying(progress))
        except sqlite3.Error as error:
            raise refusal(path, error) from None
        made = verified(path, fresh, expected, progress)
        if along is not None:
            along(photos_in(fresh))
    return Backup(file=to, bytes=made.bytes, visits=made.visits)


def room_for(path: Path) -> int:
    """Return how many bytes a copy of a shop file may take: with what its log adds to it."""
    return size_of(path) + size_of(Path(f"{path}-wal"))


def photos_in(path: Path) -> frozenset[str]:
    """Return the digests of the photos that a shop file names; an early one has none.

    Raises ShopFileError where it cannot be read.
    """
    try:
        with closing(connect(path, read_only=True)) as connection:
            known = connection.execute("SELECT 1 FROM sqlite_schema WHERE name = 'photo'")
            if known.fetchone() is None:
                return frozenset()
            return frozenset(str(d) for (d,) in connection.execute("SELECT digest FROM photo"))
    except sqlite3.Error as error:
        raise refusal(path, error) from None


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


def part_of(progress: Progress | None, start: float, end: float) -> Progress:
    """Return what tells one piece of work as a part of the whole, from one share of it to another.

    It is told in thousandths; without `progress` to nobody.
    """

    def told(done: int, pieces: int) -> None:
        if progress is not None:
            share = start + (end - start) * min(1.0, done / max(pieces, 1))
            progress(round(THOUSANDTHS * share), THOUSANDTHS)

    return told


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
