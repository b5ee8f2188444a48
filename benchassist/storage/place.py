"""Where a shop keeps its records: a file on this computer, or a PostgreSQL server."""

import re
from contextlib import suppress
from dataclasses import dataclass
from gettext import gettext as _
from pathlib import Path
from typing import Final
from urllib.parse import unquote, urlsplit

from benchassist.errors import InputError

SCHEME: Final = re.compile(r"([a-z][a-z0-9+.-]+)://", re.IGNORECASE)
"""Two letters at least, so that a drive's letter is not one."""

POSTGRESQL: Final = ("postgresql", "postgres", "postgresql+psycopg")


@dataclass(frozen=True, slots=True)
class ShopFile:
    """A SQLite file."""

    path: Path

    @property
    def name(self) -> str:
        """How messages call it."""
        return str(self.path)


@dataclass(frozen=True, slots=True)
class ShopServer:
    """A database on a PostgreSQL server; `url` is as SQLAlchemy takes it."""

    url: str

    @property
    def name(self) -> str:
        """How messages call it: host and database, never the password."""
        parts = urlsplit(self.url)
        query = dict(item.split("=", 1) for item in parts.query.split("&") if "=" in item)
        host = parts.hostname or unquote(query.get("host", "")) or "this computer"
        return f"{parts.path.strip('/') or 'postgres'} on {host}"


Place = ShopFile | ShopServer


def place_of(location: str | Path) -> Place:
    """Return the place a path or an address names. Raises InputError for any other address."""
    if isinstance(location, str) and (found := SCHEME.match(location)):
        scheme, rest = found[1].lower(), location[found.end() :]
        if scheme in POSTGRESQL:
            return ShopServer(f"postgresql+psycopg://{rest}")
        if scheme == "sqlite" and rest.startswith("/") and len(rest) > 1:
            return ShopFile(Path(rest[1:]))
        raise InputError(
            _(
                "the shop address '{scheme}://...' is not known here: "
                "give a file, or postgresql://USER@HOST/DATABASE"
            ).format(scheme=scheme)
        )
    if not str(location).strip():
        raise InputError(_("the shop's name is empty: give a file, or a PostgreSQL address"))
    path = Path(location)
    with suppress(RuntimeError):  # '~' and the name of nobody here is a name like any other
        path = path.expanduser()
    return ShopFile(path)
