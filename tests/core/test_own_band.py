from dataclasses import replace
from datetime import timedelta
from math import ceil, floor, isfinite
from random import Random
from statistics import NormalDist, fmean, stdev

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchassist.core.band import BandSource, Reason, Verdict
from benchassist.core.copper import at_reference
from benchassist.core.estimate import Conditions, PartTemperature, estimate
from benchassist.core.own_band import FEWEST_PARTS, Coverage, OwnBand, Sides, own_band
from benchassist.core.own_part import LeftOut, OwnPart, own_part, tells_nothing
from benchassist.core.quantity import Quantity
from benchassist.core.tolerance import chi_square_above, one_sided_factor, two_sided_factor
from tests.core.entries import OPENED, taken, visit

OHMS = Quantity.RESISTANCE
VALUES = [NormalDist(6500.0, 120.0).inv_cdf((i + 0.5) / 14) for i in range(14)]


def part(number: int, value: float | None, *, u: float | None = 20.0, day: int = 0) -> OwnPart:
    """A reading of the part of that number."""
    return OwnPart(
        part=f"part {number}", at=OPENED + timedelta(days=day), quantity=OHMS, value=value, u=u
    )


def fourteen() -> list[OwnPart]:
    """Fourteen distinct good parts."""
    return [part(i, value, day=i) for i, value in enumerate(VALUES)]


def learned(readings: list[OwnPart], coverage: Coverage | None = None) -> OwnBand:
    """Their band in ohms."""
    return own_band(readings, quantity=OHMS, coverage=coverage)


def reasons(band: OwnBand) -> list[LeftOut | None]:
    """Why others were left out."""
    return [one.left_out for one in band.left_out]


def test_fourteen_parts_make_a_band() -> None:
    """Mean ± k s with the two-sided factor for 14, its origin and their number with it."""
    found = learned(fourteen())
    k = two_sided_factor(14, content=0.95, confidence=0.95)
    assert found.band is not None
    assert found.factor == k
    reach = k * stdev(VALUES)
    assert found.band.low == 10.0 * floor((fmean(VALUES) - reach) / 10.0)
    assert found.band.high == 10.0 * ceil((fmean(VALUES) + reach) / 10.0)
    assert 100.0 < reach < 1000.0  # two digits of it are tens of ohms
    assert (found.band.source, found.band.source_note) == (BandSource.OWN_PARTS, "14")
    assert not found.normality.departs
    assert (found.missing, found.outliers, found.left_out) == (0, (), ())


@pytest.mark.parametrize("sides", [Sides.LOW, Sides.HIGH])
def test_a_band_of_one_limit_has_the_one_sided_factor(sides: Sides) -> None:
    """The other side stays open."""
    found = learned(fourteen(), Coverage(content=0.9, confidence=0.99, sides=sides))
    reach = one_sided_factor(14, content=0.9, confidence=0.99) * stdev(VALUES)
    assert found.band is not None
    if sides is Sides.LOW:
        assert found.band.low == pytest.approx(fmean(VALUES) - reach - 5.0, abs=5.0)
        assert found.band.high is None
    else:
        assert found.band.low is None
        assert found.band.high == pytest.approx(fmean(VALUES) + reach + 5.0, abs=5.0)


@settings(max_examples=40)
@given(scale=st.floats(1e-9, 1e9), offset=st.floats(-1e3, 1e3))
def test_rounding_never_narrows_a_band(scale: float, offset: float) -> None:
    """In any unit, about any mean: outwards, and by less than a tenth of the half-width."""
    values = [scale * (v - 6500.0 + offset) for v in VALUES]
    found = own_band(
        [replace(part(i, v, u=scale), quantity=Quantity.VOLTAGE) for i, v in enumerate(values)],
        quantity=Quantity.VOLTAGE,
    )
    assert found.band is not None
    assert found.factor is not None
    reach, hair = found.factor * stdev(values), 1e-9 * scale
    low, high = found.band.low or 0.0, found.band.high or 0.0
    assert -hair <= fmean(values) - reach - low <= 0.1 * reach + hair
    assert -hair <= high - fmean(values) - reach <= 0.1 * reach + hair


def test_nine_parts_make_none() -> None:
    """It says how many are missing, and what is known so far."""
    found = learned(fourteen()[:9])
    assert (found.band, found.factor, found.missing) == (None, None, 1)
    assert found.mean == pytest.approx(fmean(VALUES[:9]))
    assert learned([]).missing == 10
    assert learned([]).mean is None


def test_ten_readings_of_one_part_are_one_part() -> None:
    """The one with the least doubt counts, the newest of equals; the others are shown."""
    same = [part(1, 6500.0 + i, u=20.0 if i else 5.0, day=i) for i in range(10)]
    found = learned(same)
    assert [one.value for one in found.parts] == [6500.0]
    assert reasons(found) == [LeftOut.SAME_PART] * 9
    equal = learned([part(1, 1.0, day=1), part(1, 2.0, day=3), part(1, 3.0, day=2)])
    assert [one.value for one in equal.parts] == [2.0]


