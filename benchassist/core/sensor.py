"""Temperature from a raw sensor: the ohms of a Pt100, the volts of a type K thermocouple.

Pt100: Callendar and Van Dusen as in IEC 751 (now IEC 60751), R0 = 100 ohm. Type K: the ITS-90
reference function of NIST Monograph 175; the way back is found on the same function, so both
directions agree to less than any table prints. Tolerances are from memory and say so.

A reading that no such sensor gives inside its range (an open lead, the wrong terminals) is None: no
temperature. A temperature outside the range raises ValueError.
"""

from math import exp, sqrt
from typing import Final

PT_COLDEST: Final = -200.0
PT_HOTTEST: Final = 850.0
R0: Final = 100.0
A: Final = 3.9083e-3
B: Final = -5.775e-7
C: Final = -4.183e-12
"""Coefficients of IEC 751, per kelvin, squared and, below 0 °C, to the fourth."""

K_COLDEST: Final = -200.0
K_HOTTEST: Final = 1372.0

_K_BELOW: Final = (
    0.0,
    0.394501280250e-1,
    0.236223735980e-4,
    -0.328589067840e-6,
    -0.499048287770e-8,
    -0.675090591730e-10,
    -0.574103274280e-12,
    -0.310888728940e-14,
    -0.104516093650e-16,
    -0.198892668780e-19,
    -0.163226974860e-22,
)
_K_ABOVE: Final = (
    -0.176004136860e-1,
    0.389212049750e-1,
    0.185587700320e-4,
    -0.994575928740e-7,
    0.318409457190e-9,
    -0.560728448890e-12,
    0.560750590590e-15,
    -0.320207200030e-18,
    0.971511471520e-22,
    -0.121047212750e-25,
)
_K_BUMP: Final = (0.118597600000, -0.118343200000e-3, 126.968600000)
"""Millivolts: a polynomial each below and above 0 °C, there with a0 exp(a1 (t - a2)^2)."""

ROUNDED: Final = 1e-9
"""Ohm or millivolt by which arithmetic may pass an end of a range."""

CLOSE: Final = 1e-7
"""Kelvin between two steps at which a search ends."""


def pt100_ohm(celsius: float) -> float:
    """The resistance in ohm of a Pt100 at a temperature. ValueError outside -200 to 850 °C."""
    if not PT_COLDEST <= celsius <= PT_HOTTEST:
        raise ValueError("a Pt100 is defined from -200 to 850 °C")
    fourth = C * (celsius - 100.0) * celsius**3 if celsius < 0.0 else 0.0
    return R0 * (1.0 + A * celsius + B * celsius**2 + fourth)


def pt100_celsius(ohm: float, *, leads: float = 0.0) -> float | None:
    """The temperature in celsius from a Pt100's resistance; None outside its range.

    `leads` in ohm is taken off first: the lead zero of a two-wire connection, or what a third wire
    measured. 0.4 ohm left in is 1 K.
    """
    ohm -= leads
    if not pt100_ohm(PT_COLDEST) - ROUNDED <= ohm <= pt100_ohm(PT_HOTTEST) + ROUNDED:
        return None
    celsius = (-A + sqrt(max(0.0, A * A - 4.0 * B * (1.0 - ohm / R0)))) / (2.0 * B)
    # The square root is exact from 0 °C up; below, the fourth power moves it by some kelvin.
    while celsius < 0.0:
        slope = R0 * (A + 2.0 * B * celsius + C * celsius**2 * (4.0 * celsius - 300.0))
        step = (_pt_below(celsius) - ohm) / slope
        celsius -= step
        if abs(step) < CLOSE:
            break
    return celsius


def _pt_below(celsius: float) -> float:
    """The same law a little outside its range, where a search may pass."""
    return R0 * (1.0 + A * celsius + B * celsius**2 + C * (celsius - 100.0) * celsius**3)


def type_k_volt(celsius: float, *, reference: float = 0.0) -> float:
    """The voltage of a type K couple at a temperature, its cold junction at `reference` celsius.

    Volt. ValueError outside -200 to 1372 °C for either.
    """
    for end in (celsius, reference):
        if not K_COLDEST <= end <= K_HOTTEST:
            raise ValueError("type K is taken from -200 to 1372 °C")
    return 1e-3 * (_k_millivolt(celsius) - _k_millivolt(reference))


def type_k_celsius(volt: float, *, reference: float = 0.0) -> float | None:
    """The temperature in celsius from a type K couple's voltage; None outside its range.

    `reference` is the cold junction's temperature, of the meter's terminals: the voltage it would
    have against 0 °C is added first. ValueError for a reference outside the range.
    """
    millivolt = 1e3 * (volt + type_k_volt(reference))
    low, high = K_COLDEST, K_HOTTEST
    if not _k_millivolt(low) - ROUNDED <= millivolt <= _k_millivolt(high) + ROUNDED:
        return None
    # It rises all the way: halving finds it, in 34 steps to the tenth of a microkelvin.
    while high - low > CLOSE:
        middle = 0.5 * (low + high)
        if _k_millivolt(middle) < millivolt:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def _k_millivolt(celsius: float) -> float:
    coefficients = _K_ABOVE if celsius > 0.0 else _K_BELOW
    total = 0.0
    for coefficient in reversed(coefficients):
        total = total * celsius + coefficient
    if celsius > 0.0:
        a0, a1, a2 = _K_BUMP
        total += a0 * exp(a1 * (celsius - a2) ** 2)
    return total


def pt100_doubt(celsius: float) -> float:
    """Half-width in kelvin of a class B Pt100: 0.30 + 0.005 |t|. From memory (IEC 60751)."""
    return 0.30 + 0.005 * abs(celsius)


def type_k_doubt(celsius: float) -> float:
    """Half-width in kelvin of a class 2 type K couple: 2.5, or 0.75 % of |t| if that is more.

    From memory (IEC 60584), from -40 °C up; below, 1.5 % of |t| as its class 3, never under 2.5.
    """
    share = 0.0075 if celsius >= -40.0 else 0.015
    return max(2.5, share * abs(celsius))
