"""A shop's records as a whole: moved to another place, exported, a customer found and erased."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from gettext import gettext as _
from pathlib import Path
from typing import TYPE_CHECKING

from benchassist.assembly import (
    Place,
    SystemClock,
    open_store,
    photo_shelf,
    read_store,
    require_shop,
)
from benchassist.assembly.elsewhere import backups_of, drop
from benchassist.assembly.keeping import back_up, shelf_of
from benchassist.errors import BenchError, InputError, NotFoundError, ShopFileError

if TYPE_CHECKING:
    from benchassist.core.holding import Erased, PersonalData
    from benchassist.storage.move import Moved
    from benchassist.storage.rotation import Kept
    from benchassist.storage.store import SqlStore

Progress = Callable[[int, int], None]
"""Is told how much is done and how much there is; what it raises ends the work."""


def move(place: Place, to: str, progress: Progress | None = None) -> Moved:
    """Copy the whole shop to a new file or an empty database. Raises as `storage.move`."""
    from benchassist.storage import server_is_away
    from benchassist.storage.move import move as move_shop

    require_shop(place)
    if server_is_away(place.shop, place.journals):
        raise ShopFileError(
            _("the server is away, and what this bench wrote meanwhile is not on it yet")
        )
    return move_shop(place.shop, to, progress)


@dataclass(frozen=True, slots=True)
class ExportedAll:
    """Where visits went, and in one line what had no room; empty: nothing."""

    files: tuple[Path, ...]
    visits: int
    note: str = ""


def export_all(place: Place, out: Path, progress: Progress | None = None) -> ExportedAll:
    """Write all visits to numbered files in a folder, or all taken readings to x.csv."""
    with read_store(place) as store:
        return export_visits_of(place, store, store.visit_ids(), out, progress)


def export_visits_of(
    place: Place,
    store: SqlStore,
    visit_ids: Sequence[str],
    out: Path,
    progress: Progress | None = None,
) -> ExportedAll:
    """The same of some visits of an open shop, one in memory at a time."""
    from benchassist.storage.exchange import export_visit
    from benchassist.storage.photo_account import PhotoPost
    from benchassist.storage.visit_files import write_files, write_sheet

    if out.suffix.lower() == ".csv":
        write_sheet(visit_ids, out, store.visit, progress)
        return ExportedAll((out,), len(visit_ids))
    copy, left_out = photo_shelf(place).copy, 0

    def document(visit_id: str) -> dict[str, object]:
        nonlocal left_out
        post = PhotoPost(store.photos, copy)
        told = export_visit(*store.visit(visit_id), store.run_record, post)
        left_out += post.left_out
        return told

    files = write_files(visit_ids, out, document, progress)
    note = (
        _("{n} photos had no room, their small pictures are there").format(n=left_out)
        if left_out
        else ""
    )
    return ExportedAll(files, len(visit_ids), note)


# --- personal data ------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Erasure:
    """What was erased, or would be, and what still holds it.

    `erased` is None where it was only looked at. `backups` hold it until they are removed, and
    those `elsewhere` that were named to be; `removed` were. `notes` say in a line each what could
    not be done.
    """

    held: PersonalData
    erased: Erased | None
    backups: tuple[Kept, ...]
    removed: tuple[Path, ...] = ()
    notes: tuple[str, ...] = ()
    elsewhere: tuple[Path, ...] = ()


def find_person(place: Place, words: str) -> PersonalData:
    """What is held of the customers that fit the words. Raises InputError for too little."""
    with read_store(place) as store:
        return store.personal_data(words)


def look_at_erasure(place: Place, tags: Sequence[str], elsewhere: Sequence[Path] = ()) -> Erasure:
    """What erasing the personal data of machines would do. Raises as `erase`."""
    with read_store(place) as store:
        machine_ids = machine_ids_of(store, tags)
        held = store.personal_data_of(machine_ids)
    told = _named(place, elsewhere, machine_ids)
    return Erasure(held, None, tuple(shelf_of(place).kept()), elsewhere=told)


def erase(
    place: Place,
    tags: Sequence[str],
    *,
    photos: bool,
    drop_backups: bool,
    elsewhere: Sequence[Path] = (),
) -> Erasure:
    """Erase the personal data of machines, and remove what is named of backups elsewhere.

    Raises NotFoundError for a tag, InputError for what is no backup of them, StoreError.
    """
    with open_store(place) as store:
        return erase_in(
            place,
            store,
            machine_ids_of(store, tags),
            photos=photos,
            drop_backups=drop_backups,
            elsewhere=elsewhere,
        )


def erase_in(
    place: Place,
    store: SqlStore,
    machine_ids: Sequence[str],
    *,
    photos: bool,
    drop_backups: bool,
    elsewhere: Sequence[Path] = (),
) -> Erasure:
    """The same in an open shop. Raises as `erase`; nothing is erased then."""
    told = _named(place, elsewhere, machine_ids)
    held = store.personal_data_of(machine_ids)
    erased = store.erase(machine_ids, SystemClock().now(), photos=photos).wait()
    notes = [erased.lingers] if erased.lingers else []
    shelf = photo_shelf(place)
    for digest in erased.photos:
        try:
            shelf.discard(digest)
        except BenchError as error:
            notes.append(str(error))
    backups, removed = tuple(shelf_of(place).kept()), list[Path]()
    kept = backups if drop_backups else ()
    if kept or told:
        try:
            # One of now stands in the place of those before.
            back_up(place, None)
        except BenchError as error:
            notes.append(_("the backups stay: {why}").format(why=error))
        else:
            removed, why = _dropped(kept)
            gone, more = drop(told, erased.photos)
            removed += gone
            notes += why + more
    left = tuple(one for one in backups if one.file in removed or one.file.exists())
    return Erasure(held, erased, left, tuple(removed), tuple(notes), told)


def _named(place: Place, paths: Sequence[Path], machine_ids: Sequence[str]) -> tuple[Path, ...]:
    """The backups elsewhere that are to go. Raises InputError."""
    return tuple(file for path in paths for file in backups_of(place, path, machine_ids))


def _dropped(backups: Sequence[Kept]) -> tuple[list[Path], list[str]]:
    """Remove backups; which went, and what did not go well."""
    removed, notes = list[Path](), list[str]()
    for kept in backups:
        try:
            kept.remove()
        except OSError as error:
            notes.append(
                _("a backup cannot be removed ({why}): remove it by hand").format(
                    why=error.strerror
                )
            )
        else:
            removed.append(kept.file)
    return removed, notes


def machine_ids_of(store: SqlStore, tags: Sequence[str]) -> list[str]:
    """The ids of the machines of these tags; an id stands for itself.

    Raises NotFoundError for a tag that no machine has, InputError for one that several have.
    """
    found = list[str]()
    for tag in tags:
        machines = store.machines_of_tag(tag)
        if not machines and (machine := store.machine(tag)) is not None:
            machines = (machine,)
        if not machines:
            raise NotFoundError(_("no machine has the tag '{tag}'").format(tag=tag))
        if len(machines) > 1:
            raise InputError(
                _("{n} machines have the tag '{tag}': name one by its id, {ids}").format(
                    n=len(machines), tag=tag, ids=", ".join(machine.id for machine in machines)
                )
            )
        found.append(machines[0].id)
    return found
