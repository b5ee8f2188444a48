"""A shop's records are kept safe: taken in from elsewhere, backed up, restored, looked after."""

from __future__ import annotations

import logging
import sqlite3
import threading
from contextlib import suppress
from gettext import gettext as _
from pathlib import Path
from typing import TYPE_CHECKING, Final

from benchassist.assembly import (
    Place,
    SystemClock,
    make_folder,
    open_store,
    photo_shelf,
    read_store,
    require_shop,
)
from benchassist.errors import BenchError, InputError, ShopFileError, StoreError

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from benchassist.services.shop import Shop
    from benchassist.storage.backup import Backup, Progress
    from benchassist.storage.intake import Taking
    from benchassist.storage.parcel import Parcel
    from benchassist.storage.photo_query import KeepCopy
    from benchassist.storage.place import ShopServer
    from benchassist.storage.restore import Exchange
    from benchassist.storage.rotation import Shelf
    from benchassist.storage.store import SqlStore

FIRST_LOOK_S: Final = 0.1
"""How long opening waits to hear whether the file is whole: a small one is known by then."""

log = logging.getLogger(__name__)


def import_visits(
    place: Place, paths: Sequence[Path], progress: Callable[[int, int], None] | None = None
) -> Taking:
    """Take in the visits of exports, of a folder all in it; `progress` is told files done, in all.

    Raises InputError for a file that is none, StoreError where the shop could not take them all.
    """
    from benchassist.storage.intake import Taking
    from benchassist.storage.parcel import read_parcels
    from benchassist.storage.visit_files import files_of

    files, whole = files_of(paths), Taking()
    # A file that is none makes no shop.
    parcels = read_parcels(files[0])
    with open_store(place) as store:
        for number, file in enumerate(files):
            if number:
                parcels = read_parcels(file)
            whole.add(taken_in(store, parcels, photo_shelf(place).keep_copy))
            if progress is not None:
                progress(number + 1, len(files))
    return whole


def taken_in(store: SqlStore, parcels: Sequence[Parcel], keep_copy: KeepCopy) -> Taking:
    """Take in the visits of one file. Raises StoreError where the shop could not take them all."""
    taking = store.take_in(parcels, keep_copy).wait()
    if taking.failure:
        raise StoreError(
            _("{why}: {done} of {all} visits are done, import the file again").format(
                why=taking.failure, done=taking.done, all=len(parcels)
            )
        )
    return taking


def back_up(place: Place, to: Path | None, progress: Progress | None = None) -> Backup:
    """Back the shop up to a file, or into the folder of backups, where old ones then go.

    A damaged shop file is saved as far as it can be read; such a backup pushes out no other.
    """
    if not place.on_server:
        return _back_up_file(place, to, progress)
    from benchassist.storage.backup import dump

    with read_store(place) as store:
        visits, _newest = store.visits_in_all()
    shelf = shelf_of(place)
    return dump(_server(place), to or shelf.name(SystemClock().now(), suffix=".dump"), visits)


def _back_up_file(place: Place, to: Path | None, progress: Progress | None) -> Backup:
    from benchassist.storage.backup import back_up as copy
    from benchassist.storage.salvage import salvage

    path, shelf, now = Path(place.shop), shelf_of(place), SystemClock().now()
    require_shop(place)
    try:
        made = copy(path, to or shelf.name(now), progress)
    except InputError:
        raise
    except ShopFileError:
        if not _is_damaged(path):
            raise
        return salvage(path, to or shelf.name(now, why="salvaged"), _backups(shelf))
    if to is None:
        shelf.thin(now)
    return made


def _is_damaged(path: Path) -> bool:
    from benchassist.storage.integrity import fault

    return fault(path) is not None


def _backups(shelf: Shelf) -> tuple[Path, ...]:
    """The newest first."""
    return tuple(kept.file for kept in reversed(shelf.kept()))


def shelf_of(place: Place) -> Shelf:
    """The folder of the shop's backups, made where it is not there."""
    from benchassist.storage.place import ShopServer, place_of
    from benchassist.storage.rotation import Shelf

    folder = place.home / "backups"
    make_folder(folder)
    named = place_of(place.shop)
    name = named.name if isinstance(named, ShopServer) else str(named.path.resolve())
    return Shelf(folder, name)


