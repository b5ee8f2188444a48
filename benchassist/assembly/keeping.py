"""A shop's records are kept safe: taken in from elsewhere, backed up, restored."""

from __future__ import annotations

import logging
from dataclasses import dataclass, replace
from gettext import gettext as _
from pathlib import Path
from typing import TYPE_CHECKING, Final

from benchassist.assembly import (
    Place,
    SystemClock,
    make_folder,
    open_store,
    photo_shelf,
    require_shop,
)
from benchassist.assembly.luggage import Luggage, bring_back, coming_back
from benchassist.errors import BenchError, InputError, ShopFileError, StoreError

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from benchassist.storage.backup import Backup, Progress
    from benchassist.storage.dump_restore import ServerExchange
    from benchassist.storage.intake import Taking
    from benchassist.storage.parcel import Parcel
    from benchassist.storage.photo_cargo import Carried
    from benchassist.storage.photo_query import KeepCopy
    from benchassist.storage.place import ShopServer
    from benchassist.storage.restore import Exchange
    from benchassist.storage.rotation import Shelf
    from benchassist.storage.snapshot import Snapshot
    from benchassist.storage.store import SqlStore

SHOP_FILES: Final = (".sqlite", ".db")
"""What a backup of a server is called that is to be a shop file, not a dump."""

REPLACED: Final = "before-restore"
"""Why a backup was made of what a restore has replaced."""

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


def back_up(
    place: Place, to: Path | None, progress: Progress | None = None, *, photos: bool = True
) -> Backup:
    """Back the shop up to a new file, or one in a folder, or among the others, where old ones go.

    Where a place is named the originals of its photos go along, unless `photos` says no. A damaged
    shop file is saved as far as it can be read; such a backup pushes out no other. Raises
    BenchError, NoRoomError where a disk has no room for it.
    """
    if not place.on_server:
        return _back_up_file(place, to, progress, photos=photos)
    from benchassist.storage.snapshot import snapshot

    with snapshot(server_of(place)) as moment:
        return back_up_moment(place, moment, to, progress, photos=photos)


def back_up_moment(
    place: Place,
    moment: Snapshot,
    to: Path | None,
    progress: Progress | None = None,
    *,
    photos: bool = True,
    replaced_by: Path | None = None,
) -> Backup:
    """As `back_up`, of a server's shop that is seen already.

    By the server's own program where it is here and does it, else as a shop file. `replaced_by` is
    the backup it is kept aside for, which stays; others go for want of room alone. Raises
    DBAPIError where the server is lost.
    """
    from benchassist.storage.dump import can_dump, dump, room_for_dump
    from benchassist.storage.server_copy import copy, room_for_copy
    from benchassist.storage.server_program import DumpError

    if can_dump() and (to is None or to.suffix.lower() not in SHOP_FILES):
        need = room_for_dump(moment)
        file = _file(place, to, need, suffix=".dump", replaced_by=replaced_by)
        along = Luggage(place, file if to is not None and photos else None, progress)
        along.weigh(need, moment.photos)
        try:
            made = dump(moment, file, along.first, along=along.bring)
            return _put_away(place, to or replaced_by, made, along)
        except DumpError as error:
            log.warning("%s: the shop is copied instead", error)
    need = room_for_copy(moment)
    file = _file(place, to, need, replaced_by=replaced_by)
    along = Luggage(place, file if to is not None and photos else None, progress)
    along.weigh(need, moment.photos)
    made = copy(moment, file, along.first, along=along.bring)
    return _put_away(place, to or replaced_by, made, along)


def _back_up_file(
    place: Place, to: Path | None, progress: Progress | None, *, photos: bool
) -> Backup:
    from benchassist.storage.backup import back_up as copy
    from benchassist.storage.backup import photos_in, room_for

    require_shop(place)
    path = Path(place.shop)
    need = room_for(path)
    file = _file(place, to, need)
    along = Luggage(place, file if to is not None and photos else None, progress)
    try:
        along.weigh(need, photos_in(path))
        made = copy(path, file, along.first, along=along.bring)
    except InputError:
        raise
    except ShopFileError:
        if not _is_damaged(path):
            raise
        return save(place, to, photos=photos)
    return _put_away(place, to, made, along)


