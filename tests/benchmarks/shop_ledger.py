"""Drawn visits as rows of the program's tables, made by the program's own functions."""

import sqlite3
import tempfile
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime
from enum import Enum
from functools import cache
from pathlib import Path
from typing import Any, Final

from benchassist.core.entry import Closed, Reopened
from benchassist.core.procedure import Procedure
from benchassist.core.run import RunHeader
from benchassist.core.visit import VisitHeader
from benchassist.storage import open_store, schema
from benchassist.storage.codec import encode, to_text
from benchassist.storage.frozen import freeze
from benchassist.storage.row import beside_row, entry_row, machine_row, visit_rows
from benchassist.storage.store import SqlStore
from tests.benchmarks.shop_draw import DrawnRun, DrawnVisit
from tests.benchmarks.shop_run import RunLog
from tests.storage.case import PATIENCE

Values = tuple[Any, ...]
Rows = dict[str, list[Values]]

RUN_TABLES: Final = ("run_dial", "run_chunk", "run_bins", "run_gap")
BLANK: Final = Procedure(key="", title="", complaint="", engine_class="", checks=())


class Clerk:
    """Turns drawn visits into rows, and remembers which machines and texts it has told already."""

    def __init__(self) -> None:
        self._told: set[str] = set()
        self._texts: dict[tuple[int, int], dict[str, Any]] = {}

    def rows(self, visit: DrawnVisit) -> Rows:
        """The rows of a visit, and those it is the first to name."""
        rows: Rows = {}
        header = visit.header
        if header.machine.id not in self._told:
            self._told.add(header.machine.id)
            add(rows, "machine", machine_row(header.machine))
        self._add_visit(rows, visit)
        for entry in visit.entries:
            add(rows, "entry", entry_row(entry))
            if (beside := beside_row(entry)) is not None:
                add(rows, beside[0].name, beside[1])
        for run in visit.runs:
            _add_run(rows, run)
        return rows

    def _add_visit(self, rows: Rows, visit: DrawnVisit) -> None:
        header = visit.header
        doors = [e for e in visit.entries if isinstance(e, Closed | Reopened)]
        closed = doors[-1].stamp.at if doors and isinstance(doors[-1], Closed) else None
        wording = id(header.procedure), id(header.causes)
        if wording not in self._texts:
            self._texts[wording], texts = visit_rows(header)
            for text in texts:
                if text["digest"] not in self._told:
                    self._told.add(text["digest"])
                    add(rows, "frozen", text)
        add(rows, "visit", _visit_row(header, self._texts[wording]) | {"closed_at": closed})


def _visit_row(header: VisitHeader, alike: dict[str, Any]) -> dict[str, Any]:
    """The row that `visit_rows` returns, without telling the procedure's text again at every visit.

    `alike` is the row of a visit with the same procedure and causes.
    """
    own, _texts = freeze(replace(header, procedure=BLANK, causes=None))
    return alike | {
        "id": header.id,
        "slip_number": header.slip_number,
        "slip_serial": int(header.slip_number),
        "machine_id": header.machine.id,
        "opened_at": header.opened_at,
        "complaint": header.interview.complaint,
        "words": header.interview.words,
        "header": own["header"],
    }


def add(rows: Rows, table: str, row: dict[str, Any]) -> None:
    """Put a row of a table to the others, its values in the order of the columns."""
    names = columns_of(table)
    rows.setdefault(table, []).append(tuple(_plain(row.get(name)) for name in names))


def _plain(value: object) -> object:
    """A value as sqlite3 takes it, a time as SQLAlchemy writes it there."""
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat(" ", "microseconds")[:26]
    return value


@cache
def columns_of(table: str) -> tuple[str, ...]:
    """The names of a table's columns."""
    return tuple(column.name for column in schema.metadata.tables[table].columns)


def _add_run(rows: Rows, run: DrawnRun) -> None:
    """A run as its recorder left the same log, under its own id."""
    header = run.header
    own = {"id": header.id, "visit_id": header.visit_id, "kind": header.kind}
    add(rows, "run", own | {"header": to_text(encode(header))})
    for table, values in _recorded(run.log).items():
        rows.setdefault(table, []).extend((header.id, *one[1:]) for one in values)


@cache
def _recorded(log: RunLog) -> Rows:
    """The rows a recorder leaves of a log, whatever the run's id (the first column)."""
    with tempfile.TemporaryDirectory(prefix="bench-shop-run-") as folder:
        path = Path(folder) / "shop.sqlite"
        with open_store(path) as store:
            record(store, RunHeader(id="a run"), log)
        with closing(sqlite3.connect(path)) as connection:
            (loose,) = connection.execute("SELECT count(*) FROM run_tail").fetchone()
            if loose:
                raise RuntimeError("a run was not gathered to its end")
            return {
                table: connection.execute(
                    f"SELECT {', '.join(columns_of(table))} FROM {table}"  # noqa: S608 - our own names
                ).fetchall()
                for table in RUN_TABLES
            }


def record(store: SqlStore, header: RunHeader, log: RunLog) -> None:
    """Record a log as a meter gives it, to the end."""
    recording = store.record(header, {})
    for reading in log.readings():
        recording.put(reading)
    recording.close()
    if not recording.flushed(PATIENCE):
        raise RuntimeError(f"samples did not get to disk: {recording.trouble}")
