"""The next best test: expected information a minute, among those that can be made here and now.

What a test would do to the ranking is computed for each way it may turn out; the words say which
cause would come first, rise or fall. A step that can move nothing any more is offered as moot, and
can always be done.
"""

from collections.abc import Callable, Iterator
from math import log2
from typing import Final

from benchassist.core.cause import Evidence
from benchassist.core.plain_text import capital
from benchassist.core.procedure import Caution, Check, CheckKind
from benchassist.core.ranking import NextTest, Ranking, next_test, next_tests, rank
from benchassist.core.run import RunKind
from benchassist.core.visit import Standing
from benchassist.services.findings.cards import TestCard, TestOutcome
from benchassist.services.findings.case import Case, check_for, outcome_text, swapped_part
from benchassist.services.findings.evidence_sign import is_worked
from benchassist.services.findings.view import MootRow
from benchassist.services.translation import _

SOON: Final = 4
"""Tests shown after the best."""
MOVES_BITS: Final = 0.5
"""A cause is said to rise or fall where its odds change by this much or more."""
MOOT_SHARE: Final = 0.02
"""A step is moot where nothing it may show moves any cause by more than this share of the whole."""
LEAST_BITS: Final = 1e-3
"""A test expected to tell less is none."""

Words = Callable[[str], Caution]
"""A caution by its key; raises NotFoundError."""


def offered_tests(case: Case) -> tuple[NextTest, ...]:
    """Tests that can be made now, the most telling per minute first."""
    barred = frozenset(e.key for e in case.book.evidence if not can_be_made(case, e))
    tests = next_tests(case.book, case.seen.outcomes, barred=barred)
    return tuple(test for test in tests if test.bits >= LEAST_BITS)


def can_be_made(case: Case, evidence: Evidence) -> bool:
    """Whether a step of the visit, a swap or the technician can answer it, and it is due."""
    if evidence.key in case.seen.by_hand or not evidence.is_due(case.seen.outcomes):
        return False
    check = check_for(case.visit, evidence)
    if check is None:
        return evidence.by_hand or bool(swapped_part(evidence))
    taken = case.visit.standing(check.key) not in {Standing.TO_DO, Standing.SKIPPED}
    return not taken and not is_worked(case.visit, check)


def card_of(case: Case, test: NextTest, cautions: Words, *, best: bool = True) -> TestCard:
    """A test as a card: its minutes, what each way it may turn out would do, its hazards."""
    evidence = case.book.find(test.evidence)
    check = check_for(case.visit, evidence)
    return TestCard(
        evidence=test.evidence,
        label=_("Next best test") if best else _("Then"),
        title=evidence.name,
        minutes=f"{test.minutes:g}",
        minutes_unit=_("min"),
        outcomes=tuple(_outcomes(case, test)),
        start_text=_("Start this test"),
        on_bench=check is not None,
        step_text=_step_text(case, check),
        why=_("Expected to settle {bits:.2f} of the {open:.1f} bits still open.").format(
            bits=test.bits, open=case.ranking.entropy
        ),
        cautions=tuple(cautions_of(evidence, check, cautions)),
    )


def _step_text(case: Case, check: Check | None) -> str:
    if check is None:
        return _("no step of this visit: answer it here")
    if case.visit.standing(check.key) is Standing.SKIPPED:
        return _("step {n}, passed over before").format(n=case.numbers[check.key])
    return _("step {n}").format(n=case.numbers[check.key])


def cautions_of(evidence: Evidence, check: Check | None, cautions: Words) -> Iterator[str]:
    """The hazards of a test in full: its step’s, then its own."""
    said = {caution.key: caution.text for caution in check.cautions} if check is not None else {}
    for key in dict.fromkeys((*said, *evidence.cautions)):
        yield said[key] if key in said else cautions(key).text


