"""Free air delivered into a tank: volume, pressures and temperatures to cubic metres a second."""

from dataclasses import dataclass
from math import sqrt
from typing import Final

SEA_LEVEL: Final = 101_325.0
"""Standard atmosphere at sea level, pascal."""

KELVIN: Final = 273.15

HIGHEST: Final = 11_000.0
"""Metres up to which the formula of the standard atmosphere holds."""


def atmosphere(altitude: float) -> float:
    """Pressure in pascal at a height in metres: 101325 (1 - 2.25577e-5 h)^5.25588.

    The troposphere of the ICAO standard atmosphere, in the form printed in handbooks. Raises
    ValueError outside -500 m to 11 km.
    """
    if not -500.0 <= altitude <= HIGHEST:
        raise ValueError("the altitude must be between -500 m and 11 km")
    return float(SEA_LEVEL * (1.0 - 2.25577e-5 * altitude) ** 5.25588)


def free_air(
    volume: float,
    first: float,
    last: float,
    *,
    seconds: float,
    ambient: float = 20.0,
    start: float | None = None,
    end: float | None = None,
    outside: float = SEA_LEVEL,
) -> float:
    """Free air in cubic metres a second: (V/t) (T0/p0) (p2/T2 - p1/T1), an ideal gas.

    `volume` in cubic metres, `first` and `last` gauge pressures in pascal, `ambient`, and the air's
    temperature in the tank at `start` and `end` in celsius (ambient where not given), `outside` the
    atmosphere in pascal. Raises ValueError for a volume, a time or an atmosphere not above zero and
    for a temperature below absolute zero.
    """
    t0 = _kelvin(ambient)
    t1 = t0 if start is None else _kelvin(start)
    t2 = t0 if end is None else _kelvin(end)
    _check(volume, seconds, outside)
    held = (last + outside) / t2 - (first + outside) / t1
    return volume / seconds * t0 / outside * held


def free_air_single_factor(
    volume: float,
    rise: float,
    *,
    seconds: float,
    ambient: float = 20.0,
    air: float | None = None,
    outside: float = SEA_LEVEL,
) -> float:
    """The usual short form, V (p2 - p1) / (p0 t) x (273 + t_ambient) / (273 + t_air).

    It is exact only where the air in the tank was as warm at the start as at the end. `rise` is in
    pascal, the rest as in `free_air`; raises ValueError like it.
    """
    t0 = _kelvin(ambient)
    _check(volume, seconds, outside)
    return volume * rise / (outside * seconds) * t0 / (t0 if air is None else _kelvin(air))


def _kelvin(celsius: float) -> float:
    if not celsius > -KELVIN:
        raise ValueError("a temperature must be above absolute zero")
    return celsius + KELVIN


def _check(volume: float, seconds: float, outside: float) -> None:
    if not volume > 0.0:
        raise ValueError("the tank's volume must be above zero")
    if not seconds > 0.0:
        raise ValueError("the last gauge mark must come after the first")
    if not outside > 0.0:
        raise ValueError("the atmosphere must be above zero")


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeAirDoubt:
    """Half-widths of what free air is reckoned from, taken as rectangles (common practice).

    The tank's volume as a fraction (its plate says nominal), the gauge as a fraction of the
    highest mark (class 2.5, from memory), a key press in seconds, the air's temperature in the
    tank in kelvin where nobody measured it, and the atmosphere as a fraction (weather).
    """

    volume: float = 0.03
    gauge: float = 0.025
    key: float = 0.5
    tank_kelvin: float = 10.0
    outside: float = 0.02


USUAL_DOUBT: Final = FreeAirDoubt()


def free_air_uncertainty(
    volume: float,
    first: float,
    last: float,
    *,
    seconds: float,
    ambient: float = 20.0,
    end: float | None = None,
    outside: float = SEA_LEVEL,
    doubt: FreeAirDoubt = USUAL_DOUBT,
    k: float = 2.0,
) -> float:
    """The expanded uncertainty U = k u of `free_air`, in cubic metres a second.

    Each half-width is moved by itself through the formula and taken as a/sqrt(3); both key presses
    and both readings of the gauge count, the latter as one error of the gauge's span.
    """
    hot = ambient if end is None else end

    def at(*, last: float = last, end: float = hot, outside: float = outside) -> float:
        return free_air(
            volume, first, last, seconds=seconds, ambient=ambient, end=end, outside=outside
        )

    middle = at()
    slack = doubt.gauge * max(abs(first), abs(last))
    parts = (
        doubt.volume * middle,
        at(last=last + slack) - middle,
        # Two presses of one half-width each.
        middle * doubt.key * sqrt(2.0) / seconds,
        at(end=hot + doubt.tank_kelvin) - middle if end is None else 0.0,
        at(outside=outside * (1.0 + doubt.outside)) - middle,
    )
    return k * sqrt(sum(part * part for part in parts) / 3.0)