def look_at(place: Place, file: Path) -> Exchange:
    """What restoring a backup would do. Raises ShopFileError for one that cannot be restored."""
    from benchassist.storage.restore import look_at as look

    if place.on_server:
        raise InputError(_("the shop is on a server: restore its dump there with pg_restore"))
    return look(file, Path(place.shop))


def restore(place: Place, exchange: Exchange, progress: Progress | None = None) -> Path | None:
    """Put the backup in the shop's place; returns where the present file was kept, if any."""
    from benchassist.storage.restore import restore as put

    path = Path(place.shop)
    why = "before-restore" if exchange.present is not None else "damaged"
    aside = shelf_of(place).name(SystemClock().now(), why=why)
    make_folder(path.parent)
    was_there = path.exists()
    put(exchange, path, aside, progress)
    return aside if was_there else None


def _server(place: Place) -> ShopServer:
    from benchassist.storage.place import ShopServer, place_of

    server = place_of(place.shop)
    assert isinstance(server, ShopServer)  # noqa: S101 - a place with a scheme that is not a file
    return server


class Keeper:
    """Looks a shop file through after the program has started, then backs it up once a day.

    In a thread of its own; `close` ends it in the middle of whatever it does.
    """

    def __init__(self, place: Place, shop: Shop) -> None:
        self._place = place
        self._shop = shop
        self._ended = threading.Event()
        self._held: list[sqlite3.Connection] = []
        self._found, self._looked = threading.Event(), threading.Event()
        """Damage was found; the first look is over, whatever came of it."""
        self._thread = threading.Thread(target=self._run, name="shop keeper", daemon=True)
        if not place.on_server:
            self._thread.start()

    @property
    def found_damage(self) -> bool:
        """Whether the shop file was found to be damaged."""
        return self._found.is_set()

    @property
    def has_looked(self) -> bool:
        """Whether the shop file was looked through."""
        return self._looked.is_set()

    def first_look(self) -> None:
        """Wait a moment for what it finds, so that a small shop's damage is known from the start.

        A large shop is opened meanwhile; once damage is found, what is saved of it is waited for.
        """
        if self._thread.is_alive() and not self._looked.wait(FIRST_LOOK_S) and self._found.is_set():
            self._looked.wait()

    def close(self) -> None:
        """Stop. May be called twice."""
        self._ended.set()
        for connection in self._held:
            with suppress(sqlite3.Error):  # it may be closed by now
                connection.interrupt()
        if self._thread.is_alive():
            self._thread.join()

    def _run(self) -> None:
        try:
            self._look_after()
        except EndedError:
            pass
        except BenchError as error:
            log.warning("the shop was not backed up: %s", error)
            self._shop.counter.tell(_("The shop was not backed up today: {why}").format(why=error))
        except Exception:
            log.exception("the keeper failed")
        finally:
            self._looked.set()

    def _look_after(self) -> None:
        from benchassist.storage.integrity import damaged, fault

        path = Path(self._place.shop)
        found = fault(path, quick=True, hold=self._held.append)
        if self._ended.is_set():
            return
        if found is not None:
            self._found.set()
            log.warning("%s", damaged(path, found))
            self._hold(
                _("{file} is damaged and from now on only read: restore a backup").format(
                    file=path.name
                )
            )
            return
        self._looked.set()
        if shelf_of(self._place).is_due(SystemClock().now()):
            back_up(self._place, None, self._go_on)

    def _hold(self, why: str) -> None:
        """Write no more into a damaged file; what can be saved of it is shown."""
        from benchassist.storage.salvage import salvage
        from benchassist.storage.store import SqlStore

        store, now = self._shop.store, SystemClock().now()
        assert isinstance(store, SqlStore)  # noqa: S101 - as `open_shop` made it
        store.hold(why)
        self._shop.counter.tell(why)
        try:
            shelf = shelf_of(self._place)
            saved = shelf.name(now, why="salvaged")
            made = salvage(Path(self._place.shop), saved, _backups(shelf))
            shelf.thin(now)
        except BenchError as error:
            log.warning("nothing could be saved of the shop file: %s", error)
            return
        log.warning("%s; it is in %s", made.lost, made.file)
        store.hold(why, instead=made.file)

    def _go_on(self, _done: int, _pages: int) -> None:
        if self._ended.is_set():
            raise EndedError


class EndedError(Exception):
    """The program ends in the middle of a backup."""
