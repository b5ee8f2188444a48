"""The swap test as a card."""

from benchassist.core.swap import SwapResult
from benchassist.services.findings.cards import SwapCard
from benchassist.services.findings.swap_card import swap_card
from benchassist.services.settings import Settings
from tests.services.case import Told


def card(told: Told, *, share: float | None = None, bundled: tuple[str, ...] = ()) -> SwapCard:
    """The coil’s card."""
    return swap_card(told.visit, "coil", Settings(hidden_level=0.05), share=share, bundled=bundled)


def test_it_leads_through_old_new_old() -> None:
    """Each trial says what comes next, until it is proved."""
    told = Told()
    assert card(told).next_text.startswith("Old coil in")
    told.swap(("old", True))
    assert card(told).result is SwapResult.OPEN
    told.swap(("new", False))
    likely = card(told)
    assert likely.head == "Likely the coil"
    assert "not proved" in likely.proves
    assert likely.next_text == "Old coil back, run it hot till it quits."
    told.swap(("old", True))
    proved = card(told)
    assert (proved.head, proved.next_text) == ("It is the coil", "")
    assert [(row.part_text, row.result_text) for row in proved.rows] == [
        ("Old part", "fault"),
        ("New part", "clean"),
        ("Old part", "fault"),
    ]


def test_without_a_stated_share_there_are_no_odds() -> None:
    """It says so, and asks for no number of cycles."""
    told = Told()
    told.swap(("old", True), ("new", False))
    assert card(told).odds.endswith("was not stated: no odds that it hid.")
    assert card(told).cycles_needed == ""


def test_the_odds_that_a_fault_hid() -> None:
    """On half of the runs, three clean ones: 1/8, so 13 times in 100; five bring it below 5."""
    told = Told()
    told.swap(("old", True), share=0.5)
    told.swap(("new", False), share=0.5, cycles=3)
    found = card(told)
    assert "50 of 100 hot runs (as stated)" in found.odds
    assert "3 hot runs 13 times in 100" in found.odds
    assert found.cycles_needed.startswith("5 hot runs clean in a row")
    assert "5 in 100 or below" in found.cycles_needed


def test_never_fixed_forever() -> None:
    """A hundred clean runs leave less than one in a hundred, never none."""
    told = Told()
    told.swap(("old", True), share=0.5)
    told.swap(("new", False), share=0.5, cycles=100)
    assert "less than 1 times in 100" in card(told).odds


def test_what_is_changed_with_it_is_said_before_the_first_trial() -> None:
    """The cause will not be separated."""
    assert card(Told(), bundled=("plug", "lead")).not_separated == (
        "Cause not separated: plug, lead changed with it."
    )
