"""Rows that are added once: what is there already stays, so that a write may be repeated."""

from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, Table
from sqlalchemy.dialects import postgresql, sqlite


def insert_into(table: Table, dialect_name: str) -> sqlite.Insert | postgresql.Insert:
    """Return the database's own INSERT: both say ON CONFLICT, and in the same words."""
    return (sqlite.insert if dialect_name == "sqlite" else postgresql.insert)(table)


def add_rows(
    connection: Connection, table: Table, rows: Sequence[Mapping[str, Any]], *, change: str = ""
) -> None:
    """Add rows; one that is there already stays, or takes on the new value of a column."""
    if not rows:
        return
    added, keys = insert_into(table, connection.dialect.name), list(table.primary_key)
    connection.execute(
        added.on_conflict_do_update(index_elements=keys, set_={change: added.excluded[change]})
        if change
        else added.on_conflict_do_nothing(index_elements=keys),
        list(rows),
    )
