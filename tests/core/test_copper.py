"""The copper law, there and back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.copper import at_reference, correction, winding_temperature

temperatures = st.floats(-100.0, 400.0)


@given(temperatures, temperatures)
def test_there_and_back(celsius: float, reference: float) -> None:
    """Bringing a resistance to another temperature and back changes nothing."""
    there = at_reference(7000.0, celsius=celsius, reference=reference)
    back = at_reference(there, celsius=reference, reference=celsius)
    assert back == pytest.approx(7000.0, rel=1e-12)


@given(temperatures, temperatures)
def test_a_winding_tells_its_own_temperature(celsius: float, cold: float) -> None:
    """The temperature found from two resistances is the one that made them."""
    hot_ohms = at_reference(7000.0, celsius=cold, reference=celsius)
    found = winding_temperature(hot_ohms, cold=7000.0, cold_celsius=cold)
    assert found == pytest.approx(celsius, abs=1e-9)


@given(temperatures)
def test_the_slope_is_the_derivative(celsius: float) -> None:
    """The relative slope agrees with a difference quotient of the factor."""
    factor, slope = correction(celsius, 20.0)
    step = 1e-3
    above, below = correction(celsius + step, 20.0)[0], correction(celsius - step, 20.0)[0]
    assert (below - above) / (2.0 * step) / factor == pytest.approx(slope, rel=1e-6)


@pytest.mark.parametrize(("celsius", "reference"), [(-234.5, 20.0), (20.0, -300.0)])
def test_below_the_linear_law_is_refused(celsius: float, reference: float) -> None:
    """Where the law would give no resistance it gives no answer."""
    with pytest.raises(ValueError, match="linear law"):
        at_reference(1.0, celsius=celsius, reference=reference)


def test_a_cold_resistance_must_be_above_zero() -> None:
    """Nothing cannot have been measured cold."""
    with pytest.raises(ValueError, match="above zero"):
        winding_temperature(1.0, cold=0.0, cold_celsius=20.0)
