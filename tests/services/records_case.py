"""An invented shop's records: a fake keeper behind the real desk."""

import threading
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

from benchassist.core.entry import Machine
from benchassist.core.holding import Erased, Holding, Mention, PersonalData
from benchassist.errors import BenchError, ShopFileError
from benchassist.services.job import Progress
from benchassist.services.record.records import Records
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

NOW = datetime(2026, 6, 9, 10, 30, tzinfo=UTC)
PLACE = "/home/rp/.local/share/benchassist/shop.sqlite"
SERVER = "orchard_shop on records.hob-lane.example"
FOLDER = Path("/home/rp/.local/share/benchassist/backups")
PATIENCE_S = 10.0


class StillClock:
    """A clock that stands until it is moved."""

    def __init__(self) -> None:
        self.passed = 0.0

    def monotonic(self) -> float:
        """Seconds."""
        return self.passed

    def now(self) -> datetime:
        """The same moment."""
        return NOW + timedelta(seconds=self.passed)


def backup(hours: float, why: str = "", size: int = 12_400_000) -> KeptBackup:
    """A backup made so many hours ago."""
    moment = NOW - timedelta(hours=hours)
    reason = f"-{why}" if why else ""
    name = f"shop-3f9a1c-{moment:%Y%m%d-%H%M%S-%f}{reason}.sqlite"
    return KeptBackup(file=FOLDER / name, moment=moment, why=why, bytes=size)


BACKUPS = (
    backup(1.3),
    backup(25.5),
    backup(26.0, "before-restore"),
    *(backup(24.0 * day + 1.5) for day in range(2, 8)),
    backup(24.0 * 8.5, "before-0004"),
    backup(24.0 * 9.5, "salvaged", 960_000),
)
STATE = ShopState(
    name=PLACE,
    bytes=12_650_000,
    visits=412,
    machines=187,
    newest=NOW - timedelta(hours=3),
    revision="0004",
    health=Health.WHOLE,
)
SERVED = replace(STATE, name=SERVER, bytes=None, health=Health.SERVED)
LOOK = FileLook(
    file=BACKUPS[1].file,
    bytes=12_400_000,
    visits=409,
    newest=NOW - timedelta(hours=30),
    revision="0004",
)
SWAP = Swap(
    backup=LOOK,
    present=replace(LOOK, file=Path(PLACE), visits=412, newest=STATE.newest),
    lost_visits=("0410", "0411", "0412"),
    lost_entries=17,
)
MACHINE = Machine(
    id="m1",
    tag="TH-07",
    customer="Tallow Hill Cider Orchard",
    phone="0555 0142",
    unit="Power-sprayer pump",
    engine="Corvane C-210, 208 cc horizontal OHV",
    serial="CV210-88231",
    engine_class="A",
)


def mention(number: str, where: str, text: str, tag: str = "TH-07") -> Mention:
    """Words that tell who a customer is."""
    return Mention(visit_id=number, slip_number=number, tag=tag, where=where, text=text)


HOLDING = Holding(
    machine=MACHINE,
    exact=True,
    names=("Tallow Hill Cider Orchard",),
    phones=("0555 0142",),
    visits=4,
    headers=4,
    mentions=(
        mention("0117", "interview", "Mr Tallow says it quits after the third row"),
        mention("0204", "noted", "Tallow wants it by noon"),
        mention("0204", "closed", "told Tallow, 0555 0142"),
    ),
    photos=5,
)
OTHER = replace(
    HOLDING,
    machine=replace(MACHINE, id="m2", tag="TH-09", unit="Walk mower", engine="Quarrow V140"),
    exact=False,
    names=("Tallow Hill Farm Shop", "Orla Wick"),
    visits=1,
    headers=1,
    mentions=(),
    photos=0,
)
FOUND = PersonalData(
    holdings=(HOLDING, OTHER),
    elsewhere=(mention("0388", "noted", "as on Tallow Hill Cider Orchard's pump", "BW-02"),),
)
TAKEN = TakenIn(
    imported=37,
    unchanged=371,
    conflicts=(
        "visit 0204 is on file and says something else: the one on file stays",
        "visit 0311 has other samples of a run on file: those on file stay",
    ),
    renumbered=("visit 0412 is kept as 0412-2: its number was taken",),
)
REPORT = ErasedReport(
    erased=Erased(tags=("TH-07",), visits=4, words=4, photos=("a" * 64, "b" * 64), shared=1),
    backups=BACKUPS[:3],
    removed=0,
    notes=(),
)


