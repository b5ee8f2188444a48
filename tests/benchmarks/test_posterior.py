"""The yardstick of the wrong-call figures, held against simulation, and the figures in small."""

import numpy as np
import pytest
from scipy.stats import norm, uniform

from tests.benchmarks import bench_wrong_calls
from tests.benchmarks.posterior import Odds, Prior, posterior, sum_of_rectangles


def test_one_rectangle_is_uniform() -> None:
    """The closed form of one rectangle is scipy's uniform distribution."""
    x = np.linspace(-2.0, 2.0, 41)
    expected = uniform.cdf(x, loc=-1.5, scale=3.0)
    assert sum_of_rectangles(1.5)(x) == pytest.approx(expected)


def test_three_rectangles_against_simulation() -> None:
    """The closed form of three agrees with a million draws."""
    rng = np.random.default_rng(7)
    drawn = sum(rng.uniform(-a, a, 1_000_000) for a in (1.0, 0.4, 0.1))
    x = np.linspace(-1.4, 1.4, 15)
    found = sum_of_rectangles(1.0, 0.4, 0.1)(x)
    simulated = np.mean(np.asarray(drawn)[:, None] <= x, axis=0)
    assert found == pytest.approx(simulated, abs=0.002)


def test_odds_are_a_bayesian_count() -> None:
    """Among simulated parts that showed the same display, the share below the band is the odds."""
    rng = np.random.default_rng(8)
    prior = Prior.around(10.0, 12.0)
    truth = rng.uniform(prior.start, prior.end, 2_000_000)
    shown = np.round((truth + rng.uniform(-0.5, 0.5, truth.size)) / 0.1) * 0.1
    alike = truth[np.isclose(shown, 9.8)]
    error = sum_of_rectangles(0.5, 0.05)
    node = (np.ones(1), np.ones(1), lambda x: error(x - np.array([9.8])))
    odds = posterior(prior, [node])
    assert float(odds.below[0]) == pytest.approx(np.mean(alike < 10.0), abs=0.01)
    assert float(odds.above[0]) == pytest.approx(0.0, abs=1e-9)


def test_undecided_is_neither_in_nor_out() -> None:
    """At k = 2 a risk of 2.3 % on one side is allowed, no more."""
    risk = float(norm.sf(2.0))
    below = np.array([0.0, risk, 0.5, 1.0 - risk, 0.0])
    above = np.array([0.0, risk, 0.0, 0.0, 0.03])
    assert Odds(below, above).undecided(2.0).tolist() == [False, False, True, False, True]


def test_the_figures_in_small(monkeypatch: pytest.MonkeyPatch) -> None:
    """With 3,000 parts a scenario: few wrong, all one-ohm windings open on the coarse range."""
    monkeypatch.setattr(bench_wrong_calls, "PARTS", 3000)
    found = list(bench_wrong_calls.figures())
    assert len(found) == 2 * len(bench_wrong_calls.SCENARIOS)
    for figure in found[::2]:
        assert figure.ours <= 0.2
        assert figure.baseline is not None
        assert figure.baseline > 1.0
    coarse = next(f for f in found[1::2] if "0.6 to 1.3 Ω, 20 kΩ" in f.name)
    assert coarse.ours == 100.0
