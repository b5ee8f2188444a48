"""What the records' page asks for: a file, a word to confirm by, what goes along."""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from benchassist.core.holding import Holding, Mention
from benchassist.errors import InputError
from benchassist.services.front.counter_view import Field, FieldChoice, FieldKind
from benchassist.services.record import records_person_text as person
from benchassist.services.record import records_text as say
from benchassist.services.record.records_need import Swap
from benchassist.services.record.records_view import PATH, TYPED, RecordsView, SheetView
from benchassist.services.translation import _, ngettext
from benchassist.services.typed_line import path_of as typed_path

TAG, SHAPE, PHOTOS, BACKUPS, ELSEWHERE = "tag", "shape", "photos", "backups", "elsewhere"
FOLDER, TABLE = "folder", "table"
ERASE, KEEP, BRING = "erase", "keep", "bring"


def restore_word() -> str:
    """What is typed so that a backup takes the shop's place."""
    return _("restore")


def backup_view(view: RecordsView, sheet: SheetView) -> RecordsView:
    """A backup on another disk."""
    return replace(
        view,
        title=_("Back up to a disk"),
        detail=_("that is taken away"),
        sheet=sheet,
        lines=(
            _("A disk that fails takes the backups on it along: keep one on another."),
            _("Photos go into a folder beside it, each once for all backups there."),
        ),
        fields=(
            Field(
                key=PATH,
                label=_("Into"),
                hint=_("a folder, or a new file in one; Ctrl+O picks"),
                open_ended=False,
            ),
            Field(
                key=PHOTOS,
                label=_("Photos"),
                kind=FieldKind.CHOICE,
                value=BRING,
                choices=(
                    FieldChoice(key=BRING, text=_("Take along")),
                    FieldChoice(key=KEEP, text=_("Only small pictures")),
                ),
                open_ended=False,
            ),
        ),
        main_text=_("Back up"),
    )


def look_view(view: RecordsView, swap: Swap) -> RecordsView:
    """A backup beside the present shop, and the word that puts it in its place."""
    word = restore_word()
    return replace(
        view,
        title=_("Restore this backup"),
        sheet=say.swap_sheet(swap),
        lines=(
            _("Would be gone from the shop: {what}").format(what=say.loss_text(swap)),
            _("The shop as it is now is kept aside first, among the backups."),
            _("Close the shop on every other bench: while one has it open, nothing is replaced."),
        ),
        fields=(
            Field(
                key=TYPED,
                label=_("Type ‘{word}’").format(word=word),
                hint=_("then Enter"),
                open_ended=False,
            ),
        ),
        main_text=_("Replace the shop"),
    )


def import_view(view: RecordsView, sheet: SheetView) -> RecordsView:
    """Visits from elsewhere."""
    return replace(
        view,
        title=_("Import visits"),
        sheet=sheet,
        lines=(
            _("What another shop or bench exported comes in beside what is here."),
            _("Twice does no harm. What is on file is never changed by it."),
        ),
        fields=(
            Field(
                key=PATH,
                label=_("File or folder"),
                hint=_("Ctrl+O picks one, or drop it here"),
                open_ended=False,
            ),
        ),
        main_text=_("Import"),
    )


def export_view(view: RecordsView, sheet: SheetView) -> RecordsView:
    """Visits for elsewhere."""
    return replace(
        view,
        title=_("Export visits"),
        sheet=sheet,
        lines=(_("Names and phones are in an export of whole visits. A table has none."),),
        fields=(
            Field(key=TAG, label=_("Machine’s tag"), hint=_("empty: all visits")),
            Field(
                key=SHAPE,
                label=_("What"),
                kind=FieldKind.CHOICE,
                value=FOLDER,
                choices=(
                    FieldChoice(key=FOLDER, text=_("Whole visits, to import")),
                    FieldChoice(key=TABLE, text=_("Readings, as a table")),
                ),
                open_ended=False,
            ),
            Field(
                key=PATH,
                label=_("Into"),
                hint=_("a new folder, or a .csv file; Ctrl+O picks"),
                open_ended=False,
            ),
        ),
        main_text=_("Export"),
    )


