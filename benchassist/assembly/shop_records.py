"""The records of the shop at work, for the window: `records_need.RecordKeeping`."""

from __future__ import annotations

from collections.abc import Sequence
from gettext import gettext as _
from pathlib import Path
from typing import TYPE_CHECKING, Final

from benchassist.assembly import Place, keeping, photo_shelf, read_store, records
from benchassist.assembly.keeping import shelf_of
from benchassist.assembly.luggage import coming_back
from benchassist.core.holding import PersonalData
from benchassist.errors import ShopFileError
from benchassist.services.job import Progress
from benchassist.services.record.records_need import (
    CarriedPhotos,
    ErasedReport,
    FileLook,
    Health,
    KeptBackup,
    MadeBackup,
    PutBack,
    ShopState,
    Swap,
    TakenIn,
    WrittenOut,
)

if TYPE_CHECKING:
    from benchassist.assembly.keeping import Restored
    from benchassist.assembly.works import Works
    from benchassist.storage.backup import Backup
    from benchassist.storage.dump_restore import ServedShop, ServerExchange
    from benchassist.storage.intake import Intake, Taking
    from benchassist.storage.integrity import Contents
    from benchassist.storage.photo_cargo import Carried
    from benchassist.storage.restore import Exchange
    from benchassist.storage.rotation import Kept
    from benchassist.storage.store import SqlStore

STEP_S: Final = 0.1
"""Between two looks at how far an import is."""

HALF: Final = 0.5
"""How much of it is done when an older backup is restored: then it is brought up to date."""


