"""The only door to SQLAlchemy: what a shop keeps.

Importing this package loads neither SQLAlchemy nor alembic; opening a shop loads the first, and a
migration that is due the second.
"""

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from benchassist.storage.store import SqlStore

__all__ = ["open_store", "server_is_away"]


def open_store(
    location: str | Path, *, read_only: bool = False, journals: Path | None = None
) -> "SqlStore":
    """Return the shop at a file's path or a PostgreSQL address, made new where there is none.

    Read-only opens only what exists and never writes to it. Raises InputError for an address that
    is neither, ShopFileError for a place that cannot be used, with one line saying why.

    `journals` is a folder where a bench keeps what a server does not take while it is away.
    """
    from benchassist.storage.place import ShopServer, place_of
    from benchassist.storage.store import SqlStore

    if journals is not None and isinstance(place := place_of(location), ShopServer):
        from benchassist.storage.served_store import open_served

        return open_served(place, journals)
    return SqlStore(location, read_only=read_only)


def server_is_away(location: str, journals: Path) -> bool:
    """Whether a shop's server cannot be reached, and a bench that knows it opens all the same.

    Raises ShopFileError for a server that cannot be used, InputError for an address that is none.
    """
    from benchassist.storage.place import ShopServer, place_of

    place = place_of(location)
    if not isinstance(place, ShopServer):
        return False
    from benchassist.storage.served_store import why_away

    return bool(why_away(place, journals))
