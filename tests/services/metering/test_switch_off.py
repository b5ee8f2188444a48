"""The warning before something long."""

import pytest

from benchassist.services.metering.switch_off import LONG_S, switch_off_warning


@pytest.mark.parametrize("seconds", [LONG_S, 3600.0, None])
def test_a_hand_held_is_warned_of_before_something_long(seconds: float | None) -> None:
    """Five minutes and more, and what ends nobody knows when."""
    assert "switch itself off" in switch_off_warning("nibble-14", seconds)


@pytest.mark.parametrize(
    ("protocol", "seconds"), [("nibble-14", 299.0), ("scpi", None), ("scpi", 7200.0), ("", None)]
)
def test_nothing_is_said_where_no_timer_runs_out(protocol: str, seconds: float | None) -> None:
    """Something short, an instrument on the mains, or no meter at all."""
    assert switch_off_warning(protocol, seconds) == ""