class ShopRecords:
    """What is read comes over connections of its own; what is written goes by the shop's writer."""

    def __init__(self, place: Place, works: Works) -> None:
        self._place, self._works = place, works

    @property
    def on_server(self) -> bool:
        """Whether the shop is on a server."""
        return self._place.on_server

    def state(self) -> ShopState:
        """The shop as it stands. Raises BenchError where it cannot be read."""
        from benchassist.storage.schema import HEAD

        with read_store(self._place) as store:
            visits, newest = store.visits_in_all()
            machines, name = store.machine_count(), store.name
        size = None if self.on_server else Path(self._place.shop).stat().st_size
        return ShopState(
            name=name,
            bytes=size,
            visits=visits,
            machines=machines,
            newest=newest,
            revision=HEAD,
            health=self._health(),
        )

    def _health(self) -> Health:
        keeper = self._works.keeper
        if self.on_server:
            return Health.SERVED
        if keeper is None or not keeper.has_looked:
            return Health.LOOKING
        return Health.DAMAGED if keeper.found_damage else Health.WHOLE

    def backups(self) -> tuple[KeptBackup, ...]:
        """The backups in the folder, newest first."""
        found = (_backup(kept) for kept in reversed(shelf_of(self._place).kept()))
        return tuple(backup for backup in found if backup is not None)

    def back_up(self, progress: Progress) -> MadeBackup:
        """Make a backup and verify it. Raises BenchError."""
        return _made(keeping.back_up(self._place, None, progress))

    def back_up_to(self, to: Path, progress: Progress, *, photos: bool) -> MadeBackup:
        """Make one in a new file or in a folder, with the originals of photos. BenchError."""
        return _made(keeping.back_up(self._place, to, progress, photos=photos))

    def look_at(self, file: Path) -> Swap:
        """What restoring a file would do; nothing is changed. Raises BenchError."""
        from benchassist.storage.restore import Exchange
        from benchassist.storage.restore_loss import loss_of, served_loss_of

        exchange = keeping.look_at(self._place, file)
        if isinstance(exchange, Exchange):
            loss = loss_of(exchange)
        else:
            loss = served_loss_of(exchange, keeping.server_of(self._place))
        return Swap(
            backup=_look(exchange.backup),
            present=None if exchange.present is None else _look(exchange.present),
            fault=exchange.fault,
            lost_visits=loss.visits,
            lost_entries=loss.entries,
            photos=len(coming_back(self._place, file)),
        )

    def restore(self, swap: Swap, progress: Progress) -> PutBack:
        """Put a backup in the shop's place. Raises BenchError. The shop is closed after it."""
        # Looked at again: between the look and now the file may have become another.
        exchange = keeping.look_at(self._place, swap.backup.file)
        if _look(exchange.backup) != swap.backup:
            raise ShopFileError(
                _("{file}: it is another file by now, look at it again").format(
                    file=swap.backup.file
                )
            )
        self._works.close()
        done = self._put_back(exchange, progress)
        return PutBack(aside=done.aside, photos=_carried(done.photos), note=done.note)

    def _put_back(self, exchange: Exchange | ServerExchange, progress: Progress) -> Restored:
        """A file of an earlier revision is brought up at once: the window opens it without a wait.

        On a server it is brought up as it is restored.
        """
        from benchassist.assembly.migration import migrate, migration_due
        from benchassist.storage.backup import part_of
        from benchassist.storage.schema import HEAD

        if self.on_server or exchange.backup.revision == HEAD:
            return keeping.restore(self._place, exchange, progress)
        done = keeping.restore(self._place, exchange, part_of(progress, 0.0, HALF))
        if (due := migration_due(self._place)) is not None:
            migrate(self._place, due, part_of(progress, HALF, 1.0))
        return done

    def take_in(self, paths: Sequence[Path], progress: Progress) -> TakenIn:
        """Take in visits from files and folders. Raises BenchError for a file that is none."""
        from benchassist.storage.intake import Taking
        from benchassist.storage.parcel import read_parcels
        from benchassist.storage.visit_files import files_of

        whole, files = Taking(), files_of(paths)
        for number, file in enumerate(files):
            progress(number, len(files))
            parcels = read_parcels(file)
            intake = self._store.take_in(parcels, photo_shelf(self._place).keep_copy)
            whole.add(_watched(intake, len(parcels), number, len(files), progress))
            if whole.failure:
                break
        return TakenIn(
            imported=whole.imported,
            unchanged=whole.unchanged,
            conflicts=tuple(whole.conflicts),
            renumbered=tuple(whole.renumbered),
            failure=whole.failure,
        )

    def write_out(self, tag: str, out: Path, progress: Progress) -> WrittenOut:
        """Write the visits of a machine, or all of them. Raises BenchError."""
        with read_store(self._place) as store:
            ids = store.visit_ids()
            if tag:
                (machine_id,) = records.machine_ids_of(store, [tag])
                ids = store.visit_ids(machine_id=machine_id)
            written = records.export_visits_of(self._place, store, ids, out, progress)
        return WrittenOut(
            out=out, files=len(written.files), visits=written.visits, note=written.note
        )

    def find(self, words: str) -> PersonalData:
        """What is held of a customer. Raises InputError for too little to look for."""
        return records.find_person(self._place, words)

    def erase(
        self,
        machine_ids: Sequence[str],
        *,
        photos: bool,
        drop_backups: bool,
        elsewhere: Path | None = None,
    ) -> ErasedReport:
        """Erase the personal data of machines, also in a backup elsewhere. Raises BenchError."""
        erasure = records.erase_in(
            self._place,
            self._store,
            machine_ids,
            photos=photos,
            drop_backups=drop_backups,
            elsewhere=() if elsewhere is None else (elsewhere,),
        )
        assert erasure.erased is not None  # noqa: S101 - it was not only looked at
        left = (_backup(kept) for kept in reversed(erasure.backups))
        return ErasedReport(
            erased=erasure.erased,
            backups=tuple(b for b in left if b is not None and b.file not in erasure.removed),
            removed=len(erasure.removed),
            notes=erasure.notes,
        )

    def at_work(self, machine_ids: Sequence[str] = ()) -> str:
        """What is under way on a bench here that must end first, in one line; empty: nothing."""
        return self._works.shop.floor.under_way(machine_ids)

    def renew(self) -> None:
        """Open the shop again, or forget what was read of it. From the window's thread."""
        self._works.shop.look_anew()

    @property
    def _store(self) -> SqlStore:
        from benchassist.storage.store import SqlStore

        store = self._works.shop.store
        assert isinstance(store, SqlStore)  # noqa: S101 - as `open_shop` made it
        return store


def _watched(intake: Intake, visits: int, number: int, files: int, progress: Progress) -> Taking:
    """What became of a file's visits; how far it is is told meanwhile."""
    try:
        while not intake.ended(STEP_S):
            progress(number * visits + intake.done, files * max(visits, 1))
    except BaseException:
        # What was taken in stays, each visit whole; the rest is left.
        intake.stop()
        raise
    return intake.wait()


def _backup(kept: Kept) -> KeptBackup | None:
    """None for one that is gone by now."""
    size = kept.bytes
    return (
        KeptBackup(file=kept.file, moment=kept.moment, why=kept.why, bytes=size) if size else None
    )


def _made(made: Backup) -> MadeBackup:
    return MadeBackup(
        file=made.file,
        bytes=made.bytes,
        visits=made.visits,
        lost=made.lost,
        dumped=made.dumped,
        photos=_carried(made.photos),
    )


def _carried(photos: Carried | None) -> CarriedPhotos | None:
    if photos is None:
        return None
    return CarriedPhotos(copied=photos.copied, there=photos.there, absent=photos.absent)


def _look(contents: Contents | ServedShop) -> FileLook:
    return FileLook(
        file=Path(contents.name),
        bytes=contents.bytes,
        visits=contents.visits,
        newest=contents.newest,
        revision=contents.revision,
    )
