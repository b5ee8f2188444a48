"""Combined uncertainty agrees with GTC on the same budget, and the verdict with its picture."""

from math import sqrt

import GTC
from hypothesis import assume, given
from hypothesis import strategies as st

from benchassist.core.accuracy import Accuracy
from benchassist.core.band import Band, Verdict, can_say_in_band, judge, sayable
from benchassist.core.copper import ALPHA_20
from benchassist.core.estimate import Conditions, MeterDoubt, PartTemperature, estimate
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.core.volt_drop import estimate_volt_drop
from tests.core.budgets import accuracies, bands, conditions, part_temperatures, readings

UNDECIDED = {Verdict.TOO_CLOSE, Verdict.CANNOT_TELL}


def agree(ours: float, theirs: float, scale: float) -> bool:
    """Equal to 1e-9 relative, or both nothing beside the scale of the value."""
    return abs(ours - theirs) <= 1e-9 * max(abs(ours), abs(theirs)) + 1e-15 * abs(scale)


def at_reference(ohms: GTC.lib.UncertainReal, drawn: Conditions) -> GTC.lib.UncertainReal:
    """The copper law in GTC, with the temperature as an uncertain number."""
    part, reference = drawn.part_temperature, drawn.copper_reference
    if part is None or reference is None:
        return ohms
    celsius = GTC.ureal(part.celsius, part.u)
    return ohms * (1.0 + ALPHA_20 * (reference - 20.0)) / (1.0 + ALPHA_20 * (celsius - 20.0))


def in_gtc(reading: Reading, drawn: Conditions) -> GTC.lib.UncertainReal:
    """The measurement model of the design, written for GTC and sharing nothing with ours."""
    assert reading.value is not None
    count, full_scale = reading.resolution, reading.full_scale
    assert count is not None
    assert full_scale is not None
    a = drawn.accuracy
    half = (
        abs(reading.value) * a.percent / 100.0
        + a.counts * count
        + a.percent_of_range / 100.0 * full_scale
    )
    ohms = reading.value + GTC.ureal(0.0, half / sqrt(3.0))
    ohms += GTC.ureal(0.0, GTC.type_b.uniform(count / 2.0))
    ohms += GTC.ureal(0.0, drawn.spread)
    zero = drawn.lead_zero
    if zero is not None:
        assert zero.resolution is not None
        assert zero.full_scale is not None
        if (zero.resolution, zero.full_scale) == (count, full_scale):
            u = zero.resolution / sqrt(12.0)
        else:
            own = zero.accuracy
            u = (
                zero.value * own.percent / 100.0
                + own.counts * zero.resolution
                + own.percent_of_range / 100.0 * zero.full_scale
            ) / sqrt(3.0)
        ohms -= GTC.ureal(zero.value, u)
    return at_reference(ohms, drawn)


@given(readings(), conditions)
def test_a_direct_reading_agrees_with_gtc(reading: Reading, drawn: Conditions) -> None:
    """Value and combined uncertainty of any budget, temperature correction included."""
    ours, theirs = estimate(reading, drawn), in_gtc(reading, drawn)
    assert agree(ours.y, theirs.x, reading.value or 0.0)
    assert agree(ours.standard_uncertainty, theirs.u, reading.value or 0.0)


@given(
    millivolts=st.integers(1, 1999),
    milliamperes=st.integers(1, 1000),
    voltmeter=accuracies,
    ammeter=accuracies,
    spread=st.floats(0.0, 1e-3),
    part=st.none() | part_temperatures,
    reference=st.none() | st.just(20.0),
)
def test_a_volt_drop_agrees_with_gtc(
    *,
    millivolts: int,
    milliamperes: int,
    voltmeter: Accuracy,
    ammeter: Accuracy,
    spread: float,
    part: PartTemperature | None,
    reference: float | None,
) -> None:
    """R = V / I with both meters' doubts, temperature correction included."""
    v, i = millivolts * 1e-4, milliamperes * 1e-4
    volts = Reading(
        t_s=0.0,
        channel="A",
        quantity=Quantity.VOLTAGE,
        value=v,
        resolution=1e-4,
        full_scale=0.2,
    )
    amperes = Reading(
        t_s=0.0,
        channel="B",
        quantity=Quantity.CURRENT,
        value=i,
        resolution=1e-4,
        full_scale=0.2,
    )
    drawn = Conditions(
        accuracy=voltmeter, spread=spread, part_temperature=part, copper_reference=reference
    )
    ours = estimate_volt_drop(volts, amperes, conditions=drawn, current_accuracy=ammeter)

    def measured(value: float, a: Accuracy) -> GTC.lib.UncertainReal:
        half = value * a.percent / 100.0 + a.counts * 1e-4 + a.percent_of_range / 100.0 * 0.2
        exact = value + GTC.ureal(0.0, half / sqrt(3.0))
        return exact + GTC.ureal(0.0, GTC.type_b.uniform(0.5e-4))

    theirs = at_reference(
        (measured(v, voltmeter) + GTC.ureal(0.0, spread)) / measured(i, ammeter), drawn
    )
    assert agree(ours.y, theirs.x, ours.y)
    assert agree(ours.standard_uncertainty, theirs.u, ours.y)


