"""Hertz to turns a minute."""

import pytest

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.core.speed import rpm_per_hertz, speed_reading


def test_a_reading_in_hertz_becomes_one_in_rpm_with_its_count() -> None:
    """A magneto that fires every other turn reads 30 Hz at 3600; 0.1 Hz is 12 rpm."""
    hertz = Reading(
        t_s=1.0,
        channel="A",
        quantity=Quantity.FREQUENCY,
        value=30.0,
        resolution=0.1,
        full_scale=200.0,
    )
    rpm = speed_reading(hertz, 0.5)
    assert (rpm.quantity, rpm.value, rpm.resolution, rpm.full_scale) == (
        Quantity.SPEED,
        3600.0,
        pytest.approx(12.0),
        24000.0,
    )
    assert (rpm.t_s, rpm.channel) == (hertz.t_s, hertz.channel)


def test_an_overload_stays_one_and_other_readings_stay_as_they_are() -> None:
    """Only hertz are converted."""
    above = Reading(t_s=0.0, channel="A", quantity=Quantity.FREQUENCY, value=None, overload=True)
    assert speed_reading(above, 1.0).overload
    ohms = Reading(t_s=0.0, channel="A", quantity=Quantity.RESISTANCE, value=1.0)
    assert speed_reading(ohms, 1.0) is ohms


@pytest.mark.parametrize("pulses", [0.0, -1.0, float("nan")])
def test_pulses_must_be_above_zero(pulses: float) -> None:
    """No pulses, no speed."""
    with pytest.raises(ValueError, match="above zero"):
        rpm_per_hertz(pulses)
