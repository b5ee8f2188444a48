"""The spec book: profiles as the use cases ask for them, read when first asked."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from benchassist.core.cause import CauseBook
from benchassist.core.plain_text import brief
from benchassist.core.procedure import Caution, Complaint, EngineClass, MeterCard, Procedure
from benchassist.errors import NotFoundError, ProfileError
from benchassist.specbook.audit import faults_of
from benchassist.specbook.binding import Binder
from benchassist.specbook.cause_binding import CauseBinder
from benchassist.specbook.fault import _, told
from benchassist.specbook.fitting import picked
from benchassist.specbook.loader import gathered, laid_over, shipped_folder
from benchassist.specbook.shelf import Shelf


class Book:
    """Shipped profiles with the shop's own over them.

    A faulty file of the shop is left out, so the bench goes on with what was shipped, and `faults`
    says why. The shipped files are audited by `specs check` and by the tests, not at every start.
    """

    def __init__(
        self,
        own: Path | None = None,
        *,
        shipped: Path | None = None,
        translate: Callable[[str], str] = str,
    ) -> None:
        self._own = own
        self._shipped = shipped
        self.translate = translate

    @property
    def faults(self) -> tuple[str, ...]:
        """What was wrong with the shop's own files, as `file:line: message`."""
        return self._loaded.faults

    @property
    def own(self) -> Path | None:
        """The folder of the shop's own profiles; None for a book without one."""
        return self._own

    @property
    def shelf(self) -> Shelf:
        """The sheets that hold."""
        return self._loaded.shelf

    @property
    def shipped(self) -> Shelf:
        """The sheets as they were shipped."""
        return self._loaded.shipped

    @property
    def left_out(self) -> frozenset[Path]:
        """The shop's files that are left out for their faults."""
        return self._loaded.left_out

    def reread(self) -> None:
        """Read the files anew when next asked."""
        for name in ("_loaded", "_binder", "_causes"):
            self.__dict__.pop(name, None)

    def engine_classes(self) -> tuple[EngineClass, ...]:
        """All engine classes, in order."""
        sheets = sorted((f.sheet for f in self.shelf.engines.values()), key=lambda s: s.order)
        return tuple(self._binder.engine_class(sheet) for sheet in sheets)

    def complaints(self) -> tuple[Complaint, ...]:
        """All complaints, in order."""
        sheets = sorted((f.sheet for f in self.shelf.complaints.values()), key=lambda s: s.order)
        questions = {key: filed.sheet for key, filed in self.shelf.questions.items()}
        return tuple(self._binder.complaint(sheet, questions) for sheet in sheets)

    def procedure(self, key: str, engine_class: str) -> Procedure:
        """A procedure with the bands of an engine class put in. Raises NotFoundError."""
        procedure = self.shelf.procedures.get(key)
        if procedure is None:
            raise NotFoundError(_("the spec book has no procedure '{key}'").format(key=brief(key)))
        engine = self.shelf.engines.get(engine_class)
        if engine is None:
            message = _("the spec book has no engine class '{key}'").format(key=brief(engine_class))
            raise NotFoundError(message)
        checks = picked(procedure.sheet, self.shelf.library())
        return self._binder.procedure(procedure.sheet, checks, engine.sheet)

    def meter_cards(self) -> tuple[MeterCard, ...]:
        """All meter cards, in order."""
        sheets = sorted((f.sheet for f in self.shelf.meters.values()), key=lambda s: s.order)
        return tuple(self._binder.card(sheet) for sheet in sheets)

    def causes(self, complaint: str, engine_class: str = "") -> CauseBook:
        """The causes of a complaint, without causes where the book has none for it.

        With an engine class: those that it can have, and the evidence that it can give. Raises
        NotFoundError.
        """
        if complaint not in self.shelf.complaints:
            message = _("the spec book has no complaint '{key}'").format(key=brief(complaint))
            raise NotFoundError(message)
        engine = self.shelf.engines.get(engine_class)
        if engine is None and engine_class:
            message = _("the spec book has no engine class '{key}'").format(key=brief(engine_class))
            raise NotFoundError(message)
        filed = self.shelf.causes.get(complaint)
        if filed is None:
            return CauseBook(complaint=complaint, causes=(), evidence=())
        return self._causes.book(filed.sheet, engine.sheet if engine else None)

    def caution(self, key: str) -> Caution:
        """What a caution says, by the key that causes and evidence carry. Raises NotFoundError."""
        if key not in self.shelf.cautions:
            raise NotFoundError(_("the spec book has no caution '{key}'").format(key=brief(key)))
        return self._binder.caution(key)

    def sharing(self, check_key: str, engine_class: str) -> tuple[str, ...]:
        """The engine classes that have one band of a check with this one, itself among them.

        What the library or a procedure says holds for every class that says nothing else; what a
        class says, or could say where they say nothing, for that class alone. With an empty
        `engine_class`: all for which the library's holds.
        """
        own = (check for filed in self.shelf.procedures.values() for check in filed.sheet.check)
        said = {c.key: c for c in (*own, *self.shelf.library().values())}.get(check_key)
        general = said is not None and bool(said.band or said.options)
        silent = tuple(key for key in self.shelf.engines if not self._says(key, check_key))
        if general and (not engine_class or engine_class in silent):
            return silent
        return (engine_class,) if engine_class else ()

    def _says(self, engine_class: str, check_key: str) -> bool:
        """Whether a class has a band or options of its own for a check."""
        of_class = self.shelf.engines[engine_class].sheet.checks.get(check_key)
        return of_class is not None and bool(of_class.band or of_class.options)

    @cached_property
    def _binder(self) -> Binder:
        cautions = {key: filed.sheet for key, filed in self.shelf.cautions.items()}
        return Binder(cautions, self.translate)

    @cached_property
    def _causes(self) -> CauseBinder:
        return CauseBinder(self.shelf, self.translate)

    @cached_property
    def _loaded(self) -> "_Loaded":
        shipped = gathered(self._shipped or shipped_folder())
        own = self._own if self._own is not None and self._own.is_dir() else None
        if own is None:
            if shipped.faults:
                raise ProfileError(told(shipped.faults, shipped.texts))
            return _Loaded(shipped, shipped)
        return _without_faults(shipped, own)


@dataclass(frozen=True, slots=True)
class _Loaded:
    """What was read: the sheets that hold, those that were shipped, what was left out and why."""

    shelf: Shelf
    shipped: Shelf
    faults: tuple[str, ...] = ()
    left_out: frozenset[Path] = frozenset()


def _without_faults(shipped: Shelf, own: Path) -> _Loaded:
    """The shop's files that fit, over the shipped ones, and the faults of the rest.

    Leaving a file out can leave another one without what it refers to, hence the loop. A shop's
    file that is sound itself but breaks a shipped one cannot be told by its name: then the shop's
    files are all left out.
    """
    left_out: set[Path] = set()
    said: dict[str, None] = {}
    while True:
        shelf = laid_over(shipped, own, leave_out=left_out)
        faults = faults_of(shelf)
        # A file astray is never read, so it spoils nothing and stays a word of warning.
        faulty = {fault.path for fault in faults if fault.path in shelf.texts}
        said |= dict.fromkeys(told(faults, shelf.texts))
        if not faulty:
            return _Loaded(shelf, shipped, tuple(said), frozenset(left_out))
        of_shop = {path for path in faulty if path.is_relative_to(own)}
        if not of_shop:
            of_shop = {path for path in shelf.texts if path.is_relative_to(own)}
        if not of_shop:
            raise ProfileError(told(faults, shelf.texts))
        left_out |= of_shop
