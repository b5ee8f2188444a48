"""From a reading to a corrected value and every contribution to its doubt."""

from math import sqrt

import pytest
from hypothesis import given

from benchassist.core.accuracy import Accuracy, LeadZero, Part
from benchassist.core.estimate import (
    Conditions,
    Estimate,
    MeterDoubt,
    PartTemperature,
    corrected_full_scale,
    estimate,
)
from benchassist.core.reading import Reading
from tests.core.budgets import conditions, ohms, readings


def parts(found: Estimate) -> dict[Part, float]:
    """The contributions by name."""
    return {c.name: c.standard_uncertainty for c in found.contributions}


def test_every_contribution_by_hand() -> None:
    """A hot winding with zeroed leads and an unsteady contact, worked by hand."""
    found = estimate(
        ohms(9200.0),
        Conditions(
            accuracy=Accuracy(percent=0.8, counts=3.0),
            lead_zero=LeadZero(value=0.0, resolution=10.0, full_scale=2e4),
            spread=4.0,
            part_temperature=PartTemperature(celsius=100.0),
            copper_reference=20.0,
        ),
    )
    factor = 1.0 / (1.0 + 0.00393 * 80.0)
    assert found.y == pytest.approx(9200.0 * factor)
    assert parts(found) == pytest.approx(
        {
            Part.ACCURACY: (73.6 + 30.0) / sqrt(3.0) * factor,
            Part.COUNT: 10.0 / sqrt(12.0) * factor,
            Part.LEAD_ZERO: 10.0 / sqrt(12.0) * factor,
            Part.SPREAD: 4.0 * factor,
            Part.TEMPERATURE: 9200.0 * factor * 0.00393 * factor * 2.0,
        }
    )
    assert found.dominant is Part.TEMPERATURE or found.dominant is Part.ACCURACY
    assert found.dominant is max(parts(found), key=lambda part: parts(found)[part])


def test_the_leads_come_off_first() -> None:
    """The lead zero is subtracted before the temperature is corrected."""
    found = estimate(
        ohms(1.2, count=0.1, full_scale=200.0),
        Conditions(
            lead_zero=LeadZero(value=0.3, resolution=0.1, full_scale=200.0),
            part_temperature=PartTemperature(celsius=70.0),
            copper_reference=20.0,
        ),
    )
    assert found.y == pytest.approx(0.9 / (1.0 + 0.00393 * 50.0))


def test_temperature_is_recorded_only_where_the_part_is_not_copper() -> None:
    """A known temperature changes nothing while the band is not for copper."""
    plain = estimate(ohms(5000.0), Conditions())
    warm = estimate(ohms(5000.0), Conditions(part_temperature=PartTemperature(celsius=80.0)))
    assert warm == plain


def test_an_overload_has_nothing_to_correct() -> None:
    """Correcting an overload is a bug of the caller."""
    with pytest.raises(ValueError, match="overload"):
        estimate(ohms(None), Conditions())


@pytest.mark.parametrize(
    ("reading", "accuracy", "knowable"),
    [
        (ohms(5.0, count=None), Accuracy(percent=1.0, counts=2.0), False),
        (ohms(5.0, count=None), Accuracy(percent=1.0), False),
        (ohms(5.0, count=None), Accuracy(percent=0.01, percent_of_range=0.004), True),
        (ohms(5.0, full_scale=None), Accuracy(percent=0.01, percent_of_range=0.004), False),
        (ohms(5.0), Accuracy(percent=1.0, counts=2.0), True),
    ],
)
def test_a_doubt_that_cannot_be_known_is_marked(
    reading: Reading, accuracy: Accuracy, knowable: bool
) -> None:
    """An unknown count or range makes a doubt unknowable, never small."""
    assert estimate(reading, Conditions(accuracy=accuracy)).knowable is knowable


@given(readings(), conditions)
def test_the_doubt_at_this_value_is_the_doubt_of_the_polynomial(
    reading: Reading, drawn: Conditions
) -> None:
    """The meter's doubt as a function of y gives the meter's contributions at this y."""
    found = estimate(reading, drawn)
    meter = (Part.ACCURACY, Part.COUNT, Part.LEAD_ZERO)
    direct = sqrt(sum(parts(found).get(part, 0.0) ** 2 for part in meter))
    if reading.value is not None and reading.value >= 0.0:
        assert found.meter.standard_uncertainty(found.y) == pytest.approx(direct, rel=1e-9)


def test_the_doubt_is_never_that_of_a_negative_square() -> None:
    """Rounding below zero under the root counts as no doubt."""
    assert MeterDoubt(a2=0.0, a1=0.0, a0=-1e-30).standard_uncertainty(1.0) == 0.0


def test_an_overload_proves_less_of_a_hot_winding() -> None:
    """The end of the range is corrected like a reading before it proves anything."""
    hot = Conditions(
        lead_zero=LeadZero(value=0.5, resolution=0.1),
        part_temperature=PartTemperature(celsius=90.0),
        copper_reference=20.0,
    )
    proved = corrected_full_scale(2e4, hot)
    assert proved == pytest.approx((2e4 - 0.5) / (1.0 + 0.00393 * 70.0))
    assert corrected_full_scale(None, hot) is None


def test_no_doubt_at_all_has_no_greatest_part() -> None:
    """A perfect meter has nothing that dominates."""
    perfect = estimate(ohms(5.0, count=0.0), Conditions(accuracy=Accuracy(percent=0.0)))
    assert perfect.dominant is None
    assert perfect.standard_uncertainty == 0.0
