"""The spec book at the counter: look a figure up, change it with its source, take that back."""

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final

from benchassist.core.quantity import Quantity
from benchassist.core.spec_entry import SpecEntry, SpecFault, SpecField, SpecKind, Stated
from benchassist.errors import InputError, NotFoundError, StepError
from benchassist.services.counter_view import Field, FieldChoice, FieldKind
from benchassist.services.needs import SpecSheets
from benchassist.services.spec_view import SpecForm, SpecRow, SpecView
from benchassist.services.translation import _

KINDS: Final[Mapping[SpecKind, str]] = MappingProxyType(
    {
        SpecKind.BAND: _("Band"),
        SpecKind.WEIGHT: _("Weight"),
        SpecKind.STRENGTH: _("Strength"),
        SpecKind.ACCURACY: _("Accuracy"),
    }
)
HINTS: Final[Mapping[SpecKind, str]] = MappingProxyType(
    {
        SpecKind.WEIGHT: _("how common: H 6, M-H 4, M 3, L-M 2, L 1, or a number"),
        SpecKind.STRENGTH: _("times likelier than with something else, such as 4 or 0.5"),
        SpecKind.ACCURACY: _("of the reading plus counts, such as 0.8% + 3"),
    }
)
EXAMPLES: Final[Mapping[Quantity, str]] = MappingProxyType(
    {
        Quantity.RESISTANCE: "5.5 kohm..13 kohm",
        Quantity.LENGTH: "0.25 mm..0.40 mm",
        Quantity.SPEED: "1800 rpm..2200 rpm",
        Quantity.DURATION: "..3 s",
        Quantity.VOLTAGE: "11 V..14 V",
        Quantity.CAPACITANCE: "0.18 uF..0.25 uF",
        Quantity.PRESSURE: "90 psi..140 psi",
    }
)
SOURCES: Final = (
    FieldChoice(key="maker", text=_("Maker")),
    FieldChoice(key="common practice", text=_("Common practice")),
    FieldChoice(key="own parts", text=_("Own parts")),
    FieldChoice(key="marking", text=_("Marking")),
)
"""The words of a profile, one for each of core's sources."""


