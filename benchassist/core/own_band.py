"""Bands a shop has learned from parts it knows to be good.

One corrected value stands for each distinct part, and none that the meter could not tell. From ten
parts on the band is a normal tolerance interval: with the confidence given it holds at least the
share of such parts that the content says. What the meters' doubt adds to the spread widens the
interval; what one meter is always off by shifts it, so it matters whether one read all of them.
Values that stand apart are named and stay in: only a person sets a part aside, and that is carried
along too.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from math import ceil, floor, log10, sqrt
from statistics import fmean, stdev
from typing import Final

from benchassist.core.band import Band, BandSource
from benchassist.core.normality import Normality, apart, normality
from benchassist.core.own_part import OwnPart, one_each
from benchassist.core.quantity import Quantity
from benchassist.core.tolerance import one_sided_factor, two_sided_factor

FEWEST_PARTS: Final = 10
DIGITS_OF_REACH: Final = 2
DIGITS_OF_LIMIT: Final = 4
"""To how many digits the limits are rounded outwards, whichever is coarser."""


class Sides(StrEnum):
    """Which limits a band has."""

    BOTH = "both"
    LOW = "low"
    HIGH = "high"


@dataclass(frozen=True, slots=True, kw_only=True)
class Coverage:
    """What a band is to hold: at least the share `content`, with the probability `confidence`."""

    content: float = 0.95
    confidence: float = 0.95
    sides: Sides = Sides.BOTH


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnBand:
    """What the shop's own parts say, with everything it stands on.

    `parts` are the values used, one each distinct part, in order of time; `outliers` are those
    among them that stand apart. `left_out` are all the others. `mean`, `deviation` and the meters'
    root mean square doubt `meter_u` are in the base unit, None without values to take them from.
    `band` and `factor` are None while parts are `missing`, or where all values are the same; `band`
    too where it would limit nothing. Its limits are rounded outwards, to two digits of `factor`
    times `deviation` or to four of their own, whichever is coarser.
    """

    quantity: Quantity
    coverage: Coverage
    parts: tuple[OwnPart, ...]
    left_out: tuple[OwnPart, ...]
    outliers: tuple[OwnPart, ...]
    normality: Normality
    mean: float | None
    deviation: float | None
    meter_u: float | None
    factor: float | None
    band: Band | None

    @property
    def missing(self) -> int:
        """How many parts are still needed before a band is offered."""
        return max(0, FEWEST_PARTS - len(self.parts))

    @property
    def only_meter(self) -> str:
        """The meter that read all the parts; empty where there were several, or none is named."""
        meters = {part.meter for part in self.parts}
        return meters.pop() if len(meters) == 1 else ""

    @property
    def meter_share(self) -> float | None:
        """The share of the variance that the meters' doubt alone could make, at most 1."""
        if not self.deviation or self.meter_u is None:
            return None
        return min(1.0, (self.meter_u / self.deviation) ** 2)


def own_band(
    readings: Iterable[OwnPart],
    *,
    quantity: Quantity,
    coverage: Coverage | None = None,
    copper: bool = False,
    reference_celsius: float = 20.0,
    probe_points: str = "",
) -> OwnBand:
    """The band that known-good parts make, or how far they are from making one.

    Of several readings of a part the one with the least doubt counts, the newest of equals. The
    band's source note is the number of parts. Raises ValueError for a content or a confidence
    that is not between 0 and 1.
    """
    coverage = coverage or Coverage()
    parts, left_out = one_each(readings, quantity)
    values = [part.value for part in parts if part.value is not None]
    doubts = [part.u for part in parts if part.u is not None]
    n = len(values)
    mean = fmean(values) if n else None
    deviation = stdev(values) if n > 1 else None
    factor = _factor(n, coverage) if n >= FEWEST_PARTS and deviation else None
    band = None
    if factor is not None and mean is not None and deviation is not None:
        low, high = _outwards(mean, factor * deviation)
        band = Band(
            quantity=quantity,
            low=None if coverage.sides is Sides.HIGH else low,
            high=None if coverage.sides is Sides.LOW else high,
            source=BandSource.OWN_PARTS,
            source_note=str(n),
            reference_celsius=reference_celsius,
            copper=copper,
            probe_points=probe_points,
        )
        if band.lower is None and band.high is None:  # at least something below zero: no limit
            band = None
    return OwnBand(
        quantity=quantity,
        coverage=coverage,
        parts=parts,
        left_out=left_out,
        outliers=tuple(parts[i] for i in apart(values)),
        normality=normality(values),
        mean=mean,
        deviation=deviation,
        meter_u=sqrt(fmean(u * u for u in doubts)) if doubts else None,
        factor=factor,
        band=band,
    )


def _outwards(mean: float, reach: float) -> tuple[float, float]:
    """The limits mean - reach and mean + reach, rounded away from the mean: never narrower."""
    low, high = mean - reach, mean + reach
    place = max(
        floor(log10(reach)) + 1 - DIGITS_OF_REACH,
        floor(log10(max(abs(low), abs(high)))) + 1 - DIGITS_OF_LIMIT,
    )
    step = 10.0**place
    return round(floor(low / step) * step, -place), round(ceil(high / step) * step, -place)


def _factor(n: int, coverage: Coverage) -> float:
    of = two_sided_factor if coverage.sides is Sides.BOTH else one_sided_factor
    return of(n, content=coverage.content, confidence=coverage.confidence)
