"""Which revision a shop's tables have, and how they are made or brought up to this program's.

A new shop's tables are made from `schema` in one transaction, without alembic, which takes longer
to import than everything else; alembic is loaded when a migration is due.
"""

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


def bring_up(engine: Engine, revision: str | None) -> None:
    """Make the tables, or migrate them to this program's revision, in one transaction.

    Two programs that open the same new shop at once do it one after the other. Raises DBAPIError.
    """
    if revision == HEAD:
        return
    with engine.connect() as connection:
        if connection.dialect.name == "sqlite":
            # Out of a transaction only; a migration may have to build a table anew.
            connection.connection.driver_connection.execute("PRAGMA foreign_keys = OFF")  # type: ignore[union-attr]
        with connection.begin():
            if connection.dialect.name == "postgresql":
                connection.execute(text(f"SELECT pg_advisory_xact_lock({MAKING_LOCK})"))
            revision = _revision(connection)
            if revision is None:
                _make(connection)
            elif revision != HEAD:
                _migrate(connection)


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
    if connection.dialect.name == "sqlite":
        connection.execute(text(f"PRAGMA application_id = {APPLICATION_ID}"))


def _migrate(connection: Connection) -> None:
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    config.attributes["connection"] = connection
    command.upgrade(config, "head")
