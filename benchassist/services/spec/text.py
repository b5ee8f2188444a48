"""Figures of the spec book in words: rows, fields with their hints, how a figure stands."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from benchassist.core.quantity import Quantity
from benchassist.core.spec_entry import SpecEntry, SpecFault, SpecField, SpecKind, Stated
from benchassist.services.front.counter_view import Field, FieldChoice, FieldKind
from benchassist.services.spec.view import SpecRow
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


def after_text(entry: SpecEntry) -> str:
    """What a change is at work for, and what keeps what it had."""
    if entry.kind is SpecKind.ACCURACY:
        return _("Readings taken keep their doubt. The next ones use the card as it stands.")
    return _("Open visits keep what they began with. New visits use the book as it stands.")


def row_of(entry: SpecEntry) -> SpecRow:
    """A figure as the list shows it."""
    return SpecRow(
        key=entry.key,
        title=entry.name,
        detail=entry.detail,
        sheet=entry.sheet,
        value=entry.now.value or _("recorded"),
        origin=_origin(entry),
        own=entry.own,
    )


def full_name(entry: SpecEntry) -> str:
    """Where it stands and what it is, from the wide to the narrow."""
    return ", ".join(text for text in (entry.sheet, entry.name, entry.detail) if text)


def words_of(entry: SpecEntry) -> str:
    """All that a search looks into."""
    own = _("shop’s own") if entry.own else _("shipped")
    parts = (full_name(entry), KINDS[entry.kind], entry.now.value, entry.now.source, own)
    return " ".join((*parts, entry.now.note)).casefold()


def _label(entry: SpecEntry) -> str:
    return _("Speed") if entry.single else KINDS[entry.kind]


def _origin(entry: SpecEntry) -> str:
    return _("the shop’s own") if entry.own else _("shipped")


def _source_text(source: str) -> str:
    return next((choice.text for choice in SOURCES if choice.key == source), "")


def pairs_of(entry: SpecEntry, learned: str) -> tuple[tuple[str, str], ...]:
    """How it stands, what the shop's own parts say, how it was shipped where that is another."""
    now, shipped = entry.now, entry.shipped
    pairs = [
        (_label(entry), now.value or _("recorded, no band")),
        (_("This shop’s parts"), learned),
        (_("Origin"), "" if learned else _origin(entry)),
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


def fields_of(entry: SpecEntry) -> tuple[Field, ...]:
    """The fields of its form, filled in as it stands."""
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


def stated_of(entry: SpecEntry, fields: Mapping[str, str]) -> Stated:
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


def line_of(entry: SpecEntry, fault: SpecFault) -> str:
    """'Band: ...'; what is wrong elsewhere names its file and line itself."""
    labels = {field.key: field.label for field in fields_of(entry)}
    label = labels.get(fault.field or "", "")
    return f"{label}: {fault.message}" if label else fault.message
