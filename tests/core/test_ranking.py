"""Ranking of causes and the next best test."""

from itertools import product
from math import log2

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import entropy as scipy_entropy

from benchassist.core.cause import Bearing, Cause, CauseBook, Evidence, Outcome, likelihoods
from benchassist.core.ranking import next_test, next_tests, rank


@st.composite
def books(draw: st.DrawFn) -> CauseBook:
    """Drawn networks: a few causes, a few pieces of evidence, strengths that can be."""
    evidence = tuple(
        Evidence(
            key=f"e{i}",
            name=f"evidence {i}",
            outcomes=tuple(
                Outcome(key=f"o{j}", text="", base=draw(st.floats(0.1, 1.0)))
                for j in range(draw(st.integers(2, 4)))
            ),
            minutes=draw(st.floats(0.5, 20.0)),
        )
        for i in range(draw(st.integers(1, 4)))
    )
    causes = tuple(
        Cause(
            key=f"c{i}",
            name=f"cause {i}",
            weight=draw(st.floats(0.1, 5.0)),
            bearings=tuple(
                Bearing(
                    evidence=one.key,
                    outcome="o0",
                    ratio=draw(st.floats(0.05, 0.98)) / _share(one, "o0"),
                )
                for one in evidence
                if draw(st.booleans())
            ),
        )
        for i in range(draw(st.integers(1, 5)))
    )
    return CauseBook(
        complaint="drawn",
        causes=causes,
        evidence=evidence,
        other_weight=draw(st.floats(0.1, 3.0)),
    )


def _share(evidence: Evidence, key: str) -> float:
    return evidence.outcome(key).base / sum(outcome.base for outcome in evidence.outcomes)


def joint(book: CauseBook) -> dict[tuple[str, ...], dict[str, float]]:
    """The whole joint distribution by brute force: every outcome of everything, every cause."""
    total = book.other_weight + sum(cause.weight for cause in book.causes)
    table: dict[tuple[str, ...], dict[str, float]] = {}
    for outcomes in product(*([o.key for o in e.outcomes] for e in book.evidence)):
        row = {"": book.other_weight / total}
        for cause in book.causes:
            row[cause.key] = cause.weight / total
        for evidence, outcome in zip(book.evidence, outcomes, strict=True):
            row[""] *= _share(evidence, outcome)
            for cause in book.causes:
                stated = [b.ratio for b in cause.bearings if b.evidence == evidence.key]
                share = _share(evidence, outcome)
                if stated and outcome == "o0":
                    share *= stated[0]
                elif stated:
                    first = _share(evidence, "o0")
                    share *= (1.0 - first * stated[0]) / (1.0 - first)
                row[cause.key] *= share
        table[outcomes] = row
    return table


def posterior(
    table: dict[tuple[str, ...], dict[str, float]], book: CauseBook, seen: dict[str, str]
) -> tuple[float, dict[str, float]]:
    """The chance of what was seen, and every cause's share after it, summed over the joint."""
    places = {evidence.key: i for i, evidence in enumerate(book.evidence)}
    found: dict[str, float] = {}
    for outcomes, row in table.items():
        if all(outcomes[places[key]] == outcome for key, outcome in seen.items()):
            for cause, chance in row.items():
                found[cause] = found.get(cause, 0.0) + chance
    total = sum(found.values())
    return total, {cause: chance / total for cause, chance in found.items()}


@given(books(), st.data())
def test_ranking_agrees_with_the_enumerated_joint(book: CauseBook, data: st.DataObject) -> None:
    """Every share, on drawn networks, with anything seen or nothing."""
    seen = {
        evidence.key: data.draw(st.sampled_from([o.key for o in evidence.outcomes]))
        for evidence in book.evidence
        if data.draw(st.booleans())
    }
    _chance, wanted = posterior(joint(book), book, seen)
    found = rank(book, seen)
    assert found.other == pytest.approx(wanted[""], rel=1e-9)
    for one in found.ranked:
        assert one.share == pytest.approx(wanted[one.cause], rel=1e-9)
    shares = [one.share for one in found.ranked]
    assert shares == sorted(shares, reverse=True)


