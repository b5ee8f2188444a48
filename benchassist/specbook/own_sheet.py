"""The shop's own sheets: figures are changed in a copy of their sheet that takes its place by key.

The shipped files are never written. A file is replaced in one step, so that a kill leaves the old
one or the new one whole.
"""

from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Final

from benchassist.core.band import Band
from benchassist.core.plain_text import brief
from benchassist.core.spec_entry import SpecEntry, SpecFault, Stated
from benchassist.errors import InputError, NotFoundError, StepError
from benchassist.specbook.audit import faults_of
from benchassist.specbook.binding import band_of
from benchassist.specbook.book import Book
from benchassist.specbook.catalogue import figures_of
from benchassist.specbook.fault import _
from benchassist.specbook.figure import Figure
from benchassist.specbook.loader import LISTS, laid_over
from benchassist.specbook.own_fault import (
    fault_of_change,
    faults_of_kind,
    faults_of_writing,
    in_order,
)
from benchassist.specbook.own_file import changed_elsewhere, read_file, replace_file
from benchassist.specbook.own_text import Draft, changed, count, slice_of, without
from benchassist.specbook.sheet import Sheet
from benchassist.specbook.shelf import Filed, Shelf

HEAD: Final = "# The shop’s own. It takes the place of what was shipped under the same key.\n\n"


@dataclass(frozen=True, slots=True)
class Step:
    """One change that can be undone: what a file said before and after; None: no file."""

    key: str
    path: Path
    before: str | None
    after: str | None


