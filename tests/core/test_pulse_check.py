"""Lost, doubled and halved pulses."""

import numpy as np
import pytest

from benchassist.core.pulse_check import PulseDoubt, plausible, plausible_pulses
from benchassist.core.samples import Column
from tests.core.speeds import IDLE_DOWN, drawn


def steady(rpm: float = 3600.0, n: int = 60) -> tuple[Column, Column]:
    """Times at 5 Hz and speeds."""
    rng = np.random.default_rng(2)
    return np.arange(n) * 0.2, rpm + rng.normal(0.0, 6.0, n)


@pytest.mark.parametrize("odd", [0.0, 7200.0, 1800.0, float("nan"), -3.0])
@pytest.mark.parametrize("at", [0, 1, 30, 58])
def test_a_lone_odd_reading_is_left_out(odd: float, at: int) -> None:
    """Lost, doubled, halved or none at all; the others stay."""
    t, rpm = steady()
    rpm[at] = odd
    good = plausible(t, rpm)
    assert not good[at]
    assert np.delete(good, at).all()


def test_a_doubled_reading_in_mid_fall_is_left_out() -> None:
    """Where its neighbours differ."""
    samples = drawn(*IDLE_DOWN, (40.0, 3600.0), hertz=5.0)
    at = int(np.searchsorted(samples.t_s, 20.8))
    samples.value[at] *= 2.0
    good = plausible(samples.t_s, samples.value)
    assert not good[at]
    assert good.sum() == len(samples) - 1


def test_falls_and_recoveries_are_plausible() -> None:
    """Nothing of an idle-down is left out, at any rate."""
    for hertz in (2.0, 2.5, 5.0, 10.0):
        samples = drawn(*IDLE_DOWN, (50.0, 3600.0), hertz=hertz)
        assert plausible(samples.t_s, samples.value).all()


def test_seconds_of_ringing_are_left_out() -> None:
    """To twice and back between neighbours at 10 Hz."""
    samples = drawn((0, 1800), (20, 1800))
    samples.value[50:70] *= 2.0
    good = plausible(samples.t_s, samples.value)
    assert not good[50:70].any()
    assert good.sum() == len(samples) - 20


def test_above_the_known_high_speed_nothing_is_believed() -> None:
    """Twice the high speed, however long."""
    t, rpm = steady(7200.0)
    assert not plausible(t, rpm, high=3600.0).any()
    assert plausible(t, rpm).all()


def test_typed_speeds_are_not_held_against_their_neighbours() -> None:
    """Five readings twenty seconds apart, two at idle."""
    rpm = np.array([3600.0, 3620.0, 1800.0, 1810.0, 3610.0])
    assert plausible(np.arange(5) * 20.0, rpm).all()


@pytest.mark.parametrize(
    ("rpm", "low", "high", "doubt"),
    [
        (7190.0, 1800.0, 3600.0, PulseDoubt.DOUBLE),
        (3600.0, 1800.0, 3600.0, None),
        (1800.0, 1800.0, 3600.0, None),
        (900.0, 1800.0, 3600.0, PulseDoubt.HALF),
        (1800.0, None, 3600.0, PulseDoubt.HALF),
        (7200.0, None, None, None),
        (3700.0, 1800.0, None, None),
    ],
)
def test_what_the_readings_suggest_about_the_pulses(
    rpm: float, low: float | None, high: float | None, doubt: PulseDoubt | None
) -> None:
    """Twice or half of what the machine should run at."""
    _, readings = steady(rpm)
    assert plausible_pulses(readings, low=low, high=high) is doubt


def test_readings_that_jump_there_and_back_are_ringing() -> None:
    """A tenth of them doubled."""
    _, rpm = steady(1800.0, 100)
    rpm[::10] *= 2.0
    assert plausible_pulses(rpm, low=1800.0, high=3600.0) is PulseDoubt.RINGING


def test_idle_downs_are_no_ringing() -> None:
    """Half the speed and back, but not at once."""
    samples = drawn(*IDLE_DOWN, (50.0, 3600.0), hertz=2.0)
    assert plausible_pulses(samples.value) is None
