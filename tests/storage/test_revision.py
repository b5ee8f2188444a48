import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Engine, create_engine, inspect, text

from benchassist.errors import ShopFileError
from benchassist.storage import open_store, revision
from benchassist.storage.schema import HEAD, REVISIONS, metadata
from tests.storage.case import header, settled
from tests.storage.old_shop import bare_engine, migrated


@pytest.fixture
def bare(location: str) -> Iterator[Engine]:
    """Return an engine on a database with nothing in it."""
    with bare_engine(location) as engine:
        yield engine


def shape(engine: Engine) -> dict[str, object]:
    """Return everything the database says of its tables: columns, keys, indexes by name."""
    found = inspect(engine)
    return {
        table: (
            [(c["name"], str(c["type"]), c["nullable"]) for c in found.get_columns(table)],
            found.get_pk_constraint(table),
            sorted(found.get_foreign_keys(table), key=str),
            sorted(found.get_unique_constraints(table), key=str),
            sorted(found.get_indexes(table), key=str),
        )
        for table in found.get_table_names()
        if table != "alembic_version"
    }


def test_the_migrations_build_the_schema(bare: Engine) -> None:
    """The tables that the migrations leave are those of `schema`, to the last index's name."""
    migrated(bare, "head")
    with bare.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, metadata) == []
        assert context.get_current_revision() == HEAD
    by_migration = shape(bare)
    migrated(bare, "base")
    assert shape(bare) == {}
    with bare.begin() as connection:
        metadata.create_all(connection)
    assert shape(bare) == by_migration
    assert by_migration.keys() == metadata.tables.keys()


def test_the_revisions_are_all_named() -> None:
    """The revisions known without alembic are those that alembic finds, in order."""
    config = Config()
    config.set_main_option("script_location", str(revision.MIGRATIONS))
    scripts = ScriptDirectory.from_config(config)
    assert tuple(s.revision for s in reversed(list(scripts.walk_revisions()))) == REVISIONS
    assert scripts.get_current_head() == HEAD


def test_an_older_shop_is_migrated_when_opened(
    location: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A shop of an older revision is brought up to date by alembic, and keeps what is in it."""
    with open_store(location) as store:
        visit = header()
        settled(store, store.submit_visit(visit))
        engine = store._engines.writer
        assert engine is not None
        with engine.begin() as connection:
            connection.execute(text("UPDATE alembic_version SET version_num = '0000'"))
    monkeypatch.setattr(revision, "REVISIONS", ("0000", *REVISIONS))
    asked: list[str] = []

    def upgrade(config: Config, target: str) -> None:
        config.attributes["connection"].execute(
            text(f"UPDATE alembic_version SET version_num = '{HEAD}'")  # noqa: S608 - ours
        )
        asked.append(target)

    monkeypatch.setattr(command, "upgrade", upgrade)
    with pytest.raises(ShopFileError, match="older than this program"):
        open_store(location, read_only=True)
    assert asked == []
    for _ in range(2):
        with open_store(location) as store:
            assert store.visit(visit.id) == (visit, ())
    assert asked == [HEAD]


def test_a_newer_shop_is_refused(location: str) -> None:
    """A shop of a later revision is refused on either database and asks for an update."""
    with open_store(location) as store:
        engine = store._engines.writer
        assert engine is not None
        with engine.begin() as connection:
            connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(ShopFileError, match="newer than this program"):
        open_store(location)


def test_a_migration_that_fails_leaves_the_shop_as_it_was(bare: Engine) -> None:
    """The tables are made in one transaction: all of them, or none."""
    original = metadata.create_all

    def create_some(connection: object) -> None:
        original(connection, tables=[metadata.tables["machine"]])  # type: ignore[arg-type]
        raise ZeroDivisionError

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(metadata, "create_all", create_some)
        with pytest.raises(ZeroDivisionError):
            revision.bring_up(bare, None)
    assert inspect(bare).get_table_names() == []
    revision.bring_up(bare, None)
    assert set(inspect(bare).get_table_names()) == {*metadata.tables, "alembic_version"}


@pytest.mark.postgres
def test_tables_of_another_program_are_left_alone(postgres_url: str) -> None:
    """A database that has a table of one of our names, and not from us, is refused."""
    engine = create_engine(postgres_url)
    with engine.begin() as connection:
        connection.execute(text("CREATE TABLE machine (id INTEGER)"))
    engine.dispose()
    with pytest.raises(ShopFileError, match="a table 'machine' of another program"):
        open_store(postgres_url)


@pytest.mark.postgres
@pytest.mark.parametrize(
    ("change", "says"),
    [
        ("/none_of_that_name?", "check the user, the password and the database"),
        ("/postgres?port=1&", "cannot be reached"),
    ],
)
def test_a_server_that_cannot_be_reached_is_one_line(
    postgres_url: str, change: str, says: str
) -> None:
    """A wrong database name or no server there is one line that names the place."""
    address = f"postgresql://bench@{change}{postgres_url.partition('?')[2]}"
    with pytest.raises(ShopFileError, match=says) as refused:
        open_store(address)
    assert "\n" not in str(refused.value)


SCRIPT = """
import sys
import benchassist.storage
heavy = {"sqlalchemy", "alembic", "psycopg", "numpy"}
print(sorted(heavy & sys.modules.keys()))
for _ in range(2):
    benchassist.storage.open_store(sys.argv[1]).close()
    print(sorted(heavy & sys.modules.keys()))
"""


def test_heavy_libraries_wait_until_they_are_needed(tmp_path: Path) -> None:
    """Importing storage loads none of them; opening a shop, new or known, loads no alembic."""
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, str(tmp_path / "shop.db")],
        check=True,
        capture_output=True,
        text=True,
        cwd=Path(__file__).parents[2],
    )
    assert done.stdout.splitlines() == ["[]", "['sqlalchemy']", "['sqlalchemy']"]
