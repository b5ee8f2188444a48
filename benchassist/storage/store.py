"""What a shop keeps, on SQLite or PostgreSQL: the `Store` the use cases ask for."""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from gettext import gettext as _
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Self

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

from benchassist.core.entry import Entry, Machine
from benchassist.core.record import Acknowledgement, VisitSummary
from benchassist.core.run import RunGap, RunHeader
from benchassist.core.visit import VisitHeader
from benchassist.errors import BenchError, StoreError
from benchassist.storage import query
from benchassist.storage.engine import Engines, open_engines, trouble
from benchassist.storage.place import ShopFile, place_of
from benchassist.storage.writer import Writer

if TYPE_CHECKING:
    from benchassist.core.samples import Column, Samples
    from benchassist.storage.intake import Intake
    from benchassist.storage.parcel import Parcel
    from benchassist.storage.recorder import Recorder
    from benchassist.storage.run_record import RunRecord


class SqlStore:
    """An open shop. Reads may be called from any thread; every write goes to the one writer."""

    def __init__(self, location: str | Path, *, read_only: bool = False) -> None:
        self._place = place_of(location)
        self._engines = open_engines(self._place, read_only=read_only)
        writer = self._engines.writer
        self._writer = (
            None if writer is None else Writer(writer, lambda error: trouble(self._place, error))
        )

        self._recorded: set[str] = set()

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

    def record(self, header: RunHeader, origins: Mapping[str, float]) -> "Recorder":
        """Begin to keep a run. `origins` has for each channel the reading time that is second 0.

        Raises StoreError for a run that is kept already, a shop that is closed or only read.
        """
        from benchassist.storage.recorder import Recorder

        writer = self._writing
        writer.refuse_closed()
        if header.id in self._recorded or self._is_kept(header.id):
            raise StoreError(_("the run is kept already: begin a new one"))
        recorder = Recorder(header, origins, writer)
        if not self._recorded:
            from benchassist.storage.compaction import Leftovers

            writer.take_on(Leftovers(self._recorded))
        self._recorded.add(header.id)
        writer.take_on(recorder)
        return recorder

    def run_header(self, run_id: str) -> RunHeader:
        """What a run is. Raises NotFoundError."""
        from benchassist.storage import run_query

        with self._reading() as connection:
            return run_query.header(connection, run_id)

    def run_channels(self, run_id: str) -> tuple[str, ...]:
        """The channels of a run, in the order in which they came. Raises NotFoundError."""
        from benchassist.storage import run_query

        with self._reading() as connection:
            return run_query.channels(connection, run_id)

    def run_samples(
        self,
        run_id: str,
        channel: str,
        *,
        start_s: float = float("-inf"),
        end_s: float = float("inf"),
    ) -> "Samples":
        """The samples of a channel, held and foreign ones left out. Raises NotFoundError."""
        from benchassist.core.samples import Samples
        from benchassist.storage import run_query

        with self._reading() as connection:
            if self._is_beginning(connection, run_id):
                return Samples.none()
            return run_query.samples(connection, (run_id, channel), start_s=start_s, end_s=end_s)

    def run_envelope(
        self, run_id: str, channel: str, *, start_s: float, end_s: float, buckets: int
    ) -> "tuple[Column, Column, Column]":
        """Times, lowest and highest values of at most so many buckets. Raises NotFoundError.

        A high of inf is an overload, a low of inf says that there was nothing else.
        """
        from benchassist.core.samples import Samples
        from benchassist.storage.run_envelope import envelope

        with self._reading() as connection:
            if self._is_beginning(connection, run_id):
                return Samples.none().t_s, Samples.none().value, Samples.none().value
            return envelope(
                connection, (run_id, channel), start_s=start_s, end_s=end_s, buckets=buckets
            )

    def run_gaps(self, run_id: str) -> tuple[RunGap, ...]:
        """What is missing, in order of time. Raises NotFoundError."""
        from benchassist.storage import run_query

        with self._reading() as connection:
            if self._is_beginning(connection, run_id):
                return ()
            return run_query.gaps(connection, run_id)

    def run_extent(self, run_id: str) -> tuple[float, float]:
        """Seconds of the first and the last sample. Raises NotFoundError."""
        from benchassist.storage import run_query

        with self._reading() as connection:
            return run_query.extent(connection, run_id)

    def run_record(self, run_id: str) -> "RunRecord":
        """Everything kept of a run, for the export. Raises NotFoundError."""
        from benchassist.storage.run_record import record_of

        with self._reading() as connection:
            return record_of(connection, run_id)

    def take_in(self, parcels: "Sequence[Parcel]") -> "Intake":
        """Have the writer take in visits from elsewhere; `wait` on what is returned.

        Raises StoreError where the shop is closed or was opened for reading only.
        """
        from benchassist.storage.intake import Intake

        intake = Intake(parcels)
        self._writing.take_on(intake)
        return intake

    def hold(self, why: str, *, instead: Path | None = None) -> None:
        """Write nothing from now on: every submission is refused with this line.

        What is read comes from another shop file then, where one is named: from what was saved of
        a damaged one. Raises ShopFileError where that cannot be opened.
        """
        if self._writer is not None:
            self._writer.hold(why)
        if instead is not None:
            other = open_engines(ShopFile(instead), read_only=True)
            before, self._engines = self._engines, Engines(other.reader, self._engines.writer)
            before.reader.dispose()

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

    def _is_beginning(self, connection: Connection, run_id: str) -> bool:
        """Whether a run is recorded here and not on file yet."""
        from benchassist.storage import run_query

        return run_id in self._recorded and run_query.find_header(connection, run_id) is None

    def _is_kept(self, run_id: str) -> bool:
        """Whether a run is on file; out of reach, the writer finds out."""
        from benchassist.storage import run_query

        try:
            with self._reading() as connection:
                return run_query.find_header(connection, run_id) is not None
        except BenchError:
            return False

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        """A connection in one transaction, so that what is read together belongs together."""
        try:
            with self._engines.reader.begin() as connection:
                yield connection
        except DBAPIError as error:
            raise trouble(self._place, error) from None
