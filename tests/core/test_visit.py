"""A visit is the fold of its entries."""

import pytest

from benchassist.core.band import Verdict
from benchassist.core.entry import (
    Closed,
    Did,
    Looked,
    MovedTo,
    OptionChosen,
    Reopened,
    Skipped,
    Struck,
)
from benchassist.core.visit import Standing, Visit
from benchassist.errors import StepError
from tests.core.entries import stamp, taken, visit


def test_begins_at_the_first_check() -> None:
    """A new visit stands at its first check with nothing taken."""
    v = visit()
    assert v.current.key == "coil_secondary"
    assert v.standing("coil_secondary") is Standing.TO_DO
    assert v.next_seq == 1


def test_a_taken_reading_stands_and_the_next_check_is_found() -> None:
    """What was taken stands; the next check without an answer comes after it."""
    v = visit()
    v.apply(taken(v, "coil_secondary", 9100.0))
    assert v.standing("coil_secondary") is Standing.TAKEN
    following = v.next_to_do()
    assert following is not None
    assert following.key == "cap"


def test_redo_strikes_and_never_edits() -> None:
    """A struck reading stays among the entries, no longer stands, and can be replaced."""
    v = visit()
    first = taken(v, "coil_secondary", 9100.0)
    v.apply(first)
    v.apply(Struck(stamp=stamp(v), check_key="coil_secondary", entry_id=first.stamp.id))
    assert v.standing("coil_secondary") is Standing.TO_DO
    assert first in v.entries
    assert v.is_struck(first)
    second = taken(v, "coil_secondary", 9200.0)
    v.apply(second)
    assert v.latest("coil_secondary") is second


def test_a_superseding_reading_strikes_the_one_it_replaces() -> None:
    """Only the newer of the two stands."""
    v = visit()
    first = taken(v, "coil_secondary", 9100.0)
    v.apply(first)
    v.apply(taken(v, "coil_secondary", 9200.0, supersedes=first.stamp.id))
    assert v.is_struck(first)
    assert [t.reading.value for t in v.taken("coil_secondary")] == [9200.0]


def test_nothing_is_struck_twice_or_out_of_nothing() -> None:
    """A redo without a standing reading is refused and writes nothing."""
    v = visit()
    with pytest.raises(StepError, match="nothing taken here"):
        v.apply(Struck(stamp=stamp(v), check_key="cap", entry_id="e99"))
    assert v.entries == ()


def test_the_marking_picks_the_band() -> None:
    """Without the marking there is no band; unmarked is recorded; 5 kΩ judges."""
    v = visit()
    cap = v.procedure.check("cap")
    assert v.needs_option(cap)
    assert v.band(cap) is None
    v.apply(OptionChosen(stamp=stamp(v), option_group="cap_marking", option_key="unmarked"))
    assert not v.needs_option(cap)
    assert taken(v, "cap", 4900.0).judgement.verdict is Verdict.RECORDED
    v.apply(OptionChosen(stamp=stamp(v), option_group="cap_marking", option_key="5k"))
    assert taken(v, "cap", 4900.0).judgement.verdict is Verdict.IN_BAND


def test_an_unplugged_stop_wire_bars_closing() -> None:
    """The visit closes only once the look that puts it back is answered with its first answer."""
    v = visit()
    v.apply(taken(v, "stop_insulation", None))
    with pytest.raises(StepError, match="plugged back"):
        v.apply(Closed(stamp=stamp(v)))
    v.apply(Looked(stamp=stamp(v), check_key="stop_wire_back", answer_key="no"))
    with pytest.raises(StepError, match="plugged back"):
        v.apply(Closed(stamp=stamp(v)))
    v.apply(Looked(stamp=stamp(v), check_key="stop_wire_back", answer_key="yes", supersedes="e2"))
    v.apply(Closed(stamp=stamp(v)))
    assert v.closed


def test_the_wire_unplugged_again_must_be_put_back_again() -> None:
    """A reading after the answer opens the obligation anew, even when that reading was struck."""
    v = visit()
    v.apply(Looked(stamp=stamp(v), check_key="stop_wire_back", answer_key="yes"))
    again = taken(v, "stop_insulation", None)
    v.apply(again)
    v.apply(Struck(stamp=stamp(v), check_key="stop_insulation", entry_id=again.stamp.id))
    assert [c.key for c in v.open_obligations()] == ["stop_wire_back"]


def test_a_closed_visit_takes_nothing_until_it_is_opened_again() -> None:
    """The only entry a closed visit takes is its re-opening."""
    v = visit()
    v.apply(Closed(stamp=stamp(v)))
    with pytest.raises(StepError, match="closed"):
        v.apply(taken(v, "cap", 4900.0))
    v.apply(Reopened(stamp=stamp(v)))
    v.apply(taken(v, "cap", 4900.0))
    assert not v.closed


def test_before_and_after_are_the_readings_around_the_work() -> None:
    """The last reading before the work and the last after it make the pair."""
    v = visit()
    v.apply(taken(v, "coil_secondary", 14200.0))
    v.apply(Did(stamp=stamp(v), text="new coil fitted", check_key="coil_secondary"))
    assert v.awaits_after("coil_secondary")
    assert v.before_and_after("coil_secondary") is None
    v.apply(taken(v, "coil_secondary", 9100.0))
    both = v.before_and_after("coil_secondary")
    assert both is not None
    assert (both[0].reading.value, both[1].reading.value) == (14200.0, 9100.0)
    assert not v.awaits_after("coil_secondary")


def test_a_skipped_check_is_passed_over_and_may_still_be_answered() -> None:
    """A skip moves the next check on; a later reading stands all the same."""
    v = visit()
    v.apply(Skipped(stamp=stamp(v), check_key="coil_secondary"))
    assert v.standing("coil_secondary") is Standing.SKIPPED
    following = v.next_to_do()
    assert following is not None
    assert following.key == "cap"
    v.apply(taken(v, "coil_secondary", 9100.0))
    assert v.standing("coil_secondary") is Standing.TAKEN


def test_replaying_the_entries_gives_the_same_visit() -> None:
    """A visit read back from its entries stands where the one that wrote them stood."""
    v = visit()
    v.apply(taken(v, "coil_secondary", 9100.0))
    v.apply(OptionChosen(stamp=stamp(v), option_group="cap_marking", option_key="5k"))
    v.apply(MovedTo(stamp=stamp(v), check_key="stop_insulation"))
    again = Visit(v.header, v.entries)
    assert again.current == v.current
    assert again.entries == v.entries
    assert again.option(v.procedure.check("cap")) == v.option(v.procedure.check("cap"))


def test_entries_out_of_order_or_for_unknown_checks_are_refused() -> None:
    """A gap in the numbers and a check the procedure does not have each say so."""
    v = visit()
    with pytest.raises(StepError, match="no step 'valves'"):
        v.apply(MovedTo(stamp=stamp(v), check_key="valves"))
    late = taken(v, "cap", 4900.0)
    v.apply(late)
    with pytest.raises(StepError, match="out of order"):
        v.apply(late)