def test_what_says_nothing_is_left_out_with_its_reason() -> None:
    """An overload, an unknown doubt, another quantity."""
    odd = [part(20, None), part(21, 6500.0, u=None)]
    odd.append(replace(part(22, 6500.0), quantity=Quantity.VOLTAGE))
    found = learned([*fourteen(), *odd])
    assert len(found.parts) == 14
    wanted = [LeftOut.NO_VALUE, LeftOut.CANNOT_TELL, LeftOut.OTHER_QUANTITY]
    assert sorted(str(r) for r in reasons(found)) == sorted(wanted)


def test_an_outlier_is_named_and_stays_in() -> None:
    """Only a person sets it aside, with a reason; then it is carried along, and so are its kin."""
    odd = part(30, 9000.0, day=30)
    found = learned([*fourteen(), odd])
    assert found.outliers == (odd,)
    assert odd in found.parts
    assert found.normality.departs
    aside = replace(odd, left_out=LeftOut.SET_ASIDE, reason="lead still on")
    found = learned([*fourteen(), part(30, 9000.0, day=29), aside])
    assert len(found.parts) == 14
    assert reasons(found) == [LeftOut.SET_ASIDE] * 2
    assert found.left_out[-1].reason == "lead still on"


def test_equal_values_make_no_band() -> None:
    """A counter too coarse to show any spread: an interval of no width would be a lie."""
    found = learned([part(i, 6500.0) for i in range(12)])
    assert (found.band, found.factor, found.deviation) == (None, None, 0.0)
    assert found.meter_share is None


def test_the_meters_share_of_the_spread_is_told() -> None:
    """Doubt as large as the spread makes all of it; never more than all."""
    found = learned([replace(one, u=0.5 * stdev(VALUES)) for one in fourteen()])
    assert found.meter_share == pytest.approx(0.25)
    assert learned([replace(one, u=1e6) for one in fourteen()]).meter_share == 1.0


def test_a_winding_is_brought_to_the_band_s_temperature() -> None:
    """Corrected to 20 °C when taken, wanted at 25 °C: as if corrected there at once."""
    here = visit()
    reading = taken(here, "coil_secondary", 6600.0)
    warm = Conditions(
        accuracy=reading.conditions.accuracy,
        part_temperature=PartTemperature(celsius=31.0),
        copper_reference=20.0,
    )
    was = estimate(reading.reading, warm)
    judgement = replace(
        reading.judgement, value=was.y, expanded_uncertainty=2.0 * was.standard_uncertainty
    )
    kept = replace(reading, conditions=warm, judgement=judgement)
    found = own_part(kept, part="p", quantity=OHMS, copper=True, reference_celsius=25.0)
    at_once = estimate(reading.reading, replace(warm, copper_reference=25.0))
    assert found.left_out is None
    assert found.value == pytest.approx(at_reference(6600.0, celsius=31.0, reference=25.0))
    assert found.u == pytest.approx(at_once.standard_uncertainty)


def test_a_reading_that_could_not_tell_is_no_part_of_a_band() -> None:
    """Nor is a winding of unknown temperature, nor an overload, nor what was set aside."""
    here = visit()
    plain = taken(here, "coil_secondary", 6600.0)
    unsure = replace(
        plain,
        judgement=replace(plain.judgement, verdict=Verdict.CANNOT_TELL, reason=Reason.TOO_COARSE),
    )
    over = taken(here, "coil_secondary", None)

    def why(*, of: object = plain, copper: bool = False, aside: str | None = None) -> object:
        assert isinstance(of, type(plain))
        return own_part(of, part="p", quantity=OHMS, copper=copper, set_aside=aside).left_out

    assert why() is None
    assert why(of=unsure) is LeftOut.CANNOT_TELL
    assert why(copper=True) is LeftOut.NOT_CORRECTED
    assert why(of=over) is LeftOut.NO_VALUE
    assert why(aside="borrowed") is LeftOut.SET_ASIDE


@settings(max_examples=15)
@given(n=st.integers(2, 30), content=st.floats(0.6, 0.98), confidence=st.floats(0.8, 0.99))
def test_factors_move_as_they_must(n: int, content: float, confidence: float) -> None:
    """More parts ask for less, more content for more, and two sides for more than one."""
    for factor in (one_sided_factor, two_sided_factor):
        k = factor(n, content=content, confidence=confidence)
        assert factor(n + 20, content=content, confidence=confidence) < k
        assert factor(n, content=content + 0.005, confidence=confidence) > k
    one = one_sided_factor(n, content=content, confidence=confidence)
    assert two_sided_factor(n, content=content, confidence=confidence) > one


def test_chi_square_agrees_with_scipy() -> None:
    """Odd and even degrees of freedom, from zero far into the tail."""
    import numpy as np
    from scipy.stats import chi2

    x = np.array([0.0, 0.01, 1.0, 9.0, 60.0])
    for freedom in (1, 2, 3, 9, 14, 301):
        assert chi_square_above(x, freedom) == pytest.approx(chi2.sf(x, freedom), abs=1e-13)


