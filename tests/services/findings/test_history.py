"""The invented case histories as whole visits: entries in, the same ranking out."""

from dataclasses import replace

import pytest

from benchassist.core.band import Judgement, Reason, Side, Verdict
from benchassist.core.entry import Entry, EvidenceSet, Looked, RunEnded, SwapTried, Taken
from benchassist.core.estimate import Conditions
from benchassist.core.ranking import rank
from benchassist.core.run import HeatedPart
from benchassist.core.run_finding import (
    DrillAnswer,
    DrillFinding,
    EngineFinding,
    HeatFinding,
    Hunting,
)
from benchassist.core.swap import Fitted, Trial
from benchassist.core.visit import Visit
from benchassist.services.findings.case import case_of
from benchassist.services.findings.claims import claims_of
from benchassist.services.findings.next_test import card_of, offered_tests
from benchassist.specbook.book import Book
from benchassist.units import UnitChoice
from tests.core import entries
from tests.services.case import broke
from tests.specbook.history import Case, Stage, cases, cause_book, outcome_of, seen

STAGES = [(case, stage) for case in cases() for stage in case.stages]
BOOK = Book()


def told(given: object) -> str:
    """A history or a stage as pytest shows it."""
    return given.key if isinstance(given, Case) else getattr(given, "told", "")


def visit_of(case: Case, stage: Stage) -> Visit:
    """A visit in which all that is known at a stage was written as the bench writes it."""
    causes = cause_book(case.complaint, case.engine_class)
    procedure = next(c.procedure for c in BOOK.complaints() if c.key == case.complaint)
    kinds: dict[str, dict[str, str]] = {}
    for source, code in stage.known.items():
        kind, _sep, key = source.partition(":")
        kinds.setdefault(kind, {})[key] = code
    head = entries.header()
    visit = Visit(
        replace(
            head,
            causes=causes,
            procedure=BOOK.procedure(procedure, case.engine_class),
            interview=replace(head.interview, answers=tuple(kinds.pop("question", {}).items())),
        )
    )
    drill = kinds.pop("drill", {})
    if drill:
        visit.apply(_drilled(visit, drill))
    for kind, known in kinds.items():
        for key, code in known.items():
            _write(visit, kind, key, code)
    return visit


def _write(visit: Visit, kind: str, key: str, code: str) -> None:
    """One thing known; by hand where the procedure has no step for it."""
    if kind == "swap":
        assert code == "proved"
        for fitted, fault in ((Fitted.OLD, True), (Fitted.NEW, False), (Fitted.OLD, True)):
            trial = Trial(fitted=fitted, fault=fault)
            visit.apply(SwapTried(stamp=entries.stamp(visit), part=key, trial=trial))
        return
    visit.apply(_entry(visit, kind, key, code))


def _entry(visit: Visit, kind: str, key: str, code: str) -> Entry:
    if key not in {check.key for check in visit.procedure.checks}:
        return _by_hand(visit, f"{kind}:{key}", code)
    if kind == "look":
        return Looked(stamp=entries.stamp(visit), check_key=key, answer_key=code)
    return _taken(visit, key, code) if kind == "reading" else _ran(visit, key, code)


def _by_hand(visit: Visit, source: str, code: str) -> Entry:
    causes = visit.header.causes
    assert causes is not None
    evidence = next(one for one in causes.evidence if one.source == source)
    assert evidence.by_hand
    return EvidenceSet(
        stamp=entries.stamp(visit), evidence=evidence.key, outcome=outcome_of(evidence, code)
    )


def _taken(visit: Visit, key: str, code: str) -> Taken:
    verdict = Verdict.IN_BAND if code == "in_band" else Verdict.OUT_OF_BAND
    value = None if code == "open" else 5000.0
    side = {"low": Side.LOW, "high": Side.HIGH, "open": Side.HIGH}.get(code)
    return Taken(
        stamp=entries.stamp(visit),
        check_key=key,
        reading=entries.ohms(value),
        conditions=Conditions(),
        judgement=Judgement(
            verdict=verdict,
            reason=Reason.OPEN if value is None else Reason.CLEAR_OF_EDGES,
            side=side,
            value=value,
        ),
    )


def _ran(visit: Visit, key: str, code: str) -> RunEnded:
    stamp = entries.stamp(visit)
    if code == "open":
        heat = HeatFinding(
            part=HeatedPart.WINDING, reproduced=True, departure_assessed=True, events=(broke(),)
        )
        return RunEnded(stamp=stamp, check_key=key, run_id="r", heat=heat)
    found = {
        "hunting": EngineFinding(hunting=Hunting(present=True)),
        "fails_to_fall": EngineFinding(failed_falls=2),
    }
    return RunEnded(stamp=stamp, check_key=key, run_id="r", engine=found[code])


def _drilled(visit: Visit, answers: dict[str, str]) -> RunEnded:
    given = (DrillAnswer(step=step, answer=answer, t_s=20.0) for step, answer in answers.items())
    return RunEnded(
        stamp=entries.stamp(visit),
        check_key="quit_drill",
        run_id="d",
        drill=DrillFinding(answers=tuple(given)),
    )


@pytest.mark.parametrize(("case", "stage"), STAGES, ids=told)
def test_a_visit_says_what_the_history_knows(case: Case, stage: Stage) -> None:
    """Every answer, look, reading, run and swap is found again, and ranks the same."""
    visit = visit_of(case, stage)
    found = case_of(visit)
    assert found is not None
    known = seen(found.book, stage.known)
    assert found.seen.outcomes == known
    assert found.ranking == rank(found.book, found.seen.outcomes)


@pytest.mark.parametrize(("case", "stage"), STAGES, ids=told)
def test_every_test_offered_can_be_made_and_is_worded(case: Case, stage: Stage) -> None:
    """A card for each, with words for every way it may turn out and its cautions."""
    found = case_of(visit_of(case, stage))
    assert found is not None
    for test in offered_tests(found):
        card = card_of(found, test, BOOK.caution)
        assert len(card.outcomes) >= 2
        assert all(outcome.text and outcome.effect for outcome in card.outcomes)
        assert card.step_text


def test_the_histories_claim_no_more_than_they_proved() -> None:
    """Confirmed are the coil that broke in its heat run and the cap that was swapped back."""
    confirmed = set()
    for case in cases():
        visit = visit_of(case, case.stages[-1])
        for row in claims_of(visit, case_of(visit), UnitChoice()):
            if row.claim_text == "Confirmed":
                confirmed.add((case.key, row.name))
    assert confirmed == {("coil_opens_hot_mower", "coil"), ("green_cap_pump", "cap")}
