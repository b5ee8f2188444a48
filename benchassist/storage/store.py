"""What a shop keeps, on SQLite or PostgreSQL: the `Store` the use cases ask for."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from gettext import gettext as _
from pathlib import Path
from types import TracebackType
from typing import Self

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

from benchassist.core.entry import Entry, Machine
from benchassist.core.record import Acknowledgement, VisitSummary
from benchassist.core.visit import VisitHeader
from benchassist.errors import StoreError
from benchassist.storage import query
from benchassist.storage.engine import open_engines, trouble
from benchassist.storage.place import place_of
from benchassist.storage.writer import Writer


class SqlStore:
    """An open shop. Reads may be called from any thread; every write goes to the one writer."""

    def __init__(self, location: str | Path, *, read_only: bool = False) -> None:
        self._place = place_of(location)
        self._engines = open_engines(self._place, read_only=read_only)
        writer = self._engines.writer
        self._writer = (
            None if writer is None else Writer(writer, lambda error: trouble(self._place, error))
        )

    @property
    def name(self) -> str:
        """The file's path, or the database and its host."""
        return self._place.name

    def submit(self, *entries: Entry) -> int:
        """Hand entries to the writer, to be committed together at once. Returns the ticket.

        Raises StoreError where the shop is closed or was opened for reading only.
        """
        return self._writing.submit(entries)

    def submit_visit(self, header: VisitHeader) -> int:
        """Hand a new visit (and its machine, if new) to the writer. Raises as `submit`."""
        return self._writing.submit(header)

    def submit_machine(self, machine: Machine) -> int:
        """Hand a new or changed machine to the writer. Raises as `submit`."""
        return self._writing.submit(machine)

    def acknowledgements(self) -> Sequence[Acknowledgement]:
        """What became of submissions since the last call, in order; never drops one."""
        return () if self._writer is None else self._writer.acknowledgements()

    def wait(self, timeout: float) -> Acknowledgement | None:
        """The next acknowledgement, None if `timeout` seconds pass first. Not for the window."""
        return self._writing.wait(timeout)

    def visit(self, visit_id: str) -> tuple[VisitHeader, tuple[Entry, ...]]:
        """A visit by id, or by slip number. Raises NotFoundError."""
        with self._reading() as connection:
            return query.visit(connection, visit_id)

    def visits(self, *, open_only: bool = False, machine_id: str = "") -> tuple[VisitSummary, ...]:
        """Visits, newest first."""
        with self._reading() as connection:
            return query.visits(connection, open_only=open_only, machine_id=machine_id)

    def machines(self, words: str = "") -> tuple[Machine, ...]:
        """Machines whose tag, customer, serial, phone, unit or engine holds every word given."""
        with self._reading() as connection:
            return query.machines(connection, words)

    def next_slip_number(self) -> str:
        """The number a visit opened now would carry: four digits from 0001."""
        with self._reading() as connection:
            return query.next_slip_number(connection)

    def close(self) -> None:
        """Write what is still in hand, then stop. May be called twice."""
        if self._writer is not None:
            self._writer.close()
        self._engines.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    @property
    def _writing(self) -> Writer:
        if self._writer is None:
            raise StoreError(
                _("the shop {name} was opened for reading only").format(name=self.name)
            )
        return self._writer

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        """A connection in one transaction, so that what is read together belongs together."""
        try:
            with self._engines.reader.begin() as connection:
                yield connection
        except DBAPIError as error:
            raise trouble(self._place, error) from None
