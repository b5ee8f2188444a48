"""A taken reading to disk: from hand-in to 'stored', against a bare commit of the same bytes."""

import sqlite3
import tempfile
from collections.abc import Iterator
from pathlib import Path

from benchassist.core.entry import Taken
from benchassist.core.record import Stored
from benchassist.storage import open_store
from benchassist.storage.row import Row, entry_row, taken_row
from tests.benchmarks.figure import Aim, Figure, side_by_side
from tests.storage.case import PATIENCE, Scribe, header

READINGS = 600


def figures() -> Iterator[Figure]:
    """Measure both in turns, in files side by side on the same disk."""
    visit = header()
    scribe = Scribe(visit)
    entries = [scribe.taken(9000.0 + number) for number in range(READINGS)]
    with tempfile.TemporaryDirectory(prefix="bench-taken-") as folder:
        store = open_store(Path(folder) / "shop.db")
        bare = bare_file(Path(folder) / "bare.db")
        try:
            store.submit_visit(visit)
            store.wait(PATIENCE)
            handed_in, rows = iter(entries), iter([texts(entry) for entry in entries])

            def ours() -> None:
                ticket = store.submit(next(handed_in))
                if store.wait(PATIENCE) != Stored(ticket):
                    raise RuntimeError("a reading was not stored")

            def baseline() -> None:
                entry, taken = next(rows)
                bare.execute("BEGIN IMMEDIATE")
                bare.execute(insert("entry", entry), tuple(entry.values()))
                bare.execute(insert("taken", taken), tuple(taken.values()))
                bare.execute("COMMIT")

            found = side_by_side(ours, baseline, READINGS)
        finally:
            store.close()
            bare.close()
    yield Figure(
        name="taken reading to disk",
        ours=found.ours,
        baseline=found.baseline,
        ratio=found.ratio,
        aim=Aim(2.5),
        note="submit to Stored, against sqlite3 (WAL, FULL) committing the same two rows",
    )


def bare_file(path: Path) -> sqlite3.Connection:
    """Return a file with the same columns and nothing else: no indexes, no foreign keys."""
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA journal_mode = WAL")
    connection.execute("PRAGMA synchronous = FULL")
    entry, taken = texts(Scribe(header()).taken())
    connection.execute(f"CREATE TABLE entry ({', '.join(entry)})")
    connection.execute(f"CREATE TABLE taken ({', '.join(taken)})")
    return connection


def texts(taken: Taken) -> tuple[Row, Row]:
    """Return a reading's two rows as sqlite3 takes them."""
    entry = entry_row(taken)
    return entry | {"at": entry["at"].isoformat()}, taken_row(taken)


def insert(table: str, row: Row) -> str:
    """Return the statement that adds a row."""
    return f"INSERT INTO {table} VALUES ({', '.join('?' * len(row))})"  # noqa: S608 - our own names
