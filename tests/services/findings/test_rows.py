"""The ranking in words and marks."""

from dataclasses import replace

import pytest

from benchassist.errors import InputError
from benchassist.services.findings.case import Case, case_of, fault_of
from benchassist.services.findings.rows import named_text, other_text, rows_of, said_aloud
from benchassist.units import UnitChoice
from tests.services.case import Told, bears, book, broke, header

UNITS = UnitChoice()


def case(told: Told) -> Case:
    """What is known."""
    found = case_of(told.visit)
    assert found is not None
    return found


def test_marks_name_their_steps_and_stand_by_size() -> None:
    """Numbers of steps, C for the complaint, S for a swap, H for a word by hand."""
    told = Told(how="sudden")
    told.drill(spark="none")
    told.heat(broke())
    told.swap(("old", True), ("new", False), ("old", True))
    row = rows_of(case(told), UNITS)[0]
    assert row.key == "coil_hot"
    assert [mark.text for mark in row.speaks_for] == ["S", "8", "2", "C"]
    weights = [mark.weight for mark in row.speaks_for]
    assert weights == sorted(weights, reverse=True)
    assert weights[0] == 1.0
    told.say("vent", "free")
    vent = next(r for r in rows_of(case(told), UNITS) if r.key == "vent_blocked")
    assert "H" in [mark.text for mark in vent.speaks_against]


def test_a_mark_says_what_was_read_where() -> None:
    """The reading with its doubt, and how much it says."""
    told = Told()
    told.mark("cap_marking", "5k")
    told.read("cap", None)
    (mark,) = rows_of(case(told), UNITS)[0].speaks_for
    assert mark.sentence == "For, much: Step 4, Cap: open"
    told.read("coil_secondary", 8000.0)
    coil = next(r for r in rows_of(case(told), UNITS) if r.key == "coil_hot")
    sentences = [mark.sentence for mark in coil.speaks_against]
    assert sentences == ["Against, a little: Step 3, Coil: 8.00 kΩ ±0.11, in band"]


@pytest.mark.parametrize("answers", [{}, {"how": "sudden"}, {"how": "sudden", "minutes": "1500"}])
def test_with_hardly_any_evidence_no_cause_is_named(answers: dict[str, str]) -> None:
    """No row is large, and the line above says that none is named."""
    found = case(Told(None, **answers))
    assert not any(row.named for row in rows_of(found, UNITS))
    assert "named first" in named_text(found)


def test_the_named_cause_stands_first_and_alone() -> None:
    """The line names it."""
    told = Told(how="sudden")
    told.drill(spark="none")
    told.heat(broke())
    told.look("fuel_vent", "free")
    found = case(told)
    rows = rows_of(found, UNITS)
    assert [row.named for row in rows] == [True, False, False]
    assert named_text(found) == "First: Coil opens when hot."
    assert [row.place for row in rows] == [1, 2, 3]


def test_something_else_never_comes_to_nothing() -> None:
    """Even after a swap that proved the part."""
    told = Told()
    told.swap(("old", True), ("new", False), ("old", True))
    assert other_text(case(told)) == "Something else: stays possible."
    bare = case(Told(header(causes=replace(book(), other_weight=40.0))))
    assert other_text(bare) == "Something else: likelier than any of these."


def test_what_was_said_against_what_was_seen_is_said_aloud() -> None:
    """One piece of evidence with two sources: the bench counts, and both are told."""
    own = tuple(
        replace(one, source="question:vent_said look:fuel_vent") if one.key == "vent" else one
        for one in book().evidence
    )
    told = Told(header(causes=replace(book(), evidence=own)), vent_said="free")
    told.look("fuel_vent", "blocked")
    found = case(told)
    assert found.seen.outcomes["vent"] == "blocked"
    assert said_aloud(found, UNITS)[0] == (
        "Said, Vent: free; yet step 1: blocked: the bench counts."
    )
    vent = next(r for r in rows_of(found, UNITS) if r.key == "vent_blocked")
    assert vent.speaks_for[0].contradicted


def test_a_word_by_hand_against_a_reading_is_said_aloud() -> None:
    """With its reason where it sets the reading aside."""
    told = Told()
    told.read("coil_secondary", 8000.0)
    told.say("coil", None, "wrong clip")
    assert said_aloud(case(told), UNITS) == (
        "Step 3, Coil: 8.00 kΩ ±0.11, in band; set aside by hand: wrong clip.",
    )
    told.say("coil", "open", "other meter")
    assert "the word given by hand counts" in said_aloud(case(told), UNITS)[0]


def test_strong_evidence_both_ways_is_said_aloud() -> None:
    """The coil broke in the heat run and the fault showed with a new one."""
    told = Told()
    told.heat(broke())
    told.swap(("old", True), ("new", True))
    (line,) = said_aloud(case(told), UNITS)
    assert line == (
        "‘Coil opens when hot’: 8 (Heat run: open) speaks for it,"
        " S (Swap coil: not this part) against."
    )


def test_a_word_on_what_the_book_has_not_is_said_and_left_out() -> None:
    """The evidence is named, the rest ranks."""
    told = Told()
    told.say("moon", "full")
    assert "‘moon’ is left out" in said_aloud(case(told), UNITS)[0]


def test_figures_that_cannot_be_are_refused_in_one_line() -> None:
    """A strength too strong for its share, a weight of nothing: named, not a crash."""
    cause = replace(book().causes[0], bearings=bears(heat_run__open=40.0))
    bad = replace(book(), causes=(cause,))
    assert "too strong for its share" in fault_of(bad)
    told = Told(header(causes=bad))
    told.heat(broke())
    with pytest.raises(InputError, match="slip 0412 cannot be ranked"):
        case_of(told.visit)
    weightless = replace(book(), causes=(replace(book().causes[0], weight=0.0),))
    assert "a weight must be above zero" in fault_of(weightless)
    assert fault_of(book()) == ""
