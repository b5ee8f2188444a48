"""Backups in places that a person named: found again, and removed with a customer who is erased."""

from __future__ import annotations

import sqlite3
from collections.abc import Collection, Iterable, Sequence
from contextlib import closing
from gettext import gettext as _
from pathlib import Path

from benchassist.assembly import Place
from benchassist.assembly.luggage import folder_beside, shelf_beside
from benchassist.errors import BenchError, InputError


def backups_of(place: Place, path: Path, machine_ids: Sequence[str]) -> tuple[Path, ...]:
    """The backups that a path names, one or a folder of them, and that hold one of the machines.

    A dump cannot be looked into: it is taken where it is named itself. Raises InputError where
    there is none.
    """
    from benchassist.storage.whole_file import begins_as_dump

    if path.is_dir():
        found = tuple(f for f in sorted(path.iterdir()) if _holds(place, f, machine_ids))
        if not found:
            raise InputError(
                _("{folder}: no backup in it holds this machine; name a dump itself").format(
                    folder=path
                )
            )
        return found
    if not begins_as_dump(path) and not _holds(place, path, machine_ids):
        raise InputError(
            _("{file}: no backup that holds this machine; it is left as it is").format(file=path)
        )
    return (path,)


def _holds(place: Place, file: Path, machine_ids: Sequence[str]) -> bool:
    """Whether a file is a shop file, not the shop itself, that has one of the machines."""
    from benchassist.storage.shop_file import connect, examine
    from benchassist.storage.whole_file import begins_as_shop

    if not begins_as_shop(file) or (not place.on_server and file.samefile(place.shop)):
        return False
    marks = ", ".join("?" * len(machine_ids))
    asked = f"SELECT 1 FROM machine WHERE id IN ({marks})"  # noqa: S608 - only marks
    try:
        if examine(file, read_only=True) is None:
            return False
        with closing(connect(file, read_only=True)) as connection:
            return connection.execute(asked, tuple(machine_ids)).fetchone() is not None
    except (BenchError, sqlite3.Error):
        return False


def drop(files: Iterable[Path], digests: Collection[str]) -> tuple[list[Path], list[str]]:
    """Remove backups, and these photos from beside them; which went, and what did not go well."""
    from benchassist.storage.whole_file import BESIDE

    removed, notes = list[Path](), list[str]()
    for file in files:
        try:
            for beside in BESIDE:
                Path(f"{file}{beside}").unlink(missing_ok=True)
        except OSError as error:
            notes.append(
                _("the backup {file} cannot be removed ({why}): remove it by hand").format(
                    file=file, why=error.strerror
                )
            )
        else:
            removed.append(file)
    for folder in sorted({file.absolute().parent for file in removed}):
        notes += _photos_dropped(folder, digests)
    return removed, notes


def _photos_dropped(folder: Path, digests: Collection[str]) -> list[str]:
    """Remove photos from beside the backups of a folder, unless another one there has them."""
    shelf, notes = shelf_beside(folder / "any"), list[str]()
    lying = {digest for digest in digests if shelf.holds(digest)}
    if not lying:
        return []
    named, closed = _named_in(folder)
    for digest in sorted(lying - named if not closed else ()):
        try:
            shelf.discard(digest)
        except BenchError as error:
            notes.append(str(error))
    stay = lying if closed else lying & named
    if stay:
        notes.append(
            _("{n} photos stay in {folder}: other backups there hold them, drop those too").format(
                n=len(stay), folder=folder_beside(folder / "any")
            )
        )
    return notes


def _named_in(folder: Path) -> tuple[frozenset[str], bool]:
    """The photos that the backups of a folder name; whether one cannot be looked into."""
    from benchassist.storage.backup import photos_in
    from benchassist.storage.whole_file import begins_as_dump, begins_as_shop

    named, closed = frozenset[str](), False
    for file in folder.iterdir():
        if begins_as_dump(file):
            closed = True
        elif begins_as_shop(file):
            try:
                named |= photos_in(file)
            except BenchError:
                closed = True
    return named, closed
