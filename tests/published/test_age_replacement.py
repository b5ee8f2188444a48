"""Age replacement against a published worked example and a reference library's figure."""

import pytest

from benchassist.core.age_replacement import Life, best_age, cost_rate

# ReliaWiki, "Optimum Replacement Time Example": Weibull shape 2.5, scale 1000 h, planned 1,
# unplanned 5; inputs and formula found there. The `reliability` library's documentation prints
# 493.19 h and 0.0035; computed again with scipy: 493.047 h and 0.0034620 an hour. The optimum is
# flat, hence 0.3 h and 1e-6.
LIFE = Life(shape=2.5, scale=1000.0)


def test_optimum_of_the_published_example() -> None:
    """The age that costs least, and what it costs an hour."""
    age = best_age(LIFE, planned=1.0, unplanned=5.0)
    assert age == pytest.approx(493.05, abs=0.3)
    rate = cost_rate(LIFE, planned=1.0, unplanned=5.0, hours=age or 0.0)
    assert rate == pytest.approx(0.0034620, abs=1e-6)


def test_cost_rate_agrees_with_adaptive_quadrature() -> None:
    """Simpson's rule against scipy's adaptive quadrature of the same integral."""
    from scipy.integrate import quad

    for hours in (50.0, 493.0, 2500.0):
        mean_age, _error = quad(LIFE.reliability, 0.0, hours)
        share = LIFE.reliability(hours)
        wanted = (share + 5.0 * (1.0 - share)) / mean_age
        assert cost_rate(LIFE, planned=1.0, unplanned=5.0, hours=hours) == pytest.approx(
            wanted, rel=1e-9
        )


@pytest.mark.parametrize("shape", [0.7, 1.0])
def test_a_part_that_does_not_wear_is_never_replaced_early(shape: float) -> None:
    """Exponential life and below: theory, no source needed."""
    assert best_age(Life(shape=shape, scale=1000.0), planned=1.0, unplanned=5.0) is None


def test_no_early_replacement_where_a_failure_costs_no_more() -> None:
    """A planned replacement that costs as much as a failure gains nothing."""
    assert best_age(LIFE, planned=5.0, unplanned=5.0) is None


@pytest.mark.parametrize(("shape", "scale"), [(0.0, 1.0), (1.0, 0.0), (-1.0, 5.0)])
def test_an_impossible_life_is_refused(shape: float, scale: float) -> None:
    """Both figures are above zero."""
    with pytest.raises(ValueError, match="above zero"):
        Life(shape=shape, scale=scale)