class SpecEditor:
    """Shows and changes the figures of a book. `apply` puts a changed book to work at once."""

    def __init__(self, sheets: SpecSheets, apply: Callable[[], None]) -> None:
        self._sheets = sheets
        self._apply = apply
        self._entries: dict[str, SpecEntry] = {}
        self._words: dict[str, str] = {}

    def open(self) -> None:
        """Read the book anew: files may have been changed elsewhere."""
        self._sheets.reread()
        self._changed()

    def view(self, query: str) -> SpecView:
        """The figures for these words; every word narrows the search."""
        words = query.casefold().split()
        rows = tuple(
            _row(entry)
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
        return SpecForm(
            key=key,
            title=entry.name,
            sheet=entry.sheet,
            detail=entry.detail,
            pairs=_pairs(entry),
            fields=_fields(entry),
            own=entry.own,
            can_restore=entry.own and entry.shipped is not None,
            after_text=_after(entry),
        )

    def problems(self, key: str, fields: Mapping[str, str]) -> tuple[str, ...]:
        """What is wrong with the fields so far, each line naming its field."""
        entry = self._entry(key)
        found = self._sheets.problems(key, _stated(entry, fields))
        return tuple(_line(entry, fault) for fault in found)

    def keep(self, key: str, fields: Mapping[str, str]) -> None:
        """Keep them. Raises InputError naming the field, StepError, StoreError."""
        if wrong := self.problems(key, fields):
            raise InputError(wrong[0])
        try:
            self._sheets.keep(key, _stated(self._entry(key), fields))
        finally:
            self._changed()
        self._apply()

    def restore(self, key: str) -> None:
        """Back to what was shipped. Raises StepError, InputError, StoreError."""
        entry = self._entry(key)
        if entry.shipped is not None:
            wrong = self._sheets.problems(key, entry.shipped)
            if wrong:
                raise InputError(_line(entry, wrong[0]))
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
        name = _full_name(entry) if entry is not None else key
        return _("Undone: {name}").format(name=name)

    def _changed(self) -> None:
        self._entries = {entry.key: entry for entry in self._sheets.entries()}
        self._words = {key: _words_of(entry) for key, entry in self._entries.items()}

    def _entry(self, key: str) -> SpecEntry:
        if key not in self._entries:
            raise NotFoundError(_("this figure is not in the book any more: choose again"))
        return self._entries[key]


def _after(entry: SpecEntry) -> str:
    if entry.kind is SpecKind.ACCURACY:
        return _("Readings taken keep their doubt. The next ones use the card as it stands.")
    return _("Open visits keep what they began with. New visits use the book as it stands.")


# --- words --------------------------------------------------------------------------------------


def _row(entry: SpecEntry) -> SpecRow:
    return SpecRow(
        key=entry.key,
        title=entry.name,
        detail=entry.detail,
        sheet=entry.sheet,
        value=entry.now.value or _("recorded"),
        origin=_origin(entry),
        own=entry.own,
    )


def _full_name(entry: SpecEntry) -> str:
    return ", ".join(text for text in (entry.sheet, entry.name, entry.detail) if text)


def _words_of(entry: SpecEntry) -> str:
    """All that a search looks into."""
    own = _("shop’s own") if entry.own else _("shipped")
    parts = (_full_name(entry), KINDS[entry.kind], entry.now.value, entry.now.source, own)
    return " ".join((*parts, entry.now.note)).casefold()


def _label(entry: SpecEntry) -> str:
    return _("Speed") if entry.single else KINDS[entry.kind]


def _origin(entry: SpecEntry) -> str:
    return _("the shop’s own") if entry.own else _("shipped")


def _source_text(source: str) -> str:
    return next((choice.text for choice in SOURCES if choice.key == source), "")


def _pairs(entry: SpecEntry) -> tuple[tuple[str, str], ...]:
    """How it stands, and how it was shipped where that is something else."""
    now, shipped = entry.now, entry.shipped
    pairs = [
        (_label(entry), now.value or _("recorded, no band")),
        (_("Origin"), _origin(entry)),
        (_("Source"), _source_text(now.source) or _whose(entry)),
        (_("Note"), now.note),
        (_("Where it is measured"), now.measured),
        (_("Stands in"), entry.file),
    ]
    if entry.own:
        was = _("nothing: it is the shop’s own alone")
        if shipped is not None:
            was = shipped.value or _("recorded, no band")
            source = ", ".join(t for t in (_source_text(shipped.source), shipped.note) if t)
            was = f"{was} ({source})" if source else was
        pairs.append((_("As shipped"), was))
    return tuple((name, text) for name, text in pairs if text)


def _whose(entry: SpecEntry) -> str:
    """What a figure without a source of its own is."""
    match entry.kind:
        case SpecKind.WEIGHT | SpecKind.STRENGTH:
            return _("Shop judgement, not statistics")
        case SpecKind.ACCURACY:
            return "" if entry.now.note else _("As the card says")
        case _:
            return ""


def _fields(entry: SpecEntry) -> tuple[Field, ...]:
    now = entry.now
    note_hint = _("whose figure: manual and page, or the shop’s own machines")
    if entry.kind is SpecKind.BAND:
        note_hint = _("manual and page, marking, or how many own parts")
    like = _("like {example}") if entry.shared else _("like {example}; empty: recorded")
    hint = HINTS.get(entry.kind) or like.format(
        example=EXAMPLES.get(entry.quantity or Quantity.RESISTANCE, "5..10")
    )
    if entry.single:
        hint = _("like 3600 rpm, as on the plate")
    value = Field(key=SpecField.VALUE, label=_label(entry), hint=hint, value=now.value)
    note = Field(key=SpecField.NOTE, label=_("Note"), hint=note_hint, value=now.note)
    if entry.kind is not SpecKind.BAND:
        return (value, note)
    source = Field(
        key=SpecField.SOURCE,
        label=_("Source"),
        hint=_("holds for the figures beside it too") if entry.shared else "",
        kind=FieldKind.CHOICE,
        value=now.source,
        choices=SOURCES,
        open_ended=False,
    )
    if entry.shared:
        return (value, note, source)
    measured = Field(
        key=SpecField.MEASURED,
        label=_("Where it is measured"),
        hint=_("from where to where"),
        value=now.measured,
    )
    return (value, note, measured, source)


def _stated(entry: SpecEntry, fields: Mapping[str, str]) -> Stated:
    """What the form says; without a band there is no source to state."""
    now = entry.now
    value = fields.get(SpecField.VALUE, now.value).strip()
    source = fields.get(SpecField.SOURCE, now.source).strip()
    return Stated(
        value=value,
        source=source if value or entry.shared else "",
        note=fields.get(SpecField.NOTE, now.note).strip(),
        measured=fields.get(SpecField.MEASURED, now.measured).strip(),
    )


def _line(entry: SpecEntry, fault: SpecFault) -> str:
    """'Band: ...'; what is wrong elsewhere names its file and line itself."""
    labels = {field.key: field.label for field in _fields(entry)}
    label = labels.get(fault.field or "", "")
    return f"{label}: {fault.message}" if label else fault.message