def save(place: Place, to: Path | None = None, *, photos: bool = True) -> Backup:
    """Save what can be read of a damaged shop file; it pushes out no other backup.

    Raises ShopFileError where nothing can be read, NoRoomError.
    """
    from benchassist.storage.backup import photos_in, room_for
    from benchassist.storage.room import require_room
    from benchassist.storage.rotation import SALVAGED
    from benchassist.storage.salvage import salvage

    path, shelf, now = Path(place.shop), shelf_of(place), SystemClock().now()
    file = shelf.name(now, why=SALVAGED) if to is None else _file(place, to, 0)
    along = Luggage(place, file if to is not None and photos else None, None)
    require_room((file.parent, room_for(path)))
    made = salvage(path, file, [kept.file for kept in reversed(shelf.kept())])
    if to is None:
        shelf.thin(now, by_room=False)
    along.bring(photos_in(file))
    return replace(made, photos=along.carried)


def _put_away(place: Place, stays: Path | None, made: Backup, along: Luggage) -> Backup:
    """A new one is there and sound: old ones go, unless it is for somewhere, or something, else."""
    if stays is None:
        shelf_of(place).thin(SystemClock().now())
    return replace(made, photos=along.carried)


def _file(
    place: Place,
    to: Path | None,
    need: int,
    *,
    suffix: str = ".sqlite",
    replaced_by: Path | None = None,
) -> Path:
    """Where a backup of so many bytes goes."""
    if to is None:
        why = "" if replaced_by is None else REPLACED
        return slot(place, need, why=why, suffix=suffix, but=replaced_by)
    if not to.is_dir():
        return to
    return replace(shelf_of(place), folder=to).name(SystemClock().now(), suffix=suffix)


def slot(
    place: Place, need: int, *, why: str = "", suffix: str = ".sqlite", but: Path | None = None
) -> Path:
    """Where a backup of so many bytes goes among the others; old ones give way, but not `but`."""
    shelf, now = shelf_of(place), SystemClock().now()
    for file in shelf.make_room(now, need, but=but):
        log.info("%s gave way to a new backup", file.name)
    return shelf.name(now, why=why, suffix=suffix)


def _is_damaged(path: Path) -> bool:
    from benchassist.storage.integrity import fault

    return fault(path) is not None


def shelf_of(place: Place) -> Shelf:
    """The folder of the shop's backups, made where it is not there."""
    from benchassist.storage.place import ShopServer, place_of
    from benchassist.storage.rotation import Shelf

    folder = place.home / "backups"
    make_folder(folder)
    named = place_of(place.shop)
    name = named.name if isinstance(named, ShopServer) else str(named.path.resolve())
    return Shelf(folder, name)


# --- restore --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Restored:
    """A backup stands in the shop's place. `aside` is where the present file was kept, if any.

    `photos` is what became of the originals; None where they could not be brought, `note` says why.
    """

    aside: Path | None
    photos: Carried | None = None
    note: str = ""


def look_at(place: Place, file: Path) -> Exchange | ServerExchange:
    """What restoring a backup would do. Raises ShopFileError for one that cannot be restored."""
    from benchassist.storage.whole_file import begins_as_dump

    if place.on_server:
        from benchassist.storage.dump_restore import look_at as look_on_server

        return look_on_server(file, server_of(place))
    if begins_as_dump(file):
        raise InputError(
            _(
                "{file} is a dump of a shop on a server: name that server, or an empty database on "
                "one, with --shop"
            ).format(file=file)
        )
    from benchassist.storage.restore import look_at as look

    return look(file, Path(place.shop))


def restore(
    place: Place, exchange: Exchange | ServerExchange, progress: Progress | None = None
) -> Restored:
    """Put the backup in the shop's place, the present one kept aside; bring its photos back.

    Raises ShopFileError, NoRoomError; the shop is as it was then.
    """
    from benchassist.assembly.put_back import put_file, put_on_server
    from benchassist.storage.backup import part_of
    from benchassist.storage.restore import Exchange

    backup = exchange.backup
    coming = coming_back(place, backup.file)
    share = backup.bytes / (backup.bytes + sum(coming)) if coming else 1.0
    told = part_of(progress, 0.0, share)
    if isinstance(exchange, Exchange):
        kept = put_file(place, exchange, told)
    else:
        kept = put_on_server(place, exchange, told)
    try:
        photos = bring_back(place, backup.file, part_of(progress, share, 1.0))
    except BenchError as error:
        return Restored(kept, note=_("its photos were not brought back: {why}").format(why=error))
    return Restored(kept, photos)


def server_of(place: Place) -> ShopServer:
    """The server of a shop that is on one."""
    from benchassist.storage.place import ShopServer, place_of

    server = place_of(place.shop)
    assert isinstance(server, ShopServer)  # noqa: S101 - a place with a scheme that is not a file
    return server
