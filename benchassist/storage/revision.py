"""Which revision a shop's tables have, and how they are made or brought up to this program's.

A new shop's tables are made from `schema` in one transaction, without alembic, which takes longer
to import than everything else; alembic is loaded when a migration is due.
"""

import sqlite3
from contextlib import suppress
from gettext import gettext as _
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, Engine, inspect, text

from benchassist.errors import ShopFileError
from benchassist.storage.schema import HEAD, REVISIONS, metadata
from benchassist.storage.shop_file import APPLICATION_ID

MIGRATIONS: Final = Path(__file__).parent / "migrations"

MAKING_LOCK: Final = APPLICATION_ID
"""The advisory lock under which tables are made or changed on a server."""

PATIENCE: Final = "10min"
"""How long a bench waits for another one's migration."""


def server_revision(engine: Engine) -> str | None:
    """Return the revision of the tables on a server, None where there are none.

    Raises ShopFileError where another program has tables of the same names.
    """
    with engine.connect() as connection:
        return _revision(connection)


def refuse_other_revisions(name: str, revision: str | None, *, read_only: bool) -> None:
    """Raise ShopFileError for tables unknown here or, reading only, not of this revision."""
    if revision is not None and revision not in REVISIONS:
        raise ShopFileError(
            _(
                "the shop {name} is newer than this program (revision {revision}, known here up "
                "to {head}): update this program first"
            ).format(name=name, revision=revision, head=HEAD)
        )
    if read_only and revision != HEAD:
        raise ShopFileError(
            _(
                "the shop {name} is empty or older than this program: open it in the program once"
            ).format(name=name)
        )


def bring_up(engine: Engine, revision: str | None, name: str = "") -> None:
    """Make the tables, or migrate them to this program's revision, in one transaction.

    Two programs that open the same new shop at once do it one after the other. Raises DBAPIError.
    """
    if revision == HEAD:
        return
    is_older = False
    with engine.connect() as connection:
        file = connection.connection.driver_connection
        if isinstance(file, sqlite3.Connection):
            # Out of a transaction only; a migration may have to build a table anew.
            file.execute("PRAGMA foreign_keys = OFF")
        with connection.begin():
            if connection.dialect.name == "postgresql":
                # Another bench may be at it just now, for as long as it takes.
                connection.execute(text(f"SET LOCAL lock_timeout = '{PATIENCE}'"))
                connection.execute(text(f"SELECT pg_advisory_xact_lock({MAKING_LOCK})"))
            revision = _revision(connection)
            if revision is None:
                _make(connection)
            elif revision != HEAD:
                refuse_other_revisions(name, revision, read_only=False)
                _migrate(connection, HEAD)
                is_older = True
        if is_older and isinstance(file, sqlite3.Connection):
            _shrink(file)


def make_tables(name: str, connection: Connection) -> None:
    """Have this program's tables there, made in the caller's transaction where there are none.

    Raises ShopFileError where there are tables of another revision, or of another program.
    """
    if connection.dialect.name == "postgresql":
        connection.execute(text(f"SELECT pg_advisory_xact_lock({MAKING_LOCK})"))
    revision = _revision(connection)
    if revision is None:
        _make(connection)
    elif revision != HEAD:
        refuse_other_revisions(name, revision, read_only=True)


def _revision(connection: Connection) -> str | None:
    names = set(inspect(connection).get_table_names())
    if "alembic_version" in names:
        revision = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
        return None if revision is None else str(revision)
    if taken := sorted(names & metadata.tables.keys()):
        raise ShopFileError(
            _(
                "the database has a table '{table}' of another program: name an empty database"
            ).format(table=taken[0])
        )
    return None


def _make(connection: Connection) -> None:
    metadata.create_all(connection)
    connection.execute(
        text(
            "CREATE TABLE alembic_version (version_num VARCHAR(32) NOT NULL, "
            "CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num))"
        )
    )
    connection.execute(text("INSERT INTO alembic_version VALUES (:head)"), {"head": HEAD})
    _mark(connection)


def make_tables_of(revision: str, connection: Connection) -> None:
    """Make the tables of an earlier revision where there are none, in the caller's transaction."""
    _migrate(connection, revision)
    _mark(connection)


def _mark(connection: Connection) -> None:
    if connection.dialect.name == "sqlite":
        connection.execute(text(f"PRAGMA application_id = {APPLICATION_ID}"))


def _shrink(file: sqlite3.Connection) -> None:
    """Give back what a migration has left empty, so that no backup copies it.

    What another program or a full disk does not allow is left: the room is used in time.
    """
    empty, pages = (
        file.execute(f"PRAGMA {name}").fetchone()[0] for name in ("freelist_count", "page_count")
    )
    if 2 * empty > pages:
        with suppress(sqlite3.OperationalError):
            file.execute("VACUUM")


def _migrate(connection: Connection, target: str) -> None:
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    config.attributes["connection"] = connection
    command.upgrade(config, target)
