"""Confirmed, probable, precautionary: what a visit carries of each, with its readings."""

from dataclasses import replace

from benchassist.core.claim import Claim
from benchassist.core.procedure import CheckKind
from benchassist.services.findings.cards import ClaimRow
from benchassist.services.findings.case import case_of
from benchassist.services.findings.claims import claims_of
from benchassist.units import UnitChoice
from tests.services.case import Told, broke, header


def claims(told: Told) -> dict[str, ClaimRow]:
    """Every claim by its name."""
    return {row.name: row for row in claims_of(told.visit, case_of(told.visit), UnitChoice())}


def test_a_swap_that_brought_the_fault_back_confirms() -> None:
    """Old, new, old again: confirmed, with the swap as its ground and nothing lacking."""
    told = Told()
    told.swap(("old", True), ("new", False), ("old", True))
    row = claims(told)["coil"]
    assert row.claim is Claim.CONFIRMED
    assert row.grounds.startswith("Swap test: Fault with the old, none with the new")
    assert row.limit == ""


def test_a_break_that_came_and_went_confirms_with_its_step() -> None:
    """The heat run’s step and what it found stand beside the word."""
    told = Told()
    told.heat(broke())
    row = claims(told)["coil"]
    assert row.claim is Claim.CONFIRMED
    assert row.grounds.startswith("Step 8, Heat run: ")


def test_a_break_that_came_once_and_stayed_confirms_nothing() -> None:
    """It may be a clip that slipped."""
    told = Told()
    told.heat(broke(again=False))
    told.fit("coil")
    assert claims(told)["Coil"].claim is not Claim.CONFIRMED


def test_a_part_out_of_band_that_is_named_first_is_probable() -> None:
    """The cap open and no spark: named, seen in the part itself, no swap."""
    told = Told(how="sudden")
    told.mark("cap_marking", "5k")
    told.read("cap", None)
    told.drill(spark="none")
    told.look("fuel_vent", "free")
    row = claims(told)["Plug cap or lead"]
    assert row.claim is Claim.PROBABLE
    assert row.grounds == "Step 4, Plug cap, end to end: Open, Out of band, high."
    assert row.limit.startswith("Not confirmed: no swap")


def test_a_repair_the_evidence_does_not_name_is_precautionary() -> None:
    """A coil renewed on what the customer says."""
    told = Told(how="sudden")
    told.fit("coil")
    row = claims(told)["Coil"]
    assert row.claim is Claim.PRECAUTIONARY
    assert row.limit == "The evidence does not name it first."
    assert row.grounds == "Said, How it quits: sudden."


def test_a_reading_in_band_grounds_nothing() -> None:
    """It neither clears the coil nor names it: the repair stays precautionary."""
    told = Told()
    told.read("coil_secondary", 8000.0)
    told.fit("coil")
    row = claims(told)["Coil"]
    assert row.claim is Claim.PRECAUTIONARY
    assert "8.00" not in row.grounds


def test_the_fault_with_the_new_part_leaves_a_precaution_even_after_a_break() -> None:
    """A swap that says no outweighs the heat run."""
    told = Told()
    told.heat(broke())
    told.swap(("old", True), ("new", True))
    row = claims(told)["coil"]
    assert row.claim is Claim.PRECAUTIONARY
    assert row.limit == "The fault showed with the new part as well."


def test_a_bundle_separates_no_cause() -> None:
    """A plug changed with the coil: the swap proves the two together only."""
    told = Told()
    told.swap(("old", True), ("new", False), ("old", True), bundled=("plug",))
    row = claims(told)["coil"]
    assert row.claim is Claim.PRECAUTIONARY
    assert row.limit == "Cause not separated: plug changed with it."


def test_what_a_person_set_aside_carries_no_claim() -> None:
    """The break was a clip: by hand it does not count, and the coil is not confirmed by it."""
    told = Told()
    told.heat(broke())
    told.fit("coil")
    assert claims(told)["Coil"].claim is Claim.CONFIRMED
    told.say("heat_run", None, "clip slipped")
    assert claims(told)["Coil"].claim is Claim.PRECAUTIONARY


def test_a_persons_word_never_confirms() -> None:
    """Said by hand that it opened hot and that the swap proved it: still no more than named."""
    told = Told(how="sudden")
    told.say("heat_run", "open")
    told.say("swap_coil", "proved")
    told.drill(spark="none")
    row = claims(told)["Coil opens when hot"]
    assert row.claim is Claim.PRECAUTIONARY
    assert "By hand" in row.grounds


def test_a_look_counts_where_it_points_at_one_part_only() -> None:
    """A vent seen blocked is a look at the vent; no spark is a look at nothing in particular."""
    told = Told(how="fading")
    told.look("fuel_vent", "blocked")
    told.say("bowl_flow", "fades")
    row = claims(told)["Fuel cap vent blocked"]
    assert row.claim is Claim.PROBABLE
    assert "Step 1, Fuel cap vent: blocked" in row.grounds


def test_a_visit_without_causes_claims_by_its_swaps_and_runs() -> None:
    """No ranking: a proved swap is confirmed all the same, nothing is probable."""
    plain = Told(replace(header(), causes=None))
    plain.swap(("old", True), ("new", False), ("old", True))
    assert case_of(plain.visit) is None
    rows = claims_of(plain.visit, None, UnitChoice())
    assert [(row.name, row.claim) for row in rows] == [("coil", Claim.CONFIRMED)]


def test_a_gap_that_was_set_carries_nothing_of_what_its_part_showed() -> None:
    """The coil broke hot; setting its air gap is work of its own, and confirms nothing."""
    told = Told()
    gap = replace(
        told.visit.procedure.checks[0], key="air_gap", kind=CheckKind.GAUGE, part="coil", answers=()
    )
    procedure = replace(told.visit.procedure, checks=(*told.visit.procedure.checks, gap))
    told = Told(replace(told.visit.header, procedure=procedure))
    told.heat(broke())
    told.work("air_gap", "air gap set")
    found = claims(told)
    assert found["coil"].claim is Claim.CONFIRMED
    assert found["air gap set"].claim is Claim.PRECAUTIONARY
    assert "2 breaks" not in found["air gap set"].grounds