def find_view(view: RecordsView, words: str) -> RecordsView:
    """A customer to look for."""
    return replace(
        view,
        title=_("Find a customer"),
        detail=_("to erase what is personal"),
        fields=(Field(key=TYPED, label=_("Name or phone"), value=words, open_ended=False),),
    )


def erase_view(
    view: RecordsView, holding: Holding, elsewhere: tuple[Mention, ...], *, backups: int
) -> RecordsView:
    """Exactly what goes and what stays, and the tag that confirms it."""
    tag = holding.machine.tag
    kept = ngettext("{n} backup holds it too", "{n} backups hold it too", backups)
    fields = [
        Field(
            key=PHOTOS,
            label=_("Photos of these visits"),
            hint=_("removed for good, captions too"),
            kind=FieldKind.CHOICE,
            value=ERASE,
            choices=(
                FieldChoice(key=ERASE, text=_("Erase")),
                FieldChoice(key=KEEP, text=_("Keep")),
            ),
            open_ended=False,
        ),
        Field(
            key=TYPED,
            label=_("Type ‘{word}’").format(word=tag),
            hint=_("the machine’s tag, then Enter"),
            open_ended=False,
        ),
    ]
    if backups:
        fields.insert(
            1,
            Field(
                key=BACKUPS,
                label=kept.format(n=backups),
                kind=FieldKind.CHOICE,
                value=KEEP,
                choices=(
                    FieldChoice(key=KEEP, text=_("Until newer ones come")),
                    FieldChoice(key=ERASE, text=_("Replace by one of now")),
                ),
                open_ended=False,
            ),
        )
    fields.insert(
        -1,
        Field(
            key=ELSEWHERE,
            label=_("A backup elsewhere"),
            hint=_("its file or folder, to be removed with its photos; empty: none"),
        ),
    )
    return replace(
        view,
        title=_("Erase for good"),
        detail=_("tag {tag}").format(tag=tag),
        sheet=person.held_sheet(holding, elsewhere),
        lines=(
            _("Name, phone, and both in everything that was typed. Readings and verdicts stay."),
            person.unreached_text(),
        ),
        fields=tuple(fields),
        main_text=_("Erase"),
    )


def require(typed: str, word: str) -> None:
    """Raise InputError where what was typed is not the word."""
    if typed.casefold() != word.casefold():
        raise InputError(_("‘{typed}’: type {word} to go on").format(typed=typed, word=word))


def path_of(text: str) -> Path:
    """A path as it was typed or dropped. Raises InputError for none."""
    return typed_path(text, _("File: type its path, or pick one with Ctrl+O"))


def read_export(answers: Mapping[str, str]) -> tuple[str, Path]:
    """Whose visits, and where to. Raises InputError naming the field."""
    path = path_of(answers.get(PATH, ""))
    is_table = answers.get(SHAPE, FOLDER) == TABLE
    if is_table and path.suffix.lower() != ".csv":
        path = path.with_name(f"{path.name}.csv")
    if not is_table and path.suffix.lower() == ".csv":
        raise InputError(
            _("{path}: whole visits go into a folder; name one without .csv").format(path=path)
        )
    return answers.get(TAG, "").strip(), path


def read_backup(answers: Mapping[str, str]) -> tuple[Path, bool]:
    """Where to, and whether photos go along. Raises InputError naming the field."""
    return path_of(answers.get(PATH, "")), answers.get(PHOTOS, BRING) == BRING


def read_erase(answers: Mapping[str, str]) -> tuple[bool, bool, Path | None]:
    """Whether photos go, whether the backups do, and which one elsewhere."""
    elsewhere = answers.get(ELSEWHERE, "")
    return (
        answers.get(PHOTOS, ERASE) == ERASE,
        answers.get(BACKUPS, KEEP) == ERASE,
        path_of(elsewhere) if elsewhere.strip() else None,
    )
