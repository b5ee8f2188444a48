"""What an engine class must hold together with the procedures it puts its bands into."""

from collections.abc import Iterator

from benchassist.core.plain_text import brief
from benchassist.specbook.band_audit import faults_of_band, faults_of_options
from benchassist.specbook.fault import Fault, _, unknown
from benchassist.specbook.fitting import VOLT_DROP, fitted, picked
from benchassist.specbook.run_audit import faults_of_speed_options
from benchassist.specbook.sheet import CheckSheet, ClassCheckSheet, EngineSheet, Origin
from benchassist.specbook.shelf import Filed, Shelf

PRIMARY = "coil_primary"


def faults_of_engine(filed: Filed[EngineSheet], shelf: Shelf) -> Iterator[Fault]:
    """Every fault between an engine class and the procedures, cautions and rules of safety."""
    engine = filed.sheet
    known = shelf.library()
    for procedure in shelf.procedures.values():
        for check in procedure.sheet.check:
            known.setdefault(check.key, check)
    for name in ("omit", "add"):
        for number, key in enumerate(getattr(engine, name)):
            if key not in known:
                yield filed.fault(unknown(_("check"), key, known), name, number)
            elif name == "add" and not known[key].optional:
                message = _("'{key}' is in every class already").format(key=brief(key))
                yield filed.fault(message, name, number)
    if engine.pulses_per_rev is not None and not engine.pulses_per_rev > 0.0:
        yield filed.fault(_("pulses_per_rev must be above zero"), "pulses_per_rev")
    yield from _faults_of_choices(filed, known)
    for key, of_class in engine.checks.items():
        if key not in known:
            yield filed.fault(unknown(_("check"), key, known), "checks", key)
            continue
        yield from _faults_of_check(filed, key, of_class, known[key], shelf)
    yield from _faults_of_leaving_out(filed, shelf)


def _faults_of_choices(filed: Filed[EngineSheet], known: dict[str, CheckSheet]) -> Iterator[Fault]:
    groups: dict[str, set[str]] = {}
    for check in known.values():
        if check.option_group:
            groups.setdefault(check.option_group, set()).update(o.key for o in check.options)
    for group, keys in filed.sheet.choices.items():
        if group not in groups:
            yield filed.fault(unknown(_("option group"), group, groups), "choices", group)
            continue
        if not keys:
            message = _("a choice of nothing: name options or leave the line out")
            yield filed.fault(message, "choices", group)
        for number, key in enumerate(keys):
            if key not in groups[group]:
                message = unknown(_("option"), key, groups[group])
                yield filed.fault(message, "choices", group, number)


def _faults_of_check(
    filed: Filed[EngineSheet], key: str, of_class: ClassCheckSheet, check: CheckSheet, shelf: Shelf
) -> Iterator[Fault]:
    where = ("checks", key)
    yield from faults_of_band(filed, where, of_class, check.quantity)
    yield from faults_of_options(
        filed,
        where,
        of_class,
        quantity=check.quantity,
        probe_points=of_class.probe_points or check.probe_points,
    )
    yield from faults_of_speed_options(filed, where, of_class.options, check)
    if of_class.band and (check.options or check.sum_of):
        message = _("'{key}' is judged by options or a sum: a class gives it no band")
        yield filed.fault(message.format(key=brief(key)), *where, "band")
    for number, caution in enumerate(of_class.cautions):
        if caution not in shelf.cautions:
            message = unknown(_("caution"), caution, shelf.cautions)
            yield filed.fault(message, *where, "cautions", number)
    if of_class.polarities not in {None, 1, 2}:
        yield filed.fault(_("polarities is 1 or 2"), *where, "polarities")
    if of_class.pulses_per_rev is not None and not of_class.pulses_per_rev > 0.0:
        yield filed.fault(_("pulses_per_rev must be above zero"), *where, "pulses_per_rev")
    yield from _faults_of_electronics(filed, key, of_class)
    if of_class.volt_drop and VOLT_DROP not in shelf.cautions:
        message = _("a volt drop needs the caution '{key}'").format(key=VOLT_DROP)
        yield filed.fault(message, *where, "volt_drop")


def _faults_of_electronics(
    filed: Filed[EngineSheet], key: str, of_class: ClassCheckSheet
) -> Iterator[Fault]:
    """Across electronics only the maker knows what ohms mean, and whether current may flow."""
    if not filed.sheet.electronics:
        return
    bands = [b for b in (of_class, *of_class.options) if b.band]
    by_maker = bool(bands) and all(band.source is Origin.MAKER for band in bands)
    if key == PRIMARY and bands and not by_maker:
        message = _("electronics sit across the tab: no band for '{key}' but the maker's")
        yield filed.fault(message.format(key=brief(key)), "checks", key, "band")
    if of_class.volt_drop and not by_maker:
        message = _("no volt drop through electronics unless the maker gives the band")
        yield filed.fault(message, "checks", key, "volt_drop")


def _faults_of_leaving_out(filed: Filed[EngineSheet], shelf: Shelf) -> Iterator[Fault]:
    """What is undone for a check must be put back: the look that asks for it stays."""
    for procedure in shelf.procedures.values():
        left = fitted(picked(procedure.sheet, shelf.library()), filed.sheet)
        if not left:
            message = _("no check of '{key}' is left").format(key=brief(procedure.sheet.key))
            yield filed.fault(message, "omit")
        for check in left.values():
            if check.obliges and check.obliges not in left:
                message = _("'{check}' obliges '{look}', which this class leaves out")
                yield filed.fault(
                    message.format(check=brief(check.key), look=brief(check.obliges)), "omit"
                )
            if check.option_group and not check.options and not check.sum_of:
                message = _("no option of '{key}' is left").format(key=brief(check.key))
                yield filed.fault(message, "choices", check.option_group)
