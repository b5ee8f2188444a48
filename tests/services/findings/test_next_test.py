"""The next best test and the steps that have become moot."""

from dataclasses import replace

import pytest

from benchassist.core.procedure import Caution
from benchassist.core.ranking import next_test
from benchassist.services.findings.cards import TestCard
from benchassist.services.findings.case import Case, case_of
from benchassist.services.findings.next_test import card_of, moot_rows, offered_tests
from tests.services.case import Told, book, broke, evidence, header


def words(key: str) -> Caution:
    """A caution."""
    return Caution(key=key, text=f"Take care: {key}.")


def case(told: Told) -> Case:
    """What is known."""
    found = case_of(told.visit)
    assert found is not None
    return found


def offered(told: Told) -> list[str]:
    """Tests that can be made, in order."""
    return [test.evidence for test in offered_tests(case(told))]


def best(told: Told) -> TestCard:
    """The card of the best."""
    found = case(told)
    return card_of(found, offered_tests(found)[0], words)


def test_the_most_telling_per_minute_comes_first() -> None:
    """A look of a minute before a heat run of ninety."""
    keys = offered(Told(how="sudden"))
    assert keys[0] == "vent"
    assert keys.index("vent") < keys.index("heat_run")
    card = best(Told(how="sudden"))
    assert (card.minutes, card.on_bench, card.step_text) == ("1", True, "step 1")


def test_what_is_said_is_no_test() -> None:
    """Questions are asked at the counter."""
    assert not {"how_it_quits", "soon"} & set(offered(Told()))


def test_a_step_that_was_taken_is_not_offered_again_whatever_it_told() -> None:
    """Cannot be told, too close: repeating it is the bench’s own advice."""
    told = Told()
    told.look("fuel_vent", "not_seen")
    told.read("coil_secondary", 13_000.0)
    assert not {"vent", "coil"} & set(offered(told))


def test_a_step_passed_over_is_offered_and_says_so() -> None:
    """The reason may have gone."""
    told = Told()
    told.skip("fuel_vent")
    assert best(told).step_text == "step 1, passed over before"


def test_evidence_of_no_step_is_offered_only_by_hand() -> None:
    """A check that the visit’s procedure leaves out cannot be made here; a hand can answer."""
    told = Told()
    card = next(
        card_of(case(told), test, words)
        for test in offered_tests(case(told))
        if test.evidence == "bowl_flow"
    )
    assert card.on_bench is False
    assert card.cautions == ("Take care: fuel_open.",)
    left_out = tuple(
        replace(one, by_hand=False) if one.key == "bowl_flow" else one for one in book().evidence
    )
    assert "bowl_flow" not in offered(Told(header(causes=replace(book(), evidence=left_out))))


def test_what_is_not_due_is_not_offered() -> None:
    """The vent is opened only once the drill has seen the spark."""
    later = tuple(
        replace(one, after=("spark:yes",)) if one.key == "vent" else one for one in book().evidence
    )
    told = Told(header(causes=replace(book(), evidence=later)))
    assert "vent" not in offered(told)
    told.drill(spark="yes")
    assert "vent" in offered(told)


def test_each_outcome_says_what_it_would_do() -> None:
    """The words follow the ranking after it: what comes first, rises, falls."""
    card = best(Told(how="sudden"))
    assert card.evidence == "vent"
    effects = {outcome.text: outcome.effect for outcome in card.outcomes}
    assert list(effects) == ["Free:", "Blocked:"]
    assert effects["Blocked:"].startswith("‘Fuel cap vent blocked’ comes first")
    assert "‘Fuel cap vent blocked’ falls" in effects["Free:"]


def test_an_outcome_that_would_name_a_cause_says_so() -> None:
    """No spark and sudden: a break in the heat run would name the coil."""
    told = Told(how="sudden")
    told.drill(spark="none")
    found = case(told)
    heat_run = found.book.find("heat_run")
    card = card_of(found, next_test(found.book, found.seen.outcomes, heat_run), words)
    effects = {outcome.text: outcome.effect for outcome in card.outcomes}
    assert effects["Open:"].startswith("‘Coil opens when hot’ could be named first")


def test_what_a_person_set_aside_is_not_offered() -> None:
    """They said why it does not count."""
    told = Told()
    told.say("vent", None, "cap was swapped at the pump")
    assert "vent" not in offered(told)


def test_nothing_is_moot_before_a_cause_is_named() -> None:
    """Hardly any evidence makes no step needless."""
    assert moot_rows(case(Told(how="sudden"))) == ()


def test_a_step_that_moves_nothing_is_moot_with_its_reason() -> None:
    """The swap has proved the coil: a look at the vent moves no cause by more than 2 in 100."""
    told = Told(how="sudden")
    told.drill(spark="none")
    told.heat(broke())
    told.swap(("old", True), ("new", False), ("old", True))
    moot = {row.step: row for row in moot_rows(case(told))}
    assert "fuel_vent" in moot
    assert moot["fuel_vent"].number == 1
    assert "2 in 100" in moot["fuel_vent"].reason
    assert "stop_wire_back" not in moot


def test_moot_means_what_it_says() -> None:
    """Whichever way a moot step turns out, no cause’s share moves by more than was stated."""
    told = Told(how="sudden")
    told.drill(spark="none")
    told.heat(broke())
    told.swap(("old", True), ("new", False), ("old", True))
    found = case(told)
    before = {one.cause: one.share for one in found.ranking.ranked}
    (moot,) = [row for row in moot_rows(found) if row.step == "fuel_vent"]
    for answer in ("free", "blocked"):
        told.look(moot.step, answer)
        for one in case(told).ranking.ranked:
            assert one.share == pytest.approx(before[one.cause], abs=0.02)


def test_a_test_that_tells_nothing_is_none() -> None:
    """Evidence that bears on no cause is not offered at all."""
    idle = evidence("idle", "look:fuel_vent", ("free", 0.5), ("blocked", 0.5))
    causes = replace(book(), evidence=(*book().evidence, idle))
    assert "idle" not in offered(Told(header(causes=causes)))
