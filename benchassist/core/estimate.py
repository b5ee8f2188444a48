"""From a reading to a corrected value with every contribution to its doubt.

y is the reading less the lead zero, brought to the band's reference temperature where the part
is a copper winding. The meter's own doubt is kept as a function of y,

    u_meter(y)^2 = a2 y^2 + a1 y + a0,

because "could this meter on this range ever say In band" is asked at every y, not only at this one.
"""

from dataclasses import dataclass
from math import sqrt
from typing import Final

from benchassist.core.accuracy import (
    SQRT3,
    SQRT12,
    WORST_CASE,
    Accuracy,
    Contribution,
    LeadZero,
    Part,
)
from benchassist.core.copper import correction
from benchassist.core.reading import Reading

COLDEST_PART: Final = -40.0
HOTTEST_PART: Final = 300.0
"""Part temperatures in celsius outside these are slips of the finger."""
UNSTATED_U: Final = 10.0
"""Kelvin: how badly a part's temperature is known that nobody stated (shop judgement)."""


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
        return root_sum_of_squares(self.contributions)

    @property
    def dominant(self) -> Part | None:
        """The contribution that says most of the doubt, None if there is no doubt at all."""
        return dominant_of(self.contributions)


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


def root_sum_of_squares(contributions: tuple[Contribution, ...]) -> float:
    """Combined standard uncertainty of independent contributions (JCGM 100:2008 5.1.2)."""
    total = 0.0
    for c in contributions:
        total += c.standard_uncertainty * c.standard_uncertainty
    return sqrt(total)


def dominant_of(contributions: tuple[Contribution, ...]) -> Part | None:
    """The largest contribution, None if there is no doubt at all."""
    name, largest = None, 0.0
    for c in contributions:
        if c.standard_uncertainty > largest:
            name, largest = c.name, c.standard_uncertainty
    return name


def estimate(reading: Reading, conditions: Conditions) -> Estimate:
    """Correct a reading and gather its doubt (design: steps 1 and 2 of the verdict).

    Raises ValueError for an overload, which has no value to correct, and for a part temperature
    below the range of the copper law.
    """
    if reading.value is None:
        raise ValueError("an overload has no value to correct")
    q, full_scale = reading.resolution, reading.full_scale
    accuracy, zero = conditions.accuracy, conditions.lead_zero
    factor, slope = copper_factor(conditions)
    fixed = accuracy.fixed_part(resolution=q, full_scale=full_scale)
    u_zero = zero.standard_uncertainty(resolution=q, full_scale=full_scale) if zero else 0.0
    offset = zero.value if zero else 0.0
    # A statement by range speaks for a bench instrument whose count it contains.
    count_known = q is not None or accuracy.percent_of_range > 0.0
    knowable = fixed is not None and u_zero is not None and count_known
    fixed, u_zero = fixed or 0.0, u_zero or 0.0

    p = accuracy.percent / 100.0
    u_count = (q or 0.0) / SQRT12
    y = (reading.value - offset) * factor
    u_accuracy = (abs(reading.value) * p + fixed) / SQRT3
    contributions = [
        Contribution(Part.ACCURACY, u_accuracy * factor),
        Contribution(Part.COUNT, u_count * factor),
    ]
    if zero:
        contributions.append(Contribution(Part.LEAD_ZERO, u_zero * factor))
    if conditions.spread > 0.0:
        contributions.append(Contribution(Part.SPREAD, conditions.spread * factor))
    if slope and conditions.part_temperature is not None:
        u = abs(y) * slope * conditions.part_temperature.u
        contributions.append(Contribution(Part.TEMPERATURE, u))
    return Estimate(
        y=y,
        contributions=tuple(contributions),
        meter=meter_doubt(
            p, fixed=fixed, offset=offset, u_constant=sqrt(u_count**2 + u_zero**2), factor=factor
        ),
        top=None if full_scale is None else (full_scale - offset) * factor,
        factor=factor,
        knowable=knowable,
    )


def meter_doubt(
    p: float, *, fixed: float, offset: float = 0.0, u_constant: float = 0.0, factor: float = 1.0
) -> MeterDoubt:
    """The meter's own doubt at every corrected y.

    At a corrected y the display stands at y / factor + offset, its accuracy half-width there is
    p times that + `fixed`; `u_constant` gathers what does not depend on the display (count, zero).
    """
    c = (p * offset + fixed) * factor
    constant = u_constant * factor
    return MeterDoubt(a2=p * p / 3.0, a1=2.0 * p * c / 3.0, a0=c * c / 3.0 + constant * constant)


def corrected_full_scale(full_scale: float | None, conditions: Conditions) -> float | None:
    """What an overload proves: the corrected value is above this. None if the range is unknown."""
    if full_scale is None:
        return None
    offset = conditions.lead_zero.value if conditions.lead_zero else 0.0
    return (full_scale - offset) * copper_factor(conditions)[0]


def copper_factor(conditions: Conditions) -> tuple[float, float]:
    """Correction factor to the reference temperature, and |d ln R_ref / dT| per kelvin.

    (1, 0) where the part is no winding or its temperature is not known.
    """
    temperature, reference = conditions.part_temperature, conditions.copper_reference
    if temperature is None or reference is None:
        return 1.0, 0.0
    return correction(temperature.celsius, reference)
