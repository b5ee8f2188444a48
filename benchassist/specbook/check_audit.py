"""What a check must hold by itself: it can be answered, judged, and names only what there is."""

from collections.abc import Iterator
from math import isfinite

from benchassist.core.procedure import CheckKind
from benchassist.errors import InputError
from benchassist.specbook.answer_audit import faults_of_answers
from benchassist.specbook.band_audit import faults_of_band, faults_of_options
from benchassist.specbook.fault import Fault, Where, _, unknown
from benchassist.specbook.fitting import VOLT_DROP
from benchassist.specbook.run_audit import faults_of_run
from benchassist.specbook.sheet import CheckSheet
from benchassist.specbook.shelf import Filed, SheetT, Shelf
from benchassist.units import read_accuracy, read_quantity


def faults_of_check(
    filed: Filed[SheetT], where: Where, check: CheckSheet, shelf: Shelf
) -> Iterator[Fault]:
    """Every fault of one check that can be seen without the procedure it stands in."""
    yield from _faults_of_answering(filed, where, check)
    yield from faults_of_run(filed, where, check)
    yield from _faults_of_judging(filed, where, check)
    for number, key in enumerate(check.cautions):
        if key not in shelf.cautions:
            message = unknown(_("caution"), key, shelf.cautions)
            yield filed.fault(message, *where, "cautions", number)
    if check.volt_drop and VOLT_DROP not in shelf.cautions:
        message = _("a volt drop needs the caution '{key}'").format(key=VOLT_DROP)
        yield filed.fault(message, *where, "volt_drop")
    if check.sum_of and len(check.sum_of) != 2:
        yield filed.fault(_("sum_of names two checks"), *where, "sum_of")


def _faults_of_answering(filed: Filed[SheetT], where: Where, check: CheckSheet) -> Iterator[Fault]:
    if check.kind is CheckKind.LOOK:
        yield from _faults_of_look(filed, where, check)
    else:
        if check.quantity is None and check.kind is not CheckKind.RUN:
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


def _faults_of_look(filed: Filed[SheetT], where: Where, check: CheckSheet) -> Iterator[Fault]:
    if check.quantity is not None:
        yield filed.fault(_("a look is answered by words: no quantity"), *where, "quantity")
    if len(check.answers) < 2:
        yield filed.fault(_("a look needs two answers or more"), *where, "answers")
    yield from faults_of_answers(filed, where, check.answers)


def _faults_of_judging(filed: Filed[SheetT], where: Where, check: CheckSheet) -> Iterator[Fault]:
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
