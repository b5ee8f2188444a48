"""What a band in a profile must say: limits that can be read, their source, where to probe."""

from collections.abc import Iterator
from dataclasses import replace

from benchassist.core.plain_text import brief
from benchassist.core.quantity import Quantity
from benchassist.errors import InputError
from benchassist.specbook.fault import Fault, Where, _
from benchassist.specbook.sheet import BandSheet, CheckSheet, ClassCheckSheet, Origin
from benchassist.specbook.shelf import Filed, SheetT
from benchassist.units import read_band

NEEDS_NOTE = frozenset({Origin.MAKER, Origin.OWN_PARTS, Origin.MARKING})


def faults_of_band(
    filed: Filed[SheetT], where: Where, sheet: BandSheet, quantity: Quantity | None
) -> Iterator[Fault]:
    """Every fault of one band; the caller has filled in probe points that the check states."""
    if not sheet.band:
        if sheet.source is not None:
            yield filed.fault(_("a source without a band: write the band too"), *where, "source")
        return
    if quantity is None:
        yield filed.fault(_("a check without a quantity has no band"), *where, "band")
        return
    try:
        read_band(sheet.band, quantity=quantity)
    except InputError as error:
        yield filed.fault(str(error), *where, "band")
    if sheet.source is None:
        words = ", ".join(Origin)
        message = _("the band has no source: add source = one of {words}").format(words=words)
        yield filed.fault(message, *where, "band")
    elif sheet.source in NEEDS_NOTE and not sheet.note:
        message = _("a band with source '{source}' needs a note: manual and page, or marking")
        yield filed.fault(message.format(source=sheet.source), *where, "source")
    if not sheet.probe_points and quantity is not Quantity.SPEED:
        message = _("the band has no probe_points: say where it is measured")
        yield filed.fault(message, *where, "band")
    if sheet.copper and quantity is not Quantity.RESISTANCE:
        yield filed.fault(_("only a resistance follows the copper law"), *where, "copper")


def faults_of_options(
    filed: Filed[SheetT],
    where: Where,
    sheet: CheckSheet | ClassCheckSheet,
    *,
    quantity: Quantity | None,
    probe_points: str,
) -> Iterator[Fault]:
    """Faults of the markings or types to choose from, and of the question that asks for them."""
    if not sheet.options:
        return
    if sheet.band:
        yield filed.fault(_("either a band or options, not both"), *where, "band")
    for name, text in (
        ("option_group", sheet.option_group),
        ("option_question", sheet.option_question),
    ):
        if not text:
            message = _("options need '{name}'").format(name=name)
            yield filed.fault(message, *where, "options")
    seen: set[str] = set()
    for number, option in enumerate(sheet.options):
        here = (*where, "options", number)
        if option.key in seen:
            message = _("the option '{key}' stands here twice").format(key=brief(option.key))
            yield filed.fault(message, *here, "key")
        seen.add(option.key)
        filled = replace(option, probe_points=option.probe_points or probe_points)
        yield from faults_of_band(filed, here, filled, quantity)
