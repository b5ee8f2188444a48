"""What the records' page needs from outside, as a protocol, and what it is told in return."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from pathlib import Path
from typing import Protocol

from benchassist.core.holding import Erased, PersonalData
from benchassist.services.job import Progress


class Health(StrEnum):
    """What is known of a shop file since the program started."""

    LOOKING = "looking"
    WHOLE = "whole"
    DAMAGED = "damaged"
    SERVED = "served"
    """A server looks after its own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopState:
    """The shop as it stands. `bytes` is None on a server."""

    name: str
    bytes: int | None
    visits: int
    machines: int
    newest: datetime | None
    revision: str
    health: Health


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptBackup:
    """A backup in the folder of backups. `why` is a code, empty for one made by day."""

    file: Path
    moment: datetime
    why: str
    bytes: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FileLook:
    """What is in a shop file; `newest` is when its newest visit was opened."""

    file: Path
    bytes: int
    visits: int
    newest: datetime | None
    revision: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Swap:
    """What a restore would do. `present` is None where the shop cannot be read: `fault` says why.

    `lost_visits` are slip numbers that are not in the backup, `lost_entries` counts what was
    written since on visits that are.
    """

    backup: FileLook
    present: FileLook | None
    fault: str = ""
    lost_visits: tuple[str, ...] = ()
    lost_entries: int = 0
    photos: int = 0
    """How many lie beside the backup and are missing here: they would come back."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CarriedPhotos:
    """Originals that went along: copied, there already, or unharmed in neither place."""

    copied: int = 0
    there: int = 0
    absent: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeBackup:
    """A backup that was made; `lost` says in one line what could not be saved.

    `dumped`: by a server's own program. `photos`: None where none were to go along.
    """

    file: Path
    bytes: int
    visits: int
    lost: str = ""
    dumped: bool = False
    photos: CarriedPhotos | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PutBack:
    """A backup stands in the shop's place; `aside` is where the present one is kept, if any.

    `photos` came back, or `note` says in one line why they did not.
    """

    aside: Path | None
    photos: CarriedPhotos | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenIn:
    """What became of visits from elsewhere. `failure` is why the rest was left; empty: nothing."""

    imported: int = 0
    unchanged: int = 0
    conflicts: tuple[str, ...] = ()
    renumbered: tuple[str, ...] = ()
    failure: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenOut:
    """Visits that were exported: into how many files, and in one line what had no room."""

    out: Path
    files: int
    visits: int
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ErasedReport:
    """What was erased. `backups` still hold it, `removed` counts those that were removed."""

    erased: Erased
    backups: tuple[KeptBackup, ...]
    removed: int
    notes: tuple[str, ...]


class RecordKeeping(Protocol):
    """The shop's records. All but what is said otherwise takes long and is called in a thread."""

    @property
    def on_server(self) -> bool:
        """Whether the shop is on a server. At once."""
        ...

    def state(self) -> ShopState:
        """The shop as it stands. Raises BenchError where it cannot be read."""
        ...

    def backups(self) -> tuple[KeptBackup, ...]:
        """The backups in the folder, newest first. At once."""
        ...

    def back_up(self, progress: Progress) -> MadeBackup:
        """Make a backup and verify it. Raises BenchError."""
        ...

    def back_up_to(self, to: Path, progress: Progress, *, photos: bool) -> MadeBackup:
        """Make one in a new file or in a folder, with the originals of photos. BenchError."""
        ...

    def look_at(self, file: Path) -> Swap:
        """What restoring a file would do; nothing is changed. Raises BenchError."""
        ...

    def restore(self, swap: Swap, progress: Progress) -> PutBack:
        """Put a backup in the shop's place, the present one kept aside. Raises BenchError.

        The shop is closed for it, whatever comes of it: `renew` opens it again.
        """
        ...

    def take_in(self, paths: Sequence[Path], progress: Progress) -> TakenIn:
        """Take in visits from files and folders. Raises BenchError for a file that is none."""
        ...

    def write_out(self, tag: str, out: Path, progress: Progress) -> WrittenOut:
        """Write the visits of a machine, or all of them. Raises BenchError."""
        ...

    def find(self, words: str) -> PersonalData:
        """What is held of a customer. Raises InputError for too little to look for."""
        ...

    def erase(
        self,
        machine_ids: Sequence[str],
        *,
        photos: bool,
        drop_backups: bool,
        elsewhere: Path | None = None,
    ) -> ErasedReport:
        """Erase the personal data of machines. Raises BenchError.

        `elsewhere` is a backup in another place, or a folder of them, to be removed too.
        """
        ...

    def at_work(self, machine_ids: Sequence[str] = ()) -> str:
        """What is under way on a bench here that must end first, in one line; empty: nothing.

        Of these machines, or of all. At once, from the window's thread.
        """
        ...

    def renew(self) -> None:
        """Open the shop again, or forget what was read of it. From the window's thread."""
        ...
