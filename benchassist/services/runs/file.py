"""A log from elsewhere: CSV with a header t_s,value,unit, or the JSON lines of `log`, to samples.

Every bad row is told with its line; what can be used is used.
"""

import csv
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, Final, Protocol

from benchassist.core.quantity import Quantity
from benchassist.core.samples import Column, Samples
from benchassist.errors import InputError
from benchassist.services.logs.row_fault import RowFaults
from benchassist.services.runs.block import TableBlocks
from benchassist.services.runs.column import Columns, RowFault, Rows
from benchassist.services.runs.row import RowError, TableRows, unread
from benchassist.services.runs.run_json import LineBlocks
from benchassist.services.translation import _

BLOCK: Final = 1 << 20
"""Bytes read at once; a longer line makes its block longer."""
LONGEST: Final = 16 * BLOCK
"""Bytes of a line beyond which a file is no log."""
_MARK: Final = b"\xef\xbb\xbf"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class RunFile:
    """What a log held. `celsius` is of the samples' length, nan where not known; None for none.

    `faults` tells every bad row with its line; `rejected` counts the rows left out. `spread` counts
    the rows that had the time of the row before and stand evenly after it now (`run_time`).
    """

    name: str
    quantity: Quantity
    samples: Samples
    celsius: Column | None
    rejected: int
    faults: tuple[str, ...]
    spread: int = 0


class Blocks(Protocol):
    """Reads a block of whole lines whose first has a number."""

    def read(self, block: bytes, first_line: int) -> tuple[Rows, list[RowFault]]:
        """Its rows, and what is told of the others."""
        ...


def read_run_file(path: Path, wanted: Iterable[Quantity]) -> RunFile:
    """Read a log. Raises InputError where the file cannot be read or holds no usable row."""
    reading = RunReading(path, wanted)
    for _share in reading.parts():
        pass
    return reading.result()


class RunReading:
    """A log that is read part by part, so that somebody can watch, or stop."""

    def __init__(self, path: Path, wanted: Iterable[Quantity]) -> None:
        self._path = path
        self._wanted = frozenset(wanted)
        self._columns = Columns(self._wanted)
        self._faults = RowFaults(path.name)
        self._rejected = 0

    @property
    def rows(self) -> int:
        """Rows used so far."""
        return self._columns.used

    @property
    def rejected(self) -> int:
        """Rows left out so far."""
        return self._columns.rejected + self._rejected

    def parts(self) -> Iterator[float]:
        """Read on; gives the share of the file that is read, up to 1.

        Raises InputError where the file cannot be read.
        """
        if "\x00" in str(self._path) or (self._path.exists() and not self._path.is_file()):
            # A pipe would be waited at for ever, a device read without end.
            raise InputError(_("{path} is no file; name a log file").format(path=self._path))
        try:
            size = max(1, self._path.stat().st_size)
            with self._path.open("rb") as file:
                yield from self._read(file, size)
        except OSError as error:
            raise InputError(
                _("{path}: {why}; name a log file").format(
                    path=self._path, why=error.strerror or error
                )
            ) from error

    def _read(self, file: BinaryIO, size: int) -> Iterator[float]:
        blocks: Blocks | None = None
        line, done = 1, 0
        for block in _blocks(file, self._path.name):
            done += len(block)
            rest = block
            if blocks is None:
                rest = block.removeprefix(_MARK)
                head, _end, after = rest.partition(b"\n")
                if head.lstrip().startswith(b"{"):
                    blocks = LineBlocks(self._wanted)
                else:
                    blocks = self._table(head)
                    line, rest = 2, after
                if blocks is None:
                    return
            if rest:
                self._keep(*blocks.read(rest, line))
                line += rest.count(b"\n")
            yield min(1.0, done / size)

    def _table(self, head: bytes) -> TableBlocks | None:
        """By its header; None where it is blank or says that this is no log, which is told."""
        text = head.decode("utf-8", errors="replace")
        if not text.strip():
            return None
        try:
            return TableBlocks(TableRows(next(csv.reader([text]))))
        except RowError as error:
            self._faults.add(1, error.kind, str(error))
        except csv.Error as error:
            self._faults.add(1, "csv", unread(error))
        self._rejected += 1
        return None

    def _keep(self, rows: Rows, faults: list[RowFault]) -> None:
        self._rejected += len(faults)
        more = self._columns.keep(rows)
        told = sorted([*faults, *more], key=_line_of) if more else faults
        for fault in told:
            self._faults.add(*fault)

    def result(self) -> RunFile:
        """What it held. Raises InputError where no row could be used."""
        columns, told, name = self._columns, self._faults.lines(), self._path.name
        if columns.quantity is None or not columns.used:
            why = told[0] if told else _("{name}: the file holds no rows").format(name=name)
            n = self.rejected
            raise InputError(why + (_(" ({n} rows, none usable)").format(n=n) if n > 1 else ""))
        return RunFile(
            name=name,
            quantity=columns.quantity,
            samples=columns.samples(),
            celsius=columns.celsius(),
            rejected=self.rejected,
            faults=tuple(told),
        )


def _line_of(fault: RowFault) -> int:
    return fault.line


def _blocks(file: BinaryIO, name: str) -> Iterator[bytes]:
    """The file in blocks of whole lines, each line ended by one line feed, whatever ended it.

    Raises InputError where a line has no end.
    """
    rest = b""
    while True:
        chunk = file.read(BLOCK)
        text = rest + chunk
        if not chunk:
            if text:
                yield _fed(text) if text.endswith((b"\n", b"\r")) else _fed(text) + b"\n"
            return
        if len(text) - len(chunk) > LONGEST:
            raise InputError(_("{name}: a line without end; name a log file").format(name=name))
        # A return at the very end may be half of a line's end.
        cut = 1 + max(text.rfind(b"\n"), text.rfind(b"\r", 0, len(text) - 1))
        rest = text[cut:]
        if cut:
            yield _fed(text[:cut])


def _fed(text: bytes) -> bytes:
    if b"\r" not in text:
        return text
    return text.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
