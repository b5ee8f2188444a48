"""Everything that is wrong with a shelf of profiles, gathered at once."""

from collections.abc import Iterator

from benchassist.core.quantity import Quantity
from benchassist.errors import InputError
from benchassist.specbook.answer_audit import faults_of_answers
from benchassist.specbook.cause_audit import faults_of_causes
from benchassist.specbook.engine_audit import faults_of_engine
from benchassist.specbook.evidence_audit import faults_of_evidence
from benchassist.specbook.fault import Fault, _, unknown
from benchassist.specbook.procedure_audit import faults_of_library, faults_of_procedure
from benchassist.specbook.sheet import (
    CautionSheet,
    ComplaintSheet,
    MeterSheet,
    QuestionSheet,
    RangeSheet,
)
from benchassist.specbook.shelf import Filed, Shelf
from benchassist.units import read_accuracy, read_quantity


def faults_of(shelf: Shelf) -> tuple[Fault, ...]:
    """The faults met while loading, then those between the lines."""
    return (*shelf.faults, *_between_the_lines(shelf))


def _between_the_lines(shelf: Shelf) -> Iterator[Fault]:
    for check in shelf.checks.values():
        yield from faults_of_library(check, shelf)
    for procedure in shelf.procedures.values():
        yield from faults_of_procedure(procedure, shelf)
    for engine in shelf.engines.values():
        yield from faults_of_engine(engine, shelf)
    for complaint in shelf.complaints.values():
        yield from _faults_of_complaint(complaint, shelf)
    for question in shelf.questions.values():
        yield from _faults_of_question(question)
    for meter in shelf.meters.values():
        yield from _faults_of_meter(meter)
    for caution in shelf.cautions.values():
        yield from _faults_of_caution(caution)
    for evidence in shelf.evidence.values():
        yield from faults_of_evidence(evidence, (), evidence.sheet, shelf)
    for book in shelf.causes.values():
        yield from faults_of_causes(book, shelf)


def _faults_of_complaint(filed: Filed[ComplaintSheet], shelf: Shelf) -> Iterator[Fault]:
    complaint = filed.sheet
    if complaint.procedure not in shelf.procedures:
        message = unknown(_("procedure"), complaint.procedure, shelf.procedures)
        yield filed.fault(message, "procedure")
    for number, key in enumerate(complaint.questions):
        if key not in shelf.questions:
            yield filed.fault(unknown(_("question"), key, shelf.questions), "questions", number)


def _faults_of_question(filed: Filed[QuestionSheet]) -> Iterator[Fault]:
    question = filed.sheet
    if question.quantity not in {None, Quantity.DURATION}:
        yield filed.fault(_("a question asks for a duration or for none"), "quantity")
    if question.quantity is not None and question.answers:
        yield filed.fault(_("either answers or a quantity, not both"), "answers")
    yield from faults_of_answers(filed, (), question.answers)


def _faults_of_meter(filed: Filed[MeterSheet]) -> Iterator[Fault]:
    if not filed.sheet.note:
        yield filed.fault(_("say whose figures these are: note"), "note")
    for quantity, rows in filed.sheet.ranges.items():
        below = 0.0
        for number, row in enumerate(rows):
            where = ("ranges", quantity.value, number)
            faults = list(_faults_of_range(filed, where, row, quantity))
            yield from faults
            if faults:
                continue
            full_scale = read_quantity(row.full_scale, quantity=quantity).value
            if full_scale <= below:
                message = _("ranges stand from the smallest full scale to the largest")
                yield filed.fault(message, *where, "full_scale")
            below = full_scale


def _faults_of_range(
    filed: Filed[MeterSheet], where: tuple[str | int, ...], row: RangeSheet, quantity: Quantity
) -> Iterator[Fault]:
    figures: list[float] = []
    for name, text in (("full_scale", row.full_scale), ("step", row.step)):
        try:
            figures.append(read_quantity(text, quantity=quantity).value)
        except InputError as error:
            yield filed.fault(str(error), *where, name)
    if len(figures) == 2 and not 0.0 < figures[1] < figures[0]:
        message = _("the step must be above zero and below the full scale")
        yield filed.fault(message, *where, "step")
    try:
        read_accuracy(row.accuracy)
    except InputError as error:
        yield filed.fault(str(error), *where, "accuracy")


def _faults_of_caution(filed: Filed[CautionSheet]) -> Iterator[Fault]:
    if not filed.sheet.text.strip():
        yield filed.fault(_("a caution without words"), "text")
