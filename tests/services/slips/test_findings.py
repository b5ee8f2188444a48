"""What the findings add to the slip."""

from benchassist.core.entry import Decided, Proved, Service, Serviced
from benchassist.core.slip import Slip
from benchassist.services.slips.slips import in_short, slip_of
from benchassist.units import UnitChoice
from tests.core import entries
from tests.services.case import Told, broke

UNITS = UnitChoice()


def slip(told: Told) -> Slip:
    """The slip as it stands."""
    return slip_of(told.visit, UNITS)


def repaired() -> Told:
    """A coil that broke in the heat run, was swapped and renewed, and ran long enough."""
    told = Told(how="sudden", minutes_to_quit="1500")
    told.drill(spark="none")
    told.heat(broke())
    told.swap(("old", True), ("new", False), ("old", True))
    told.fit("coil")
    for seconds, soak in ((4500.0, True), (300.0, True)):
        told.visit.apply(
            Proved(stamp=entries.stamp(told.visit), seconds=seconds, soak_restart=soak)
        )
    return told


def test_a_confirmed_cause_stands_under_proved_with_its_reading() -> None:
    """The swap and the heat run’s step; the acceptance run beside it."""
    found = slip(repaired())
    assert found.proved[0].startswith("Confirmed: Coil. Swap test: Fault with the old")
    assert "Step 8, Heat run" in found.proved[0]
    assert "Ran 75 min under load without the fault, 2 restarts after a soak." in found.proved
    assert in_short(repaired().visit).startswith("confirmed: Coil")


def test_what_is_less_than_confirmed_stands_under_not_proved_with_what_it_lacks() -> None:
    """A coil fitted on suspicion: precautionary, and why no more; nothing under proved."""
    told = Told(how="sudden")
    told.fit("coil")
    found = slip(told)
    assert not any("recautionary" in line or "onfirmed" in line for line in found.proved)
    line = found.not_proved[0]
    assert line.startswith("Precautionary: Coil. Said, How it quits: sudden.")
    assert line.endswith("The evidence does not name it first.")


def test_a_bundled_change_says_cause_not_separated() -> None:
    """Plug and coil together."""
    told = Told()
    told.swap(("old", True), ("new", False), bundled=("plug",), share=0.5, cycles=3)
    found = slip(told)
    assert [line for line in found.not_proved if "Cause not separated: plug" in line] == [
        found.not_proved[0]
    ]
    assert any("13 times in 100" in line for line in found.not_proved)


def test_a_bundle_is_told_even_where_a_break_confirms() -> None:
    """The heat run confirms the coil; what was changed with it in the swap is said all the same."""
    told = Told()
    told.heat(broke())
    told.swap(("old", True), ("new", False), bundled=("plug",))
    found = slip(told)
    assert found.proved[0].startswith("Confirmed: coil.")
    assert "Cause not separated: plug changed with it." in found.not_proved


def test_two_parts_fitted_on_suspicion_separate_nothing() -> None:
    """Neither is confirmed: which one it was is not known."""
    told = Told(how="sudden")
    told.fit("coil")
    told.fit("cap")
    assert "Cause not separated: Coil, Cap fitted in one visit." in slip(told).not_proved
    sure = repaired()
    sure.fit("cap")
    assert not any("fitted in one visit" in line for line in slip(sure).not_proved)


def test_what_was_done_stands_under_did() -> None:
    """Part with its number and where the old one went, oil with its grade, the choice made."""
    told = Told()
    told.fit("coil")
    told.visit.apply(
        Serviced(
            stamp=entries.stamp(told.visit),
            service=Service.ENGINE_OIL,
            grade="SAE 30",
            quantity=0.6e-3,
        )
    )
    told.visit.apply(
        Decided(stamp=entries.stamp(told.visit), part="cap", replaced=False, by_customer=True)
    )
    pairs = {pair.name: pair.words for pair in slip(told).pairs}
    assert pairs["Fitted: Coil"] == "old part not kept"
    assert pairs["Engine oil: SAE 30, 0.6 L"] == "done"
    assert pairs["Replace or keep: cap"] == "Customer chose: keep"


def test_an_acceptance_run_that_lacks_something_says_what() -> None:
    """Fitted and not run."""
    told = Told(minutes_to_quit="1500")
    told.fit("coil")
    found = slip(told)
    assert "Longest clean run 0 min of 75 min." in found.not_proved
    assert "Soak restarts: 0 of 2." in found.not_proved


def test_what_to_do_if_it_returns() -> None:
    """After a repair; before one, what to note."""
    assert "If it returns: note the minutes" in slip(repaired()).care
    assert "If it happens again" in slip(Told()).care


def test_a_coil_in_band_is_never_called_cleared() -> None:
    """The old line stays, whatever the ranking says."""
    told = Told(how="sudden")
    told.read("coil_secondary", 8000.0)
    assert any("does not clear a coil" in line for line in slip(told).not_proved)


def test_the_fault_that_came_back_is_no_proof() -> None:
    """The clean run before it is not told as one."""
    told = repaired()
    told.visit.apply(Proved(stamp=entries.stamp(told.visit), seconds=600.0, fault=True))
    found = slip(told)
    assert not any("without the fault" in line for line in found.proved)
    assert "The fault came back after the work." in found.not_proved
