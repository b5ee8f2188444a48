"""A shop of an earlier revision is backed up before its tables are changed."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from benchassist.assembly import Place, SystemClock

if TYPE_CHECKING:
    from benchassist.storage.place import ShopServer


def keep_before_migration(place: Place) -> None:
    """Back the shop up where opening it will change its tables. Raises BenchError.

    A server's shop is copied into a file that this program opens.
    """
    from benchassist.storage.place import ShopFile, place_of
    from benchassist.storage.schema import EARLIER
    from benchassist.storage.shop_file import examine

    named = place_of(place.shop)
    if not isinstance(named, ShopFile):
        _keep_server(place, named)
        return
    path = named.path
    revision = examine(path, read_only=True) if path.is_file() and path.stat().st_size else None
    if revision in EARLIER:
        from benchassist.storage.backup import back_up as copy

        copy(path, _before_migration(place))


def _keep_server(place: Place, server: ShopServer) -> None:
    from benchassist.storage.schema import EARLIER
    from benchassist.storage.server_copy import copy_to_file, revision_of

    revision = revision_of(server)
    if revision in EARLIER:
        copy_to_file(server, revision, _before_migration(place))


def _before_migration(place: Place) -> Path:
    from benchassist.assembly.keeping import shelf_of
    from benchassist.storage.schema import HEAD

    return shelf_of(place).name(SystemClock().now(), why=f"before-{HEAD}")
