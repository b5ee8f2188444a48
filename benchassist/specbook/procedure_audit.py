"""What a procedure must hold together: checks that can be answered, judged and closed."""

from collections.abc import Iterator
from math import isfinite

from benchassist.core.procedure import CheckKind
from benchassist.errors import InputError
from benchassist.specbook.band_audit import faults_of_band, faults_of_options
from benchassist.specbook.fault import Fault, Where, _, unknown
from benchassist.specbook.fitting import VOLT_DROP
from benchassist.specbook.sheet import CheckSheet, ProcedureSheet
from benchassist.specbook.shelf import Filed, Shelf
from benchassist.units import read_accuracy, read_quantity


def faults_of_procedure(filed: Filed[ProcedureSheet], shelf: Shelf) -> Iterator[Fault]:
    """Every fault between the lines of one procedure."""
    procedure = filed.sheet
    if not procedure.check:
        yield filed.fault(_("a procedure needs at least one [[check]]"), "check")
    seen: set[str] = set()
    for number, check in enumerate(procedure.check):
        where = ("check", number)
        if check.key in seen:
            message = _("the check '{key}' stands here twice").format(key=check.key)
            yield filed.fault(message, *where, "key")
        seen.add(check.key)
        yield from _faults_of_answering(filed, where, check)
        yield from _faults_of_judging(filed, where, check)
        yield from _faults_of_naming(filed, where, check, shelf)


def faults_of_cautions(
    filed: Filed[ProcedureSheet], where: Where, keys: tuple[str, ...], shelf: Shelf
) -> Iterator[Fault]:
    """Cautions that no file holds."""
    for number, key in enumerate(keys):
        if key not in shelf.cautions:
            message = unknown(_("caution"), key, shelf.cautions)
            yield filed.fault(message, *where, "cautions", number)


def _faults_of_answering(
    filed: Filed[ProcedureSheet], where: Where, check: CheckSheet
) -> Iterator[Fault]:
    if check.kind is CheckKind.LOOK:
        yield from _faults_of_look(filed, where, check)
    else:
        if check.quantity is None:
            message = _("a check to {kind} needs a quantity").format(kind=check.kind)
            yield filed.fault(message, *where, "quantity")
        if check.answers:
            yield filed.fault(_("only a look has answers"), *where, "answers")
        if not check.setting:
            yield filed.fault(_("say what to set or to take in hand: setting"), *where, "setting")
    if not check.touch:
        yield filed.fault(_("say where to touch or to look: touch"), *where, "touch")
    if check.polarities not in {1, 2}:
        yield filed.fault(_("polarities is 1 or 2"), *where, "polarities")
    if not (isfinite(check.minutes) and check.minutes > 0.0):
        yield filed.fault(_("minutes must be above zero"), *where, "minutes")
    if check.pulses_per_rev is not None and not check.pulses_per_rev > 0.0:
        yield filed.fault(_("pulses_per_rev must be above zero"), *where, "pulses_per_rev")


def _faults_of_look(
    filed: Filed[ProcedureSheet], where: Where, check: CheckSheet
) -> Iterator[Fault]:
    if check.quantity is not None:
        yield filed.fault(_("a look is answered by words: no quantity"), *where, "quantity")
    if len(check.answers) < 2:
        yield filed.fault(_("a look needs two answers or more"), *where, "answers")
    keys = [answer.key for answer in check.answers]
    for number, key in enumerate(keys):
        if key in keys[:number]:
            message = _("the answer '{key}' stands here twice").format(key=key)
            yield filed.fault(message, *where, "answers", number, "key")


def _faults_of_judging(
    filed: Filed[ProcedureSheet], where: Where, check: CheckSheet
) -> Iterator[Fault]:
    if not check.sum_of:
        yield from faults_of_band(filed, where, check, check.quantity)
    elif check.band or check.options:
        yield filed.fault(_("sum_of makes the band: write no other"), *where, "sum_of")
    yield from faults_of_options(
        filed, where, check, quantity=check.quantity, probe_points=check.probe_points
    )
    if check.typical and check.quantity is not None:
        try:
            read_quantity(check.typical, quantity=check.quantity)
        except InputError as error:
            yield filed.fault(str(error), *where, "typical")
    if not check.accuracy:
        return
    if not check.accuracy_note:
        message = _("say whose figure the accuracy is: accuracy_note")
        yield filed.fault(message, *where, "accuracy")
    try:
        read_accuracy(check.accuracy)
    except InputError as error:
        yield filed.fault(str(error), *where, "accuracy")


def _faults_of_naming(
    filed: Filed[ProcedureSheet], where: Where, check: CheckSheet, shelf: Shelf
) -> Iterator[Fault]:
    checks = {other.key: other for other in filed.sheet.check}
    yield from faults_of_cautions(filed, where, check.cautions, shelf)
    if check.volt_drop and VOLT_DROP not in shelf.cautions:
        message = _("a volt drop needs the caution '{key}'").format(key=VOLT_DROP)
        yield filed.fault(message, *where, "volt_drop")
    if check.obliges:
        obliged = checks.get(check.obliges)
        if obliged is None:
            message = unknown(_("check"), check.obliges, checks)
            yield filed.fault(message, *where, "obliges")
        elif obliged.kind is not CheckKind.LOOK:
            message = _("'{key}' is no look: only a look can be obliged")
            yield filed.fault(message.format(key=obliged.key), *where, "obliges")
        elif [*checks].index(obliged.key) < [*checks].index(check.key):
            message = _("'{key}' must come after the check that obliges it")
            yield filed.fault(message.format(key=obliged.key), *where, "obliges")
    if check.sum_of and len(check.sum_of) != 2:
        yield filed.fault(_("sum_of names two checks"), *where, "sum_of")
    for number, key in enumerate(check.sum_of):
        if key not in checks:
            message = unknown(_("check"), key, checks)
            yield filed.fault(message, *where, "sum_of", number)
