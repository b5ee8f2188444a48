"""The ranking as rows of the findings page: words and marks, never a bare percentage."""

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Final

from benchassist.core.ranking import NAMED_BITS, NAMED_PIECES, Argument, Ranked
from benchassist.core.strength import Strength, strength
from benchassist.services.findings.cards import CauseRow, Mark, MarkKind
from benchassist.services.findings.case import (
    Case,
    mark_text,
    outcome_text,
    place_text,
    seen_text,
)
from benchassist.services.findings.evidence import Conflict, Origin
from benchassist.services.translation import _
from benchassist.units import UnitChoice

STRENGTH_TEXT: Final[Mapping[Strength, str]] = MappingProxyType(
    {
        Strength.STRONG: _("Strong"),
        Strength.FAIR: _("Fair"),
        Strength.WEAK: _("Weak"),
        Strength.NOT_TESTED: _("Not tested"),
        Strength.ADDS: _("Adds to it"),
    }
)

_KIND: Final[Mapping[Origin, MarkKind]] = MappingProxyType(
    {
        Origin.STEP: MarkKind.STEP,
        Origin.COMPLAINT: MarkKind.COMPLAINT,
        Origin.SWAP: MarkKind.SWAP,
        Origin.HAND: MarkKind.HAND,
    }
)

TOLD_BITS: Final = 1.0
"""Evidence for and against one cause is said aloud where each at least doubles or halves it."""
TOLD_SHARE: Final = 0.05
"""Of causes that still have this share of the whole."""
FAIR_LEFT: Final = 0.25


def rows_of(case: Case, units: UnitChoice, *, selected: str = "") -> tuple[CauseRow, ...]:
    """Every cause, the largest first, its marks by size."""
    named = case.ranking.named
    return tuple(
        CauseRow(
            key=ranked.cause,
            place=place,
            name=case.cause(ranked).name,
            speaks_for=tuple(m for m in marks_of(case, ranked, units) if m.speaks_for),
            speaks_against=tuple(m for m in marks_of(case, ranked, units) if not m.speaks_for),
            strength=(word := strength(case.book, case.ranking, ranked)),
            strength_text=STRENGTH_TEXT[word],
            named=ranked is named,
            selected=ranked.cause == selected,
        )
        for place, ranked in enumerate(case.ranking.ranked, start=1)
    )


def marks_of(case: Case, ranked: Ranked, units: UnitChoice) -> tuple[Mark, ...]:
    """What speaks for and against a cause, the largest first."""
    largest = max((abs(a.bits) for one in case.ranking.ranked for a in one.arguments), default=1.0)
    doubtful = {c.counted.evidence for c in case.seen.conflicts if c.counted is not None}
    return tuple(_mark(case, a, units, largest, doubtful) for a in ranked.arguments)


def _mark(
    case: Case, argument: Argument, units: UnitChoice, largest: float, doubtful: set[str]
) -> Mark:
    sighting = case.sighting(argument)
    return Mark(
        text=mark_text(case, sighting),
        kind=_KIND[sighting.origin],
        speaks_for=argument.bits > 0.0,
        sentence=_bearing_text(case, argument, units),
        evidence=argument.evidence,
        step=sighting.step,
        weight=abs(argument.bits) / largest,
        contradicted=argument.evidence in doubtful,
    )


def _bearing_text(case: Case, argument: Argument, units: UnitChoice) -> str:
    """'For, much: Step 8, Heat run: 2 breaks, opens hot'; the words for sizes are factors."""
    size = 2.0 ** abs(argument.bits)
    if size >= 4.0:
        word = _("For, much") if argument.bits > 0.0 else _("Against, much")
    elif size >= 1.5:
        word = _("For") if argument.bits > 0.0 else _("Against")
    else:
        word = _("For, a little") if argument.bits > 0.0 else _("Against, a little")
    return _("{word}: {seen}").format(
        word=word, seen=seen_text(case, case.sighting(argument), units)
    )


# --- what may be named ----------------------------------------------------------------------------


