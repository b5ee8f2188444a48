"""What a shop keeps, on SQLite or PostgreSQL: the `Store` the use cases ask for."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from gettext import gettext as _
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Self

from benchassist.core.entry import Entry, Machine
from benchassist.core.holding import PersonalData
from benchassist.core.photo import Photo
from benchassist.core.record import Acknowledgement
from benchassist.core.run import RunHeader
from benchassist.core.visit import VisitHeader
from benchassist.errors import BenchError, StoreError
from benchassist.storage.benches import Benches
from benchassist.storage.engine import Engines, open_engines, trouble
from benchassist.storage.frozen import Thaw
from benchassist.storage.head import guard
from benchassist.storage.lease import Leases
from benchassist.storage.place import Place, ShopFile, ShopServer, place_of
from benchassist.storage.run_reads import RunReads
from benchassist.storage.shop_reads import ShopReads
from benchassist.storage.writer import Writer

if TYPE_CHECKING:
    from benchassist.storage.erasure import Eraser
    from benchassist.storage.intake import Intake
    from benchassist.storage.journal import Journal
    from benchassist.storage.parcel import Parcel
    from benchassist.storage.photo_query import KeepCopy
    from benchassist.storage.recorder import Recorder


class SqlStore(ShopReads, RunReads):
    """An open shop. Reads may be called from any thread; every write goes to the one writer."""

    def __init__(self, location: str | Path, *, read_only: bool = False) -> None:
        place = place_of(location)
        self._set_up(place, open_engines(place, read_only=read_only))

    remark = ""
    """Something to be told of how the shop was opened."""

    def _set_up(self, place: Place, engines: Engines, journal: "Journal | None" = None) -> None:
        """Begin to work; what cannot be written on a server goes into the journal, if any."""
        self._place, self._engines = place, engines
        self._recorded: set[str] = set()
        self._thaw, self._leases = Thaw(), Leases()
        self._benches: Benches | None = None
        self._writer: Writer | None = None
        if engines.writer is not None:
            guard(engines.writer)
            self._writer = Writer(
                engines.writer,
                lambda error: error if isinstance(error, BenchError) else trouble(place, error),
                leases=self._leases,
                journal=journal,
            )

    @property
    def benches(self) -> Benches:
        """Which bench works on which visit. Raises StoreError for a shop that is only read."""
        if self._benches is None:
            self._benches = Benches(
                self.writing,
                self._leases,
                self.under_work,
                on_server=isinstance(self._place, ShopServer),
            )
        return self._benches

    @property
    def name(self) -> str:
        """The file's path, or the database and its host."""
        return self._place.name

    def submit(self, *entries: Entry) -> int:
        """Hand entries to the writer, to be committed together at once. Returns the ticket.

        Raises StoreError where the shop is closed or was opened for reading only.
        """
        return self.writing.submit(entries)

    def submit_visit(self, header: VisitHeader) -> int:
        """Hand a new visit (and its machine, if new) to the writer. Raises as `submit`."""
        return self.writing.submit(header)

    def submit_machine(self, machine: Machine) -> int:
        """Hand a new or changed machine to the writer. Raises as `submit`."""
        return self.writing.submit(machine)

    def submit_photo(self, photo: Photo) -> int:
        """Hand what is kept of a photo to the writer, before its entry. Raises as `submit`."""
        return self.writing.submit(photo)

    def acknowledgements(self) -> Sequence[Acknowledgement]:
        """What became of submissions since the last call, in order; never drops one."""
        return () if self._writer is None else self._writer.acknowledgements()

    def wait(self, timeout: float) -> Acknowledgement | None:
        """The next acknowledgement, None if `timeout` seconds pass first. Not for the window."""
        return self.writing.wait(timeout)

    def record(self, header: RunHeader, origins: Mapping[str, float]) -> "Recorder":
        """Begin to keep a run. `origins` has for each channel the reading time that is second 0.

        Raises StoreError for a run that is kept already, a shop that is closed or only read.
        """
        from benchassist.storage.recorder import Recorder

        writer = self.writing
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

    def take_in(self, parcels: "Sequence[Parcel]", keep_copy: "KeepCopy | None" = None) -> "Intake":
        """Have the writer take in visits from elsewhere; `wait` on what is returned.

        `keep_copy` puts a photo's file on this computer; without it none is kept.

        Raises StoreError where the shop is closed or was opened for reading only.
        """
        from benchassist.storage.intake import Intake

        intake = Intake(parcels, keep_copy)
        self.writing.take_on(intake)
        return intake

    def personal_data(self, words: str) -> PersonalData:
        """What is held of the customers that fit the words. Raises InputError for too little."""
        from benchassist.storage.personal import find

        with self._reading() as connection:
            return find(connection, self._thaw, words)

    def personal_data_of(self, machine_ids: Sequence[str]) -> PersonalData:
        """What is held of the customers of these machines."""
        from benchassist.storage.personal import held_of

        with self._reading() as connection:
            return held_of(connection, self._thaw, machine_ids)

    def erase(self, machine_ids: Sequence[str], now: datetime, *, photos: bool) -> "Eraser":
        """Have the writer erase the personal data of machines; `wait` on what is returned.

        Raises StoreError where the shop is closed or was opened for reading only.
        """
        from benchassist.storage.erasure import Eraser

        eraser = Eraser(machine_ids, now, photos=photos)
        self.writing.take_on(eraser)
        return eraser

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
        if self._benches is not None:
            self._benches.close()
        if self._writer is not None:
            self._writer.close()
        self._leases.close()
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
    def leases(self) -> Leases:
        """What this program holds."""
        return self._leases

    @property
    def writing(self) -> Writer:
        """The writer. Raises StoreError for a shop that is only read."""
        if self._writer is None:
            raise StoreError(
                _("the shop {name} was opened for reading only").format(name=self.name)
            )
        return self._writer

    def _is_kept(self, run_id: str) -> bool:
        """Whether a run is on file; out of reach, the writer finds out."""
        from benchassist.storage import run_query

        try:
            with self._reading() as connection:
                return run_query.find_header(connection, run_id) is not None
        except BenchError:
            return False
