"""A whole shop is copied between a file and a server, either way, every row as it is.

It is read as it stands at one moment and written in one transaction, tables and rows together:
ended at any moment, the new place holds no shop. Both are read back before it is committed.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from gettext import gettext as _
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from sqlalchemy import (
    Boolean,
    Connection,
    Double,
    Engine,
    Integer,
    LargeBinary,
    Result,
    Row,
    String,
    Table,
    func,
    insert,
    select,
)
from sqlalchemy.exc import DBAPIError
from sqlalchemy.types import TypeEngine

from benchassist.errors import InputError, ShopFileError, StoreError
from benchassist.storage import schema
from benchassist.storage.engine import fresh_file_engine, open_engines, trouble, writing_engine
from benchassist.storage.place import Place, ShopFile, place_of
from benchassist.storage.revision import make_tables
from benchassist.storage.seal import Seal
from benchassist.storage.whole_file import UNFINISHED, finished

TABLES: Final = tuple(schema.metadata.sorted_tables)
"""Each after those its rows belong to."""

ROWS: Final = 1000
FULL_ROWS: Final = 32
"""Rows in memory at a time, of tables whose rows are small, and of those with large ones."""

FULL: Final = frozenset({"frozen", "photo", "run_chunk", "run_bins", "run_tail"})

SERVER_TYPES: Final[tuple[tuple[type[TypeEngine[Any]], str], ...]] = (
    (schema.UtcDateTime, "timestamptz"),
    (Boolean, "bool"),
    (Double, "float8"),
    (Integer, "int4"),
    (LargeBinary, "bytea"),
    (String, "text"),
)

ABANDONED: Final = timedelta(hours=1)
"""A file begun and not written to for so long belongs to a program that was ended."""

Progress = Callable[[int, int], None]
"""Is told rows done and rows in all, a row counting twice: written, and read back."""


@dataclass(frozen=True, slots=True)
class Sealed:
    """How many rows of a table were moved, and their digest: the same in both places."""

    rows: int
    digest: str


@dataclass(frozen=True, slots=True)
class Moved:
    """A shop that was copied to a new place; the old one stands as it was."""

    source: str
    target: str
    tables: Mapping[str, Sealed]

    @property
    def rows(self) -> int:
        """Of all tables."""
        return sum(sealed.rows for sealed in self.tables.values())

    @property
    def visits(self) -> int:
        """How many visits the shop has."""
        return self.tables[schema.visit.name].rows


def move(source: str, target: str, progress: Progress | None = None) -> Moved:
    """Copy a shop to a new file or an empty database, and verify what arrived.

    Raises InputError for a target that is no new place, ShopFileError for a source that is older or
    newer than the program, StoreError where the one is written to meanwhile or the other refuses.
    What was begun is gone then.
    """
    old, new = place_of(source), place_of(target)
    _refuse_itself(old, new)
    sent = dict[str, Sealed]()
    engines = open_engines(old, read_only=True)
    try:
        with _said_of(old, opening=True), engines.reader.begin() as reading:
            counts = _counts(reading)
            steps = _Steps(2 * sum(counts.values()), progress)
            with _writing(new) as engine, _said_of(new), engine.begin() as writing:
                make_tables(new.name, writing)
                _refuse_rows(new, writing)
                for table in TABLES:
                    sent[table.name] = _send(old, reading, writing, table, steps)
                for table in TABLES:
                    if _read_back(new, writing, table, steps) != sent[table.name]:
                        raise _misread(table)
                _refuse_written(old, engines.reader, counts, sent[schema.machine.name])
    finally:
        engines.dispose()
    return Moved(old.name, new.name, MappingProxyType(sent))


class _Steps:
    """Counts rows for whoever watches."""

    def __init__(self, whole: int, progress: Progress | None = None) -> None:
        self._whole = whole
        self._done = 0
        self._progress = progress

    def add(self, rows: int) -> None:
        self._done += rows
        if self._progress is not None:
            self._progress(self._done, self._whole)


def _refuse_itself(old: Place, new: Place) -> None:
    same = (
        old.path.absolute() == new.path.absolute()
        if isinstance(old, ShopFile) and isinstance(new, ShopFile)
        else old == new
    )
    if same:
        raise InputError(
            _("{name} is the shop itself: name the new place it goes to").format(name=new.name)
        )


@contextmanager
def _writing(new: Place) -> Iterator[Engine]:
    """An engine to write with. A file that is not there takes its name when all is done."""
    if not isinstance(new, ShopFile) or new.path.exists():
        engine = writing_engine(new)
        try:
            yield engine
        finally:
            engine.dispose()
        return
    _clear_away(new.path)
    with finished(new.path) as fresh:
        engine = fresh_file_engine(fresh)
        try:
            yield engine
        finally:
            engine.dispose()


def _clear_away(path: Path) -> None:
    """Remove what a program that was ended has left of the same move."""
    before = datetime.now(UTC) - ABANDONED
    for left in path.absolute().parent.glob(f"{_literal(path.name)}.*{UNFINISHED}*"):
        if datetime.fromtimestamp(left.stat().st_mtime, UTC) < before:
            left.unlink(missing_ok=True)


def _literal(name: str) -> str:
    return "".join(f"[{letter}]" if letter in "*?[" else letter for letter in name)


@contextmanager
def _said_of(place: Place, *, opening: bool = False) -> Iterator[None]:
    """What goes wrong in a place is told of that place."""
    try:
        yield
    except DBAPIError as error:
        raise trouble(place, error, opening=opening) from None


def _counts(connection: Connection) -> dict[str, int]:
    return {
        table.name: int(connection.scalar(select(func.count()).select_from(table)) or 0)
        for table in TABLES
    }


def _refuse_rows(new: Place, connection: Connection) -> None:
    for table in TABLES:
        if connection.execute(select(1).select_from(table).limit(1)).first() is not None:
            raise InputError(
                _("{name} holds a shop already: name a new file or an empty database").format(
                    name=new.name
                )
            )


def _send(
    old: Place, reading: Connection, writing: Connection, table: Table, steps: _Steps
) -> Sealed:
    seal, put = Seal(), _putting(writing, table)
    with _portions(old, reading, table) as portions:
        for rows in portions:
            seal.add(rows)
            put(rows)
            steps.add(len(rows))
    return Sealed(seal.rows, seal.digest)


def _putting(writing: Connection, table: Table) -> Callable[[Sequence[Row[Any]]], None]:
    """How rows are written: a server takes them as a stream, which is faster by far."""
    if writing.dialect.name != "postgresql":
        add = insert(table)

        def put(rows: Sequence[Row[Any]]) -> None:
            writing.execute(add, [row._asdict() for row in rows])

        return put
    names = ", ".join(f'"{column.name}"' for column in table.c)
    stream = f'COPY "{table.name}" ({names}) FROM STDIN'
    types = [_server_type(column.type) for column in table.c]
    # Begun already, so that it stands in the transaction of everything else.
    driver = writing.connection.driver_connection

    def copy(rows: Sequence[Row[Any]]) -> None:
        try:
            with driver.cursor() as cursor, cursor.copy(stream) as copying:  # type: ignore[union-attr]
                copying.set_types(types)
                for row in rows:
                    copying.write_row(row)
        except writing.dialect.loaded_dbapi.Error as error:
            raise DBAPIError(stream, None, error) from None

    return copy


def _server_type(kind: TypeEngine[Any]) -> str:
    """What a server calls a column's type; a driver would guess it from the first value."""
    return next(name for known, name in SERVER_TYPES if isinstance(kind, known))


