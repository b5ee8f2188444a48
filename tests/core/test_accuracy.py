"""Accuracy statements and lead zeros, to half-widths and standard uncertainties."""

from math import sqrt

import pytest

from benchassist.core.accuracy import WORST_CASE, Accuracy, LeadZero


def test_percent_counts_and_range_add_up() -> None:
    """The half-width is percent of reading plus counts plus percent of range."""
    a = Accuracy(percent=1.0, counts=2.0, percent_of_range=0.1)
    assert a.half_width(-100.0, resolution=0.1, full_scale=200.0) == pytest.approx(1.0 + 0.2 + 0.2)


def test_counts_of_unknown_size_are_unknown() -> None:
    """Counts need a resolution and a percentage of range needs a range."""
    assert (
        Accuracy(percent=1.0, counts=1.0).half_width(1.0, resolution=None, full_scale=9.0) is None
    )
    by_range = Accuracy(percent=1.0, percent_of_range=0.1)
    assert by_range.half_width(1.0, resolution=1.0, full_scale=None) is None


def test_no_statement_is_two_percent_and_five_counts() -> None:
    """Where nothing is stated the worst case is taken, and known to be assumed."""
    assert WORST_CASE.half_width(100.0, resolution=0.1, full_scale=None) == pytest.approx(2.5)
    assert not WORST_CASE.stated


@pytest.mark.parametrize(
    ("resolution", "full_scale", "same"),
    [
        (0.1, 200.0, True),
        (0.1, None, True),
        (0.1, 2000.0, False),
        (1.0, 200.0, False),
        (None, 200.0, False),
    ],
)
def test_a_zero_knows_its_range(
    resolution: float | None, full_scale: float | None, same: bool
) -> None:
    """The same count tells the range, and the same full scale where both are known."""
    zero = LeadZero(value=0.2, resolution=0.1, full_scale=200.0)
    assert zero.same_range_as(resolution=resolution, full_scale=full_scale) is same


def test_a_zero_of_the_same_range_doubts_one_count() -> None:
    """On its own range a zero is as good as one count, on another as its own accuracy."""
    zero = LeadZero(
        value=0.2, resolution=0.1, accuracy=Accuracy(percent=1.0, counts=3.0), full_scale=200.0
    )
    there = zero.standard_uncertainty(resolution=0.1, full_scale=200.0)
    assert there == pytest.approx(0.1 / sqrt(12.0))
    elsewhere = zero.standard_uncertainty(resolution=10.0, full_scale=2e4)
    assert elsewhere == pytest.approx((0.002 + 0.3) / sqrt(3.0))


def test_a_zero_without_a_count_cannot_be_doubted() -> None:
    """A zero of unknown count has no known doubt where its accuracy needs one."""
    zero = LeadZero(value=0.2, resolution=None)
    assert zero.standard_uncertainty(resolution=0.1, full_scale=200.0) is None


def test_so_many_units_are_the_same_at_every_reading() -> None:
    """A thermometer of 0.5 % + 1 K is 1 K out at 0 °C and 1.5 K at 100 °C."""
    thermometer = Accuracy(percent=0.5, fixed=1.0)
    wide = [thermometer.half_width(t, resolution=None, full_scale=None) for t in (0.0, 100.0)]
    assert wide == pytest.approx([1.0, 1.5])