class OwnSheets:
    """Shows what may be changed in a book, changes it, takes changes back."""

    def __init__(self, book: Book) -> None:
        self._book = book
        self._steps: list[Step] = []

    @property
    def faults(self) -> tuple[str, ...]:
        """What is wrong with the shop's files that are left out, as `file:line: message`."""
        return self._book.faults

    def reread(self) -> None:
        """Read every file anew."""
        self._book.reread()
        self.__dict__.pop("_figures", None)
        self.__dict__.pop("_shipped", None)

    def entries(self) -> tuple[SpecEntry, ...]:
        """Everything that may be changed, as it stands."""
        return tuple(self._entry(figure) for figure in self._figures.values())

    def problems(self, key: str, stated: Stated) -> tuple[SpecFault, ...]:
        """What is wrong with a change, found by the book's own audits with the change in place.

        Raises NotFoundError for a key that is none.
        """
        figure = self._figure(key)
        if written := faults_of_writing(stated):
            return written
        asked = faults_of_kind(figure, stated, self._shipped)
        if stated == figure.stated:
            return ()
        draft = self._draft(figure, stated)
        shelf = laid_over(
            self._book.shipped,
            self._own,
            leave_out=self._book.left_out,
            instead={draft.path: draft.text},
        )
        found = (
            *asked,
            *(fault_of_change(fault, figure, draft, shelf) for fault in faults_of(shelf)),
        )
        one_each = {fault.field or fault.message: fault for fault in reversed(found)}
        return tuple(sorted(one_each.values(), key=in_order))

    def keep(self, key: str, stated: Stated) -> None:
        """Write a change into the shop's folder.

        Raises InputError naming the field while anything is wrong, StepError for a file that was
        changed elsewhere, StoreError where it cannot be written.
        """
        figure = self._figure(key)
        self._refuse_strange(figure)
        faults = self.problems(key, stated)
        if faults:
            raise InputError(faults[0].message)
        if stated != figure.stated:
            self._write(key, self._draft(figure, stated))

    def restore(self, key: str) -> None:
        """State a figure as it was shipped. Raises StepError where nothing was; else as `keep`."""
        shipped = self._shipped.get(key)
        if shipped is None:
            raise StepError(_("nothing was shipped for this: it is the shop’s own alone"))
        self.keep(key, shipped.stated)

    def undo(self) -> str:
        """Take the last change back; the key of what changed, empty where there is none.

        Raises StepError for a file that was changed elsewhere since.
        """
        if not self._steps:
            return ""
        step = self._steps[-1]
        if read_file(step.path) != step.after:
            self._steps.clear()
            self.reread()
            raise StepError(changed_elsewhere(step.path))
        replace_file(step.path, step.before)
        self._steps.pop()
        self.reread()
        return step.key

    @property
    def can_undo(self) -> int:
        """How many changes can be taken back."""
        return len(self._steps)

    # --- what there is -------------------------------------------------------------------------

    @cached_property
    def _figures(self) -> dict[str, Figure]:
        return figures_of(self._book.shelf, self._book.translate)

    @cached_property
    def _shipped(self) -> dict[str, Figure]:
        return figures_of(self._book.shipped, self._book.translate)

    def _figure(self, key: str) -> Figure:
        if key not in self._figures:
            raise NotFoundError(_("the spec book has no '{key}'").format(key=brief(key)))
        return self._figures[key]

    def _entry(self, figure: Figure) -> SpecEntry:
        shipped = self._shipped.get(figure.key)
        return SpecEntry(
            key=figure.key,
            kind=figure.kind,
            sheet=figure.sheet,
            name=figure.name,
            detail=figure.detail,
            now=figure.stated,
            shipped=shipped.stated if shipped else None,
            quantity=figure.quantity,
            file="/".join(_filed(self._book.shelf, figure).path.parts[-2:]),
            shared=figure.shared,
            single=figure.field == "rated",
            check_key=figure.check_key,
            engine_class=figure.engine_class,
            option_key=figure.option_key,
            band=self._band(figure),
        )

    def _band(self, figure: Figure) -> Band | None:
        if figure.band is None or figure.quantity is None or not figure.band.band:
            return None
        return band_of(figure.band, figure.quantity, self._book.translate)

    @property
    def _own(self) -> Path:
        if self._book.own is None:
            raise StepError(_("this spec book has no folder of the shop’s own"))
        return self._book.own

    # --- drafts --------------------------------------------------------------------------------

    def _draft(self, figure: Figure, stated: Stated) -> Draft:
        """The file with the change in it; no file, or less of it, where all is as shipped again."""
        filed = _filed(self._book.shelf, figure)
        draft = self._base(filed, figure)
        text = changed(draft.text or "", draft.above, figure, stated)
        draft = replace(draft, text=text)
        shipped = getattr(self._book.shipped, figure.drawer).get(figure.sheet_key)
        if filed.own and shipped is not None:
            shelf = laid_over(Shelf(), self._own, instead={draft.path: text})
            again = getattr(shelf, figure.drawer).get(figure.sheet_key)
            if again is not None and again.sheet == shipped.sheet:
                left = without(text, draft.above) if draft.above else ""
                return replace(draft, text=left or None)
        return draft

    def _base(self, filed: Filed[Sheet], figure: Figure) -> Draft:
        """The shop's file to change: the one that has the sheet, else one with a copy in it."""
        text = self._book.shelf.texts[filed.path]
        if filed.own:
            return Draft(filed.path, text, filed.where)
        path = self._own / figure.drawer / filed.path.name
        name = LISTS.get(figure.drawer)
        there = self._book.shelf.texts.get(path)
        if name is None:
            if there is not None:
                path = self._free(path)
            return Draft(path, HEAD + text)
        copy = slice_of(text, filed.where)
        if there is None:
            return Draft(path, HEAD + copy, (name, 0))
        return Draft(path, f"{there.rstrip()}\n\n{copy}", (name, count(there, name)))

    def _free(self, path: Path) -> Path:
        """A name that no file has yet."""
        names = (path.with_stem(f"{path.stem}_{n}") for n in range(2, 1000))
        return next(name for name in names if not name.exists())

    def _refuse_strange(self, figure: Figure) -> None:
        """A file that is left out for its faults must not be written over unread."""
        filed = _filed(self._book.shelf, figure)
        path = filed.path if filed.own else self._own / figure.drawer / filed.path.name
        if path in self._book.left_out:
            message = _("{file} is left out for its faults: put it right first")
            raise StepError(message.format(file=path))

    def _write(self, key: str, draft: Draft) -> None:
        before = self._book.shelf.texts.get(draft.path)
        if read_file(draft.path) != before:
            self.reread()
            raise StepError(changed_elsewhere(draft.path))
        replace_file(draft.path, draft.text)
        self._steps.append(Step(key, draft.path, before, draft.text))
        self.reread()


def _filed(shelf: Shelf, figure: Figure) -> Filed[Sheet]:
    filed: Filed[Sheet] = getattr(shelf, figure.drawer)[figure.sheet_key]
    return filed
