"""Temperatures beside a run: averaged where they come often, kept where they come seldom."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.heat_thermometer import Point, Thermometer


def fed(*readings: tuple[float, float]) -> Thermometer:
    """A thermometer told some (second, celsius)."""
    thermometer = Thermometer()
    for t_s, celsius in readings:
        thermometer.points += [p for _, p in thermometer.gather([t_s], [celsius], 1.0)]
    return thermometer


def test_seldom_readings_are_points_of_their_own() -> None:
    """Typed marks are kept as they came, and joined by a straight line."""
    thermometer = fed((0.0, 20.0), (60.0, 26.0))
    assert list(thermometer.points) == [Point(0.0, 20.0, 1.0), Point(60.0, 26.0, 1.0)]
    assert thermometer.at(30.0) == pytest.approx(23.0)
    assert thermometer.at(-1.0) is None


def test_frequent_readings_are_averaged() -> None:
    """Readings at 5 Hz make a point about every two seconds, in the middle of their time."""
    thermometer = fed(*((0.2 * i, 20.0 + 0.1 * i) for i in range(60)))
    assert len(thermometer.points) == 6
    for point in thermometer.points:
        assert point.celsius == pytest.approx(20.0 + 0.5 * point.t_s)
    assert thermometer.rate == pytest.approx(0.5)


def test_a_moment_ago_is_carried_on_a_little_only() -> None:
    """For five seconds the last slope is carried on; later nothing is said, but `ahead` doubts."""
    thermometer = fed((0.0, 20.0), (10.0, 21.0))
    assert thermometer.at(14.0) == pytest.approx(21.4)
    assert thermometer.at(16.0) is None
    ahead = thermometer.ahead(40.0)
    assert ahead is not None
    assert ahead[0] == pytest.approx(24.0)
    assert ahead[1] == pytest.approx(1.0 + 0.5 * 0.1 * 30.0)
    assert Thermometer().ahead(1.0) is None


def test_a_wild_reading_is_left_out_until_it_is_repeated() -> None:
    """An open thermocouple is no temperature; a probe moved to a hot part is, after a while."""
    thermometer = fed((0.0, 20.0), (3.0, 400.0), (6.0, 20.5))
    assert [p.celsius for p in thermometer.points] == [20.0, 20.5]
    moved = fed((0.0, 20.0), *((3.0 + 3.0 * i, 90.0) for i in range(5)))
    assert [p.celsius for p in moved.points] == [20.0, 90.0, 90.0]


@given(
    st.lists(st.tuples(st.floats(0.01, 5.0), st.floats(-40.0, 120.0)), max_size=80),
    st.lists(st.integers(0, 80), max_size=4),
)
def test_columns_and_single_readings_make_the_same_points(
    steps: list[tuple[float, float]], cuts: list[int]
) -> None:
    """However they are cut into columns, the same points come at the same readings."""
    t = np.cumsum([step for step, _ in steps]) if steps else np.empty(0)
    c = np.array([celsius for _, celsius in steps])
    single, column = Thermometer(), Thermometer()
    expected = [
        (place, point)
        for place, pair in enumerate(zip(t.tolist(), c.tolist(), strict=True))
        for _, point in single.gather([pair[0]], [pair[1]], 1.0)
    ]
    places = sorted({0, len(t), *(min(cut, len(t)) for cut in cuts)})
    found = [
        (start + place, point)
        for start, end in pairwise(places)
        for place, point in column.gather_block(t[start:end], c[start:end], 1.0)
    ]
    assert found == expected
