"""The word for how a cause stands."""

from benchassist.core.ranking import rank
from benchassist.core.strength import Strength, strength
from tests.services.case import book


def words(**seen: str) -> dict[str, Strength]:
    """The word for every cause."""
    causes = book()
    ranking = rank(causes, seen)
    return {one.cause: strength(causes, ranking, one) for one in ranking.ranked}


def test_what_the_customer_says_tests_nothing() -> None:
    """However much speaks for a cause, it is not tested until the bench bears on it."""
    assert set(words(how_it_quits="sudden").values()) == {Strength.NOT_TESTED}


def test_strong_is_what_may_be_named() -> None:
    """A break in the heat run and no spark name the coil; nothing else is strong."""
    found = words(heat_run="open", spark="none", how_it_quits="sudden", vent="free")
    assert [key for key, word in found.items() if word is Strength.STRONG] == ["coil_hot"]


def test_a_fault_beside_the_first_adds_to_it() -> None:
    """A vent seen blocked while the coil breaks hot: a fault of its own, not the cause."""
    found = words(heat_run="open", swap_coil="proved", vent="blocked")
    assert found["vent_blocked"] is Strength.ADDS


def test_what_the_first_cause_explains_adds_nothing() -> None:
    """No spark speaks for coil and cap alike: with the coil proved, the cap is weak."""
    found = words(heat_run="open", swap_coil="proved", spark="none")
    assert found["cap_bad"] is Strength.WEAK


def test_a_cause_with_evidence_against_it_is_weak() -> None:
    """Tested, and little is left of it."""
    found = words(heat_run="open", swap_coil="proved", cap="in_band")
    assert found["cap_bad"] is Strength.WEAK


def test_a_good_part_of_what_remains_is_fair() -> None:
    """A blocked vent alone is one piece of evidence: not named, yet a good part of the whole."""
    assert words(vent="blocked")["vent_blocked"] is Strength.FAIR
