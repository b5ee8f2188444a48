"""Match the display: what agrees, what a disagreement points to, when it is enough."""

from dataclasses import replace

import pytest

from benchassist.core.match import Mismatch, Trial, agreed, compare, is_matched, is_new
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading

LINK = Reading(
    t_s=5.0, channel="A", quantity=Quantity.RESISTANCE, value=3860.0, resolution=10.0, exponent=3
)


def typed(value: float | None, resolution: float | None = 10.0) -> Reading:
    """What the user typed, in ohms."""
    return replace(
        LINK, channel="typed", value=value, resolution=resolution, overload=value is None
    )


def test_the_same_digits_agree() -> None:
    """Value and count alike: the same."""
    assert compare(typed(3860.0), [LINK]).same


@pytest.mark.parametrize(
    ("given", "points_to"),
    [
        (typed(386.0, 1.0), Mismatch.POINT),
        (typed(38600.0, 100.0), Mismatch.POINT),
        (typed(3860.0, 1.0), Mismatch.POINT),
        (typed(-3860.0), Mismatch.SIGN),
        (typed(3870.0), Mismatch.LAST_DIGIT),
        (typed(4710.0), Mismatch.DIGITS),
        (typed(None, None), Mismatch.OVERLOAD),
        (replace(typed(3860.0), quantity=Quantity.VOLTAGE), Mismatch.OTHER_QUANTITY),
    ],
)
def test_a_disagreement_names_its_likely_cause(given: Reading, points_to: Mismatch) -> None:
    """A point in the wrong place is not a wrong speed, and a wrong unit is neither."""
    assert compare(given, [LINK]).mismatch is points_to


def test_a_silent_link_is_said_to_be_silent() -> None:
    """Nothing came in the last moments."""
    assert compare(typed(3860.0), []).mismatch is Mismatch.SILENT


def test_a_display_may_lag_its_frames() -> None:
    """The value the link showed a moment before counts too."""
    assert compare(typed(3860.0), [replace(LINK, value=3870.0), LINK]).same


def trial(value: float, *, same: bool = True) -> Trial:
    """One trial that agrees, or does not."""
    return Trial(typed=typed(value), link=LINK, mismatch=None if same else Mismatch.DIGITS)


def test_three_different_values_in_a_row_are_enough() -> None:
    """Two are not, three alike are not, and one miss starts again."""
    assert not is_matched([trial(100.0), trial(2000.0)])
    assert not is_matched([trial(100.0), trial(100.0), trial(100.0)])
    assert is_matched([trial(100.0), trial(2000.0), trial(30.0)])
    assert not is_matched([trial(100.0), trial(2000.0), trial(30.0, same=False)])
    after_a_miss = [trial(7.0, same=False), trial(100.0), trial(2000.0), trial(30.0)]
    assert is_matched(after_a_miss)
    assert len(agreed(after_a_miss)) == 3


def test_a_value_already_seen_is_not_new() -> None:
    """Two counts away is the same reading."""
    assert not is_new(typed(110.0), [trial(100.0)])
    assert is_new(typed(2000.0), [trial(100.0)])
