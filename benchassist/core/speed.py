"""Engine speed from a meter in hertz.

rpm = Hz x 60 / pulses per revolution: 1 for a magneto that fires every turn, 0.5 for one that fires
every other, the pole pairs for a generator's hertz.
"""

from dataclasses import replace

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading


def rpm_per_hertz(pulses_per_rev: float) -> float:
    """Revolutions per minute in one hertz. Raises ValueError unless the pulses are above zero."""
    if not pulses_per_rev > 0.0:
        raise ValueError("pulses per revolution must be above zero")
    return 60.0 / pulses_per_rev


def speed_reading(reading: Reading, pulses_per_rev: float) -> Reading:
    """A reading in hertz as one in rpm, count and full scale with it; any other unchanged."""
    if reading.quantity is not Quantity.FREQUENCY:
        return reading
    return _scaled(reading, Quantity.SPEED, rpm_per_hertz(pulses_per_rev))


def frequency_reading(reading: Reading, pulses_per_rev: float) -> Reading:
    """A reading in rpm as the meter gave it in hertz; any other unchanged."""
    if reading.quantity is not Quantity.SPEED:
        return reading
    factor = 1.0 / rpm_per_hertz(pulses_per_rev)
    return _scaled(reading, Quantity.FREQUENCY, factor)


def _scaled(reading: Reading, quantity: Quantity, factor: float) -> Reading:
    return replace(
        reading,
        quantity=quantity,
        value=_times(reading.value, factor),
        resolution=_times(reading.resolution, factor),
        full_scale=_times(reading.full_scale, factor),
        exponent=0,
    )


def _times(value: float | None, factor: float) -> float | None:
    return None if value is None else value * factor
