"""Over the shipped book and over drawn ones: nothing says more than its evidence."""

from collections.abc import Mapping
from functools import cache
from math import log2

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from benchassist.core.cause import Bearing, Cause, CauseBook, Evidence, Outcome, ratio
from benchassist.core.claim import Claim, is_reproduced_break
from benchassist.core.entry import RunEnded
from benchassist.core.ranking import NAMED_PIECES, rank
from benchassist.core.swap import SwapResult
from benchassist.services.findings.case import case_of, fault_of
from benchassist.services.findings.claims import claims_of
from benchassist.services.findings.next_test import MOOT_SHARE, moot_rows, offered_tests
from benchassist.services.findings.rows import named_text, rows_of, said_aloud
from benchassist.services.findings.swap_trial import swap_of
from benchassist.services.slips.slips import slip_of
from benchassist.specbook.book import Book
from benchassist.units import UnitChoice
from tests.services.case import Told, book, broke, header

UNITS = UnitChoice()
QUICK = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@cache
def shipped() -> tuple[CauseBook, ...]:
    """The causes of every complaint that has some."""
    found = Book()
    books = (found.causes(complaint.key, "A") for complaint in found.complaints())
    return tuple(one for one in books if one.causes)


@st.composite
def drawn_books(draw: st.DrawFn) -> CauseBook:
    """A book of two to five causes whose figures can be."""
    evidence = tuple(_evidence(draw, n) for n in range(draw(st.integers(1, 6))))
    causes = []
    for n in range(draw(st.integers(2, 5))):
        bearings = tuple(
            Bearing(
                evidence=one.key,
                outcome=one.outcomes[0].key,
                ratio=draw(st.floats(0.1, 0.95 / one.outcomes[0].base)),
            )
            for one in evidence
            if draw(st.booleans())
        )
        causes.append(
            Cause(
                key=f"c{n}",
                name=f"Cause {n}",
                weight=draw(st.floats(0.1, 10.0)),
                part="coil" if n == 0 else f"part{n}",
                bearings=bearings,
            )
        )
    return CauseBook(
        complaint="x",
        causes=tuple(causes),
        evidence=evidence,
        other_weight=draw(st.floats(0.1, 10.0)),
    )


def _evidence(draw: st.DrawFn, n: int) -> Evidence:
    share = draw(st.floats(0.05, 0.9))
    source = draw(
        st.sampled_from(
            ["question:how", "look:fuel_vent", "reading:coil_secondary", "drill:spark", "swap:coil"]
        )
    )
    keys = {
        "question:how": ("sudden", "fading"),
        "look:fuel_vent": ("blocked", "free"),
        "reading:coil_secondary": ("open", "in_band"),
        "drill:spark": ("none", "yes"),
        "swap:coil": ("proved", "not_this_part"),
    }[source]
    return Evidence(
        key=f"e{n}",
        name=f"Evidence {n}",
        source=source,
        minutes=draw(st.floats(0.0, 60.0)),
        outcomes=(
            Outcome(key=keys[0], text=keys[0], base=share),
            Outcome(key=keys[1], text=keys[1], base=1.0 - share),
        ),
    )


MOVES = (
    *("open", "in_band", "undecided", "blocked", "free", "none", "yes", "broke", "quiet"),
    *("swap", "word", "fit", "strike"),
)
SWAPS = (("old", True), ("old", False), ("new", True), ("new", False))


@st.composite
def told_visits(draw: st.DrawFn, books: st.SearchStrategy[CauseBook]) -> Told:
    """Anything a visit may hold, in any order, said yes and no."""
    causes = draw(books)
    answers = draw(
        st.dictionaries(
            st.sampled_from(["how", "minutes"]),
            st.sampled_from(["sudden", "fading", "unknown", "300", "1500"]),
        )
    )
    told = Told(header(causes=causes), **answers)
    for move in draw(
        st.lists(st.sampled_from((*MOVES, "swap", "word", "fit", "strike")), max_size=9)
    ):
        _do(draw, told, move, causes)
    return told


def _do(draw: st.DrawFn, told: Told, move: str, causes: CauseBook) -> None:
    match move:
        case "open" | "in_band" | "undecided":
            ohm = {"open": None, "in_band": 8000.0, "undecided": 13_000.0}[move]
            told.read("coil_secondary", ohm)
        case "blocked" | "free":
            told.look("fuel_vent", move)
        case "none" | "yes":
            told.drill(spark=move)
        case "broke" | "quiet":
            events = [broke(again=draw(st.booleans()))] if move == "broke" else []
            told.heat(*events)
        case "swap":
            told.swap(draw(st.sampled_from(SWAPS)), bundled=draw(st.sampled_from([(), ("plug",)])))
        case "word":
            evidence = draw(st.sampled_from(causes.evidence))
            keys = [outcome.key for outcome in evidence.outcomes]
            told.say(evidence.key, draw(st.sampled_from([*keys, None])))
        case "fit":
            told.fit("coil")
        case _:
            standing = told.visit.latest("coil_secondary")
            if standing is not None:
                told.strike(standing)