def _misread(table: Table) -> ShopFileError:
    return ShopFileError(
        _("the table {table} did not arrive as it was: nothing is moved").format(table=table.name)
    )


def _refuse_written(old: Place, reader: Engine, before: dict[str, int], machines: Sealed) -> None:
    """Whatever is written to a shop adds a row, but for what is said of a machine, and leases."""
    with _said_of(old), reader.begin() as later:
        after = _counts(later) | {schema.lease.name: before[schema.lease.name]}
        same = before == after and machines == _read_back(old, later, schema.machine, _Steps(0))
    if not same:
        raise StoreError(
            _(
                "the shop {name} was written to while it was moved: close it on every bench, "
                "then move it again"
            ).format(name=old.name)
        )


def _read_back(place: Place, connection: Connection, table: Table, steps: _Steps) -> Sealed:
    seal = Seal()
    with _portions(place, connection, table) as portions:
        for rows in portions:
            seal.add(rows)
            steps.add(len(rows))
    return Sealed(seal.rows, seal.digest)


@contextmanager
def _portions(
    place: Place, connection: Connection, table: Table
) -> Iterator[Iterator[Sequence[Row[Any]]]]:
    """The rows of a table, a few at a time; a server holds the rest back."""
    size = FULL_ROWS if table.name in FULL else ROWS
    asked = select(table).execution_options(yield_per=size)
    with _said_of(place):
        found = connection.execute(asked)
    with closing(found):
        yield _partitions(place, found)


def _partitions(place: Place, found: Result[Any]) -> Iterator[Sequence[Row[Any]]]:
    with _said_of(place):
        yield from found.partitions()
