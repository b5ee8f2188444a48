"""What may be said of a cause or a repair, by the rules of `core.claim`, with what it stands on.

The readings of a part are those of the checks that state it as their part, as they stood before
work was done there. A look that found it suspect by eye counts as seen in the part where it speaks
for this cause and for no other: no spark is a look at nothing in particular. What a person has set
aside or overruled carries no claim.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from benchassist.core.cause import Cause
from benchassist.core.claim import CONTRADICTED_BITS, Claim, Grounds, claim, is_reproduced_break
from benchassist.core.entry import Did, Looked, PartFitted, RunEnded, SwapTried, Taken
from benchassist.core.plain_text import capital
from benchassist.core.procedure import Check, CheckKind, Leaning
from benchassist.core.ranking import Ranked
from benchassist.core.swap import SwapResult
from benchassist.core.visit import Visit
from benchassist.services.findings.cards import ClaimRow
from benchassist.services.findings.case import Case, check_for, entry_text, seen_text
from benchassist.services.findings.evidence_code import OUT, code_of_taken
from benchassist.services.findings.evidence_sign import before_work
from benchassist.services.findings.series_check import PATH
from benchassist.services.findings.swap_card import not_separated_text, proves_text
from benchassist.services.findings.swap_trial import swap_of
from benchassist.services.translation import _
from benchassist.units import UnitChoice

CLAIM_TEXT: Final[Mapping[Claim, str]] = MappingProxyType(
    {
        Claim.CONFIRMED: _("Confirmed"),
        Claim.PROBABLE: _("Probable"),
        Claim.PRECAUTIONARY: _("Precautionary"),
    }
)
OTHER_BITS: Final = 0.5
"""From so much on evidence is said to speak for another cause as well."""
MOST_READINGS: Final = 2
"""Readings that one claim names."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """What a claim is about: a part, the cause it stands for (None: not in the book), its name."""

    part: str
    cause: Cause | None
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Footing:
    """The grounds of a claim, and the entries of the part that they stand on."""

    grounds: Grounds
    entries: tuple[Taken | Looked | RunEnded, ...] = ()


def claims_of(visit: Visit, case: Case | None, units: UnitChoice) -> tuple[ClaimRow, ...]:
    """One claim for each repair, swap test and reproduced break, and for the cause named first."""
    return tuple(claim_row(visit, case, subject, units) for subject in subjects_of(visit, case))


def claim_row(visit: Visit, case: Case | None, subject: Subject, units: UnitChoice) -> ClaimRow:
    """The strongest word that the visit carries for a part."""
    footing = footing_of(visit, case, subject)
    word = claim(footing.grounds)
    return ClaimRow(
        claim=word,
        claim_text=CLAIM_TEXT[word],
        name=subject.name,
        grounds=grounds_text(visit, case, subject, footing, units),
        limit=limit_text(word, footing.grounds),
    )


# --- of what --------------------------------------------------------------------------------------


def subjects_of(visit: Visit, case: Case | None) -> tuple[Subject, ...]:
    """What was repaired, swapped or seen to break, then the cause named first; each once."""
    found: dict[str, Subject] = {}
    for part, name in _touched(visit):
        subject = Subject(part=part, cause=_cause_of(case, part), name=name)
        found.setdefault(part or name, subject)
    named = case.ranking.named if case is not None else None
    if case is not None and named is not None:
        cause = case.cause(named)
        first = Subject(part=cause.part, cause=cause, name=cause.name)
        found.setdefault(cause.part or cause.name, first)
    return tuple(found.values())


def _touched(visit: Visit) -> Iterator[tuple[str, str]]:
    """Parts fitted, worked on, swapped or seen to break, with the words for each."""
    for fitted in (e for e in visit.entries if isinstance(e, PartFitted)):
        yield fitted.part, fitted.name or _(fitted.part)
    for done in (e for e in visit.entries if isinstance(e, Did) and e.check_key):
        check = visit.procedure.check(done.check_key)
        # A gap that was set is no part renewed: what is known of the part does not carry to it.
        yield "" if check.kind is CheckKind.GAUGE else check.part, done.text
    for tried in (e for e in visit.entries if isinstance(e, SwapTried)):
        yield tried.part, _(tried.part)
    for check in visit.procedure.checks:
        if check.part and any(_broke(e) for e in before_work(visit, check.key)):
            yield check.part, _(check.part)


def _broke(entry: Taken | Looked | RunEnded) -> bool:
    heat = entry.heat if isinstance(entry, RunEnded) else None
    return heat is not None and is_reproduced_break(heat)


def _cause_of(case: Case | None, part: str) -> Cause | None:
    """The likeliest cause of a part."""
    if case is None or not part:
        return None
    causes = (case.cause(ranked) for ranked in case.ranking.ranked)
    return next((cause for cause in causes if cause.part == part), None)


# --- on what grounds ------------------------------------------------------------------------------


def footing_of(visit: Visit, case: Case | None, subject: Subject) -> Footing:
    """What a claim about a part or cause stands on."""
    ranked = _ranked(case, subject)
    named = case.ranking.named if case is not None else None
    broke = [entry for entry in _runs(visit, case, subject) if _broke(entry)]
    seen = list(_seen_in_part(visit, case, subject))
    grounds = Grounds(
        swap=swap_of(visit, subject.part) if subject.part else None,
        heat=broke[-1].heat if broke else None,
        named=ranked is not None and named is not None and named.cause == ranked.cause,
        against_bits=max((-a.bits for a in ranked.speaking_against), default=0.0)
        if ranked
        else 0.0,
        out_of_band=bool(seen),
    )
    return Footing(grounds=grounds, entries=(*broke[-1:], *seen[:MOST_READINGS]))


def _ranked(case: Case | None, subject: Subject) -> Ranked | None:
    if case is None or subject.cause is None:
        return None
    return case.ranking.of(subject.cause.key)


def _checks_of(visit: Visit, case: Case | None, subject: Subject) -> Iterator[Check]:
    """Checks of the part itself; the whole path is more than any part of it."""
    test = _test_check(visit, case, subject)
    for check in visit.procedure.checks:
        of_part = bool(subject.part) and check.part == subject.part
        if check.key != PATH and (of_part or check is test):
            yield check


def _test_check(visit: Visit, case: Case | None, subject: Subject) -> Check | None:
    """The step of the test that settles a cause quickest."""
    if case is None or subject.cause is None or not subject.cause.test:
        return None
    try:
        evidence = case.book.find(subject.cause.test)
    except KeyError:
        return None
    return check_for(visit, evidence)


def _runs(visit: Visit, case: Case | None, subject: Subject) -> Iterator[RunEnded]:
    """Every run of the part that stands and was made before the work, oldest first."""
    for check in visit.procedure.checks:
        if check.part == subject.part and subject.part and not _overruled(case, check):
            yield from (e for e in before_work(visit, check.key) if isinstance(e, RunEnded))


def _overruled(case: Case | None, check: Check) -> bool:
    """Whether a person's word counts in place of what a check showed."""
    if case is None:
        return False
    words = (case.book.find(key) for key in case.seen.by_hand)
    return any(
        found is not None and found.key == check.key
        for found in (check_for(case.visit, evidence) for evidence in words)
    )


