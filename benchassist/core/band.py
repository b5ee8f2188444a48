"""The band a quantity should sit in, and the one place where a verdict is reached.

Decision rule: simple acceptance with a guard band of U = k u on both sides of every limit
(ILAC-G8:09/2019 4.2.3, JCGM 106:2012 8), with a fifth answer for a meter that could not have told.
"""

from dataclasses import dataclass
from enum import StrEnum
from math import erf, inf, sqrt

from benchassist.core.accuracy import Contribution, Part
from benchassist.core.estimate import Estimate, MeterDoubt
from benchassist.core.quantity import NEVER_NEGATIVE, Quantity


class BandSource(StrEnum):
    """Where a band comes from; every band on every screen carries it."""

    MAKER = "maker"
    COMMON_PRACTICE = "common_practice"
    OWN_PARTS = "own_parts"
    MARKING = "marking"
    TYPED = "typed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """The accepted interval in base units; a None side is open.

    `reference_celsius` is the temperature the limits hold for, `copper` whether the part follows
    the copper law. `source_note` is the manual and page, the marking, or the number of own parts.
    """

    quantity: Quantity
    low: float | None = None
    high: float | None = None
    source: BandSource = BandSource.COMMON_PRACTICE
    source_note: str = ""
    reference_celsius: float = 20.0
    copper: bool = False
    probe_points: str = ""

    def __post_init__(self) -> None:
        """At least one limit, in order."""
        if self.low is None and self.high is None:
            raise ValueError("a band needs at least one limit")
        if self.low is not None and self.high is not None and not self.low < self.high:
            raise ValueError("a band's low limit must be below its high limit")

    @property
    def lower(self) -> float | None:
        """The lower limit that counts: none at or below zero where negatives cannot be."""
        if self.low is not None and self.low <= 0.0 and self.quantity in NEVER_NEGATIVE:
            return None
        return self.low


class Verdict(StrEnum):
    """What is said of a taken reading."""

    IN_BAND = "in_band"
    OUT_OF_BAND = "out_of_band"
    TOO_CLOSE = "too_close"
    CANNOT_TELL = "cannot_tell"
    BY_EYE = "by_eye"
    RECORDED = "recorded"


class Side(StrEnum):
    """Which limit was crossed."""

    LOW = "low"
    HIGH = "high"


class Reason(StrEnum):
    """Why, as a code; services/wording makes the sentence."""

    CLEAR_OF_EDGES = "clear_of_edges"
    BEYOND_EDGE = "beyond_edge"
    TOUCHES_EDGE = "touches_edge"
    TOO_COARSE = "too_coarse"
    OPEN = "open"
    INSULATES = "insulates"
    GO_UP_A_RANGE = "go_up_a_range"
    RANGE_UNKNOWN = "range_unknown"
    LEADS_UNPROVED = "leads_unproved"
    ZERO_AGAIN = "zero_again"
    COUNT_UNKNOWN = "count_unknown"
    NO_BAND = "no_band"
    LOOKED = "looked"


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """A verdict with the figures it stands on, all in the base unit.

    `value` and `expanded_uncertainty` are after correction, None for an overload.
    `clearance` is the distance from the end of the lozenge to the nearest limit: positive when
    clear of it, negative by how much it laps over.
    """

    verdict: Verdict
    reason: Reason
    side: Side | None = None
    value: float | None = None
    expanded_uncertainty: float | None = None
    probability_in_band: float | None = None
    contributions: tuple[Contribution, ...] = ()
    dominant: Part | None = None
    clearance: float | None = None
    k: float = 2.0


def judge(estimate: Estimate, band: Band, *, k: float = 2.0) -> Judgement:
    """The verdict on a corrected value (design: step 3). Pure; never raises for a bad reading."""
    y, u = estimate.y, estimate.standard_uncertainty
    expanded = k * u
    low, high = band.lower, band.high
    below = inf if low is None else y - low
    above = inf if high is None else high - y
    side: Side | None = None
    if not estimate.knowable:
        verdict, reason = Verdict.CANNOT_TELL, Reason.COUNT_UNKNOWN
    elif band.quantity in NEVER_NEGATIVE and y < -expanded:
        verdict, reason = Verdict.CANNOT_TELL, Reason.ZERO_AGAIN
    elif below >= expanded and above >= expanded:
        verdict, reason = Verdict.IN_BAND, Reason.CLEAR_OF_EDGES
    elif -above > expanded:
        verdict, reason, side = Verdict.OUT_OF_BAND, Reason.BEYOND_EDGE, Side.HIGH
    elif -below > expanded:
        verdict, reason, side = Verdict.OUT_OF_BAND, Reason.BEYOND_EDGE, Side.LOW
    elif not can_say_in_band(estimate.meter, band, k=k, top=estimate.top):
        verdict, reason = Verdict.CANNOT_TELL, Reason.TOO_COARSE
    else:
        verdict, reason = Verdict.TOO_CLOSE, Reason.TOUCHES_EDGE
    nearest = min(abs(below), abs(above))
    return Judgement(
        verdict=verdict,
        reason=reason,
        side=side,
        value=y,
        expanded_uncertainty=expanded if estimate.knowable else None,
        probability_in_band=probability_in_band(y, u, band)
        if estimate.knowable
        else None,
        contributions=estimate.contributions,
        dominant=estimate.dominant,
        clearance=nearest - expanded if nearest < inf else None,
        k=k,
    )


def judge_overload(
    full_scale: float | None, band: Band, *, leads_proved: bool
) -> Judgement:
    """The verdict on 'Above range' (design: step 4). Never a number.

    `leads_proved`: the same channel has seen the probes shorted within the last minute.
    """
    if not leads_proved:
        return Judgement(verdict=Verdict.CANNOT_TELL, reason=Reason.LEADS_UNPROVED)
    if full_scale is None:
        return Judgement(verdict=Verdict.CANNOT_TELL, reason=Reason.RANGE_UNKNOWN)
    if band.high is not None and full_scale > band.high:
        return Judgement(
            verdict=Verdict.OUT_OF_BAND, reason=Reason.OPEN, side=Side.HIGH
        )
    if band.high is None and band.low is not None and full_scale >= band.low:
        return Judgement(verdict=Verdict.IN_BAND, reason=Reason.INSULATES)
    return Judgement(verdict=Verdict.CANNOT_TELL, reason=Reason.GO_UP_A_RANGE)


def can_say_in_band(
    meter: MeterDoubt, band: Band, *, k: float = 2.0, top: float | None = None
) -> bool:
    """Whether any y >= 0 (and up to `top`) would be In band on the meter's own doubt.

    y - k u(y) >= low is met first at the smaller root of (y - low)^2 = k^2 u(y)^2; y + k u(y) only
    grows from there on, so that point decides. It is solved, not searched.
    """
    low = band.lower
    smallest = 0.0 if low is None else _first_clear_of(low, meter, k)
    if smallest is None or (top is not None and smallest > top):
        return False
    return (
        band.high is None
        or smallest + k * meter.standard_uncertainty(smallest) <= band.high
    )


def _first_clear_of(low: float, meter: MeterDoubt, k: float) -> float | None:
    """The smallest y >= 0 with y - k u(y) >= low, None if there is none."""
    if -k * meter.standard_uncertainty(0.0) >= low:
        return 0.0
    k2 = k * k
    a = 1.0 - k2 * meter.a2
    b = -(2.0 * low + k2 * meter.a1)
    c = low * low - k2 * meter.a0
    roots: tuple[float, ...]
    if a == 0.0:
        roots = (-c / b,) if b else ()
    else:
        discriminant = b * b - 4.0 * a * c
        if discriminant < 0.0:
            return None
        root = sqrt(discriminant)
        roots = ((-b - root) / (2.0 * a), (-b + root) / (2.0 * a))
    return min((y for y in roots if y >= max(low, 0.0)), default=None)


def probability_in_band(y: float, u: float, band: Band) -> float:
    """P(true value in band) for a normal distribution about y (JCGM 106:2012 7.2)."""
    low, high = band.lower, band.high
    if u <= 0.0:
        return float((low is None or y >= low) and (high is None or y <= high))
    upper = 1.0 if high is None else _normal_cdf((high - y) / u)
    lower = 0.0 if low is None else _normal_cdf((low - y) / u)
    return upper - lower


def _normal_cdf(z: float) -> float:
    return 0.5 * (1.0 + erf(z / sqrt(2.0)))
