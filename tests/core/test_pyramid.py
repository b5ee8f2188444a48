from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.extremes import Rows
from benchassist.core.pyramid import Pyramid
from benchassist.core.samples import Column


def by_hand(t_s: Column, value: Column, edges: Column) -> list[tuple[float, float, float]]:
    """First time, lowest and highest of each bucket that has samples."""
    rows = []
    for start, end in pairwise(edges):
        inside = (t_s >= start) & (t_s < end)
        known = value[inside & ~np.isnan(value)]
        if inside.any():
            extremes = (known.min(), known.max()) if len(known) else (np.nan, np.nan)
            rows.append((t_s[inside][0], *extremes))
    return rows


def same(rows: Rows, expected: list[tuple[float, float, float]]) -> bool:
    """Whether the rows are those, nan equal to nan."""
    return np.array_equal(np.column_stack(rows), np.array(expected), equal_nan=True)


@st.composite
def runs(draw: st.DrawFn) -> tuple[Column, Column]:
    """A few thousand samples at uneven times, some overloads, without gaps."""
    count = draw(st.integers(300, 5000))
    random = np.random.default_rng(draw(st.integers(0, 2**32)))
    t_s = np.cumsum(random.choice([0.001, 0.1, 3.0], count))
    value = random.normal(0.0, 1.0, count)
    value[random.random(count) < 0.01] = np.inf
    return t_s, value


@given(runs(), st.floats(0.0, 0.7), st.floats(0.1, 0.3), st.integers(2, 60))
def test_each_bucket_has_its_own_extremes(
    run: tuple[Column, Column], start: float, length: float, buckets: int
) -> None:
    """Lowest and highest of every bucket are exactly those of its samples, at any rate."""
    t_s, value = run
    span = t_s[-1] - t_s[0]
    start_s, end_s = t_s[0] + start * span, t_s[0] + (start + length) * span
    inside = (t_s >= start_s) & (t_s <= end_s)
    rows = Pyramid(t_s, value).window(start_s, end_s, buckets)
    if inside.sum() + 2 <= buckets:
        assert set(t_s[inside]) <= set(rows[0])
        return
    edges = np.linspace(start_s, end_s, buckets + 1)
    edges[-1] = np.nextafter(end_s, np.inf)
    before, after = np.flatnonzero(t_s < start_s), np.flatnonzero(t_s > end_s)
    expected = by_hand(t_s, value, edges)
    if len(before):
        expected.insert(0, (t_s[before[-1]], value[before[-1]], value[before[-1]]))
    if len(after):
        expected.append((t_s[after[0]], value[after[0]], value[after[0]]))
    if len(before) and len(after):
        assert same(rows, expected)
    low = min(row[1] for row in expected)
    assert np.nanmin(rows[1]) == low


@pytest.mark.parametrize("count", [0, 1, 3, 4, 5, 63, 64, 65, 4096, 100_003])
def test_appending_makes_the_same_pyramid(count: int) -> None:
    """Built at once or in uneven pieces, a window is the same."""
    random = np.random.default_rng(count)
    t_s, value = np.arange(float(count)), random.normal(0.0, 1.0, count)
    whole, grown = Pyramid(t_s, value), Pyramid()
    start = 0
    while start < count:
        end = start + int(random.integers(1, 1 + max(1, count // 7)))
        grown.extend(t_s[start:end], value[start:end])
        start = end
    assert len(grown) == len(whole) == count
    for buckets in (1, 7, 100):
        one, other = (p.window(0.2 * count, 0.9 * count, buckets) for p in (whole, grown))
        assert all(np.array_equal(a, b) for a, b in zip(one, other, strict=True))


def test_one_sample_in_a_million_shows_at_any_width() -> None:
    """A lone spike is the highest of its bucket, whatever is in view."""
    value = np.zeros(1_000_000)
    value[654_321] = 5.0
    pyramid = Pyramid(np.arange(1e6), value)
    for span in (1e6, 1e5, 1e4, 1e3):
        t_s, low, high = pyramid.window(654_321.0 - 0.4 * span, 654_321.0 + 0.6 * span, 400)
        row = int(np.argmax(high))
        assert (low[row], high[row]) == (0.0, 5.0) or span == 1e3
        assert t_s[row] == pytest.approx(654_321.0, abs=span / 400.0)


def test_few_samples_come_as_they_are() -> None:
    """Where there are more buckets than samples each comes by itself, one more on each side."""
    t_s, low, high = Pyramid(np.arange(100.0), np.arange(100.0)).window(10.0, 20.0, 500)
    assert t_s.tolist() == list(range(9, 22))
    assert (low == high).all()


def test_a_gap_breaks_the_line() -> None:
    """A bucket that ends in a gap is followed by nan; a gap inside one is not seen."""
    t_s = np.concatenate((np.arange(0.0, 400.0), [400.0], np.arange(600.0, 1000.0)))
    value = np.ones(len(t_s))
    value[400] = np.nan
    value[100] = np.nan
    times, low, _ = Pyramid(t_s, value).window(0.0, 1000.0, 20)
    gaps = np.flatnonzero(np.isnan(low))
    assert times[gaps].tolist() == [400.0]
    assert times[gaps + 1].tolist() == [600.0]


def test_an_overload_is_the_highest_and_no_number_the_lowest() -> None:
    """A bucket with an overload has +inf as its highest and a reading as its lowest."""
    value = np.full(1000, 6.5)
    value[[500, 501]] = np.inf
    _, low, high = Pyramid(np.arange(1000.0), value).window(0.0, 999.0, 10)
    assert np.isposinf(high).sum() == 1
    assert (low == 6.5).all()


def test_a_window_before_or_after_the_run_has_the_nearest_sample() -> None:
    """Nothing to see is no error."""
    pyramid = Pyramid(np.arange(10.0), np.arange(10.0))
    assert pyramid.window(50.0, 60.0, 5)[0].tolist() == [9.0]
    assert pyramid.window(-9.0, -5.0, 5)[0].tolist() == [0.0]
    assert Pyramid().window(0.0, 1.0, 5)[0].tolist() == []
