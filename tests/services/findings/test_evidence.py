"""What of a visit counts as evidence, and where it says yes and no."""

from benchassist.services.findings.evidence import Origin, sightings
from tests.services.case import Told, broke


def test_an_answer_of_the_interview_is_evidence() -> None:
    """What the customer said counts as they said it; 'not known' names no outcome."""
    seen = sightings(Told(how="sudden").visit)
    assert seen.outcomes == {"how_it_quits": "sudden"}
    assert seen.counted["how_it_quits"].origin is Origin.COMPLAINT
    assert sightings(Told(how="unknown").visit).outcomes == {}


def test_a_time_falls_into_the_bin_that_holds_it() -> None:
    """Bins in seconds: under 600, from 600; what is no number falls into none."""
    assert sightings(Told(minutes="599").visit).outcomes == {"soon": "early"}
    assert sightings(Told(minutes="600").visit).outcomes == {"soon": "late"}
    assert sightings(Told(minutes="36000").visit).outcomes == {}
    assert sightings(Told(minutes="a while").visit).outcomes == {}


def test_a_reading_speaks_by_its_verdict() -> None:
    """In band, high and open are told apart; one too close to call says nothing."""
    told = Told()
    told.read("coil_secondary", 8000.0)
    assert sightings(told.visit).outcomes == {"coil": "in_band"}
    told.read("coil_secondary", 14_500.0)
    assert sightings(told.visit).outcomes == {"coil": "high"}
    told.read("coil_secondary", None)
    assert sightings(told.visit).outcomes == {"coil": "open"}
    told.read("coil_secondary", 13_000.0)
    assert sightings(told.visit).outcomes == {}


def test_what_is_struck_does_not_count() -> None:
    """A reading or look taken back leaves no evidence, a redo counts in its place."""
    told = Told()
    first = told.read("coil_secondary", None)
    told.read("coil_secondary", 8000.0, supersedes=first.stamp.id)
    assert sightings(told.visit).outcomes == {"coil": "in_band"}
    assert sightings(told.visit).conflicts == ()
    told.strike(told.look("fuel_vent", "blocked"))
    assert "vent" not in sightings(told.visit).outcomes


def test_two_readings_that_differ_are_a_conflict_and_the_later_counts() -> None:
    """Both stand and say different things: the later counts, the earlier is kept to be said."""
    told = Told()
    told.read("coil_secondary", None)
    told.read("coil_secondary", 8000.0)
    seen = sightings(told.visit)
    assert seen.outcomes == {"coil": "in_band"}
    (conflict,) = seen.conflicts
    assert conflict.other.outcome == "open"
    assert conflict.counted == seen.counted["coil"]


def test_what_comes_after_the_work_tells_of_the_work() -> None:
    """After work at a step, or a new part of its kind, a reading is no evidence of the fault."""
    told = Told()
    told.read("coil_secondary", None)
    told.fit("coil")
    told.read("coil_secondary", 8000.0)
    assert sightings(told.visit).outcomes == {"coil": "open"}
    other = Told()
    other.work("fuel_vent")
    other.look("fuel_vent", "free")
    assert sightings(other.visit).outcomes == {}


def test_a_heat_run_that_broke_counts_before_one_that_did_not() -> None:
    """The fault may hide: a later run without it does not undo it, and is said aloud."""
    told = Told()
    told.heat(broke())
    told.heat()
    seen = sightings(told.visit)
    assert seen.outcomes == {"heat_run": "open"}
    assert [c.other.outcome for c in seen.conflicts] == ["not_reproduced"]


def test_a_drill_answers_step_by_step_and_says_when_late() -> None:
    """Each step of the drill is evidence of its own; one that came late is marked."""
    told = Told()
    told.drill(late=True, spark="none")
    sighting = sightings(told.visit).counted["spark"]
    assert (sighting.outcome, sighting.step, sighting.late) == ("none", "quit_drill", True)


def test_a_swap_with_something_bundled_proves_less() -> None:
    """Old, new, old again proves the part; with a plug changed too it is no more than likely."""
    told = Told()
    told.swap(("old", True), ("new", False))
    assert sightings(told.visit).outcomes == {"swap_coil": "likely"}
    told.swap(("old", True))
    assert sightings(told.visit).outcomes == {"swap_coil": "proved"}
    bundled = Told()
    bundled.swap(("old", True), ("new", False), bundled=("plug",))
    assert sightings(bundled.visit).outcomes == {}
    bundled.swap(("old", True))
    assert sightings(bundled.visit).outcomes == {"swap_coil": "likely"}


def test_a_persons_word_counts_before_all_until_it_is_lifted() -> None:
    """It overrides a reading, sets it aside, and is undone; each time the reading is kept."""
    told = Told()
    told.read("cap", 4900.0)
    told.say("coil", "open", "seen on another meter")
    told.read("coil_secondary", 8000.0)
    seen = sightings(told.visit)
    assert seen.outcomes["coil"] == "open"
    assert seen.counted["coil"].origin is Origin.HAND
    assert [c.other.outcome for c in seen.conflicts] == ["in_band"]
    told.say("coil", None, "wrong clip")
    aside = sightings(told.visit)
    assert "coil" not in aside.outcomes
    assert [(c.counted, c.other.outcome) for c in aside.conflicts] == [(None, "in_band")]
    told.say("coil", None, lifted=True)
    assert sightings(told.visit).outcomes["coil"] == "in_band"


def test_a_word_that_the_book_does_not_know_is_named_and_the_rest_goes_on() -> None:
    """From a file with another book: left out, the readings still count."""
    told = Told()
    told.read("coil_secondary", 8000.0)
    told.say("coil", "melted")
    told.say("phase of the moon", "full")
    seen = sightings(told.visit)
    assert seen.outcomes == {"coil": "in_band"}
    assert [word.evidence for word in seen.unreadable] == ["coil", "phase of the moon"]
