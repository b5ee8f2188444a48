"""Hunting: found with its period and amplitude, and not where there is none."""

import numpy as np
import pytest

from benchassist.core.engine_run import analyse_speed
from benchassist.core.run_finding import Hunting, Level
from benchassist.core.samples import Samples
from tests.benchmarks.engine_log import Engine, Meter, engine_log
from tests.core.speeds import drawn


def hunting(samples: Samples, low: float | None = 1800.0, high: float | None = 3600.0) -> Hunting:
    """What is found."""
    return analyse_speed(samples.t_s, samples.value, samples.resolution, low, high).hunting


@pytest.mark.parametrize("hertz", [2.0, 5.0, 10.0])
@pytest.mark.parametrize("readings", [4.0, 4.4, 6.0, 11.0])
def test_period_within_five_percent_from_four_readings_on(hertz: float, readings: float) -> None:
    """At one speed, in counts of 0.1 Hz, with lost and doubled readings."""
    period = readings / hertz
    for seed in range(5):
        log = engine_log(
            Engine(cycles=0, period_s=period, amplitude=80.0),
            Meter(hertz=hertz, lost=0.01, doubled=0.01),
            seed,
        )
        found = hunting(log.samples, None, None)
        assert found.present
        assert found.level is Level.HIGH
        assert found.period_s == pytest.approx(period, rel=0.05)
        assert found.amplitude_rpm == pytest.approx(80.0, rel=0.1)


@pytest.mark.parametrize("readings", [2.3, 3.0, 3.6])
def test_under_four_readings_a_swing_is_not_resolvable(readings: float) -> None:
    """Present is neither yes nor no; the level is told."""
    for seed in range(5):
        log = engine_log(
            Engine(cycles=0, period_s=readings / 5.0, amplitude=80.0), Meter(hertz=5.0), seed
        )
        found = hunting(log.samples)
        assert found == Hunting(present=None, level=Level.HIGH)


@pytest.mark.parametrize("hertz", [2.0, 2.5, 5.0, 10.0])
def test_a_steady_engine_never_hunts(hertz: float) -> None:
    """A hundred runs at each rate, rough and wandering, in counts of 0.1 Hz."""
    for seed in range(100):
        meter = Meter(hertz=hertz, rough=(4.0, 8.0, 16.0)[seed % 3], wander=(0.0, 5.0)[seed % 2])
        log = engine_log(Engine(cycles=0, seconds=(40.0, 90.0)[seed % 2]), meter, seed)
        assert hunting(log.samples).present is False


def test_idle_downs_are_no_hunting() -> None:
    """Cycles as regular as a clock, with overshoot that dies away."""
    for seed in range(10):
        log = engine_log(
            Engine(cycles=8, high_s=5.0, low_s=5.0, overshoot=150.0), Meter(hertz=5.0), seed
        )
        found = analyse_speed(log.samples.t_s, log.samples.value, log.samples.resolution)
        assert len(found.cycles) == 8
        assert found.hunting.present is False


def test_the_level_at_which_it_hunts_is_told() -> None:
    """Between idle-downs, at idle only."""
    log = engine_log(
        Engine(cycles=5, low_s=12.0, period_s=1.2, amplitude=60.0, hunts_at_high=False), Meter(), 4
    )
    found = hunting(log.samples)
    assert (found.present, found.level) == (True, Level.LOW)
    assert found.period_s == pytest.approx(1.2, rel=0.05)


def test_a_swing_within_the_counts_is_no_hunting() -> None:
    """Flicker between two counts of a coarse meter."""
    samples = drawn((0, 3600), (60, 3600), hertz=5.0, rough=1.0)
    samples.value[:] = np.where(np.arange(300) % 8 < 4, 3600.0, 3660.0)
    samples.resolution[:] = 60.0
    assert hunting(samples).present is False


def test_too_few_readings_say_nothing() -> None:
    """Three seconds at two a second."""
    assert hunting(drawn((0, 3600), (3, 3600), hertz=2.0)).present is None
