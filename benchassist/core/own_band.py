"""Bands a shop has learned from parts it knows to be good.

One corrected value stands for each distinct part, and none that the meter could not tell. From ten
parts on the band is a normal tolerance interval: with the confidence given it holds at least the
share of such parts that the content says. The spread of the values has the meters' own doubt in it,
so the interval is rather too wide than too narrow. Values that stand apart are named and stay in:
only a person sets a part aside, and that is carried along too.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum
from math import ceil, floor, isfinite, log10, sqrt
from statistics import fmean, stdev
from typing import Final

from benchassist.core.band import Band, BandSource, Verdict
from benchassist.core.copper import correction
from benchassist.core.entry import Taken
from benchassist.core.normality import Normality, apart, normality
from benchassist.core.quantity import Quantity
from benchassist.core.tolerance import one_sided_factor, two_sided_factor

FEWEST_PARTS: Final = 10


class Sides(StrEnum):
    """Which limits a band has."""

    BOTH = "both"
    LOW = "low"
    HIGH = "high"


class LeftOut(StrEnum):
    """Why a value is not among those a band is made of."""

    NO_VALUE = "no_value"
    """An overload: a part, perhaps, but no number."""
    CANNOT_TELL = "cannot_tell"
    """The meter could not tell on that range, or its doubt is unknown."""
    NOT_CORRECTED = "not_corrected"
    """A winding whose temperature was not known."""
    OTHER_QUANTITY = "other_quantity"
    SAME_PART = "same_part"
    """Another value of the same part was made with less doubt."""
    SET_ASIDE = "set_aside"
    """A person said so, with a reason."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnPart:
    """A reading of a part marked known-good, in base units.

    `part` is the same for every reading of one part and of no other. `value` and `u` (standard
    uncertainty) are corrected to the temperature the band is to hold for. `left_out` is there
    where the reading says nothing by itself; `reason` is what a person said in setting it aside.
    """

    part: str
    at: datetime
    quantity: Quantity
    value: float | None
    u: float | None
    left_out: LeftOut | None = None
    reason: str = ""


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
    `band` and `factor` are None while parts are `missing`, or where all values are the same. The
    band's limits are rounded outwards to two digits of `factor` times `deviation`.
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
    def meter_share(self) -> float | None:
        """The share of the variance that the meters' doubt alone could make, at most 1."""
        if not self.deviation or self.meter_u is None:
            return None
        return min(1.0, (self.meter_u / self.deviation) ** 2)


def own_part(
    taken: Taken,
    *,
    part: str,
    quantity: Quantity,
    copper: bool = False,
    reference_celsius: float = 20.0,
    set_aside: str | None = None,
) -> OwnPart:
    """A taken reading as a value for a band at a reference temperature in celsius.

    A winding that was corrected to another one is brought over by the copper law, its doubt with
    it. `quantity` is what the check measures, which for a volt drop is not what the meter showed.
    `set_aside` is a person's reason for leaving the part out, None where nobody did.
    """
    value, expanded = taken.judgement.value, taken.judgement.expanded_uncertainty
    u = None if expanded is None else expanded / taken.judgement.k
    why: LeftOut | None = None
    if set_aside is not None:
        why = LeftOut.SET_ASIDE
    elif value is None:
        why = LeftOut.NO_VALUE
    elif taken.judgement.verdict is Verdict.CANNOT_TELL or u is None or not isfinite(u):
        why = LeftOut.CANNOT_TELL
    if copper and value is not None:
        known, reference = taken.conditions.part_temperature, taken.conditions.copper_reference
        if known is None or reference is None:
            why = why or LeftOut.NOT_CORRECTED
        else:
            over = correction(reference, reference_celsius)[0]
            value, u = value * over, None if u is None else u * over
    return OwnPart(
        part=part,
        at=taken.stamp.at,
        quantity=quantity,
        value=value,
        u=u,
        left_out=why,
        reason=set_aside or "",
    )


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
    parts, left_out = _one_each(readings, quantity)
    values = [part.value for part in parts if part.value is not None]
    doubts = [part.u for part in parts if part.u is not None]
    n = len(values)
    mean = fmean(values) if n else None
    deviation = stdev(values) if n > 1 else None
    factor = _factor(n, coverage) if n >= FEWEST_PARTS and deviation else None
    band = None
    if factor is not None and mean is not None and deviation is not None:
        reach = factor * deviation
        low, high = _outwards(mean - reach, mean + reach, reach)
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


def _outwards(low: float, high: float, reach: float) -> tuple[float, float]:
    """Both limits to two digits of their distance from the mean, away from it: never narrower."""
    place = floor(log10(reach)) - 1
    step = 10.0**place
    return round(floor(low / step) * step, -place), round(ceil(high / step) * step, -place)


def _factor(n: int, coverage: Coverage) -> float:
    of = two_sided_factor if coverage.sides is Sides.BOTH else one_sided_factor
    return of(n, content=coverage.content, confidence=coverage.confidence)


def _one_each(
    readings: Iterable[OwnPart], quantity: Quantity
) -> tuple[tuple[OwnPart, ...], tuple[OwnPart, ...]]:
    """The readings that count, one a part, and all others with the reason; both by time."""
    chosen: dict[str, OwnPart] = {}
    left_out: list[OwnPart] = []
    given = sorted(readings, key=lambda one: one.at)
    aside = {one.part for one in given if one.left_out is LeftOut.SET_ASIDE}
    for one in given:
        why = _alone(one, quantity, aside)
        if why is not None:
            left_out.append(_without(one, why))
            continue
        rival = chosen.get(one.part)
        if rival is None:
            chosen[one.part] = one
            continue
        better = one if (one.u or 0.0) <= (rival.u or 0.0) else rival
        left_out.append(_without(rival if better is one else one, LeftOut.SAME_PART))
        chosen[one.part] = better
    return _by_time(list(chosen.values())), _by_time(left_out)


def _alone(one: OwnPart, quantity: Quantity, aside: set[str]) -> LeftOut | None:
    """Why a reading cannot count, whatever else there is of its part."""
    if one.left_out is not None:
        return one.left_out
    if one.part in aside:
        return LeftOut.SET_ASIDE
    if one.quantity is not quantity:
        return LeftOut.OTHER_QUANTITY
    if one.value is None or not isfinite(one.value):
        return LeftOut.NO_VALUE
    if one.u is None or not isfinite(one.u):
        return LeftOut.CANNOT_TELL
    return None


def _without(one: OwnPart, why: LeftOut) -> OwnPart:
    return one if one.left_out is why else replace(one, left_out=why)


def _by_time(parts: Sequence[OwnPart]) -> tuple[OwnPart, ...]:
    return tuple(sorted(parts, key=lambda one: one.at))
