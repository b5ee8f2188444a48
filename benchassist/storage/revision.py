"""Which revision a shop's tables have, and how they are made or brought up to this program's.

A new shop's tables are made from `schema` in one transaction, without alembic, which takes longer
to import than everything else; alembic is loaded when a migration is due.
"""

import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from gettext import gettext as _
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, Engine, inspect, text

from benchassist.errors import ShopFileError
from benchassist.storage.head import REVISION_TABLE, VERSION
from benchassist.storage.pulse import counted
from benchassist.storage.schema import HEAD, REVISIONS, metadata
from benchassist.storage.shop_file import APPLICATION_ID, LOOSE
from benchassist.storage.stage import COMPACT, Stages

MIGRATIONS: Final = Path(__file__).parent / "migrations"

MAKING_LOCK: Final = APPLICATION_ID
"""The advisory lock under which tables are made or changed on a server."""

PATIENCE_S: Final = 600.0
"""How long a bench waits for another one's migration, and for writes that are under way."""

STEP_S: Final = 0.2
"""Between two looks whether another bench is done."""

A_CELL: Final = 4
"""Steps that SQLite's machine takes to copy a row, or what an index has of it; as counted."""


def server_revision(engine: Engine) -> str | None:
    """Return the revision of the tables on a server, None where there are none.

    Raises ShopFileError where another program has tables of the same names.
    """
    with engine.connect() as connection:
        return _revision(connection)


def revision_on(connection: Connection) -> str | None:
    """Return as `server_revision`, in a transaction that is under way."""
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


def bring_up(
    engine: Engine, revision: str | None, name: str = "", stages: Stages | None = None
) -> None:
    """Make the tables, or migrate them to this program's revision, in one transaction.

    `stages` are told how far it is; what they raise leaves the shop as it was. Two programs that
    open the same new shop at once do it one after the other. Raises DBAPIError, ShopFileError.
    """
    if revision == HEAD:
        return
    stages = stages or Stages()
    with engine.connect() as connection:
        file = connection.connection.driver_connection
        if not isinstance(file, sqlite3.Connection):
            with connection.begin():
                _wait_for_turn(connection, name, stages)
                _make_or_migrate(connection, name, stages)
            return
        # Out of a transaction only; a migration may have to build a table anew.
        file.execute("PRAGMA foreign_keys = OFF")
        with connection.begin(), counted(file, lambda _steps: stages.again()):
            is_older = _make_or_migrate(connection, name, stages)
            if is_older:
                # Whoever opens it next goes on where this program ends too soon.
                file.execute(f"PRAGMA user_version = {LOOSE}")
        if is_older:
            _make_compact(file, stages)


def make_compact(engine: Engine, stages: Stages | None = None) -> None:
    """Give back what a migration has left empty in a file, where that was not done to the end.

    Raises DBAPIError where it cannot be opened.
    """
    with engine.connect() as connection:
        file = connection.connection.driver_connection
        if isinstance(file, sqlite3.Connection):
            _make_compact(file, stages or Stages())


def _wait_for_turn(connection: Connection, name: str, stages: Stages) -> None:
    """Let another bench end that makes or migrates the tables, for as long as it takes."""
    deadline = time.monotonic() + PATIENCE_S
    while not connection.scalar(text(f"SELECT pg_try_advisory_xact_lock({MAKING_LOCK})")):
        if time.monotonic() >= deadline:
            raise ShopFileError(
                _(
                    "another bench is still bringing the shop {name} up to date: open it again "
                    "when that has ended"
                ).format(name=name)
            )
        stages.again()
        time.sleep(STEP_S)
    connection.execute(text(f"SET LOCAL lock_timeout = '{PATIENCE_S:.0f}s'"))


def _make_or_migrate(connection: Connection, name: str, stages: Stages) -> bool:
    """Do what is to be done, in the caller's transaction; whether it was a migration."""
    revision = _revision(connection)
    if revision is None:
        _make(connection)
    elif revision != HEAD:
        refuse_other_revisions(name, revision, read_only=False)
        if connection.dialect.name == "postgresql":
            # No bench of an earlier program writes from here on: it holds this row as it does.
            connection.execute(text(f"{VERSION} FOR UPDATE"))
        _migrate(connection, HEAD, stages)
        return True
    return False


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
    if REVISION_TABLE in names:
        revision = connection.execute(text(VERSION)).scalar()
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
    _migrate(connection, revision, Stages())
    _mark(connection)


def migrate_within(connection: Connection, stages: Stages) -> None:
    """Bring the tables of an earlier revision to this program's, in the caller's transaction."""
    _migrate(connection, HEAD, stages)


def _mark(connection: Connection) -> None:
    if connection.dialect.name == "sqlite":
        connection.execute(text(f"PRAGMA application_id = {APPLICATION_ID}"))


def _make_compact(file: sqlite3.Connection, stages: Stages) -> None:
    """Give back what a migration has left empty, so that no backup copies it.

    What another program or a full disk does not allow is left: the room is used in time.
    """
    empty, pages = (
        file.execute(f"PRAGMA {name}").fetchone()[0] for name in ("freelist_count", "page_count")
    )
    with suppress(sqlite3.OperationalError):
        if 2 * empty > pages:
            with _told_of(file, stages):
                file.execute("VACUUM")
    with suppress(sqlite3.OperationalError):
        file.execute("PRAGMA user_version = 0")
    stages.told(COMPACT, 1, 1)


@contextmanager
def _told_of(file: sqlite3.Connection, stages: Stages) -> Iterator[None]:
    """Tell how far a file is that is made compact; its steps are foretold from what is in it."""
    steps = 1
    for (name,) in file.execute("SELECT name FROM sqlite_schema WHERE type = 'table'").fetchall():
        (rows,) = file.execute(f'SELECT count(*) FROM "{name}"').fetchone()  # noqa: S608 - its own name
        indices = len(file.execute(f'PRAGMA index_list("{name}")').fetchall())
        steps += int(rows) * (1 + indices) * A_CELL
    with counted(file, lambda done: stages.told(COMPACT, done, steps)):
        yield


def _migrate(connection: Connection, target: str, stages: Stages) -> None:
    from alembic import command
    from alembic.config import Config

    told: Callable[[str, int, int], None] = stages.told
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    config.attributes["connection"] = connection
    config.attributes["told"] = told
    command.upgrade(config, target)
