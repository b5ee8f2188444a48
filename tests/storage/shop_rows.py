"""What a shop's tables hold, of whatever revision, and how a test empties them."""

from pathlib import Path
from typing import Any

from sqlalchemy import Connection, inspect, text

from benchassist.storage import open_store, schema
from benchassist.storage.whole_file import BESIDE
from tests.storage.old_shop import bare_engine

Plain = dict[str, Any]


def columns(location: str, table: str) -> list[Plain]:
    """Every row of a table as the database gives it, in an order of its own."""
    with bare_engine(location) as engine, engine.begin() as connection:
        return _columns(connection, table)


def rows(location: str) -> dict[str, list[Plain]]:
    """Every row of a shop at one moment."""
    with bare_engine(location) as engine, engine.begin() as connection:
        names = inspect(connection).get_table_names()
        return {name: _columns(connection, name) for name in names}


def _columns(connection: Connection, table: str) -> list[Plain]:
    found = connection.execute(text(f"SELECT * FROM {table}")).mappings()  # noqa: S608 - the shop's own
    return sorted((dict(row) for row in found), key=lambda row: repr(tuple(row.values())[:4]))


def cleared(location: str) -> None:
    """Leave a place where there is no shop."""
    if "://" not in location:
        for beside in BESIDE:
            Path(f"{location}{beside}").unlink(missing_ok=True)
        return
    with bare_engine(location) as engine, engine.begin() as connection:
        names = inspect(connection).get_table_names()
        connection.execute(text(f"DROP TABLE {', '.join(names)}"))


def emptied(location: str) -> None:
    """Leave a shop with nothing in it."""
    if "://" not in location:
        cleared(location)
        open_store(location).close()
        return
    with bare_engine(location) as engine, engine.begin() as connection:
        connection.execute(text(f"TRUNCATE {', '.join(schema.metadata.tables)}"))
