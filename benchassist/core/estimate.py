"""From a reading to a corrected value with every contribution to its doubt.

y is the reading less the lead zero, brought to the band's reference temperature where the part
is a copper winding. The meter's own doubt is kept as a function of y,

    u_meter(y)^2 = a2 y^2 + a1 y + a0,

because "could this meter on this range ever say In band" is asked at every y, not only at this one.
"""

from dataclasses import dataclass
from math import sqrt

from benchassist.core.accuracy import (
    SQRT12,
    WORST_CASE,
    Accuracy,
    Contribution,
    LeadZero,
    Part,
)
from benchassist.core.copper import ALPHA_20
from benchassist.core.reading import Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class PartTemperature:
    """The part's temperature in celsius and its standard uncertainty in kelvin."""

    celsius: float
    u: float = 2.0


@dataclass(frozen=True, slots=True)
class MeterDoubt:
    """u_meter(y)^2 = a2 y^2 + a1 y + a0 in the unit of the corrected value."""

    a2: float
    a1: float
    a0: float

    def standard_uncertainty(self, y: float) -> float:
        """Standard uncertainty of the meter terms alone at a corrected value y of zero or more."""
        return sqrt(max(0.0, (self.a2 * y + self.a1) * y + self.a0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A corrected value y, its contributions, and the meter's doubt at any other y.

    `top` is the largest corrected value the range can show (None where full scale is unknown).
    `knowable` is False where the accuracy statement needs a count or range that is unknown.
    """

    y: float
    contributions: tuple[Contribution, ...]
    meter: MeterDoubt
    top: float | None = None
    factor: float = 1.0
    knowable: bool = True

    @property
    def standard_uncertainty(self) -> float:
        """Root sum of squares of the contributions (JCGM 100:2008 5.1.2)."""
        return sqrt(sum(c.standard_uncertainty**2 for c in self.contributions))

    @property
    def dominant(self) -> Part | None:
        """The contribution that says most of the doubt, None if there is no doubt at all."""
        worst = max(
            self.contributions, key=lambda c: c.standard_uncertainty, default=None
        )
        return worst.name if worst and worst.standard_uncertainty > 0.0 else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """What was true of the measurement beside the reading.

    `copper_reference` is the temperature in celsius the band holds for; it corrects only where the
    part is copper and its temperature is known. `spread` is the standard deviation of the steady
    window in the unit of the reading.
    """

    accuracy: Accuracy = WORST_CASE
    lead_zero: LeadZero | None = None
    spread: float = 0.0
    part_temperature: PartTemperature | None = None
    copper_reference: float | None = None


def estimate(reading: Reading, conditions: Conditions) -> Estimate:
    """Correct a reading and gather its doubt (design: steps 1 and 2 of the verdict).

    Raises ValueError for an overload, which has no value to correct.
    """
    if reading.value is None:
        raise ValueError("an overload has no value to correct")
    q, full_scale = reading.resolution, reading.full_scale
    zero = conditions.lead_zero
    factor, temperature_slope = _copper_factor(conditions)
    fixed = conditions.accuracy.fixed_part(resolution=q, full_scale=full_scale)
    u_zero = (
        zero.standard_uncertainty(resolution=q, full_scale=full_scale) if zero else 0.0
    )
    offset = zero.value if zero else 0.0
    knowable = fixed is not None and u_zero is not None
    fixed, u_zero = fixed or 0.0, u_zero or 0.0

    p = conditions.accuracy.percent / 100.0
    u_count = (q or 0.0) / SQRT12
    y = (reading.value - offset) * factor
    contributions = [
        Contribution(
            Part.ACCURACY, (abs(reading.value) * p + fixed) / sqrt(3.0) * factor
        ),
        Contribution(Part.COUNT, u_count * factor),
    ]
    if zero:
        contributions.append(Contribution(Part.LEAD_ZERO, u_zero * factor))
    if conditions.spread > 0.0:
        contributions.append(Contribution(Part.SPREAD, conditions.spread * factor))
    if temperature_slope is not None and conditions.part_temperature is not None:
        u = abs(y) * temperature_slope * conditions.part_temperature.u
        contributions.append(Contribution(Part.TEMPERATURE, u))

    # At a corrected y the display stands at y / factor + offset.
    c = (p * offset + fixed) * factor
    meter = MeterDoubt(
        a2=p * p / 3.0,
        a1=2.0 * p * c / 3.0,
        a0=c * c / 3.0 + (u_count * u_count + u_zero * u_zero) * factor * factor,
    )
    return Estimate(
        y=y,
        contributions=tuple(contributions),
        meter=meter,
        top=None if full_scale is None else (full_scale - offset) * factor,
        factor=factor,
        knowable=knowable,
    )


def _copper_factor(conditions: Conditions) -> tuple[float, float | None]:
    """Correction factor to the reference temperature, and |d ln R_ref / dT| per kelvin."""
    temperature, reference = conditions.part_temperature, conditions.copper_reference
    if temperature is None or reference is None:
        return 1.0, None
    at_part = 1.0 + ALPHA_20 * (temperature.celsius - 20.0)
    at_reference = 1.0 + ALPHA_20 * (reference - 20.0)
    return at_reference / at_part, ALPHA_20 / at_part
