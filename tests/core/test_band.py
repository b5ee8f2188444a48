"""The four verdicts, in their order, and overload."""

from dataclasses import replace

import pytest

from benchassist.core.accuracy import Accuracy
from benchassist.core.band import (
    Band,
    Reason,
    Side,
    Verdict,
    can_say_in_band,
    judge,
    judge_overload,
    probability_in_band,
    sayable,
)
from benchassist.core.estimate import Conditions, MeterDoubt, estimate
from benchassist.core.quantity import Quantity
from tests.core.budgets import band_of, ohms

HAND_HELD = Conditions(accuracy=Accuracy(percent=0.8, counts=3.0))
CAP = band_of(3750.0, 6250.0)
PRIMARY = band_of(0.6, 1.3)


@pytest.mark.parametrize(
    ("value", "verdict", "side"),
    [
        (5000.0, Verdict.IN_BAND, None),
        (3760.0, Verdict.TOO_CLOSE, None),
        (3740.0, Verdict.TOO_CLOSE, None),
        (3500.0, Verdict.OUT_OF_BAND, Side.LOW),
        (6500.0, Verdict.OUT_OF_BAND, Side.HIGH),
        (0.0, Verdict.OUT_OF_BAND, Side.LOW),
    ],
)
def test_the_lozenge_against_the_band(value: float, verdict: Verdict, side: Side | None) -> None:
    """Clear inside is in, clear outside is out with its side, touching is too close."""
    j = judge(estimate(ohms(value), HAND_HELD), CAP)
    assert (j.verdict, j.side) == (verdict, side)


def test_a_coarse_range_cannot_tell_and_never_says_low_or_shorted() -> None:
    """0.00 kΩ against 0.6 to 1.3 Ω is the meter's limit, not the part's."""
    j = judge(estimate(ohms(0.0), HAND_HELD), PRIMARY)
    assert (j.verdict, j.reason, j.side) == (Verdict.CANNOT_TELL, Reason.TOO_COARSE, None)


def test_a_coarse_range_still_finds_what_is_far_out() -> None:
    """A range that can never say in band may still say out of band."""
    j = judge(estimate(ohms(90.0), HAND_HELD), PRIMARY)
    assert (j.verdict, j.side) == (Verdict.OUT_OF_BAND, Side.HIGH)


def test_spread_that_is_too_wide_is_too_close_not_cannot_tell() -> None:
    """Where the meter could have told and the contact was unsteady, the meter is not to blame."""
    j = judge(estimate(ohms(5000.0), replace(HAND_HELD, spread=900.0)), CAP)
    assert (j.verdict, j.reason) == (Verdict.TOO_CLOSE, Reason.TOUCHES_EDGE)


def test_a_range_that_ends_below_the_band_sends_up_a_range() -> None:
    """A range whose end lies below what In band needs cannot tell; a higher one could."""
    j = judge(estimate(ohms(1900.0, count=1.0, full_scale=2000.0), HAND_HELD), band_of(1910.0, 6e3))
    assert (j.verdict, j.reason) == (Verdict.TOO_CLOSE, Reason.TOUCHES_EDGE)
    j = judge(estimate(ohms(1990.0, count=1.0, full_scale=2000.0), HAND_HELD), band_of(2e3, 6e3))
    assert (j.verdict, j.reason) == (Verdict.CANNOT_TELL, Reason.GO_UP_A_RANGE)


def test_below_zero_by_more_than_the_doubt_asks_for_a_new_zero() -> None:
    """Ohms below -U are no ohms: the leads were zeroed wrongly, and no odds are given."""
    j = judge(estimate(ohms(-500.0), HAND_HELD), band_of(None, 5e3))
    assert (j.verdict, j.reason) == (Verdict.CANNOT_TELL, Reason.ZERO_AGAIN)
    assert j.probability_in_band is None


def test_a_little_below_zero_is_within_the_doubt() -> None:
    """A few counts below zero are judged like zero."""
    j = judge(estimate(ohms(-10.0), HAND_HELD), band_of(None, 5e3))
    assert j.verdict is Verdict.IN_BAND


def test_a_lower_limit_of_zero_is_no_limit_for_ohms() -> None:
    """Ohms cannot be below zero, so 0 to 5 kΩ is up to 5 kΩ."""
    assert judge(estimate(ohms(0.0), HAND_HELD), band_of(0.0, 5e3)).verdict is Verdict.IN_BAND


