"""Resistance by volt drop, and the limits that keep part and hand safe."""

from dataclasses import replace
from math import sqrt

import pytest

from benchassist.core.accuracy import Accuracy, Part
from benchassist.core.band import Verdict, judge
from benchassist.core.estimate import Conditions, PartTemperature
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Mode, Reading
from benchassist.core.volt_drop import estimate_volt_drop
from benchassist.errors import InputError
from tests.core.budgets import band_of

METER = Accuracy(percent=0.5, counts=2.0)


def volts(value: float | None) -> Reading:
    """A reading on a 200 mV range."""
    return Reading(
        t_s=0.0,
        channel="A",
        quantity=Quantity.VOLTAGE,
        value=value,
        resolution=1e-4,
        full_scale=0.2,
        overload=value is None,
    )


def amperes(value: float | None) -> Reading:
    """A reading on a 200 mA range."""
    return replace(volts(0.0), quantity=Quantity.CURRENT, value=value, overload=value is None)


def drop(v: Reading, i: Reading, conditions: Conditions | None = None) -> float:
    """The resistance found."""
    conditions = conditions or Conditions(accuracy=METER)
    return estimate_volt_drop(v, i, conditions=conditions, current_accuracy=METER).y


def test_every_contribution_by_hand() -> None:
    """47.5 mV at 50.0 mA is 0.95 Ω, each meter's doubt carried over to ohms."""
    found = estimate_volt_drop(
        volts(0.0475),
        amperes(0.05),
        conditions=Conditions(accuracy=METER, spread=1e-4),
        current_accuracy=METER,
    )
    assert found.y == pytest.approx(0.95)
    assert {c.name: c.standard_uncertainty for c in found.contributions} == pytest.approx(
        {
            Part.ACCURACY: (0.0475 * 0.005 + 2e-4) / sqrt(3.0) / 0.05,
            Part.COUNT: 1e-4 / sqrt(12.0) / 0.05,
            Part.CURRENT_ACCURACY: 0.95 * (0.05 * 0.005 + 2e-4) / sqrt(3.0) / 0.05,
            Part.CURRENT_COUNT: 0.95 * 1e-4 / sqrt(12.0) / 0.05,
            Part.SPREAD: 1e-4 / 0.05,
        }
    )
    meter = sqrt(found.standard_uncertainty**2 - (1e-4 / 0.05) ** 2)
    assert found.meter.standard_uncertainty(found.y) == pytest.approx(meter)
    assert found.top == pytest.approx(0.2 / 0.05)


def test_it_calls_a_winding_that_ohms_cannot() -> None:
    """A one-ohm winding gets a verdict."""
    found = estimate_volt_drop(
        volts(0.0475),
        amperes(0.05),
        conditions=Conditions(accuracy=METER),
        current_accuracy=METER,
    )
    assert judge(found, band_of(0.6, 1.3)).verdict is Verdict.IN_BAND


def test_a_hot_winding_is_brought_to_its_reference() -> None:
    """Copper is corrected as in a direct reading."""
    hot = Conditions(
        accuracy=METER,
        part_temperature=PartTemperature(celsius=70.0),
        copper_reference=20.0,
    )
    assert drop(volts(0.0475), amperes(0.05), hot) == pytest.approx(0.95 / (1 + 0.00393 * 50))


def test_a_sign_only_says_which_way_round_the_probes_are() -> None:
    """Crossed probes on one meter make no negative resistance."""
    assert drop(volts(-0.0475), amperes(0.05)) == pytest.approx(0.95)


@pytest.mark.parametrize(
    ("v", "i", "said"),
    [
        (volts(0.05), amperes(0.101), "at most 100 mA"),
        (volts(0.05), amperes(-13.0), "at most 100 mA"),
        (replace(volts(1.6), full_scale=2.0), amperes(0.05), "at most 1.5 V"),
        (volts(0.05), amperes(0.0), "reads nothing"),
        (volts(None), amperes(0.05), "go up a range"),
        (volts(0.05), amperes(None), "go up a range"),
        (amperes(0.05), amperes(0.05), "set the meter"),
        (replace(volts(0.05), mode=Mode.AC), amperes(0.05), "set the meter"),
    ],
)
def test_what_is_not_safe_or_not_sense_is_refused(v: Reading, i: Reading, said: str) -> None:
    """Each refusal is one line that says what would be right."""
    with pytest.raises(InputError, match=said) as refused:
        drop(v, i)
    assert "\n" not in str(refused.value)


def test_the_limits_themselves_are_allowed() -> None:
    """100 mA and 1.5 V are the most, and allowed."""
    assert drop(replace(volts(1.5), full_scale=2.0), amperes(0.1)) == pytest.approx(15.0)


def test_an_unknown_count_makes_it_unknowable() -> None:
    """Where a count is not known the doubt is not known."""
    found = estimate_volt_drop(
        replace(volts(0.05), resolution=None),
        amperes(0.05),
        conditions=Conditions(accuracy=METER),
        current_accuracy=METER,
    )
    assert not found.knowable
