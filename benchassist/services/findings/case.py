"""A visit's evidence, its ranking and the words for both: what every card of the findings reads.

Made anew whenever the visit has grown; a value, so that two equal ones need no work.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf

from benchassist.core.cause import Cause, CauseBook, Evidence, likelihoods
from benchassist.core.entry import Looked, RunEnded, Taken
from benchassist.core.procedure import Check
from benchassist.core.ranking import Argument, Ranked, Ranking, rank
from benchassist.core.run import RunKind
from benchassist.core.visit import Visit
from benchassist.errors import InputError
from benchassist.services.findings.evidence import Origin, Sighting, Sightings, sightings
from benchassist.services.runs.line import ended_words
from benchassist.services.slips.line import value_text
from benchassist.services.translation import _
from benchassist.services.wording import verdict_word
from benchassist.units import UnitChoice


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """What is known in a visit. `numbers` gives each check's number on the slip."""

    visit: Visit
    book: CauseBook
    seen: Sightings
    ranking: Ranking
    numbers: Mapping[str, int]

    def cause(self, ranked: Ranked) -> Cause:
        """The cause that stands at a place."""
        return self.book.cause(ranked.cause)

    def sighting(self, argument: Argument) -> Sighting:
        """Where an argument's evidence was seen."""
        return self.seen.counted[argument.evidence]


def case_of(visit: Visit) -> Case | None:
    """The case of a visit, None where it has no causes.

    Raises InputError where the figures frozen into it cannot be: a file from elsewhere.
    """
    book = visit.header.causes
    if book is None or not book.causes:
        return None
    seen = sightings(visit)
    try:
        ranking = rank(book, seen.outcomes)
    except (ValueError, KeyError) as error:
        raise unusable(visit, str(error)) from None
    return Case(
        visit=visit,
        book=book,
        seen=seen,
        ranking=ranking,
        numbers={check.key: n for n, check in enumerate(visit.procedure.checks, start=1)},
    )


def unusable(visit: Visit, why: str) -> InputError:
    """The causes of a visit cannot be used."""
    text = _("the causes of slip {number} cannot be ranked: {why}")
    return InputError(text.format(number=visit.header.slip_number, why=why))


def fault_of(book: CauseBook) -> str:
    """Why figures of a book cannot be, whatever is seen; empty where all can.

    The spec book is read without such faults; a visit from a file may carry anything.
    """
    try:
        for cause in book.causes:
            if not 0.0 < cause.weight < inf:
                return _("'{cause}': a weight must be above zero").format(cause=cause.key)
            for evidence in book.evidence:
                likelihoods(cause, evidence)
    except ValueError as error:
        return str(error)
    return ""


def check_for(visit: Visit, evidence: Evidence) -> Check | None:
    """The step of the visit that answers a piece of evidence; None where none does."""
    for source in evidence.source.split():
        kind, _sep, key = source.partition(":")
        for check in visit.procedure.checks:
            if kind in {"look", "reading", "run"} and check.key == key:
                return check
            if kind == "drill" and _drills(check, key):
                return check
    return None


def _drills(check: Check, step: str) -> bool:
    plan = check.run
    return (
        plan is not None
        and plan.kind is RunKind.DRILL
        and any(one.key == step for one in plan.drill)
    )


def swapped_part(evidence: Evidence) -> str:
    """The part that a swap test as evidence is of; empty for any other evidence."""
    found = (s.removeprefix("swap:") for s in evidence.source.split() if s.startswith("swap:"))
    return next(found, "")


def mark_text(case: Case, sighting: Sighting) -> str:
    """What stands in the mark: the step's number, C, S or H."""
    match sighting.origin:
        case Origin.STEP:
            return str(case.numbers.get(sighting.step, "?"))
        case Origin.COMPLAINT:
            return _("C")
        case Origin.SWAP:
            return _("S")
        case Origin.HAND:
            return _("H")


def place_text(case: Case, sighting: Sighting) -> str:
    """Where it was seen, to begin a sentence: 'Step 8', 'Said', 'Swap test', 'By hand'."""
    match sighting.origin:
        case Origin.STEP:
            return _("Step {n}").format(n=mark_text(case, sighting))
        case Origin.COMPLAINT:
            return _("Said")
        case Origin.SWAP:
            return _("Swap test")
        case Origin.HAND:
            return _("By hand")


def outcome_text(case: Case, evidence: str, outcome: str) -> str:
    """An outcome in the words of the spec book."""
    found = case.book.find(evidence).outcome(outcome)
    return found.text or found.key.replace("_", " ")


def seen_text(case: Case, sighting: Sighting, units: UnitChoice) -> str:
    """What was seen and where, with the reading it stands on.

    'Step 4, Plug cap: 4.38 kΩ ±0.06, in band'
    """
    evidence = case.book.find(sighting.evidence)
    outcome = outcome_text(case, sighting.evidence, sighting.outcome)
    figure = figure_text(case.visit, sighting.entry, units)
    said = f"{figure}, {outcome}" if figure and figure.lower() != outcome.lower() else outcome
    text = _("{place}, {name}: {said}").format(
        place=place_text(case, sighting), name=evidence.name, said=said
    )
    if sighting.late:
        text = _("{text} (seen late)").format(text=text)
    word = case.seen.by_hand.get(sighting.evidence)
    if sighting.origin is Origin.HAND and word is not None and word.reason:
        text = _("{text} ({reason})").format(text=text, reason=word.reason)
    return text


def figure_text(visit: Visit, entry_id: str, units: UnitChoice) -> str:
    """The figure that an entry holds, with its doubt; empty for a look or where none is."""
    for entry in visit.entries:
        if entry.stamp.id != entry_id:
            continue
        if isinstance(entry, Taken):
            return " ".join(t for t in value_text(entry, units) if t)
        if isinstance(entry, RunEnded) and entry.drill is None:
            return ended_words(visit, entry, units).words
    return ""


def entry_text(visit: Visit, entry: Taken | Looked | RunEnded, units: UnitChoice) -> str:
    """What was written at a step: 'step 4, Plug cap: 4.38 kΩ ±0.06, Out of band'."""
    keys = [check.key for check in visit.procedure.checks]
    check = visit.procedure.check(entry.check_key)
    return _("step {n}, {name}: {said}").format(
        n=1 + keys.index(check.key), name=check.title, said=_said(visit, check, entry, units)
    )


def _said(visit: Visit, check: Check, entry: Taken | Looked | RunEnded, units: UnitChoice) -> str:
    match entry:
        case Taken():
            word = verdict_word(entry.judgement.verdict, entry.judgement.side)
            return f"{' '.join(t for t in value_text(entry, units) if t)}, {word}"
        case RunEnded():
            return ended_words(visit, entry, units).words
        case Looked():
            return next((a.text for a in check.answers if a.key == entry.answer_key), "")
