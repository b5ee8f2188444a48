"""What can still be read of a damaged shop file, as a new one that is sound.

Rows are read in order; where the file cannot be read, row by row until it can again. In the new
file a visit ends where its entries no longer follow each other, and what belongs to nothing is
left out: entries are the truth, everything else is told again from them.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from gettext import gettext as _
from pathlib import Path
from typing import Final

from benchassist.core.entry import Entry, Taken
from benchassist.core.visit import Visit, VisitHeader
from benchassist.errors import BenchError
from benchassist.storage import open_store, schema
from benchassist.storage.backup import Backup
from benchassist.storage.codec import decode, decode_entry, from_text
from benchassist.storage.integrity import faults_of
from benchassist.storage.row import Row, machine_row, taken_row
from benchassist.storage.shop_file import connect, refusal
from benchassist.storage.whole_file import finished

MOST_MISSES: Final = 20_000
"""Row numbers tried in a table beyond which its rest is given up."""

TABLES: Final = tuple(
    table.name for table in schema.metadata.sorted_tables if table.name != "taken"
)

OF_RUNS: Final = ("run_dial", "run_tail", "run_chunk", "run_bins", "run_gap")


@dataclass(slots=True)
class Loss:
    """What could not be saved, as far as it is known."""

    places: int = 0
    visits: int = 0
    entries: int = 0
    runs: int = 0

    def line(self, path: Path) -> str:
        """One line for the technician."""
        return _(
            "the shop file {file} is damaged: what can be read is saved; not saved: {visits} "
            "visits, {entries} entries, {runs} runs and what stood at {places} places"
        ).format(
            file=path,
            visits=self.visits,
            entries=self.entries,
            runs=self.runs,
            places=self.places,
        )


def salvage(path: Path, to: Path) -> Backup:
    """Save what can be read of a damaged shop file in a new one; only reads the damaged one.

    Raises InputError for a name that cannot be used, ShopFileError where nothing can be read.
    """
    loss = Loss()
    with finished(to) as fresh:
        open_store(fresh).close()
        try:
            with (
                closing(connect(path, read_only=True)) as source,
                closing(sqlite3.connect(fresh, isolation_level=None)) as target,
            ):
                target.execute("PRAGMA journal_mode = DELETE")
                target.execute("BEGIN")
                for table in TABLES:
                    _move(source, target, table, loss)
                _mend_visits(target, loss)
                _leave_out_orphans(target)
                target.execute("COMMIT")
        except sqlite3.Error as error:
            raise refusal(path, error) from None
        _leave_out_runs(fresh, loss)
        with closing(sqlite3.connect(fresh, isolation_level=None)) as target:
            target.execute("PRAGMA journal_mode = DELETE")
            if found := faults_of(target):
                raise refusal(path, sqlite3.DatabaseError(found[0]))
            (visits,) = target.execute("SELECT count(*) FROM visit").fetchone()
        size = fresh.stat().st_size
    return Backup(file=to, bytes=size, visits=int(visits), lost=loss.line(path))


def _move(source: sqlite3.Connection, target: sqlite3.Connection, table: str, loss: Loss) -> None:
    known = {column.name for column in schema.metadata.tables[table].c}
    here = [name for (_n, name, *_rest) in source.execute(f"PRAGMA table_info({table})")]
    names = [name for name in here if name in known]
    if not names:
        return
    columns = ", ".join(f'"{name}"' for name in names)
    put = f"INSERT OR IGNORE INTO {table} ({columns}) VALUES ({', '.join('?' * len(names))})"  # noqa: S608 - names of our own tables
    for row in _rows(source, table, columns, loss):
        target.execute(put, row)


def _rows(
    source: sqlite3.Connection, table: str, columns: str, loss: Loss
) -> Iterator[tuple[object, ...]]:
    """The rows of a table, by their numbers, past every one that cannot be read."""
    asked = f"SELECT rowid, {columns} FROM {table} WHERE rowid >= ? ORDER BY rowid"  # noqa: S608 - the same
    start, misses, in_hole = 0, 0, False
    while misses < MOST_MISSES:
        try:
            for number, *row in source.execute(asked, (start,)):
                start, in_hole = number + 1, False
                yield tuple(row)
            return
        except sqlite3.DatabaseError:
            loss.places += not in_hole
            start, misses, in_hole = start + 1, misses + 1, True


def _mend_visits(target: sqlite3.Connection, loss: Loss) -> None:
    """Every visit ends at its first entry that does not follow; its machine is there."""
    for visit_id, text in target.execute("SELECT id, header FROM visit").fetchall():
        try:
            visit = Visit(decode(VisitHeader, from_text(text)))
        except (BenchError, IndexError):
            loss.visits += 1
            target.execute("DELETE FROM visit WHERE id = ?", (visit_id,))
            continue
        _put(target, "machine", machine_row(visit.header.machine))
        asked = "SELECT body FROM entry WHERE visit_id = ? ORDER BY seq"
        for (body,) in target.execute(asked, (visit_id,)).fetchall():
            entry = _entry(body)
            if entry is None or not _follows(visit, entry):
                break
            if isinstance(entry, Taken):
                _put(target, "taken", taken_row(entry))
        cut = "DELETE FROM entry WHERE visit_id = ? AND seq >= ?"
        loss.entries += target.execute(cut, (visit_id, visit.next_seq)).rowcount


def _entry(body: str) -> Entry | None:
    try:
        return decode_entry(from_text(body))
    except BenchError:
        return None


def _follows(visit: Visit, entry: Entry) -> bool:
    try:
        visit.apply(entry)
    except BenchError:
        return False
    return True


def _put(target: sqlite3.Connection, table: str, row: Row) -> None:
    names = ", ".join(row)
    places = ", ".join(f":{name}" for name in row)
    target.execute(f"INSERT OR IGNORE INTO {table} ({names}) VALUES ({places})", row)  # noqa: S608 - the same


def _leave_out_orphans(target: sqlite3.Connection) -> None:
    target.execute("DELETE FROM entry WHERE visit_id NOT IN (SELECT id FROM visit)")
    for table in OF_RUNS:
        target.execute(f"DELETE FROM {table} WHERE run_id NOT IN (SELECT id FROM run)")  # noqa: S608 - the same


def _leave_out_runs(fresh: Path, loss: Loss) -> None:
    """A run whose samples cannot be read is left out; its finding stands in the visit."""
    with closing(sqlite3.connect(fresh, isolation_level=None)) as target:
        runs = [run_id for (run_id,) in target.execute("SELECT id FROM run")]
        with open_store(fresh, read_only=True) as store:
            unsound = []
            for run_id in runs:
                try:
                    store.run_record(run_id)
                except (BenchError, IndexError, ValueError):
                    unsound.append(run_id)
        for run_id in unsound:
            loss.runs += 1
            for table in OF_RUNS:
                target.execute(f"DELETE FROM {table} WHERE run_id = ?", (run_id,))  # noqa: S608 - the same
            target.execute("DELETE FROM run WHERE id = ?", (run_id,))
