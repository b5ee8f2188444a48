"""A log from elsewhere: CSV with a header t_s,value,unit, or the JSON lines of `log`, to samples.

Every bad row is told with its line; what can be used is used.
"""

import csv
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import chain
from pathlib import Path
from typing import TextIO

import numpy as np

from benchassist.core.quantity import Quantity
from benchassist.core.samples import Column, Samples
from benchassist.errors import InputError
from benchassist.services.row_fault import RowFaults
from benchassist.services.run_row import Columns, LineRows, Row, RowError, TableRows
from benchassist.services.translation import _


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class RunFile:
    """What a log held. `celsius` is of the samples' length, nan where not known; None for none.

    `faults` tells every bad row with its line; `rejected` counts the rows left out.
    """

    name: str
    quantity: Quantity
    samples: Samples
    celsius: Column | None
    rejected: int
    faults: tuple[str, ...]


def read_run_file(path: Path, wanted: Iterable[Quantity]) -> RunFile:
    """Read a log. Raises InputError where the file cannot be read or holds no usable row."""
    columns, faults = Columns(frozenset(wanted)), RowFaults(path.name)
    rejected = 0
    try:
        with path.open(encoding="utf-8-sig", errors="replace", newline="") as file:
            for line, row in _rows(file, frozenset(wanted)):
                if isinstance(row, RowError):
                    rejected += _told(faults, line, row)
                    continue
                try:
                    columns.keep(row)
                except RowError as error:
                    rejected += _told(faults, line, error)
                    continue
                if row.note:
                    faults.add(line, row.note.split("'", 1)[0], row.note)
    except OSError as error:
        raise InputError(
            _("{path}: {why}; name a log file").format(path=path, why=error.strerror or error)
        ) from error
    if columns.quantity is None:
        told = faults.lines()
        why = told[0] if told else _("{name}: the file holds no rows").format(name=path.name)
        more = _(" ({n} rows, none usable)").format(n=rejected) if rejected > 1 else ""
        raise InputError(why + more)
    celsius = np.frombuffer(columns.celsius)
    return RunFile(
        name=path.name,
        quantity=columns.quantity,
        samples=Samples(
            np.frombuffer(columns.t_s),
            np.frombuffer(columns.value),
            np.frombuffer(columns.resolution),
        ),
        celsius=None if bool(np.isnan(celsius).all()) else celsius,
        rejected=rejected,
        faults=tuple(faults.lines()),
    )


def _told(faults: RowFaults, line: int, error: RowError) -> int:
    faults.add(line, error.kind, str(error))
    return 1


def _rows(file: TextIO, wanted: frozenset[Quantity]) -> Iterator[tuple[int, Row | RowError]]:
    """Every row with its line, in either form; blank lines are no rows."""
    first = file.readline()
    if first.lstrip().startswith("{"):
        yield from _json_lines(first, file, wanted)
    else:
        yield from _table(first, file)


def _json_lines(
    first: str, file: TextIO, wanted: frozenset[Quantity]
) -> Iterator[tuple[int, Row | RowError]]:
    rows = LineRows(wanted)
    for number, text in enumerate(chain((first,), file), start=1):
        if not text.strip():
            continue
        try:
            row = rows.read(text)
        except RowError as error:
            yield number, error
        else:
            if row is not None:
                yield number, row


def _table(first: str, file: TextIO) -> Iterator[tuple[int, Row | RowError]]:
    if not first.strip():
        return
    try:
        rows = TableRows(next(csv.reader([first])))
    except RowError as error:
        yield 1, error
        return
    # Quotes do not reach over line ends here: one line is one row, whatever stands in it.
    for number, text in enumerate(file, start=2):
        if not text.strip():
            continue
        try:
            cells = next(csv.reader([text])) if '"' in text else text.split(",")
            yield number, rows.read(cells)
        except csv.Error as error:
            yield number, RowError("csv", _("the row cannot be read: {why}").format(why=error))
        except RowError as error:
            yield number, error
