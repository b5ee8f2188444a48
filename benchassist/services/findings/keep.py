"""What becomes of a form that was filled in: an entry of the visit, or something to go on with."""

from collections.abc import Mapping
from dataclasses import replace

from benchassist.core.entry import Decided, Entry, EvidenceSet, Noted, Stamp
from benchassist.core.visit import Visit
from benchassist.errors import StepError
from benchassist.services.findings.case import Case
from benchassist.services.findings.evidence_rows import read_answer
from benchassist.services.findings.form import FormKey, Pressed, read_note, read_swap
from benchassist.services.findings.repair_form import Draft, read_part, read_prove, read_service
from benchassist.services.findings.stake_card import chance_of, choice_of
from benchassist.services.findings.stake_form import KEEP, REPLACE, read_decision, read_stake
from benchassist.services.findings.view import Room
from benchassist.services.settings import Settings
from benchassist.services.translation import _


def kept(
    form: FormKey,
    fields: Mapping[str, str],
    pressed: Pressed,
    case: Case | None,
    *,
    visit: Visit,
    settings: Settings,
) -> tuple[Draft | None, Pressed]:
    """What to write, if anything, and what holds from then on. Raises InputError, StepError."""
    match form:
        case FormKey.ANSWER:
            if case is None:
                raise StepError(_("this visit has no causes to rank"))
            return _answered(case, pressed.subject, fields), pressed
        case FormKey.SWAP:
            part, bundled, share = read_swap(fields, visit)
            return None, replace(pressed, part=part, bundled=bundled, share=share, room=Room.SWAP)
        case FormKey.STAKE:
            return None, replace(pressed, figures=read_stake(fields, settings), room=Room.STAKE)
        case FormKey.DECIDE:
            return _decided(fields, pressed, case, visit), pressed
        case FormKey.PART:
            return read_part(fields, visit, settings), pressed
        case FormKey.SERVICE:
            return read_service(fields, settings.units), pressed
        case FormKey.PROVE:
            return read_prove(fields), pressed
        case FormKey.NOTE:
            return _noted(read_note(fields)), pressed


def suggested_of(pressed: Pressed, case: Case | None) -> str:
    """What the figures say, empty where there are none."""
    chance = _chance(pressed, case)
    if pressed.figures is None or chance is None:
        return ""
    return REPLACE if pressed.figures.stake.pays(chance) else KEEP


def _chance(pressed: Pressed, case: Case | None) -> float | None:
    """The chance of a comeback as stated, else by the weights."""
    if pressed.figures is not None and pressed.figures.chance is not None:
        return pressed.figures.chance
    found = chance_of(case, pressed.part)
    return found.value if found is not None else None


def _answered(case: Case, key: str, fields: Mapping[str, str]) -> Draft:
    outcome, reason = read_answer(case, key, fields)

    def make(stamp: Stamp) -> Entry:
        return EvidenceSet(stamp=stamp, evidence=key, outcome=outcome, reason=reason)

    return make


def _decided(fields: Mapping[str, str], pressed: Pressed, case: Case | None, visit: Visit) -> Draft:
    decision, chance = read_decision(fields), _chance(pressed, case)
    before = choice_of(visit, pressed.part)
    stake = before.stake if before is not None else None
    if pressed.figures is not None:
        stake = pressed.figures.stake

    def make(stamp: Stamp) -> Entry:
        return Decided(
            stamp=stamp,
            part=pressed.part,
            replaced=decision.replaced,
            by_customer=decision.by_customer,
            stake=stake,
            chance=chance,
            reason=decision.reason,
        )

    return make


def _noted(text: str) -> Draft:
    def make(stamp: Stamp) -> Entry:
        return Noted(stamp=stamp, text=text)

    return make
