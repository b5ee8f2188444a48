"""Raw temperature sensors: both directions, and readings that are none."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.sensor import (
    pt100_celsius,
    pt100_doubt,
    pt100_ohm,
    type_k_celsius,
    type_k_doubt,
    type_k_volt,
)


@given(st.floats(-200.0, 850.0))
def test_pt100_there_and_back(celsius: float) -> None:
    """To a hundredth of a millikelvin."""
    assert pt100_celsius(pt100_ohm(celsius)) == pytest.approx(celsius, abs=1e-5)


@given(st.floats(-200.0, 1372.0), st.floats(-20.0, 60.0))
def test_type_k_there_and_back(celsius: float, reference: float) -> None:
    """With any cold junction."""
    volt = type_k_volt(celsius, reference=reference)
    assert type_k_celsius(volt, reference=reference) == pytest.approx(celsius, abs=1e-5)


def test_leads_are_taken_off_first() -> None:
    """0.4 ohm of leads left in is about 1 K."""
    assert pt100_celsius(100.4, leads=0.4) == pytest.approx(0.0, abs=1e-9)
    assert pt100_celsius(100.4) == pytest.approx(1.02, abs=0.01)


@pytest.mark.parametrize("ohm", [0.0, 10.0, 391.0, 1e9, float("inf"), float("nan")])
def test_ohms_that_no_pt100_has_are_no_temperature(ohm: float) -> None:
    """A short, an open lead, another sensor."""
    assert pt100_celsius(ohm) is None


@pytest.mark.parametrize("volt", [-0.01, 0.06, float("nan")])
def test_volts_that_no_type_k_gives_are_no_temperature(volt: float) -> None:
    """Beyond either end of its range."""
    assert type_k_celsius(volt) is None


def test_temperatures_outside_the_range_are_refused() -> None:
    """In plain words."""
    with pytest.raises(ValueError, match="-200 to 850"):
        pt100_ohm(900.0)
    with pytest.raises(ValueError, match="-200 to 1372"):
        type_k_volt(20.0, reference=-300.0)


def test_tolerances() -> None:
    """Class B at 0 and 100 °C, class 2 at 100 and 1000 °C: from memory, as the module says."""
    assert pt100_doubt(0.0) == pytest.approx(0.30)
    assert pt100_doubt(-100.0) == pytest.approx(0.80)
    assert type_k_doubt(100.0) == pytest.approx(2.5)
    assert type_k_doubt(1000.0) == pytest.approx(7.5)