@given(readings(), conditions, bands(), st.floats(0.5, 4.0))
def test_the_picture_and_the_sum_are_one_rule(
    reading: Reading, drawn: Conditions, band: Band, k: float
) -> None:
    """The lozenge from y - U to y + U: inside is In, outside is Out, across an edge is neither."""
    found = judge(estimate(reading, drawn), band, k=k)
    assume(found.expanded_uncertainty is not None and found.value is not None)
    assert found.value is not None
    assert found.expanded_uncertainty is not None
    left, right = (
        found.value - found.expanded_uncertainty,
        found.value + found.expanded_uncertainty,
    )
    hair = 1e-9 * (abs(left) + abs(right))
    edges = [limit for limit in (band.low, band.high) if limit is not None]
    assume(all(abs(end - edge) > hair for end in (left, right) for edge in edges))
    assume(abs(right) > hair)
    low = float("-inf") if band.low is None else band.low
    high = float("inf") if band.high is None else band.high
    across = any(left < edge < right for edge in edges)
    if right < 0.0:
        assert found.verdict is Verdict.CANNOT_TELL
    elif across:
        assert found.verdict in UNDECIDED
    elif low < left and right < high:
        assert found.verdict is Verdict.IN_BAND
    else:
        assert found.verdict is Verdict.OUT_OF_BAND


@given(readings(), conditions, bands(), st.floats(0.5, 4.0))
def test_a_verdict_is_never_stronger_than_its_evidence(
    reading: Reading, drawn: Conditions, band: Band, k: float
) -> None:
    """In band is at least as probable as k standard uncertainties on both sides leave it."""
    found = judge(estimate(reading, drawn), band, k=k)
    if found.probability_in_band is None:
        return
    from scipy.stats import norm

    outside = float(norm.sf(k))
    if found.verdict is Verdict.IN_BAND:
        assert found.probability_in_band >= 1.0 - 2.0 * outside - 1e-12
    if found.verdict is Verdict.OUT_OF_BAND:
        assert found.probability_in_band <= outside + 1e-12


doubts = st.builds(
    MeterDoubt, a2=st.floats(0.0, 2.0), a1=st.floats(0.0, 100.0), a0=st.floats(0.0, 1e6)
)


def says_in_band(y: float, meter: MeterDoubt, band: Band, k: float) -> bool:
    """The rule itself, at one y."""
    doubt = k * meter.standard_uncertainty(y)
    return (band.low is None or y - doubt >= band.low) and (
        band.high is None or y + doubt <= band.high
    )


@given(
    doubts,
    st.floats(0.1, 1e4),
    st.none() | st.floats(0.01, 1e4),
    st.floats(0.5, 4.0),
    st.none() | st.floats(0.1, 2e4),
)
def test_whether_a_meter_could_say_in_band_agrees_with_a_search(
    meter: MeterDoubt, low: float, width: float | None, k: float, top: float | None
) -> None:
    """What is solved as roots is what trying every y finds; its ends are where the rule turns."""
    band = Band(quantity=Quantity.RESISTANCE, low=low, high=None if width is None else low + width)
    end = min(top if top is not None else 1e6, band.high if band.high is not None else 1e6)
    tried = [low + (end - low) * i / 2000.0 for i in range(2001) if end >= low]
    found = any(says_in_band(y, meter, band, k) for y in tried)
    solved = can_say_in_band(meter, band, k=k, top=top)
    if found:
        assert solved
    for start, stop in sayable(meter, band, k=k, top=top):
        inside = 0.5 * (start + min(stop, start + 1e6))
        hair = 1e-9 * (start + k * meter.standard_uncertainty(start) + 1.0)
        if stop - start > 4.0 * hair:
            assert says_in_band(inside, meter, band, k)
            if start - hair > 0.0:
                assert not says_in_band(start - 2.0 * hair, meter, band, k)
