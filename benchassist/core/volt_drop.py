"""Resistance of a few ohms by volt drop: R = V / I, four wires, so that the leads do not enter.

The limits keep the part and the hand safe: a small current from a small source, never a battery
direct. u(R)^2 = (u(V) / I)^2 + (R u(I) / I)^2 (JCGM 100:2008 5.1.2, first order).
"""

from math import sqrt
from typing import Final

from benchassist.core.accuracy import SQRT3, SQRT12, Accuracy, Contribution, Part
from benchassist.core.estimate import Conditions, Estimate, MeterDoubt, copper_factor
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Mode, Reading
from benchassist.errors import InputError

HIGHEST_CURRENT: Final = 0.1
"""Ampere."""
HIGHEST_VOLTAGE: Final = 1.5
"""Volt, open circuit; what lies across the winding is less."""


def estimate_volt_drop(
    voltage: Reading, current: Reading, *, conditions: Conditions, current_accuracy: Accuracy
) -> Estimate:
    """Winding resistance in ohm from the volts across it and the current through it.

    `conditions.accuracy` and `conditions.spread` are the voltmeter's; its lead zero does not enter.
    A copper winding is brought to the band's reference temperature like a direct reading.
    Raises InputError for a current above 100 mA or of nothing, for more than 1.5 V, for an
    overload, and for readings that are not direct volts and amperes.
    """
    v = _amount(voltage, Quantity.VOLTAGE, "volts across the winding")
    i = _amount(current, Quantity.CURRENT, "the current through the winding")
    if i > HIGHEST_CURRENT:
        raise InputError(
            f"{i * 1000.0:.4g} mA is too much for a volt drop: use at most 100 mA, "
            "and switch off before a clip is lifted"
        )
    if v > HIGHEST_VOLTAGE:
        raise InputError(
            f"{v:.4g} V is too much for a volt drop: use a source of at most 1.5 V or a series "
            "resistor, never a battery direct"
        )
    if i == 0.0:
        raise InputError("the current reads nothing: a volt drop needs some, at most 100 mA")

    factor, slope = copper_factor(conditions)
    accuracy = conditions.accuracy
    fixed_v = accuracy.fixed_part(resolution=voltage.resolution, full_scale=voltage.full_scale)
    a_i = current_accuracy.half_width(
        i, resolution=current.resolution, full_scale=current.full_scale
    )
    knowable = (
        fixed_v is not None
        and a_i is not None
        and voltage.resolution is not None
        and current.resolution is not None
    )
    fixed_v, a_i = fixed_v or 0.0, a_i or 0.0
    p = accuracy.percent / 100.0
    count_v = (voltage.resolution or 0.0) / SQRT12
    count_i = (current.resolution or 0.0) / SQRT12

    y = v / i * factor
    per_volt = factor / i
    contributions = [
        Contribution(Part.ACCURACY, (v * p + fixed_v) / SQRT3 * per_volt),
        Contribution(Part.COUNT, count_v * per_volt),
        Contribution(Part.CURRENT_ACCURACY, y * a_i / SQRT3 / i),
        Contribution(Part.CURRENT_COUNT, y * count_i / i),
    ]
    if conditions.spread > 0.0:
        contributions.append(Contribution(Part.SPREAD, conditions.spread * per_volt))
    if slope and conditions.part_temperature is not None:
        contributions.append(
            Contribution(Part.TEMPERATURE, y * slope * conditions.part_temperature.u)
        )
    top = (
        None if voltage.full_scale is None else min(voltage.full_scale, HIGHEST_VOLTAGE) * per_volt
    )
    return Estimate(
        y=y,
        contributions=tuple(contributions),
        meter=volt_drop_doubt(
            p,
            fixed=fixed_v * per_volt,
            u_count=count_v * per_volt,
            relative_u_current=sqrt(a_i * a_i / 3.0 + count_i * count_i) / i,
        ),
        top=top,
        factor=factor,
        knowable=knowable,
    )


def volt_drop_doubt(
    p: float, *, fixed: float, u_count: float, relative_u_current: float
) -> MeterDoubt:
    """The two meters' doubt at every corrected y, at one and the same current.

    p is the voltmeter's share of reading; `fixed` its fixed half-width and `u_count` its count,
    both already divided by the current.
    """
    return MeterDoubt(
        a2=p * p / 3.0 + relative_u_current * relative_u_current,
        a1=2.0 * p * fixed / 3.0,
        a0=fixed * fixed / 3.0 + u_count * u_count,
    )


def _amount(reading: Reading, quantity: Quantity, what: str) -> float:
    """The size of a direct reading; its sign only says which way round the probes are."""
    if reading.quantity is not quantity or reading.mode is not Mode.PLAIN:
        raise InputError(f"a volt drop needs {what}, direct: set the meter to that")
    if reading.value is None:
        raise InputError(f"{what}: above range, go up a range")
    return abs(reading.value)
