"""Falls to idle and recoveries."""

import numpy as np
import pytest

from benchassist.core.idle_down import cycles, moves
from benchassist.core.samples import Samples
from tests.core.speeds import IDLE_DOWN, drawn, trace


@pytest.mark.parametrize("hertz", [2.0, 2.5, 5.0, 10.0])
def test_edges_lie_within_a_sample_of_the_drawn_line(hertz: float) -> None:
    """10 and 90 % of the step, interpolated, on a straight fall and rise."""
    speed = trace(drawn(*IDLE_DOWN, (50.0, 3600.0), hertz=hertz))
    (cycle,) = cycles(speed, moves(speed, 1800.0, 3600.0).edges, high=3600.0, spread=6.0)
    assert cycle.fall_start_s == pytest.approx(20.15, abs=1.0 / hertz)
    assert cycle.fall_start_s + cycle.fall_s == pytest.approx(21.35, abs=1.0 / hertz)
    assert cycle.recover_start_s == pytest.approx(30.1, abs=1.0 / hertz)
    assert cycle.recover_start_s is not None
    assert cycle.recover_s is not None
    assert cycle.recover_start_s + cycle.recover_s == pytest.approx(30.9, abs=1.0 / hertz)
    assert cycle.completed
    assert cycle.overshoot_rpm == 0.0


def test_a_creeping_end_is_fitted_not_taken_from_the_first_reading_below() -> None:
    """On a lag of 1.2 s, rough by 8 rpm, the 90 % edge stays within a sample at 10 Hz."""
    rng = np.random.default_rng(5)
    errors = []
    for _ in range(50):
        t = np.arange(0.0, 20.0, 0.1) + rng.uniform(0.0, 0.1)
        share = np.where(t > 5.0, np.exp(-(t - 5.0) / 1.2), 1.0)
        rpm = 1800.0 + 1800.0 * share + rng.normal(0.0, 8.0, len(t))
        speed = trace(Samples(t, rpm, rpm))
        (edge,) = moves(speed, 1800.0, 3600.0).edges
        errors.append(edge.end_s - (5.0 + 1.2 * np.log(10.0)))
    assert float(np.quantile(np.abs(errors), 0.98)) < 0.1


def test_overshoot_is_what_stands_clear_of_the_levels_own_spread() -> None:
    """A recovery to 3800 and back is an overshoot of 200; roughness is none."""
    speed = trace(drawn(*IDLE_DOWN[:-1], (31.0, 3800.0), (32.5, 3600.0), (45.0, 3600.0)))
    (cycle,) = cycles(speed, moves(speed, 1800.0, 3600.0).edges, high=3600.0, spread=6.0)
    assert cycle.overshoot_rpm == pytest.approx(200.0, abs=25.0)


def test_a_fall_begun_only_is_a_failed_one_and_no_cycle() -> None:
    """Down to 2600 and back; droop of a load (3450) is not an attempt."""
    speed = trace(
        drawn((0, 3600), (10, 3600), (11, 2600), (16, 2600), (17, 3600), (25, 3600), hertz=5.0)
    )
    found = moves(speed, 1800.0, 3600.0)
    assert found.edges == ()
    assert found.failed_falls == (pytest.approx(10.0, abs=0.5),)
    loaded = trace(drawn((0, 3600), (10, 3600), (10.5, 3450), (20, 3450), (20.5, 3600), (30, 3600)))
    assert moves(loaded, 1800.0, 3600.0).failed_falls == ()


def test_a_rise_begun_only_is_a_failed_recovery() -> None:
    """Up to 2700 and back to idle."""
    speed = trace(drawn((0, 1800), (10, 1800), (11, 2700), (14, 2700), (15, 1800), (25, 1800)))
    assert moves(speed, 1800.0, 3600.0).failed_recoveries == (pytest.approx(10.2, abs=0.5),)


def test_hanging_in_between_at_the_end_is_a_failed_fall() -> None:
    """It was asked to fall, hung at 2600 and stayed there for ten seconds."""
    speed = trace(drawn((0, 3600), (20, 3600), (21, 2600), (31, 2600)))
    assert len(moves(speed, 1800.0, 3600.0).failed_falls) == 1


def test_a_single_reading_at_the_other_level_is_no_visit() -> None:
    """One reading at idle between readings at speed."""
    samples = drawn((0, 3600), (20, 3600))
    samples.value[100] = 1806.0
    assert moves(trace(samples), 1800.0, 3600.0).edges == ()


def test_swings_about_the_high_level_are_no_falls() -> None:
    """Hunting by 12 % of the step passes the 10 % line and is not counted."""
    samples = drawn((0, 3600), (30, 3600))
    samples.value[:] = samples.value + 220.0 * np.sin(2.0 * np.pi * samples.t_s / 1.7)
    found = moves(trace(samples), 1800.0, 3600.0)
    assert (found.edges, found.failed_falls) == ((), ())


def test_low_above_high_is_refused() -> None:
    """In plain words."""
    with pytest.raises(ValueError, match="low speed must be below"):
        moves(trace(drawn((0, 3600), (5, 3600))), 3600.0, 1800.0)
