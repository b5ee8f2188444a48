"""A shop of an earlier revision is backed up and brought to this program's, before it is opened."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from benchassist.assembly import Place

if TYPE_CHECKING:
    from benchassist.services.front.migration import ShopMigration
    from benchassist.storage.migration import Copied, Migration
    from benchassist.storage.stage import Progress


def migration_due(place: Place, *, bench: bool = False) -> Migration | None:
    """What is to be done to a shop before it is opened; nearly always nothing. Raises BenchError.

    `bench`: of a server that is away nothing is asked, where work goes on without it.
    """
    from benchassist.storage import server_is_away
    from benchassist.storage.migration import due
    from benchassist.storage.place import place_of

    if bench and place.on_server and server_is_away(place.shop, place.journals):
        return None
    return due(place_of(place.shop))


def migrate(
    place: Place,
    migration: Migration,
    progress: Progress | None = None,
    copied: Copied | None = None,
) -> None:
    """Bring a shop up, with a backup of it before that in the folder of backups.

    `progress` is told how far it is, `copied` where the backup is. Raises ShopFileError in one
    line; the shop is as it was then.
    """
    from benchassist.assembly.keeping import shelf_of, slot
    from benchassist.storage.schema import HEAD

    why = f"before-{HEAD}"
    earlier = [kept.file for kept in reversed(shelf_of(place).kept()) if kept.why == why]
    migration.run(partial(slot, place, why=why), earlier, progress=progress, copied=copied)


def watched(place: Place, migration: Migration) -> ShopMigration:
    """Have a shop brought up in a thread of its own, while a window looks on."""
    from benchassist.services.front.migration import ShopMigration

    return ShopMigration(
        partial(migrate, place, migration),
        on_server=migration.on_server,
        only_compacts=migration.only_compacts,
    )
