from dataclasses import replace
from datetime import timedelta
from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.copper import at_reference
from benchassist.core.estimate import Conditions, PartTemperature
from benchassist.core.trend import (
    YEAR_S,
    Drift,
    TrendPoint,
    change,
    trend_of,
    trend_point,
    weighted_line,
)
from tests.core.entries import OPENED, taken, visit

YEAR = timedelta(seconds=YEAR_S)


def point(years: float, value: float, u: float | None = 1.0) -> TrendPoint:
    """A value so many years after the first visit."""
    return TrendPoint(at=OPENED + years * YEAR, value=value, u=u)


def test_two_values_within_their_doubt_have_not_moved() -> None:
    """By hand: u = sqrt(3² + 4²) = 5, so 10 is no change at k 2, and 10.1 is one."""
    still = trend_of([point(0, 100.0, 3.0), point(1, 110.0, 4.0)])
    moved = trend_of([point(0, 100.0, 3.0), point(1, 110.1, 4.0)])
    assert still.last is not None
    assert still.last.delta == pytest.approx(10.0)
    assert still.last.u == pytest.approx(5.0)
    assert still.drift is Drift.NONE
    assert moved.drift is Drift.RISING
    assert trend_of([point(0, 110.1, 3.0), point(1, 100.0, 4.0)]).drift is Drift.FALLING


def test_a_larger_k_asks_for_more() -> None:
    """At k 3 the same change is none."""
    points = [point(0, 100.0, 3.0), point(1, 110.1, 4.0)]
    assert trend_of(points, k=3.0).drift is Drift.NONE


def test_a_line_over_three_visits_by_hand() -> None:
    """Equal doubts 1 at years 0, 1, 2 and values 10, 13, 16: slope 3, u = 1 / sqrt(2) a year."""
    found = trend_of([point(2, 16.0), point(0, 10.0), point(1, 13.0)])
    assert found.line is not None
    assert found.line.per_year == pytest.approx(3.0)
    assert found.line.u_per_year == pytest.approx(1.0 / sqrt(2.0))
    assert found.line.birge == pytest.approx(0.0, abs=1e-9)
    assert found.line.value_at(OPENED + YEAR) == pytest.approx((13.0, 1.0 / sqrt(3.0)))
    assert found.drift is Drift.RISING
    assert [p.value for p in found.points] == [10.0, 13.0, 16.0]


def test_small_steps_may_add_up_to_a_drift() -> None:
    """No step exceeds its doubt, the line over five visits does."""
    found = trend_of([point(i, 10.0 + i, 0.9) for i in range(5)])
    assert found.last is not None
    assert not found.last.real
    assert found.drift is Drift.RISING


def test_scatter_beyond_the_doubts_widens_the_line_s_own() -> None:
    """By hand: 0, 9, 0, 9 at u 1: chi² = 64.8 on 2 left, Birge 5.69, slope 1.8 +- 2.55."""
    found = weighted_line([point(i, 9.0 * (i % 2)) for i in range(4)])
    assert found is not None
    assert found.birge == pytest.approx(sqrt(64.8 / 2.0))
    assert found.u_per_year == pytest.approx(sqrt(64.8 / 2.0) / sqrt(5.0))
    assert not found.real


def test_the_line_agrees_with_scipy() -> None:
    """curve_fit with absolute sigma, uneven doubts and times."""
    import numpy as np
    from scipy.optimize import curve_fit

    t, y, u = [0.0, 0.4, 1.7, 3.1], [6.47, 6.49, 6.50, 6.55], [0.03, 0.05, 0.02, 0.04]
    found = weighted_line([point(*row) for row in zip(t, y, u, strict=True)])

    def line(x: object, a: float, b: float) -> object:
        return a + b * np.asarray(x)

    fitted, covariance = curve_fit(line, t, y, sigma=u, absolute_sigma=True)
    assert found is not None
    assert found.birge is not None
    assert found.birge < 1.0
    assert found.per_year == pytest.approx(fitted[1], rel=1e-5)
    assert found.u_per_year == pytest.approx(sqrt(covariance[1, 1]), rel=1e-5)
    value, u_value = found.value_at(OPENED)
    assert value == pytest.approx(fitted[0], rel=1e-6)
    assert u_value == pytest.approx(sqrt(covariance[0, 0]), rel=1e-5)


@pytest.mark.parametrize("points", [[], [point(0, 1.0)], [point(0, 1.0), point(1, 9.0, None)]])
def test_one_value_tells_nothing(points: list[TrendPoint]) -> None:
    """Nor does a second one whose doubt is unknown."""
    found = trend_of(points)
    assert found.drift is Drift.UNTOLD
    assert (found.last, found.line) == (None, None)


def test_two_values_of_one_moment_make_no_line() -> None:
    """The change is still told."""
    found = trend_of([point(1, 10.0), point(1, 20.0)])
    assert found.line is None
    assert found.drift is Drift.RISING


def test_what_cannot_be_compared_is_shown_and_says_nothing() -> None:
    """A winding of unknown temperature stands among the points only."""
    odd = replace(point(1, 99.0), comparable=False)
    found = trend_of([point(0, 10.0), odd, point(2, 10.5)])
    assert odd in found.points
    assert found.drift is Drift.NONE
    with pytest.raises(ValueError, match="comparable"):
        change(point(0, 10.0), odd)


def test_a_winding_warm_and_cold_has_not_moved() -> None:
    """The same coil at 20 and at 45 °C, brought to 25 °C: the same value, both ways of asking."""
    here = visit()
    points = []
    for celsius in (20.0, 45.0):
        cold = taken(here, "coil_secondary", 6600.0)
        conditions = Conditions(
            part_temperature=PartTemperature(celsius=celsius), copper_reference=20.0
        )
        judgement = replace(cold.judgement, value=6600.0, expanded_uncertainty=80.0)
        points.append(
            trend_point(
                replace(cold, conditions=conditions, judgement=judgement),
                copper=True,
                reference_celsius=25.0,
            )
        )
    first, second = points
    assert first is not None
    assert second == first
    assert first.value == pytest.approx(at_reference(6600.0, celsius=20.0, reference=25.0))
    assert first.u == pytest.approx(40.0 * first.value / 6600.0)


def test_an_overload_is_no_point() -> None:
    """And copper without a temperature is one that does not count."""
    here = visit()
    assert trend_point(taken(here, "coil_secondary", None)) is None
    unknown = trend_point(taken(here, "coil_secondary", 6600.0), copper=True)
    assert unknown is not None
    assert not unknown.counts


@given(
    values=st.tuples(st.floats(1.0, 1e4), st.floats(1.0, 1e4)),
    doubts=st.tuples(st.floats(0.01, 100.0), st.floats(0.01, 100.0)),
    years=st.floats(0.01, 20.0),
)
def test_two_points_line_and_change_say_the_same(
    values: tuple[float, float], doubts: tuple[float, float], years: float
) -> None:
    """The line through two points is their change over the time, doubt included."""
    one, other = point(0, values[0], doubts[0]), point(years, values[1], doubts[1])
    line, moved = weighted_line([one, other]), change(one, other)
    assert line is not None
    assert line.per_year * years == pytest.approx(moved.delta, rel=1e-6, abs=1e-6)
    assert line.u_per_year * years == pytest.approx(moved.u, rel=1e-6)