@dataclass(eq=False)
class FakeKeeping:
    """Records that answer at once, or once `go` is set; what was asked stands in `calls`."""

    on_server: bool = False
    kept: tuple[KeptBackup, ...] = BACKUPS
    told: ShopState = STATE
    swap: Swap = SWAP
    found: PersonalData = FOUND
    taken: TakenIn = TAKEN
    report: ErasedReport = REPORT
    under_way: str = ""
    photo_note: str = ""
    refusal: BenchError | None = None
    waits: bool = False
    share: tuple[int, int] = (0, 0)
    calls: list[tuple[object, ...]] = field(default_factory=list)
    go: threading.Event = field(default_factory=threading.Event)

    def _work(self, progress: Progress | None = None) -> None:
        if self.waits:
            while not self.go.wait(0.005):
                if progress is not None and self.share[1]:
                    progress(*self.share)
        if progress is not None and self.share[1]:
            progress(*self.share)
        if self.refusal is not None:
            raise self.refusal

    def state(self) -> ShopState:
        """What was given."""
        return self.told

    def backups(self) -> tuple[KeptBackup, ...]:
        """What was given."""
        return self.kept

    def back_up(self, progress: Progress) -> MadeBackup:
        """Write it down."""
        self.calls.append(("back_up",))
        self._work(progress)
        file = BACKUPS[0].file
        return MadeBackup(file=file, bytes=12_650_000, visits=412, dumped=self.on_server)

    def back_up_to(self, to: Path, progress: Progress, *, photos: bool) -> MadeBackup:
        """Write it down."""
        self.calls.append(("back_up_to", to, photos))
        self._work(progress)
        along = CarriedPhotos(copied=12, there=203, absent=4) if photos else None
        file = to / BACKUPS[0].file.name
        return MadeBackup(
            file=file, bytes=12_650_000, visits=412, photos=along, dumped=self.on_server
        )

    def look_at(self, file: Path) -> Swap:
        """Write it down."""
        self.calls.append(("look_at", file))
        self._work()
        return self.swap

    def restore(self, swap: Swap, progress: Progress) -> PutBack:
        """Write it down."""
        self.calls.append(("restore", swap))
        self._work(progress)
        return PutBack(
            aside=FOLDER / "shop-3f9a1c-20260609-103000-000000-before-restore.sqlite",
            photos=CarriedPhotos(copied=swap.photos, there=203),
            note=self.photo_note,
        )

    def take_in(self, paths: Sequence[Path], progress: Progress) -> TakenIn:
        """Write it down."""
        self.calls.append(("take_in", tuple(paths)))
        self._work(progress)
        return self.taken

    def write_out(self, tag: str, out: Path, progress: Progress) -> WrittenOut:
        """Write it down."""
        self.calls.append(("write_out", tag, out))
        self._work(progress)
        return WrittenOut(out=out, files=3, visits=412)

    def find(self, words: str) -> PersonalData:
        """Write it down."""
        self.calls.append(("find", words))
        self._work()
        return self.found

    def erase(
        self,
        machine_ids: Sequence[str],
        *,
        photos: bool,
        drop_backups: bool,
        elsewhere: Path | None = None,
    ) -> ErasedReport:
        """Write it down."""
        where = () if elsewhere is None else (elsewhere,)
        self.calls.append(("erase", tuple(machine_ids), photos, drop_backups, *where))
        self._work()
        return self.report

    def at_work(self, machine_ids: Sequence[str] = ()) -> str:
        """What was given."""
        del machine_ids
        return self.under_way

    def renew(self) -> None:
        """Write it down."""
        self.calls.append(("renew",))


def records_desk(**given: object) -> tuple[Records, FakeKeeping]:
    """A desk over invented records, with what was looked at."""
    keeping = FakeKeeping(**given)  # type: ignore[arg-type]
    desk = Records(keeping, StillClock())
    desk.begin()
    settle(desk)
    return desk, keeping


def settle(desk: Records, *, waits: bool = False) -> None:
    """Let the threads of a desk end, and fetch what came of them; `waits`: they do not end."""
    if waits:
        return
    while (job := desk._job or desk._looking) is not None:
        job._thread.join(PATIENCE_S)
        assert job.done
        desk.tick()


DAMAGED = ShopFileError(
    "the shop file /media/stick/old.sqlite is damaged or cannot be read (database disk image is "
    "malformed): restore it from a backup"
)
