"""The only door to SQLAlchemy: what a shop keeps.

Importing this package loads neither SQLAlchemy nor alembic; opening a shop loads the first, and a
migration that is due the second.
"""

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from benchassist.storage.store import SqlStore

__all__ = ["open_store"]


def open_store(location: str | Path, *, read_only: bool = False) -> "SqlStore":
    """Return the shop at a file's path or a PostgreSQL address, made new where there is none.

    Read-only opens only what exists and never writes to it. Raises InputError for an address that
    is neither, ShopFileError for a place that cannot be used, with one line saying why.
    """
    from benchassist.storage.store import SqlStore

    return SqlStore(location, read_only=read_only)
