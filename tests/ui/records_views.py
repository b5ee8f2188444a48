"""The records' page in every state, over an invented shop's records; a machine that is edited."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

from benchassist.core.holding import PersonalData
from benchassist.core.procedure import EngineClass
from benchassist.errors import InputError
from benchassist.services.front.counter_view import Field
from benchassist.services.record.machine_form import machine_fields
from benchassist.services.record.records import Records
from benchassist.services.record.records_need import Health
from benchassist.services.record.records_view import RecordsStage
from tests.services.records_case import (
    BACKUPS,
    DAMAGED,
    LOOK,
    MACHINE,
    REPORT,
    SERVED,
    STATE,
    SWAP,
    TAKEN,
    records_desk,
    settle,
)

__all__ = ["EDITS", "RECORD_STATES", "FakeEdit", "records_desk", "settle"]

Press = Callable[[Records], None]

MANY = replace(
    TAKEN,
    conflicts=tuple(
        f"visit {n:04d} is on file and says something else: the one on file stays"
        for n in range(200, 240)
    ),
)
LONG_SWAP = replace(
    SWAP,
    backup=replace(LOOK, file=Path("/media/stick/old shop of the orchard/shop-2026-06-08.sqlite")),
    lost_visits=tuple(f"{n:04d}" for n in range(380, 413)),
)


def _stand(_desk: Records) -> None:
    """As it is at first."""


def _looked(desk: Records) -> None:
    desk.look_at(BACKUPS[1].file)
    settle(desk)


def _refused(desk: Records) -> None:
    desk.look_at(Path("/media/stick/old.sqlite"))
    settle(desk)


def _restored(desk: Records) -> None:
    _looked(desk)
    desk.submit({"typed": "restore"})
    settle(desk)


def _backed_up(desk: Records) -> None:
    desk.back_up()
    settle(desk)


def _backed_up_to(desk: Records) -> None:
    desk.ask(RecordsStage.BACKUP)
    desk.submit({"path": "/media/stick/bench"})
    settle(desk)


def _at_work(desk: Records) -> None:
    desk.back_up()
    job = desk._job
    while job is not None and job.share is None:
        pass


def _imported(desk: Records) -> None:
    desk.drop((Path("/media/stick/visits"),))
    settle(desk)


def _exported(desk: Records) -> None:
    desk.ask(RecordsStage.EXPORT)
    desk.submit({"path": "/media/stick/visits"})
    settle(desk)


def _asked(stage: RecordsStage) -> Press:
    return lambda desk: desk.ask(stage)


def _found(desk: Records) -> None:
    desk.ask(RecordsStage.FIND)
    desk.submit({"typed": "tallow"})
    settle(desk)


def _chosen(desk: Records) -> None:
    _found(desk)
    desk.choose("m1")


def _erased(desk: Records) -> None:
    _chosen(desk)
    desk.submit({"typed": "th-07", "photos": "erase", "backups": "keep"})
    settle(desk)


RECORD_STATES: tuple[tuple[str, dict[str, object], Press], ...] = (
    ("home", {}, _stand),
    ("cursor", {}, _stand),
    ("no-backup", {"kept": ()}, _stand),
    ("server", {"on_server": True, "told": SERVED, "kept": BACKUPS[:1]}, _stand),
    ("damaged", {"told": replace(STATE, health=Health.DAMAGED)}, _stand),
    ("look", {}, _looked),
    ("backup", {}, _asked(RecordsStage.BACKUP)),
    ("backed-up-disk", {}, _backed_up_to),
    ("look-photos", {"swap": replace(SWAP, photos=3)}, _looked),
    ("look-much", {"swap": LONG_SWAP}, _looked),
    ("look-nothing", {"swap": replace(SWAP, lost_visits=(), lost_entries=0)}, _looked),
    ("look-damaged", {"swap": replace(SWAP, present=None, fault=str(DAMAGED))}, _looked),
    ("look-refused", {"refusal": DAMAGED}, _refused),
    ("restored", {}, _restored),
    ("working", {"waits": True, "share": (42, 100)}, _at_work),
    ("backed-up", {}, _backed_up),
    ("import", {}, _asked(RecordsStage.IMPORT)),
    ("imported", {}, _imported),
    ("imported-many", {"taken": MANY}, _imported),
    ("export", {}, _asked(RecordsStage.EXPORT)),
    ("exported", {}, _exported),
    ("find", {}, _asked(RecordsStage.FIND)),
    ("found", {}, _found),
    ("nobody", {"found": PersonalData()}, _found),
    ("erase", {}, _chosen),
    ("erase-no-backup", {"kept": ()}, _chosen),
    ("erased", {}, _erased),
    ("erased-dropped", {"report": replace(REPORT, backups=(), removed=9)}, _erased),
)


class FakeEdit:
    """A machine's particulars that are kept once `settle` is told."""

    tag = "TH-07"

    def __init__(self, refusal: str = "") -> None:
        self.refusal = refusal
        self.given: list[Mapping[str, str]] = []
        self.kept = False
        self.trouble = ""

    def form(self) -> tuple[Field, ...]:
        """The fields with what stands in them."""
        return machine_fields(MACHINE, CLASSES)

    def keep(self, fields: Mapping[str, str]) -> None:
        """Write them down."""
        if self.refusal:
            raise InputError(self.refusal)
        self.given.append(fields)

    def tick(self) -> None:
        """Nothing comes by itself."""


CLASSES = (
    EngineClass(key="A", name="Magneto with points", description="points under the flywheel"),
    EngineClass(key="B", name="Magneto with module", description="one module beside the flywheel"),
    EngineClass(key="C", name="Battery and coil"),
    EngineClass(key="unknown", name="Not known"),
)
EDITS = {
    "": FakeEdit(),
    "-refused": FakeEdit("tag 'TH-07': use up to 16 letters and digits, no space"),
}