def test_volts_below_zero_have_a_band_too() -> None:
    """A quantity that can be negative is judged on both sides of zero."""
    band = Band(quantity=Quantity.VOLTAGE, low=-6.0, high=-4.0)
    volts = replace(ohms(-5.0, count=0.01, full_scale=20.0), quantity=Quantity.VOLTAGE)
    assert judge(estimate(volts, HAND_HELD), band).verdict is Verdict.IN_BAND
    near = replace(volts, value=-4.0)
    assert judge(estimate(near, HAND_HELD), band).verdict is Verdict.TOO_CLOSE
    meter = estimate(volts, HAND_HELD).meter
    ((start, end),) = sayable(meter, band)
    assert -6.0 < start < end < -4.0


def test_unknown_counts_cannot_tell() -> None:
    """A doubt that is not known decides nothing and is not shown as a number."""
    j = judge(estimate(ohms(5e3, count=None), HAND_HELD), CAP)
    assert (j.verdict, j.reason) == (Verdict.CANNOT_TELL, Reason.COUNT_UNKNOWN)
    assert j.expanded_uncertainty is None
    assert j.probability_in_band is None
    assert j.clearance is None


def test_k_widens_the_lozenge() -> None:
    """A shop that wants more certainty gets a wider doubt and fewer verdicts."""
    found = estimate(ohms(3860.0), HAND_HELD)
    assert judge(found, CAP, k=2.0).verdict is Verdict.IN_BAND
    assert judge(found, CAP, k=4.0).verdict is Verdict.TOO_CLOSE


@pytest.mark.parametrize(
    ("full_scale", "band", "proved", "verdict", "reason"),
    [
        (2e4, CAP, True, Verdict.OUT_OF_BAND, Reason.OPEN),
        (2e4, CAP, False, Verdict.CANNOT_TELL, Reason.LEADS_UNPROVED),
        (None, CAP, True, Verdict.CANNOT_TELL, Reason.RANGE_UNKNOWN),
        (6250.0, CAP, True, Verdict.CANNOT_TELL, Reason.GO_UP_A_RANGE),
        (2e3, CAP, True, Verdict.CANNOT_TELL, Reason.GO_UP_A_RANGE),
        (2e7, band_of(1e7, None), True, Verdict.IN_BAND, Reason.INSULATES),
        (1e7, band_of(1e7, None), True, Verdict.IN_BAND, Reason.INSULATES),
        (2e6, band_of(1e7, None), True, Verdict.CANNOT_TELL, Reason.GO_UP_A_RANGE),
    ],
)
def test_overload(
    full_scale: float | None, band: Band, proved: bool, verdict: Verdict, reason: Reason
) -> None:
    """Above range is never a number, and proves something only of a known range and sound leads."""
    j = judge_overload(full_scale, band, leads_proved=proved)
    assert (j.verdict, j.reason) == (verdict, reason)
    assert j.value is None
    assert j.expanded_uncertainty is None
    assert (j.side is Side.HIGH) is (reason is Reason.OPEN)


def test_a_meter_without_doubt_can_say_every_value() -> None:
    """With no doubt at all In band can be said over the whole band."""
    assert sayable(MeterDoubt(0.0, 0.0, 0.0), CAP) == ((3750.0, 6250.0),)


def test_an_unbounded_band_is_sayable_without_end() -> None:
    """Where nothing ends the stretch it has no end, and the top of the range ends it."""
    open_band = band_of(1e6, None)
    ((start, end),) = sayable(MeterDoubt(1e-6, 0.0, 1e6), open_band)
    assert start > 1e6
    assert end == float("inf")
    assert not can_say_in_band(MeterDoubt(1e-6, 0.0, 1e6), open_band, top=9e5)


def test_a_meter_that_doubts_more_than_it_reads_never_clears_a_limit() -> None:
    """Where k u grows faster than y nothing is ever clear of a lower limit."""
    assert not can_say_in_band(MeterDoubt(1.0, 0.0, 1.0), band_of(1.0, None))


def test_without_doubt_the_odds_are_all_or_nothing() -> None:
    """A value known exactly is in the band or not."""
    assert probability_in_band(5e3, 0.0, CAP) == 1.0
    assert probability_in_band(7e3, 0.0, CAP) == 0.0


@pytest.mark.parametrize(("low", "high"), [(None, None), (2.0, 2.0), (3.0, 2.0)])
def test_a_band_has_limits_in_order(low: float | None, high: float | None) -> None:
    """A band without limits, or with crossed ones, is no band."""
    with pytest.raises(ValueError, match="limit"):
        band_of(low, high)
