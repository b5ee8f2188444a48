"""Resistance of a copper winding against temperature.

R(T) = R_20 (1 + alpha (T - 20)), alpha = 0.00393 per kelvin at 20 celsius (100 % IACS copper,
the value instrument makers and NBS Circular 31 use; published checks in tests/published).
"""

from typing import Final

ALPHA_20: Final = 0.00393
"""Temperature coefficient of annealed copper at 20 celsius, per kelvin."""

COLDEST: Final = 20.0 - 1.0 / ALPHA_20
"""The linear law reaches zero ohms here (about -234.5 celsius); nothing below is accepted."""


def correction(celsius: float, reference: float) -> tuple[float, float]:
    """What brings a resistance at `celsius` to `reference`, and how fast the result moves.

    Returns the factor R_ref / R and |d ln R_ref / dT| per kelvin at `celsius`.
    Raises ValueError at or below the temperature where the linear law ends.
    """
    if celsius <= COLDEST or reference <= COLDEST:
        raise ValueError("temperature is below the range of the linear law")
    at_part = 1.0 + ALPHA_20 * (celsius - 20.0)
    return (1.0 + ALPHA_20 * (reference - 20.0)) / at_part, ALPHA_20 / at_part


def at_reference(resistance: float, *, celsius: float, reference: float = 20.0) -> float:
    """Resistance in ohm the winding would have at `reference` celsius.

    Raises ValueError at or below the temperature where the linear law ends.
    """
    return resistance * correction(celsius, reference)[0]


def winding_temperature(resistance: float, *, cold: float, cold_celsius: float) -> float:
    """Mean winding temperature in celsius from its resistance and a cold reading, in ohm.

    Resistance method as in IEC 60034-1, with k = 1/alpha - 20 (234.5) where that standard rounds
    to 235. Raises ValueError unless cold > 0.
    """
    if cold <= 0.0:
        raise ValueError("the cold resistance must be above zero")
    k = -COLDEST
    return resistance / cold * (k + cold_celsius) - k
