"""Cumulative sums: their steps, and their run lengths against what can be had without the chain."""

from math import erf, inf, sqrt

import numpy as np
import pytest

from benchassist.core.cusum import Cusum, decision_interval, one_sided_arl, two_sided_arl


def test_sums_rise_fall_and_rest() -> None:
    """Each side adds what is beyond k, never goes below zero, and alarms above h."""
    cusum = Cusum(k=0.5, h=2.0)
    assert [cusum.feed(z) for z in (1.5, 1.0, 1.5)] == [0, 0, 1]
    assert (cusum.high, cusum.low) == (2.5, 0.0)
    cusum.reset()
    assert cusum.at_rest
    assert [cusum.feed(z) for z in (-2.0, 0.0, -2.0)] == [0, 0, -1]
    assert not cusum.at_rest


def test_a_sum_that_alarms_at_once_is_a_plain_threshold() -> None:
    """As h goes to zero with k = 3 the length is that of a three-sigma chart, one side."""
    tail = 0.5 * (1.0 - erf(3.0 / sqrt(2.0)))
    assert one_sided_arl(3.0, 1e-9) == pytest.approx(1.0 / tail, rel=1e-6)


def test_length_by_simulation() -> None:
    """The chain's length is the mean of simulated runs, within four of its standard errors."""
    rng = np.random.default_rng(7)
    k, h, runs = 0.5, 3.0, 4000
    total = np.zeros(runs)
    length = np.zeros(runs)
    going = np.ones(runs, dtype=bool)
    while going.any():
        total[going] = np.maximum(0.0, total[going] + rng.normal(0.25, 1.0, going.sum()) - k)
        length[going] += 1.0
        going &= total <= h
    error = length.std() / sqrt(runs)
    assert abs(length.mean() - one_sided_arl(k, h, shift=0.25)) < 4.0 * error


def test_a_head_start_shortens_the_run() -> None:
    """The higher a sum begins, the sooner it alarms; at zero it is the plain length."""
    lengths = [one_sided_arl(0.5, 4.0, start=start) for start in (0.0, 1.0, 2.0, 3.0, 4.0)]
    assert lengths == sorted(lengths, reverse=True)
    assert two_sided_arl(0.5, 4.0, head_start=0.0) == two_sided_arl(0.5, 4.0)


@pytest.mark.parametrize("arl", [50.0, 1e3, 216_000.0])
def test_the_decision_interval_runs_as_long_as_asked(arl: float) -> None:
    """The interval found gives the length it was found for."""
    assert one_sided_arl(1.5, decision_interval(1.5, arl)) == pytest.approx(arl, rel=1e-6)


@pytest.mark.parametrize(("h", "start"), [(0.0, 0.0), (-1.0, 0.0), (4.0, 5.0), (4.0, -0.1)])
def test_a_sum_without_room_is_refused(h: float, start: float) -> None:
    """An h that is not above zero, or a start outside, has no length."""
    with pytest.raises(ValueError, match="h must be above zero"):
        one_sided_arl(0.5, h, start=start)


@pytest.mark.parametrize("arl", [1.0, 0.0, -inf])
def test_a_length_of_one_sample_has_no_interval(arl: float) -> None:
    """Every sum runs longer than one sample."""
    with pytest.raises(ValueError, match="above one sample"):
        decision_interval(0.5, arl)
