"""Heating and cooling legs, cycles and the hottest moment, from temperatures alone."""

import pytest

from benchassist.core.heat_cycle import CycleCount
from benchassist.core.run_finding import Leg


def led(*celsius: float, ceiling: float = 95.0) -> CycleCount:
    """A count fed some temperatures."""
    count = CycleCount(ceiling)
    for value in celsius:
        count.feed(value)
    return count


def test_a_leg_turns_after_two_kelvin() -> None:
    """A flicker of one kelvin is no turn, two are."""
    assert led(22.0, 23.0).leg is Leg.UNKNOWN
    assert led(22.0, 30.0, 29.0, 31.0).leg is Leg.HEATING
    assert led(22.0, 30.0, 28.0).leg is Leg.COOLING
    assert led(90.0, 60.0, 61.0, 62.5).leg is Leg.HEATING


@pytest.mark.parametrize(
    ("celsius", "cycles"),
    [
        ((22.0, 91.0, 60.0), 0),
        ((22.0, 91.0, 40.0), 1),
        ((22.0, 89.0, 30.0), 0),
        ((22.0, 93.0, 38.0, 92.0, 39.0), 2),
        ((22.0, 93.0, 45.0, 92.0, 39.0), 1),
        # In a hot shop three quarters of the rise are enough.
        ((38.0, 94.0, 51.0), 1),
    ],
)
def test_a_cycle_is_heated_to_the_ceiling_and_cooled(
    celsius: tuple[float, ...], cycles: int
) -> None:
    """Within five kelvin of the ceiling, then to 40 celsius or three quarters of the way back."""
    assert led(*celsius).cycles == cycles


def test_the_hottest_and_what_is_hot() -> None:
    """The hottest moment stands; halfway from 20 celsius to the ceiling is hot, unknown too."""
    count = led(22.0, 80.0, 40.0)
    assert count.hottest == 80.0
    assert not count.reached(80.0)
    assert count.reached(90.0)
    assert [count.hot(celsius) for celsius in (57.0, 58.0, None)] == [False, True, True]
