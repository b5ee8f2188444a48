from statistics import NormalDist

import pytest

from benchassist.core.normality import apart, normality

NORMAL = [NormalDist(5000.0, 40.0).inv_cdf((i + 0.5) / 14) for i in range(14)]


def test_normal_quantiles_do_not_depart() -> None:
    """The most normal fourteen values there are: no significance at all."""
    found = normality(NORMAL)
    assert found.statistic is not None
    assert found.statistic < 0.2
    assert found.significance is None
    assert not found.departs


def test_two_kinds_of_part_depart() -> None:
    """Seven of one kind and seven of another: rejected at the strictest level of the table."""
    found = normality([v - (400.0 if i % 2 else 0.0) for i, v in enumerate(NORMAL)])
    assert found.significance == 0.01
    assert found.departs


@pytest.mark.parametrize("values", [[], [1.0] * 7, [1.0, 2.0, 3.0], [5.0] * 12])
def test_no_test_of_few_or_equal_values(values: list[float]) -> None:
    """Then nothing is claimed, neither way."""
    found = normality(values)
    assert found.statistic is None
    assert not found.departs


def test_the_test_does_not_depend_on_unit_or_order() -> None:
    """Ohms or kilohms, as they came or sorted."""
    one, other = normality(NORMAL), normality([v / 1e3 for v in reversed(NORMAL)])
    assert one.statistic == pytest.approx(other.statistic, rel=1e-9)


def test_two_outliers_do_not_hide_each_other() -> None:
    """Median and MAD are not dragged along as a mean and deviation would be."""
    assert apart([*NORMAL, 9000.0, 9100.0]) == (14, 15)
    assert apart(NORMAL) == ()


def test_one_that_differs_from_many_equal_ones_stands_apart() -> None:
    """A MAD of zero is no licence to flag nothing, nor everything."""
    assert apart([10.0] * 11 + [10.4]) == (11,)
    assert apart([10.0] * 12) == ()
    assert apart([10.0, 99.0]) == ()


def test_where_a_value_begins_to_stand_apart() -> None:
    """By hand: 1 to 8 and x have median 5 and MAD 2, so 3.5 * 2 / 0.6745 = 10.38 is the limit."""
    assert apart([*range(1, 9), 15.3]) == ()
    assert apart([*range(1, 9), 15.5]) == (8,)
