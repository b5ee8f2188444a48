"""Everything that can bear on the causes, known or not, and the form for a person's word on it."""

from collections.abc import Mapping
from typing import Final

from benchassist.core.cause import Evidence
from benchassist.core.plain_text import brief
from benchassist.core.visit import Standing
from benchassist.errors import InputError, StepError
from benchassist.services.findings.cards import EvidenceChoice, EvidenceRow
from benchassist.services.findings.case import (
    Case,
    check_for,
    mark_text,
    outcome_text,
    seen_text,
    swapped_part,
)
from benchassist.services.findings.evidence import Origin
from benchassist.services.findings.evidence_sign import is_worked
from benchassist.services.findings.next_test import Words, cautions_of
from benchassist.services.findings.rows import conflict_text
from benchassist.services.front.counter_view import Field, FieldChoice, FieldKind
from benchassist.services.translation import _
from benchassist.units import UnitChoice

SET_ASIDE: Final = "set_aside"
"""The choice that says: whatever was seen, it does not count. No outcome has this key."""
QUESTION: Final = "question:"


def evidence_rows(case: Case, units: UnitChoice, cautions: Words) -> tuple[EvidenceRow, ...]:
    """Every piece of evidence: what is known first, in the order of the book."""
    rows = [_row(case, evidence, units, cautions) for evidence in case.book.evidence]
    return tuple(sorted(rows, key=lambda row: not row.known))


def _row(case: Case, evidence: Evidence, units: UnitChoice, cautions: Words) -> EvidenceRow:
    sighting = case.seen.counted.get(evidence.key)
    word = case.seen.by_hand.get(evidence.key)
    check = check_for(case.visit, evidence)
    said = [
        conflict_text(case, one, units)
        for one in case.seen.conflicts
        if one.other.evidence == evidence.key
    ]
    return EvidenceRow(
        key=evidence.key,
        name=evidence.name,
        mark=mark_text(case, sighting) if sighting is not None else "",
        outcome_text=seen_text(case, sighting, units)
        if sighting is not None
        else _unknown_text(case, evidence),
        known=sighting is not None,
        overruled=word is not None,
        reason=word.reason if word is not None else "",
        said_aloud=" ".join(said),
        minutes_text=_("{n:g} min").format(n=evidence.minutes) if evidence.minutes else "",
        step=check.key if check is not None else "",
        choices=tuple(
            EvidenceChoice(
                key=outcome.key,
                text=outcome_text(case, evidence.key, outcome.key),
                chosen=sighting is not None and sighting.outcome == outcome.key,
            )
            for outcome in evidence.outcomes
        ),
        cautions=tuple(cautions_of(evidence, check, cautions)),
    )


def _unknown_text(case: Case, evidence: Evidence) -> str:
    """Why it does not stand: set aside, not asked, not due, or nothing that tells."""
    if evidence.key in case.seen.by_hand:
        return _("set aside by hand")
    if evidence.source.startswith(QUESTION):
        return _("not answered, or not known")
    check = check_for(case.visit, evidence)
    if check is None and swapped_part(evidence):
        return _("not swapped yet")
    if check is None:
        return _("no step of this visit; answered here")
    number = case.numbers[check.key]
    if is_worked(case.visit, check):
        return _("step {n}: work was done there before it told").format(n=number)
    if case.visit.standing(check.key) in {Standing.TO_DO, Standing.SKIPPED}:
        return _("step {n}: not taken").format(n=number)
    return _("step {n}: taken, tells nothing of it").format(n=number)


# --- a person's word ------------------------------------------------------------------------------


def answer_fields(case: Case, key: str) -> tuple[Field, ...]:
    """How it turned out, and why that is said. Raises StepError for unknown evidence."""
    evidence = evidence_of(case, key)
    sighting = case.seen.counted.get(key)
    word = case.seen.by_hand.get(key)
    choices = [
        FieldChoice(key=one.key, text=outcome_text(case, key, one.key)) for one in evidence.outcomes
    ]
    choices.append(FieldChoice(key=SET_ASIDE, text=_("Does not count")))
    return (
        Field(
            key="outcome",
            label=evidence.name,
            kind=FieldKind.CHOICE,
            value=sighting.outcome if sighting is not None else "",
            choices=tuple(choices),
            open_ended=False,
        ),
        Field(
            key="reason",
            label=_("Why"),
            hint=_("needed where it differs from what was found"),
            value=word.reason if word is not None else "",
        ),
    )


def evidence_of(case: Case, key: str) -> Evidence:
    """The evidence of that key. Raises StepError."""
    try:
        return case.book.find(key)
    except KeyError:
        raise StepError(_("these causes have no evidence '{key}'").format(key=key)) from None


def read_answer(case: Case, key: str, fields: Mapping[str, str]) -> tuple[str | None, str]:
    """The outcome (None: does not count) and the reason. Raises InputError naming the field."""
    evidence = evidence_of(case, key)
    given, reason = fields.get("outcome", ""), fields.get("reason", "").strip()
    allowed = [one.key for one in evidence.outcomes] + [SET_ASIDE]
    if given not in allowed:
        raise InputError(
            _("{name}: '{given}' is not one of {allowed}").format(
                name=evidence.name, given=brief(given), allowed=", ".join(allowed)
            )
        )
    outcome = None if given == SET_ASIDE else given
    if not reason and _overrules(case, key, outcome):
        raise InputError(_("why: say why this counts in place of what was found"))
    return outcome, reason


def _overrules(case: Case, key: str, outcome: str | None) -> bool:
    """Whether something was found by other means that says otherwise, or is set aside."""
    found = [one.other.outcome for one in case.seen.conflicts if one.other.evidence == key]
    sighting = case.seen.counted.get(key)
    if sighting is not None and sighting.origin is not Origin.HAND:
        found.append(sighting.outcome)
    return outcome is None or any(one != outcome for one in found)
