"""Whether a copy of a shop that was made before still holds all of it."""

from pathlib import Path
from typing import Final

from sqlalchemy import Connection, MetaData, Table, func, inspect, select
from sqlalchemy.exc import DBAPIError

from benchassist.errors import BenchError
from benchassist.storage.engine import reading_engine
from benchassist.storage.place import Place, ShopFile
from benchassist.storage.revision import revision_on
from benchassist.storage.seal import Seal

MACHINE: Final = "machine"
ERASED: Final = "erased_at"
PASSING: Final = frozenset({"lease", "alembic_version"})
"""Tables that come and go."""

PORTION: Final = 1000

Outline = tuple[dict[str, int], str]
"""How many rows each table has, how many machines are erased, and a digest of the machines."""


def still_holds(copy: Path, place: Place, revision: str) -> bool:
    """Whether nothing was written to a shop since the copy, which is of that revision, was made.

    Whatever is written to a shop adds a row, but for what is said of a machine.
    """
    here = _outline(place, revision)
    return here is not None and here == _outline(ShopFile(copy), revision)


def _outline(place: Place, revision: str) -> Outline | None:
    """None for a shop of another revision, or one that cannot be read."""
    engine = reading_engine(place)
    try:
        with engine.begin() as connection:
            if revision_on(connection) != revision:
                return None
            names = sorted(set(inspect(connection).get_table_names()) - PASSING)
            tables = MetaData()
            tables.reflect(connection, only=names)
            machine = tables.tables[MACHINE]
            counts = {name: _count(connection, tables.tables[name]) for name in names}
            if (erased := machine.c.get(ERASED)) is not None:
                asked = select(func.count(erased))
                counts[ERASED] = int(connection.scalar(asked) or 0)
            return counts, _digest(connection, machine)
    except (DBAPIError, BenchError):
        return None
    finally:
        engine.dispose()


def _count(connection: Connection, table: Table) -> int:
    return int(connection.scalar(select(func.count()).select_from(table)) or 0)


def _digest(connection: Connection, machine: Table) -> str:
    """Of the machines' texts: times are told differently by different databases."""
    seal, texts = Seal(), [column for column in machine.c if column.name != ERASED]
    asked = select(*texts).execution_options(yield_per=PORTION)
    for rows in connection.execute(asked).partitions():
        seal.add(rows)
    return seal.digest
