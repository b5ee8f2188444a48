"""All profiles that were read, by kind and key, each knowing the file and place it came from."""

from dataclasses import dataclass, field, fields
from pathlib import Path
from typing import Generic, TypeVar

from benchassist.specbook.cause_sheet import CauseBookSheet, EvidenceSheet
from benchassist.specbook.fault import Fault, Where
from benchassist.specbook.sheet import (
    CautionSheet,
    CheckSheet,
    ComplaintSheet,
    EngineSheet,
    MeterSheet,
    ProcedureSheet,
    QuestionSheet,
    Sheet,
)

SheetT = TypeVar("SheetT", bound=Sheet)


@dataclass(frozen=True, slots=True)
class Filed(Generic[SheetT]):
    """A sheet and where it stands; `own`: in the shop's folder, not among the shipped ones."""

    sheet: SheetT
    path: Path
    where: Where = ()
    own: bool = False

    def fault(self, message: str, *where: str | int) -> Fault:
        """A fault of this sheet, at a place within it."""
        return Fault(self.path, (*self.where, *where), message)


Drawer = dict[str, Filed[SheetT]]


@dataclass(slots=True)
class Shelf:
    """What a loader has gathered: sheets by key, faults met on the way, text of every file read."""

    engines: Drawer[EngineSheet] = field(default_factory=dict)
    checks: Drawer[CheckSheet] = field(default_factory=dict)
    procedures: Drawer[ProcedureSheet] = field(default_factory=dict)
    complaints: Drawer[ComplaintSheet] = field(default_factory=dict)
    questions: Drawer[QuestionSheet] = field(default_factory=dict)
    meters: Drawer[MeterSheet] = field(default_factory=dict)
    cautions: Drawer[CautionSheet] = field(default_factory=dict)
    evidence: Drawer[EvidenceSheet] = field(default_factory=dict)
    causes: Drawer[CauseBookSheet] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    texts: dict[Path, str] = field(default_factory=dict)

    def copy(self) -> "Shelf":
        """A shelf with the same sheets, to put others over them."""
        copied = {each.name: getattr(self, each.name).copy() for each in fields(self)}
        return Shelf(**copied)

    def library(self) -> dict[str, CheckSheet]:
        """The checks that any procedure may pick, by key."""
        return {key: filed.sheet for key, filed in self.checks.items()}
