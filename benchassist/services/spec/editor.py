"""The spec book at the counter: look a figure up, change it with its source, take that back."""

from collections.abc import Callable, Mapping

from benchassist.core.spec_entry import SpecEntry, SpecField
from benchassist.errors import BenchError, InputError, NotFoundError, StepError
from benchassist.services.needs import Clock, SpecSheets
from benchassist.services.record.band_look import Look
from benchassist.services.record.own_bands import OwnBands
from benchassist.services.spec.parts import SpecParts, marked
from benchassist.services.spec.text import (
    after_text,
    fields_of,
    full_name,
    line_of,
    pairs_of,
    row_of,
    stated_of,
    words_of,
)
from benchassist.services.spec.view import PartsView, SpecForm, SpecView
from benchassist.services.translation import _


class SpecEditor:
    """Shows and changes the figures of a book. `apply` puts a changed book to work at once."""

    def __init__(
        self,
        sheets: SpecSheets,
        apply: Callable[[], None],
        *,
        own_bands: OwnBands | None = None,
        clock: Clock | None = None,
    ) -> None:
        self._sheets = sheets
        self._apply = apply
        self._own_bands = own_bands
        self._parts = SpecParts(own_bands, clock) if own_bands and clock else None
        self._entries: dict[str, SpecEntry] = {}
        self._words: dict[str, str] = {}
        self._coming = ""
        """The figure that was looked at last, where its parts were still being read."""

    def open(self) -> None:
        """Read the book anew: files may have been changed elsewhere, parts marked."""
        self._sheets.reread()
        if self._own_bands is not None:
            self._own_bands.forget()
        self._changed()

    def view(self, query: str) -> SpecView:
        """The figures for these words; every word narrows the search."""
        words = query.casefold().split()
        rows = tuple(
            row_of(entry)
            for key, entry in self._entries.items()
            if all(word in self._words[key] for word in words)
        )
        own = sum(entry.own for entry in self._entries.values())
        found = _("{n} of {all} · the shop’s own: {own}")
        steps = self._sheets.can_undo
        return SpecView(
            rows=rows,
            found_text=found.format(n=len(rows), all=len(self._entries), own=own),
            faults=self._sheets.faults,
            undo_text=_("Undo ({n})").format(n=steps) if steps else "",
        )

    def form(self, key: str) -> SpecForm:
        """One figure with its fields. Raises NotFoundError."""
        entry = self._entry(key)
        line, parts_text = self._learned(entry)
        return SpecForm(
            key=key,
            title=entry.name,
            sheet=entry.sheet,
            detail=entry.detail,
            pairs=pairs_of(entry, line),
            fields=fields_of(entry),
            own=entry.own,
            can_restore=entry.own and entry.shipped is not None,
            after_text=after_text(entry),
            parts_text=parts_text,
        )

    def _learned(self, entry: SpecEntry) -> tuple[str, str]:
        """What the shop's own parts make of it, and the key to them; empty where none is marked.

        Why it is not known where the shop is away.
        """
        self._coming = ""
        if self._parts is None:
            return "", ""
        try:
            look = self._parts.learned(entry) or Look()
        except BenchError as error:
            return str(error), ""
        self._coming = entry.key if look.coming else ""
        count = marked(look.band)
        parts_text = _("Good parts ({n})").format(n=count) if count else ""
        return self._parts.line(look.band), parts_text

    def news(self) -> bool:
        """Whether what was on its way when a figure was last looked at is there by now."""
        entry = self._entries.get(self._coming)
        if self._parts is None or entry is None:
            return False
        try:
            look = self._parts.learned(entry)
        except BenchError:
            look = None
        if look is not None and look.coming:
            return False
        self._coming = ""
        return True

    def problems(self, key: str, fields: Mapping[str, str]) -> tuple[str, ...]:
        """What is wrong with the fields so far, each line naming its field."""
        entry = self._entry(key)
        found = self._sheets.problems(key, stated_of(entry, fields))
        return tuple(line_of(entry, fault) for fault in found)

    def keep(self, key: str, fields: Mapping[str, str]) -> None:
        """Keep them. Raises InputError naming the field, StepError, StoreError."""
        if wrong := self.problems(key, fields):
            raise InputError(wrong[0])
        try:
            self._sheets.keep(key, stated_of(self._entry(key), fields))
        finally:
            self._changed()
        self._apply()

    def restore(self, key: str) -> None:
        """Back to what was shipped. Raises StepError, InputError, StoreError."""
        entry = self._entry(key)
        if entry.shipped is not None:
            wrong = self._sheets.problems(key, entry.shipped)
            if wrong:
                raise InputError(line_of(entry, wrong[0]))
        try:
            self._sheets.restore(key)
        finally:
            self._changed()
        self._apply()

    def undo(self) -> str:
        """Take the last change back; says which it was. Raises StepError where there is none."""
        try:
            key = self._sheets.undo()
        finally:
            self._changed()
        if not key:
            raise StepError(_("nothing was changed here since the program was opened"))
        self._apply()
        entry = self._entries.get(key)
        name = full_name(entry) if entry is not None else key
        return _("Undone: {name}").format(name=name)

    # --- own parts -------------------------------------------------------------------------------

    def parts(self, key: str) -> PartsView:
        """What the shop's own good parts make of a figure. Raises NotFoundError, StepError."""
        view = self._room().view(self._entry(key))
        self._coming = key if view.coming else ""
        return view

    def adopt(self, key: str) -> str:
        """Put the band they make into the book as a change like any other; says so.

        Raises StepError where there is none, InputError naming a field, StoreError.
        """
        stated = self._room().stated(self._entry(key))
        fields = {
            SpecField.VALUE: stated.value,
            SpecField.SOURCE: stated.source,
            SpecField.NOTE: stated.note,
            SpecField.MEASURED: stated.measured,
        }
        self.keep(key, {str(field): text for field, text in fields.items()})
        return _("{band} stands in the shop’s own book. Ctrl+Z takes it back.").format(
            band=stated.value
        )

    def set_aside(self, key: str, part: str, reason: str) -> str:
        """Leave a part out from now on. Raises InputError without a reason, StepError."""
        return self._room().set_aside(self._entry(key), part, reason)

    def take_up(self, key: str, part: str) -> str:
        """Let a part that was set aside count again. Raises StepError."""
        return self._room().take_up(self._entry(key), part)

    def _room(self) -> SpecParts:
        if self._parts is None:
            raise StepError(_("no shop is open here: there are no parts"))
        return self._parts

    def _changed(self) -> None:
        self._entries = {entry.key: entry for entry in self._sheets.entries()}
        self._words = {key: words_of(entry) for key, entry in self._entries.items()}

    def _entry(self, key: str) -> SpecEntry:
        if key not in self._entries:
            raise NotFoundError(_("this figure is not in the book any more: choose again"))
        return self._entries[key]
