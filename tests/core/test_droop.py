"""Speed under load."""

import pytest

from benchassist.core.droop import (
    SetClass,
    droop,
    droop_of,
    generator_hertz,
    overspeed_warning,
    set_class,
    steady_band,
)
from benchassist.core.run_finding import Load, LoadPoint


def test_droop_needs_both_ends() -> None:
    """By rpm, else by hertz; half load alone says nothing."""
    none, full = LoadPoint(load=Load.NONE, rpm=3750.0), LoadPoint(load=Load.FULL, rpm=3600.0)
    assert droop_of((none, full)) == pytest.approx(150.0 / 3600.0)
    assert droop_of((none, LoadPoint(load=Load.HALF, rpm=3700.0))) is None
    hertz = (LoadPoint(load=Load.NONE, hertz=62.5), LoadPoint(load=Load.FULL, hertz=60.0))
    assert droop_of(hertz) == pytest.approx(2.5 / 60.0)
    assert droop_of((none, hertz[1])) is None


@pytest.mark.parametrize(("rpm", "poles", "hertz"), [(3600.0, 2, 60.0), (1500.0, 4, 50.0)])
def test_hertz_by_poles(rpm: float, poles: int, hertz: float) -> None:
    """Two poles make one period a turn."""
    assert generator_hertz(rpm, poles) == pytest.approx(hertz)


@pytest.mark.parametrize("poles", [0, 1, 3, -2])
def test_poles_come_in_pairs(poles: int) -> None:
    """None, one or three are refused."""
    with pytest.raises(ValueError, match="even number of poles"):
        generator_hertz(3600.0, poles)


def test_overspeed_stands_at_ten_percent_above_rated() -> None:
    """And nowhere without a rating."""
    assert overspeed_warning(3600.0) == pytest.approx(3960.0)
    assert overspeed_warning(None) is None


def test_speeds_of_nothing_are_refused() -> None:
    """Zero at full load."""
    with pytest.raises(ValueError, match="above zero"):
        droop(3600.0, 0.0)
    with pytest.raises(ValueError, match="above zero"):
        steady_band(60.0, 61.0, 0.0)


def test_the_strictest_class_that_is_kept() -> None:
    """Both the droop and the band count."""
    assert set_class(droop=0.02, band=0.004) is SetClass.G3
    assert set_class(droop=0.02, band=0.01) is SetClass.G2
    assert set_class(droop=0.06, band=0.01) is SetClass.G1
    assert set_class(droop=0.09, band=0.01) is None
