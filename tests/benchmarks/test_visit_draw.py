"""Drawn visits work the way the program does, and come out the same from the same seed."""

import numpy as np
import pytest

from benchassist.core.ranking import rank
from tests.benchmarks.bench_findings import in_order, worked
from tests.benchmarks.visit_draw import Table, draw, fixed, next_best, work
from tests.specbook.history import cause_book, what_next
from tests.specbook.shelf import COMPLAINTS, procedure

BOOKS = [key for key in COMPLAINTS if key != "service"]


@pytest.mark.parametrize("complaint", BOOKS)
def test_the_next_best_of_a_drawn_visit_is_the_programs(complaint: str) -> None:
    """Shares and choice by arrays agree with core's, step by step."""
    book = cause_book(complaint, "A")
    table = Table.of(book)
    drawn = draw(table, np.random.default_rng(7))
    seen: dict[str, str] = {}
    shares = table.prior
    for _ in range(6):
        ranking = rank(book, seen)
        ours = dict(zip(table.causes, shares, strict=True))
        assert {one.cause: one.share for one in ranking.ranked} == pytest.approx(
            {cause: share for cause, share in ours.items() if cause}
        )
        tests = what_next(book, seen)
        left = [e for e in book.evidence if e.key not in seen and e.is_due(seen) and e.minutes > 0]
        test = next_best(table, shares, seen, left)
        assert test.key == tests[0].evidence
        assert table.bits(shares, test.key) == pytest.approx(tests[0].bits)
        shares = table.posterior(shares, test.key, drawn.outcomes[test.key])
        seen[test.key] = test.outcomes[drawn.outcomes[test.key]].key


def test_a_visit_ends_when_it_is_settled_or_nothing_is_left() -> None:
    """Minutes are those of the tests made, and no test waits for what was not seen."""
    book = cause_book("quits_hot", "A")
    table, rng = Table.of(book), np.random.default_rng(11)
    longest = sum(one.minutes for one in book.evidence)
    for _ in range(30):
        drawn = draw(table, rng)
        for order in (next_best, fixed(in_order(book))):
            done = work(table, drawn, order)
            assert done.settled is (done.share >= 0.9)
            assert 0.0 <= done.minutes <= longest
            assert (done.minutes == 0.0) is (done.tests == 0)


@pytest.mark.parametrize("complaint", BOOKS)
def test_the_checklist_keeps_the_procedures_order(complaint: str) -> None:
    """Looks, readings, runs and steps of the drill in the order in which they are worked."""
    book = cause_book(complaint, "A")
    ordered = [book.find(key) for key in in_order(book)]
    assert len(ordered) == len(book.evidence)
    checks = [check.key for check in procedure(complaint, "A").checks]
    places = [
        checks.index(one.source.partition(":")[2])
        for one in ordered
        if one.source.partition(":")[2] in checks and one.minutes < 60.0
    ]
    assert places == sorted(places)


def test_the_next_best_test_beats_the_checklist() -> None:
    """Over a few hundred visits: less time, and no fewer are settled in half an hour."""
    pairs = [pair for key in BOOKS for pair in worked(cause_book(key, "A"), visits=60)]
    assert pairs == [pair for key in BOOKS for pair in worked(cause_book(key, "A"), visits=60)]
    both = [(one, other) for one, other in pairs if one.settled and other.settled]
    assert len(both) > 100
    assert sum(one.minutes for one, _ in both) < sum(other.minutes for _, other in both)
    ours, checklist = (
        sum(one.settled and one.minutes <= 30.0 for one in side)
        for side in zip(*pairs, strict=True)
    )
    assert ours >= checklist
