"""Invented machines whose end is known: does the shipped book rank and test as was expected of it?

What is expected stands in the histories and was written before any weight was set. Where the book
does otherwise, it is listed here with the reason, and the list may not rot.
"""

import pytest

from benchassist.core.ranking import Ranking, rank
from tests.specbook.history import NOBODY, Case, Stage, cases, cause_book, seen, what_next

STAGES = [(case, stage) for case in cases() for stage in case.stages]
RANKED = [(case, stage) for case, stage in STAGES if stage.within]
TESTED = [(case, stage) for case, stage in STAGES if stage.next]


def told(given: object) -> str:
    """A history or a stage as pytest shows it."""
    return given.key if isinstance(given, Case) else getattr(given, "told", "")


OTHER_TEST: dict[tuple[str, str], str] = {
    # The pull with the stop wire off settles more in three minutes than any ohms. The history was
    # written when no evidence stood for it: the procedure asks it only in words.
    ("dead_coil_no_start", "fuel and spark"): "isolated_pull",
    # Stiff to pull names the lash at once; what could still say otherwise is a plug, in two minutes
    # against eight for the lash.
    ("kicks_back_lash", "choke, fuel and a slow pull"): "look:plug_look",
}
"""Stages whose next best test is another than was expected, and which."""


def ranking(case: Case, stage: Stage) -> Ranking:
    """Where the causes stand by what is known at a stage."""
    book = cause_book(case.complaint, case.engine_class)
    return rank(book, seen(book, stage.known))


def test_the_histories_are_many_and_mixed() -> None:
    """One per frequent cause over the complaints, two faults, misleading evidence, hardly any."""
    every = cases()
    assert len(every) >= 16
    assert {case.complaint for case in every} >= {
        *("quits_hot", "no_start", "hard_start", "surges"),
        *("misfires_under_load", "no_idle_down", "no_shut_off", "backfires"),
    }
    assert sum(len(case.causes) == 2 for case in every) >= 2
    assert sum(case.key.startswith("misleading") for case in every) >= 2
    assert sum(not case.causes for case in every) == 1
    for complaint in {case.complaint for case in every}:
        frequent = {c.key for c in cause_book(complaint).causes if c.weight >= 4.0}
        assert frequent <= {key for case in every for key in case.causes}


@pytest.mark.parametrize("case", cases(), ids=lambda case: case.key)
def test_a_history_names_causes_of_the_book(case: Case) -> None:
    """Each true cause is one that the class can have, and all that is known is of the book."""
    book = cause_book(case.complaint, case.engine_class)
    assert {*case.causes} <= {cause.key for cause in book.causes}
    for stage in case.stages:
        assert stage.within <= len(book.causes)
        worked = {key for key in stage.known if not key.startswith("question:")}
        assert worked <= {one.source for one in book.evidence}


@pytest.mark.parametrize(("case", "stage"), RANKED, ids=told)
def test_the_true_cause_stands_where_expected(case: Case, stage: Stage) -> None:
    """Among the first so many, each of two where there are two."""
    order = [one.cause for one in ranking(case, stage).ranked]
    places = [order.index(cause) + 1 for cause in case.causes]
    assert max(places) <= stage.within, places


@pytest.mark.parametrize(("case", "stage"), STAGES, ids=told)
def test_a_cause_is_named_when_it_may_be(case: Case, stage: Stage) -> None:
    """The expected one, or nobody; and never a cause that was not there."""
    named = ranking(case, stage).named
    if stage.named:
        assert (named.cause if named else NOBODY) == stage.named
    assert named is None or named.cause in case.causes


@pytest.mark.parametrize(("case", "stage"), TESTED, ids=told)
def test_the_next_test_is_the_expected_one(case: Case, stage: Stage) -> None:
    """One of those named, or the other that is listed above with its reason."""
    book = cause_book(case.complaint, case.engine_class)
    first = book.find(what_next(book, seen(book, stage.known))[0].evidence)
    found = first.source or first.key
    if other := OTHER_TEST.get((case.key, stage.told)):
        assert other == found
        assert found not in stage.next
    else:
        assert found in stage.next


def test_the_list_of_exceptions_names_stages() -> None:
    """Each one is a stage of a history."""
    assert {*OTHER_TEST} <= {(case.key, stage.told) for case, stage in STAGES}
