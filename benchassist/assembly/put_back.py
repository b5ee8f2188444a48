"""A backup in the shop's place, what was there kept aside among the backups first."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

from benchassist.assembly import Place, make_folder
from benchassist.assembly.keeping import REPLACED, back_up_moment, server_of, slot

if TYPE_CHECKING:
    from benchassist.storage.backup import Progress
    from benchassist.storage.dump_restore import ServerExchange
    from benchassist.storage.restore import Exchange

ASIDE: Final = 0.3
"""Of a restore on a server, how much is done when the present shop is kept aside."""


def is_older(exchange: Exchange | ServerExchange) -> bool:
    """Whether a backup is of an earlier revision: it has to be brought up to this program's."""
    from benchassist.storage.schema import HEAD

    return exchange.backup.revision != HEAD


def put_file(place: Place, exchange: Exchange, progress: Progress) -> Path | None:
    """Restore a shop file; returns where the present one is kept, None where there was none.

    Raises ShopFileError, NoRoomError; the shop is as it was then.
    """
    from benchassist.storage.backup import room_for
    from benchassist.storage.restore import require_room, restore

    path = Path(place.shop)
    why = REPLACED if exchange.present is not None else "damaged"
    aside = slot(place, room_for(path), why=why, but=exchange.backup.file)
    make_folder(path.parent)
    require_room(exchange, path, aside)
    was_there = path.exists()
    restore(exchange, path, aside, progress)
    return aside if was_there else None


def put_on_server(place: Place, exchange: ServerExchange, progress: Progress) -> Path | None:
    """Restore a dump; returns where the present shop is kept, None where the database was empty.

    Raises ShopFileError, NoRoomError; the shop is as it was then.
    """
    from benchassist.storage.backup import part_of
    from benchassist.storage.dump_restore import restore
    from benchassist.storage.snapshot import snapshot

    server, kept = server_of(place), list[Path]()

    def keep() -> None:
        told = part_of(progress, 0.0, ASIDE)
        with snapshot(server) as moment:
            made = back_up_moment(place, moment, None, told, replaced_by=exchange.backup.file)
        kept.append(made.file)

    restore(exchange, server, keep, part_of(progress, ASIDE, 1.0))
    return kept[0] if kept else None