@pytest.mark.parametrize(
    ("n", "content", "confidence"), [(1, 0.9, 0.9), (9, 1.0, 0.9), (9, 0.9, 0)]
)
def test_impossible_demands_are_refused(n: int, content: float, confidence: float) -> None:
    """Too few values, or a share that is none."""
    for factor in (one_sided_factor, two_sided_factor):
        with pytest.raises(ValueError, match=r"two values|between 0 and 1"):
            factor(n, content=content, confidence=confidence)


def test_the_meters_doubt_is_the_root_mean_square_of_all() -> None:
    """By hand: of 3 and 4, sqrt(12.5)."""
    found = learned([part(1, 6500.0, u=3.0), part(2, 6600.0, u=4.0)])
    assert found.meter_u == pytest.approx(12.5**0.5)


READINGS = st.lists(
    st.builds(
        OwnPart,
        part=st.sampled_from([f"part {i}" for i in range(14)]),
        at=st.integers(0, 400).map(lambda days: OPENED + timedelta(days=days)),
        quantity=st.sampled_from([OHMS, OHMS, OHMS, Quantity.VOLTAGE]),
        value=st.one_of(st.none(), st.floats(4000.0, 9000.0)),
        u=st.one_of(st.none(), st.floats(1.0, 80.0), st.just(float("inf"))),
        left_out=st.sampled_from([None, None, None, *LeftOut]),
        reason=st.sampled_from(["", "borrowed"]),
        entry_id=st.uuids().map(str),
    ),
    max_size=40,
    unique_by=lambda one: (one.entry_id, one.at),
)


@settings(max_examples=80, deadline=None)
@given(readings=READINGS, order=st.randoms(use_true_random=False))
def test_whatever_is_marked_the_band_keeps_its_word(readings: list[OwnPart], order: Random) -> None:
    """One value a part, none that says nothing, none lost, no band from fewer than ten, outwards.

    And the order in which marks come changes nothing.
    """
    own = learned(readings)
    names = [part.part for part in own.parts]
    assert len(names) == len(set(names))
    aside = {one.part for one in readings if one.left_out is LeftOut.SET_ASIDE}
    for one in own.parts:
        assert one.left_out is None
        assert one.part not in aside
        assert one.quantity is OHMS
        assert one.value is not None
        assert one.u is not None
        assert isfinite(one.u)
    assert all(one.left_out is not None for one in own.left_out)
    ids = sorted(one.entry_id for one in readings)
    assert sorted(one.entry_id for one in (*own.parts, *own.left_out)) == ids
    assert (own.band is None) or len(own.parts) >= FEWEST_PARTS
    assert own.missing == max(0, FEWEST_PARTS - len(own.parts))
    if own.band is not None and own.factor and own.mean and own.deviation:
        reach = own.factor * own.deviation
        hair = 1e-9 * own.mean
        assert (own.band.low or 0.0) <= own.mean - reach + hair
        assert (own.band.high or 0.0) >= own.mean + reach - hair
    order.shuffle(readings)
    again = learned(readings)
    assert again.band == own.band
    assert {p.entry_id for p in again.parts} == {p.entry_id for p in own.parts}


@settings(max_examples=60)
@given(mean=st.floats(0.01, 1e6), share=st.floats(1e-7, 0.5))
def test_limits_have_four_digits_at_most(mean: float, share: float) -> None:
    """However alike the parts are, a limit is written with no more, and never inside the reach."""
    values = [mean * (1.0 + share * NormalDist().inv_cdf((i + 0.5) / 12)) for i in range(12)]
    found = own_band(
        [replace(part(i, v, u=1.0), quantity=Quantity.VOLTAGE) for i, v in enumerate(values)],
        quantity=Quantity.VOLTAGE,
    )
    assert found.band is not None
    assert found.factor is not None
    reach, hair = found.factor * stdev(values), 1e-9 * mean
    low, high = found.band.low or 0.0, found.band.high or 0.0
    assert low <= fmean(values) - reach + hair
    assert high >= fmean(values) + reach - hair
    for limit in (low, high):
        assert float(f"{limit:.4g}") == pytest.approx(limit, rel=1e-12)


def test_no_limit_above_nothing_is_no_band() -> None:
    """'At least less than zero ohms' limits nothing; up to something still does."""
    wide = [part(i, 10.0 * 3.0**i) for i in range(10)]
    low = own_band(wide, quantity=OHMS, coverage=Coverage(sides=Sides.LOW))
    assert (low.band, low.factor is None) == (None, False)
    both = learned(wide)
    assert both.band is not None
    assert both.band.lower is None


def test_a_reading_its_doubt_may_have_made_tells_nothing() -> None:
    """Where no band asked the meter; where one did, its verdict stands, also near zero."""
    here = visit()
    plain = taken(here, "coil_secondary", 20.0)
    free = replace(plain, band=None, judgement=replace(plain.judgement, verdict=Verdict.RECORDED))
    assert plain.judgement.expanded_uncertainty is not None
    assert plain.judgement.expanded_uncertainty > 20.0
    assert own_part(free, part="p", quantity=OHMS).left_out is LeftOut.CANNOT_TELL
    assert own_part(plain, part="p", quantity=OHMS).left_out is None
    assert not tells_nothing(free, Quantity.VOLTAGE)