SHIPPED = st.deferred(lambda: st.sampled_from(shipped()))
ANY = told_visits(st.one_of(drawn_books(), st.just(book()), SHIPPED))


@given(ANY)
@QUICK
def test_nothing_is_confirmed_without_a_swap_or_a_reproduced_break(told: Told) -> None:
    """Whatever was read, seen or said: the word needs one of the two."""
    for row in claims_of(told.visit, case_of(told.visit), UNITS):
        if row.claim is Claim.CONFIRMED:
            swap = swap_of(told.visit, "coil")
            proved = swap is not None and swap.result is SwapResult.PROVED
            runs = [e.heat for e in told.visit.entries if isinstance(e, RunEnded)]
            broke_twice = any(heat is not None and is_reproduced_break(heat) for heat in runs)
            assert broke_twice or (proved and swap is not None and not swap.not_separated)


@given(ANY)
@QUICK
def test_whatever_says_yes_and_no_the_page_goes_on(told: Told) -> None:
    """Every card and the slip are made; each line is one line."""
    case = case_of(told.visit)
    assert case is not None
    lines = (*said_aloud(case, UNITS), named_text(case), *slip_of(told.visit, UNITS).not_proved)
    assert all(line and "\n" not in line for line in lines)
    assert {row.key for row in rows_of(case, UNITS)} == {one.key for one in case.book.causes}
    for test in offered_tests(case):
        assert sum(one.probability for one in test.prospects) == pytest.approx(1.0)


@given(ANY)
@QUICK
def test_a_cause_is_named_only_on_enough_evidence_of_its_own(told: Told) -> None:
    """Two pieces at least speak for it, and one row at most is large."""
    case = case_of(told.visit)
    assert case is not None
    named = [row for row in rows_of(case, UNITS) if row.named]
    assert len(named) <= 1
    for row in named:
        assert row.place == 1
        assert len(row.speaks_for) >= NAMED_PIECES


@given(ANY)
@QUICK
def test_moot_is_offered_only_where_a_cause_is_named(told: Told) -> None:
    """And never for more than was stated."""
    case = case_of(told.visit)
    assert case is not None
    if case.ranking.named is None:
        assert moot_rows(case) == ()
    assert MOOT_SHARE <= 0.05


@given(st.sampled_from(range(20)), st.data())
@QUICK
def test_with_one_piece_of_evidence_nobody_is_named(n: int, data: st.DataObject) -> None:
    """Over the shipped books: any single answer, look or reading names no cause first."""
    causes = shipped()[n % len(shipped())]
    evidence = data.draw(st.sampled_from(causes.evidence))
    outcome = data.draw(st.sampled_from(evidence.outcomes))
    assert rank(causes, {evidence.key: outcome.key}).named is None
    assert rank(causes, {}).named is None


def in_band_of(causes: CauseBook) -> Mapping[str, Evidence]:
    """Readings of a coil that can be in band."""
    return {
        one.key: one
        for one in causes.evidence
        if one.source.startswith("reading:coil") and any(o.key == "in_band" for o in one.outcomes)
    }


def test_a_resistance_in_band_never_clears_a_coil() -> None:
    """In band lowers the odds of a coil by a factor of two at most, in every shipped book."""
    for causes in shipped():
        assert fault_of(causes) == ""
        for evidence in in_band_of(causes).values():
            for cause in (one for one in causes.causes if one.part == "coil"):
                assert log2(ratio(cause, evidence, "in_band")) >= -1.0


def test_there_are_coils_to_look_at() -> None:
    """The check above sees something."""
    assert any(in_band_of(causes) for causes in shipped())
    assert any(cause.part == "coil" for causes in shipped() for cause in causes.causes)


@given(ANY)
@QUICK
def test_a_coil_in_band_stays_in_the_ranking(told: Told) -> None:
    """A reading more, in band: every cause is still there, and no sentence calls a part good."""
    told.read("coil_secondary", 8000.0)
    case = case_of(told.visit)
    assert case is not None
    rows = rows_of(case, UNITS)
    assert len(rows) == len(case.book.causes)
    said = " ".join(
        mark.sentence for row in rows for mark in (*row.speaks_for, *row.speaks_against)
    )
    assert " good" not in said.lower()
    assert any("does not clear a coil" in line for line in slip_of(told.visit, UNITS).not_proved)
