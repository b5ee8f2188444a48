"""The shop's records as a place of the window: backed up, restored, taken in, given out, erased.

Whatever takes long is a `Job` in a thread of its own; `tick` fetches what came of it. Only one is
under way at a time.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from benchassist.core.holding import Holding, PersonalData
from benchassist.errors import BenchError, InputError, StepError
from benchassist.services.job import Progress
from benchassist.services.needs import Clock
from benchassist.services.record import records_form as forms
from benchassist.services.record import records_person_text as person
from benchassist.services.record import records_text as say
from benchassist.services.record.records_need import (
    MadeBackup,
    PutBack,
    RecordKeeping,
    Swap,
)
from benchassist.services.record.records_view import (
    PATH,
    TYPED,
    RecordsStage,
    RecordsView,
    SheetView,
)
from benchassist.services.record.records_work import RecordsWork, progress_of
from benchassist.services.translation import _

BACKUPS = (".sqlite", ".dump")
"""What the name of a backup ends with."""


class Records(RecordsWork):
    """Satisfies `records_view.RecordsDesk`. Outlives the shop that it puts another in place of."""

    def __init__(self, keeping: RecordKeeping, clock: Clock) -> None:
        super().__init__(keeping, clock)
        self._swap: Swap | None = None
        self._words = ""
        self._found: PersonalData | None = None
        self._holding: Holding | None = None

    # --- coming and going -----------------------------------------------------------------------

    def begin(self) -> None:
        """Look anew, unless work is under way."""
        if self._job is None and self._view.stage is not RecordsStage.DONE:
            self._go(RecordsStage.HOME)
        self._look()

    def leave(self) -> bool:
        """One step back; False where the page itself is to be left."""
        match self._view.stage:
            case RecordsStage.HOME:
                return False
            case RecordsStage.WORK:
                self.stop()
            case RecordsStage.ERASE:
                self._go(RecordsStage.FIND)
            case _:
                self._go(RecordsStage.HOME)
                self._look()
        return True

    # --- showing --------------------------------------------------------------------------------

    def view(self) -> RecordsView:
        """What the page shows now."""
        view = replace(self._view, renewals=self._renewals, asked=self._asked)
        match view.stage:
            case RecordsStage.HOME:
                return self._home(view)
            case RecordsStage.BACKUP:
                return forms.backup_view(view, self._shop_sheet())
            case RecordsStage.LOOK if self._swap is not None:
                return forms.look_view(view, self._swap)
            case RecordsStage.IMPORT:
                return forms.import_view(view, self._shop_sheet())
            case RecordsStage.EXPORT:
                return forms.export_view(view, self._shop_sheet())
            case RecordsStage.FIND:
                return self._finding(view)
            case RecordsStage.ERASE if self._holding is not None and self._found is not None:
                backups = len(self._kept())
                return forms.erase_view(view, self._holding, self._found.elsewhere, backups=backups)
            case RecordsStage.WORK if self._job is not None:
                return replace(progress_of(view, self._job), sheet=self._shop_sheet())
            case _:
                return replace(view, sheet=self._shop_sheet())

    def _home(self, view: RecordsView) -> RecordsView:
        now = self._clock.now()
        backups = self._kept()
        rows = tuple(say.backup_row(backup, now) for backup in backups)
        return replace(
            view,
            title=_("Records"),
            detail=_("kept safe, given on, erased"),
            sheet=self._shop_sheet(),
            rows=rows,
            rows_text=_("Backups, newest first") if rows else _("No backup here yet"),
        )

    def _shop_sheet(self) -> SheetView:
        return say.shop_sheet(
            self._state,
            self._kept(),
            self._clock.now(),
            on_server=self._keeping.on_server,
        )

    def _finding(self, view: RecordsView) -> RecordsView:
        held = self._found.holdings if self._found is not None else ()
        return replace(
            forms.find_view(view, self._words),
            sheet=self._shop_sheet(),
            rows=tuple(person.person_row(holding) for holding in held),
            rows_text=person.found_text(self._words, self._found),
        )

    def under(self, key: str) -> SheetView:
        """What the paper shows while the cursor is on that row."""
        if self._view.stage is RecordsStage.FIND and self._found is not None:
            for holding in self._found.holdings:
                if holding.machine.id == key:
                    return person.held_sheet(holding, self._found.elsewhere)
        if self._view.stage is RecordsStage.HOME:
            for backup in self._kept():
                if str(backup.file) == key:
                    return say.backup_sheet(backup, self._clock.now())
        return self._shop_sheet()

    # --- back up, restore -----------------------------------------------------------------------

    def back_up(self) -> None:
        """Make a backup now."""
        self._back_up(self._keeping.back_up)

    def _back_up(self, work: Callable[[Progress], MadeBackup]) -> None:
        on_server = self._keeping.on_server
        self._work(
            _("Backing up"),
            work,
            lambda made: self._done(_("Backup"), say.made_lines(made, on_server=on_server)),
            stopped=_("Stopped. Nothing of it is left"),
        )

    def _back_up_to(self, to: Path, *, photos: bool) -> None:
        self._back_up(lambda told: self._keeping.back_up_to(to, told, photos=photos))

    def look_at(self, file: Path) -> None:
        """See what restoring a backup would do."""
        self._work(_("Looking into it"), lambda _told: self._keeping.look_at(file), self._looked)

    def _looked(self, swap: Swap) -> None:
        self._swap = swap
        self._go(RecordsStage.LOOK)

    def _restore(self, swap: Swap) -> None:
        if why := self._keeping.at_work():
            raise StepError(why)
        self._work(_("Restoring"), partial(self._put_back, swap), partial(self._restored, swap))

    def _put_back(self, swap: Swap, told: Progress) -> tuple[PutBack | None, str]:
        """Whatever comes of it, the shop was closed."""
        try:
            return self._keeping.restore(swap, told), ""
        except BenchError as error:
            return None, str(error)

    def _restored(self, swap: Swap, outcome: tuple[PutBack | None, str]) -> None:
        done, why = outcome
        self._renew()
        self._state = None
        if done is None:
            self._go(RecordsStage.LOOK)
            self._view = replace(self._view, error=why)
        else:
            self._done(_("Restore"), say.restored_lines(swap, done))

    # --- in and out -----------------------------------------------------------------------------

    def ask(self, stage: RecordsStage) -> None:
        """Go to a backup elsewhere, import, export or find."""
        self._refuse_more()
        if stage is RecordsStage.FIND:
            self._words, self._found = "", None
        self._go(stage)

    def drop(self, paths: Sequence[Path]) -> None:
        """Files dropped on the page: exports to be imported, a backup to be looked at."""
        if len(paths) == 1 and paths[0].suffix.lower() in BACKUPS:
            self.look_at(paths[0])
        elif paths:
            self._take_in(paths)

    def _take_in(self, paths: Sequence[Path]) -> None:
        self._work(
            _("Importing"),
            lambda told: self._keeping.take_in(paths, told),
            self._taken,
            stopped=_("Stopped. What was taken in stays, each visit whole"),
        )

    def _taken(self, taken: Any) -> None:  # noqa: ANN401 - a job's outcome
        self._renew()
        self._done(_("Import"), say.taken_lines(taken))

    def _write_out(self, tag: str, out: Path) -> None:
        self._work(
            _("Exporting"),
            lambda told: self._keeping.write_out(tag, out, told),
            lambda written: self._done(_("Export"), say.written_lines(written)),
            stopped=_("Stopped. Nothing of it is left"),
        )

    # --- a customer -----------------------------------------------------------------------------

    def _find(self, words: str) -> None:
        self._words = words
        self._work(_("Looking"), lambda _told: self._keeping.find(words), self._found_them)

    def _found_them(self, found: PersonalData) -> None:
        self._found = found
        self._go(RecordsStage.FIND)

    def choose(self, key: str) -> None:
        """The machine of a customer that was found: see what would be erased."""
        held = self._found.holdings if self._found is not None else ()
        self._holding = next((h for h in held if h.machine.id == key), None)
        if self._holding is None:
            raise StepError(_("choose one of the machines that were found"))
        self._go(RecordsStage.ERASE)

    def _erase(
        self, holding: Holding, *, photos: bool, drop_backups: bool, elsewhere: Path | None
    ) -> None:
        machine_ids = (holding.machine.id,)
        if why := self._keeping.at_work(machine_ids):
            raise StepError(why)
        self._work(
            _("Erasing"),
            lambda _told: self._keeping.erase(
                machine_ids, photos=photos, drop_backups=drop_backups, elsewhere=elsewhere
            ),
            self._erased,
        )

    def _erased(self, report: Any) -> None:  # noqa: ANN401 - a job's outcome
        self._renew()
        self._found = self._holding = None
        self._done(_("Erased"), person.erased_lines(report, self._clock.now()))

    # --- fields ---------------------------------------------------------------------------------

    def submit(self, answers: Mapping[str, str]) -> None:
        """Do what the fields ask for. Raises InputError naming the field."""
        typed = answers.get(TYPED, "").strip()
        match self._view.stage:
            case RecordsStage.BACKUP:
                to, photos = forms.read_backup(answers)
                self._back_up_to(to, photos=photos)
            case RecordsStage.LOOK if self._swap is not None:
                forms.require(typed, forms.restore_word())
                self._restore(self._swap)
            case RecordsStage.IMPORT:
                self._take_in((forms.path_of(answers.get(PATH, "")),))
            case RecordsStage.EXPORT:
                self._write_out(*forms.read_export(answers))
            case RecordsStage.FIND:
                if not typed:
                    raise InputError(_("type a name or a phone number"))
                self._find(typed)
            case RecordsStage.ERASE if self._holding is not None:
                forms.require(typed, self._holding.machine.tag)
                photos, drop, elsewhere = forms.read_erase(answers)
                self._erase(self._holding, photos=photos, drop_backups=drop, elsewhere=elsewhere)