def _outcomes(case: Case, test: NextTest) -> Iterator[TestOutcome]:
    """What each outcome would do, the likeliest first."""
    for prospect in sorted(test.prospects, key=lambda one: -one.probability):
        yield TestOutcome(
            text=_("{outcome}:").format(
                outcome=capital(outcome_text(case, test.evidence, prospect.outcome))
            ),
            effect=effect_text(case, test.evidence, prospect.outcome),
        )


def effect_text(case: Case, evidence: str, outcome: str) -> str:
    """What one way a test may turn out would do: which cause comes first, rises, falls."""
    now = case.ranking
    after = rank(case.book, case.seen.outcomes | {evidence: outcome})
    parts: list[str] = []
    first = after.ranked[0]
    named = after.named
    name = case.cause(first).name
    if named is not None and (now.named is None or now.named.cause != named.cause):
        parts.append(_("‘{cause}’ could be named first").format(cause=name))
    elif first.cause != now.ranked[0].cause:
        parts.append(_("‘{cause}’ comes first").format(cause=name))
    moved = _moved(now, after)
    if not parts and moved and moved[0][0] >= MOVES_BITS:
        parts.append(_("‘{cause}’ rises").format(cause=case.book.cause(moved[0][1]).name))
    if moved and moved[-1][0] <= -MOVES_BITS:
        parts.append(_("‘{cause}’ falls").format(cause=case.book.cause(moved[-1][1]).name))
    return (_("; ").join(parts) if parts else _("changes little")) + "."


def _moved(now: Ranking, after: Ranking) -> list[tuple[float, str]]:
    """How far the odds of each cause that matters move, in bits, what rises most first."""
    before = {one.cause: one for one in now.ranked}
    moved = [
        (_odds_bits(one.share) - _odds_bits(before[one.cause].share), one.cause)
        for one in after.ranked
        if max(one.share, before[one.cause].share) >= MOOT_SHARE
    ]
    return sorted(moved, reverse=True)


def _odds_bits(share: float) -> float:
    least = 1e-12
    bounded = min(max(share, least), 1.0 - least)
    return log2(bounded / (1.0 - bounded))


# --- moot -----------------------------------------------------------------------------------------


def moot_rows(case: Case) -> tuple[MootRow, ...]:
    """Steps that can move nothing any more, once a cause may be named; never what keeps safe."""
    if case.ranking.named is None:
        return ()
    return tuple(
        MootRow(
            step=check.key,
            number=case.numbers[check.key],
            name=check.title,
            reason=_("Whatever it shows, no cause moves by more than {n:.0f} in 100.").format(
                n=100.0 * MOOT_SHARE
            ),
        )
        for check in case.visit.procedure.checks
        if is_moot(case, check)
    )


def is_moot(case: Case, check: Check) -> bool:
    """Whether a step can move no cause any more; never what verifies the repair."""
    if case.visit.standing(check.key) is not Standing.TO_DO or _verifies(check):
        return False
    answering = [e for e in case.book.evidence if _answers(case, e, check)]
    return bool(answering) and all(_moves(case, e) <= MOOT_SHARE for e in answering)


def _verifies(check: Check) -> bool:
    """A run of the whole machine is made to verify the repair as well."""
    return check.kind is CheckKind.RUN and (
        check.run is None or check.run.kind in {RunKind.ENGINE, RunKind.TANK}
    )


def _answers(case: Case, evidence: Evidence, check: Check) -> bool:
    found = check_for(case.visit, evidence)
    return found is not None and found.key == check.key


def _moves(case: Case, evidence: Evidence) -> float:
    """The most that any cause's share moves, whichever way it turns out."""
    if evidence.key in case.seen.counted:
        return 0.0
    before = {one.cause: one.share for one in case.ranking.ranked}
    test = next_test(case.book, case.seen.outcomes, evidence)
    return max(
        abs(one.share - before[one.cause])
        for prospect in test.prospects
        for one in prospect.ranking.ranked
    )