def named_text(case: Case) -> str:
    """The cause that may be named first, or why none may be."""
    ranking = case.ranking
    named = ranking.named
    if named is not None:
        return _("First: {cause}.").format(cause=case.cause(named).name)
    if not case.seen.counted:
        return _("Nothing is known yet: no cause is named first.")
    first = ranking.ranked[0]
    speaking = first.speaking_for
    bits = sum(one.bits for one in speaking)
    if ranking.other > first.share:
        return _("Something else is likelier than any of these: no cause is named first.")
    if len(speaking) < NAMED_PIECES or bits < NAMED_BITS:
        return _("Too little speaks for any cause: none is named first.")
    second = ranking.ranked[1] if len(ranking.ranked) > 1 else None
    if second is not None and first.share < 2.0 * second.share:
        return _("‘{first}’ and ‘{second}’ stand close: neither is named first.").format(
            first=case.cause(first).name, second=case.cause(second).name
        )
    return _("Too much else is still possible: no cause is named first.")


def other_text(case: Case) -> str:
    """What is left for something else; it never comes to nothing."""
    other, first = case.ranking.other, case.ranking.ranked[0].share
    if other > first:
        return _("Something else: likelier than any of these.")
    if other >= FAIR_LEFT:
        return _("Something else: well possible.")
    return _("Something else: stays possible.")


def weights_text(case: Case) -> str:
    """Whose judgement the weights are."""
    return case.book.note or _("Weights are shop judgement, not statistics.")


# --- evidence that contradicts --------------------------------------------------------------------


def said_aloud(case: Case, units: UnitChoice) -> tuple[str, ...]:
    """Where evidence says yes and no, or speaks both ways of a cause at the head."""
    return tuple(
        [conflict_text(case, one, units) for one in case.seen.conflicts]
        + [_unreadable(word.evidence, word.outcome or "") for word in case.seen.unreadable]
        + list(_both_ways(case))
    )


def conflict_text(case: Case, conflict: Conflict, units: UnitChoice) -> str:
    """One piece of evidence that says two things, and which of them counts."""
    other = conflict.other
    against = seen_text(case, other, units)
    word = case.seen.by_hand.get(other.evidence)
    if conflict.counted is None:
        reason = word.reason if word is not None else ""
        return _("{against}; set aside by hand: {reason}.").format(against=against, reason=reason)
    counted = conflict.counted
    said = outcome_text(case, counted.evidence, counted.outcome)
    if counted.origin is Origin.HAND:
        why = _("the word given by hand counts")
    elif other.origin is Origin.COMPLAINT:
        why = _("the bench counts")
    elif counted.entry == other.entry or counted.step == other.step:
        why = _("what stands there now counts")
    else:
        why = _("the later counts")
    return _("{against}; yet {place}: {said}: {why}.").format(
        against=against, place=place_text(case, counted).lower(), said=said, why=why
    )


def _unreadable(evidence: str, outcome: str) -> str:
    text = _("A word given on ‘{evidence}’ is left out: these causes have no ‘{outcome}’ of it.")
    return text.format(evidence=evidence, outcome=outcome)


def _both_ways(case: Case) -> Iterator[str]:
    """Causes that count with strong evidence both ways."""
    for ranked in case.ranking.ranked:
        if ranked.share < TOLD_SHARE:
            return
        most = next((a for a in ranked.speaking_for if a.bits >= TOLD_BITS), None)
        least = next((a for a in ranked.speaking_against if a.bits <= -TOLD_BITS), None)
        if most is None or least is None:
            continue
        text = _("‘{cause}’: {one} speaks for it, {other} against.")
        yield text.format(
            cause=case.cause(ranked).name, one=_short(case, most), other=_short(case, least)
        )


def _short(case: Case, argument: Argument) -> str:
    sighting = case.sighting(argument)
    name = case.book.find(argument.evidence).name
    return _("{mark} ({name}: {said})").format(
        mark=mark_text(case, sighting),
        name=name,
        said=outcome_text(case, argument.evidence, argument.outcome),
    )