def _seen_in_part(visit: Visit, case: Case | None, subject: Subject) -> Iterator[Taken | Looked]:
    """Readings out of band and looks found suspect that speak for the cause and are of the part."""
    ranked = _ranked(case, subject)
    if case is None or ranked is None:
        return
    speaking = {case.sighting(one).entry: one.evidence for one in ranked.speaking_for}
    for check in _checks_of(visit, case, subject):
        for entry in before_work(visit, check.key):
            evidence = speaking.get(entry.stamp.id)
            if evidence is None:
                continue
            if isinstance(entry, Taken) and code_of_taken(entry) in OUT:
                yield entry
            alone = not _speaks_for_others(case, ranked, evidence)
            if isinstance(entry, Looked) and alone and _is_suspect(check, entry):
                yield entry


def _is_suspect(check: Check, entry: Looked) -> bool:
    return any(a.key == entry.answer_key and a.leaning is Leaning.SUSPECT for a in check.answers)


def _speaks_for_others(case: Case, ranked: Ranked, evidence: str) -> bool:
    """Whether what was seen raises another cause too: no spark is not yet a look at the coil."""
    return any(
        argument.evidence == evidence and argument.bits >= OTHER_BITS
        for other in case.ranking.ranked
        if other.cause != ranked.cause
        for argument in other.speaking_for
    )


# --- in words -------------------------------------------------------------------------------------


def grounds_text(
    visit: Visit, case: Case | None, subject: Subject, footing: Footing, units: UnitChoice
) -> str:
    """The swap, the readings and where they stand; else what speaks for it most."""
    parts = [capital(entry_text(visit, entry, units)) for entry in footing.entries]
    swap = footing.grounds.swap
    if swap is not None and swap.result not in {SwapResult.OPEN, SwapResult.NOT_SEEN}:
        parts.insert(0, _("Swap test: {proves}").format(proves=proves_text(swap).rstrip(".")))
    ranked = _ranked(case, subject)
    if not parts and case is not None and ranked is not None:
        strongest = ranked.speaking_for[:MOST_READINGS]
        parts = [seen_text(case, case.sighting(argument), units) for argument in strongest]
    return "; ".join(parts) + "." if parts else _("No reading stands behind it.")


def limit_text(word: Claim, grounds: Grounds) -> str:
    """Why no stronger word may be said."""
    if word is Claim.CONFIRMED:
        return ""
    swap = grounds.swap
    if swap is not None and swap.result is SwapResult.NOT_THIS_PART:
        return _("The fault showed with the new part as well.")
    if swap is not None and swap.not_separated:
        return not_separated_text(swap.not_separated)
    if word is Claim.PROBABLE:
        return _("Not confirmed: no swap brought the fault back, no break was reproduced.")
    if not grounds.named:
        return _("The evidence does not name it first.")
    if grounds.against_bits >= CONTRADICTED_BITS:
        return _("Strong evidence speaks against it.")
    return _("Nothing was found out of band in the part itself.")