@given(books())
def test_information_agrees_with_the_joint_and_scipys_entropy(book: CauseBook) -> None:
    """Entropy before less expected entropy after, by enumeration and scipy, in bits."""
    table, first = joint(book), book.evidence[0]
    _all, before = posterior(table, book, {})
    after = 0.0
    found = next_test(book, {}, first)
    for prospect in found.prospects:
        chance, shares = posterior(table, book, {first.key: prospect.outcome})
        assert prospect.probability == pytest.approx(chance, rel=1e-9)
        after += chance * float(scipy_entropy(list(shares.values()), base=2))
    wanted = float(scipy_entropy(list(before.values()), base=2)) - after
    assert found.bits == pytest.approx(wanted, abs=1e-9)
    assert found.bits_per_minute == pytest.approx(wanted / max(first.minutes, 0.5), abs=1e-9)


def two_causes() -> CauseBook:
    """A vent and a coil, one question and one test."""
    hiss = Evidence(
        key="hiss",
        name="hiss at the fuel cap",
        outcomes=(Outcome(key="yes", text="", base=0.1), Outcome(key="no", text="", base=0.9)),
        minutes=1.0,
    )
    spark = Evidence(
        key="spark",
        name="spark within a minute",
        outcomes=(Outcome(key="none", text="", base=0.2), Outcome(key="there", text="", base=0.8)),
        minutes=2.0,
    )
    return CauseBook(
        complaint="quits_hot",
        evidence=(hiss, spark),
        causes=(
            Cause(
                key="vent",
                name="vent",
                weight=2.0,
                bearings=(Bearing(evidence="hiss", outcome="yes", ratio=8.0),),
            ),
            Cause(
                key="coil",
                name="coil",
                weight=1.0,
                bearings=(Bearing(evidence="spark", outcome="none", ratio=4.5),),
            ),
        ),
    )


def test_the_strength_of_an_outcome_is_its_likelihood_ratio_and_the_rest_follows() -> None:
    """8 times 10 % is 80 %, which leaves 20 % of no hiss where 90 % was usual."""
    book = two_causes()
    assert likelihoods(book.cause("vent"), book.find("hiss")) == pytest.approx(
        {"yes": 0.8, "no": 0.2}
    )
    found = rank(book, {"hiss": "no"})
    (against,) = found.of("vent").speaking_against
    assert against.bits == pytest.approx(log2(0.2 / 0.9))


def test_nothing_seen_names_nothing_and_two_strong_pieces_do() -> None:
    """Weights alone are no evidence."""
    book = two_causes()
    assert rank(book, {}).named is None
    assert rank(book, {"hiss": "yes"}).named is None
    named = rank(book, {"hiss": "no", "spark": "none"}).named
    assert named is None or named.cause == "coil"


@given(books(), st.data())
def test_hardly_any_evidence_names_no_cause(book: CauseBook, data: st.DataObject) -> None:
    """With one piece of evidence, however strong, no cause is named first."""
    first = data.draw(st.sampled_from(book.evidence))
    outcome = data.draw(st.sampled_from([o.key for o in first.outcomes]))
    assert rank(book, {}).named is None
    assert rank(book, {first.key: outcome}).named is None


def test_the_most_telling_test_per_minute_comes_first() -> None:
    """What was seen, what is barred and what costs no bench minute is not offered."""
    book = two_causes()
    tests = next_tests(book, {})
    rates = [test.bits_per_minute for test in tests]
    assert rates == sorted(rates, reverse=True)
    assert {test.evidence for test in tests} == {"hiss", "spark"}
    assert [t.evidence for t in next_tests(book, {"hiss": "no"})] == ["spark"]
    assert next_tests(book, {}, barred=frozenset({"hiss", "spark"})) == ()


@pytest.mark.parametrize("strength", [0.0, -1.0, float("inf"), float("nan")])
def test_a_strength_that_cannot_be_is_refused(strength: float) -> None:
    """Zero would clear a cause for good, infinity would settle it."""
    hiss = two_causes().find("hiss")
    cause = Cause(
        key="x",
        name="x",
        weight=1.0,
        bearings=(Bearing(evidence="hiss", outcome="yes", ratio=strength),),
    )
    with pytest.raises(ValueError, match="strength"):
        likelihoods(cause, hiss)


def test_a_strength_too_large_for_its_share_is_refused() -> None:
    """12 times 10 % would be more than always."""
    hiss = two_causes().find("hiss")
    cause = Cause(
        key="x",
        name="x",
        weight=1.0,
        bearings=(Bearing(evidence="hiss", outcome="yes", ratio=12.0),),
    )
    with pytest.raises(ValueError, match="too strong"):
        likelihoods(cause, hiss)
