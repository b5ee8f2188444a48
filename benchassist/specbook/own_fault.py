"""What is wrong with a change of the spec book, told by the field it is in."""

from typing import Final

from benchassist.core.spec_entry import SpecFault, SpecField, SpecKind, Stated
from benchassist.specbook.fault import Fault, _, told
from benchassist.specbook.figure import Figure
from benchassist.specbook.own_text import Draft
from benchassist.specbook.shelf import Shelf

LONGEST: Final = 200
"""Signs of a field at most."""
EXAMPLES: Final = {
    SpecKind.WEIGHT: "H, M, L or 2.5",
    SpecKind.STRENGTH: "4 or 0.5",
    SpecKind.ACCURACY: "0.8% + 3",
}


def in_order(fault: SpecFault) -> tuple[int, str]:
    """In the order of the fields, then what is wrong elsewhere."""
    fields = [*SpecField]
    return (fields.index(fault.field) if fault.field else len(fields), fault.message)


def faults_of_writing(stated: Stated) -> tuple[SpecFault, ...]:
    """Texts that no file should hold."""
    faults = []
    for field in SpecField:
        text: str = getattr(stated, field)
        if not text.isprintable():
            message = _("a sign in it cannot be printed: type it anew")
            faults.append(SpecFault(message=message, field=field))
        elif len(text) > LONGEST:
            message = _("{n} signs at most").format(n=LONGEST)
            faults.append(SpecFault(message=message, field=field))
    return tuple(faults)


def faults_of_kind(figure: Figure, stated: Stated, shipped: dict[str, Figure]) -> list[SpecFault]:
    """What only a change must say, besides what the audits ask of every file."""
    if figure.kind is SpecKind.BAND and not figure.shared:
        return []
    if figure.kind is SpecKind.BAND:
        message = _("empty: a run is judged by it")
        return [] if stated.value else [SpecFault(message=message, field=SpecField.VALUE)]
    faults = []
    if not stated.value:
        message = _("empty: write it like {example}").format(example=EXAMPLES[figure.kind])
        faults.append(SpecFault(message=message, field=SpecField.VALUE))
    before = shipped.get(figure.key)
    if not stated.note and (before is None or before.stated.value != stated.value):
        message = _("say whose figure this is: manual and page, or the shop’s own machines")
        faults.append(SpecFault(message=message, field=SpecField.NOTE))
    return faults


def fault_of_change(fault: Fault, figure: Figure, draft: Draft, shelf: Shelf) -> SpecFault:
    """A fault of the book as one of the change: its field, or else its file and line."""
    fields = {
        figure.field: SpecField.VALUE,
        "source": SpecField.SOURCE,
        "note": SpecField.NOTE,
        "probe_points": SpecField.MEASURED,
    }
    near = (*draft.above, *figure.where)[: len(draft.above) + 2]
    if fault.path == draft.path and fault.where[: len(near)] == near:
        if fault.where == (*draft.above, *figure.where):
            return SpecFault(message=fault.message, field=SpecField.VALUE)
        last = fault.where[-1] if fault.where else ""
        if isinstance(last, str) and last in fields:
            return SpecFault(message=fault.message, field=fields[last])
    return SpecFault(message=told([fault], shelf.texts)[0])
