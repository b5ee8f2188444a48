"""The band a quantity should sit in, and the one place where a verdict is reached.

Decision rule: guarded acceptance and guarded rejection with a guard band w = U = k u inside and
outside every limit (JCGM 106:2012 8, ILAC-G8:09/2019 4.2.3), with a further answer for a meter that
could not have told.
"""

from dataclasses import dataclass
from enum import StrEnum
from math import erfc, inf, sqrt

from benchassist.core.accuracy import Contribution, Part
from benchassist.core.estimate import Estimate, MeterDoubt
from benchassist.core.quantity import NEVER_NEGATIVE, Quantity

SQRT2 = sqrt(2.0)


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
    elif y < -expanded and band.quantity in NEVER_NEGATIVE:
        verdict, reason = Verdict.CANNOT_TELL, Reason.ZERO_AGAIN
    elif below >= expanded and above >= expanded:
        verdict, reason = Verdict.IN_BAND, Reason.CLEAR_OF_EDGES
    elif -above > expanded:
        verdict, reason, side = Verdict.OUT_OF_BAND, Reason.BEYOND_EDGE, Side.HIGH
    elif -below > expanded:
        verdict, reason, side = Verdict.OUT_OF_BAND, Reason.BEYOND_EDGE, Side.LOW
    else:
        verdict, reason = _undecided(estimate, band, k)
    nearest = min(abs(below), abs(above))
    known = estimate.knowable
    possible = known and reason is not Reason.ZERO_AGAIN
    return Judgement(
        verdict=verdict,
        reason=reason,
        side=side,
        value=y,
        expanded_uncertainty=expanded if known else None,
        probability_in_band=probability_in_band(y, u, band) if possible else None,
        contributions=estimate.contributions,
        dominant=estimate.dominant,
        clearance=nearest - expanded if known and nearest < inf else None,
        k=k,
    )


def _undecided(estimate: Estimate, band: Band, k: float) -> tuple[Verdict, Reason]:
    """Whether the reading is too close, or this meter on this range could never say In band."""
    stretches = sayable(estimate.meter, band, k=k)
    if not stretches:
        return Verdict.CANNOT_TELL, Reason.TOO_COARSE
    top = estimate.top
    if top is not None and all(min(abs(a), abs(b)) > top for a, b in stretches):
        return Verdict.CANNOT_TELL, Reason.GO_UP_A_RANGE
    return Verdict.TOO_CLOSE, Reason.TOUCHES_EDGE


def judge_overload(full_scale: float | None, band: Band, *, leads_proved: bool) -> Judgement:
    """The verdict on 'Above range' (design: step 4). Never a number.

    `full_scale` is after correction (`benchassist.core.estimate.corrected_full_scale`).
    `leads_proved`: the same channel has seen the probes shorted within the last minute.
    """
    if not leads_proved:
        return Judgement(verdict=Verdict.CANNOT_TELL, reason=Reason.LEADS_UNPROVED)
    if full_scale is None:
        return Judgement(verdict=Verdict.CANNOT_TELL, reason=Reason.RANGE_UNKNOWN)
    if band.high is not None and full_scale > band.high:
        return Judgement(verdict=Verdict.OUT_OF_BAND, reason=Reason.OPEN, side=Side.HIGH)
    if band.high is None and band.low is not None and full_scale >= band.low:
        return Judgement(verdict=Verdict.IN_BAND, reason=Reason.INSULATES)
    return Judgement(verdict=Verdict.CANNOT_TELL, reason=Reason.GO_UP_A_RANGE)


def can_say_in_band(
    meter: MeterDoubt, band: Band, *, k: float = 2.0, top: float | None = None
) -> bool:
    """Whether any y >= 0 (and up to `top`) would be In band on the meter's own doubt.

    A quantity that can be negative is asked on both sides of zero.
    """
    return bool(sayable(meter, band, k=k, top=top))


def sayable(
    meter: MeterDoubt, band: Band, *, k: float = 2.0, top: float | None = None
) -> tuple[tuple[float, float], ...]:
    """The stretches of y over which this meter would say In band: (from, to) each, 0 to 2 of them.

    y - k u(y) >= low and y + k u(y) <= high, solved as the roots of (y - limit)^2 = k^2 u(y)^2 and
    not searched. `to` is inf where nothing ends the stretch.
    """
    stretch = _stretch(meter, band.lower, band.high, k=k, top=top)
    found = () if stretch is None else (stretch,)
    if band.quantity in NEVER_NEGATIVE:
        return found
    # u depends on the size of y only, so the other side of zero is the mirrored band.
    low = None if band.high is None else -band.high
    high = None if band.low is None else -band.low
    mirrored = _stretch(meter, low, high, k=k, top=top)
    return found if mirrored is None else ((-mirrored[1], -mirrored[0]), *found)


def _stretch(
    meter: MeterDoubt, low: float | None, high: float | None, *, k: float, top: float | None
) -> tuple[float, float] | None:
    """Where y >= 0 is clear of both limits, None if nowhere."""
    start, end = 0.0, inf if top is None else top
    doubt_at_zero = k * sqrt(meter.a0) if meter.a0 > 0.0 else 0.0
    if low is not None and -doubt_at_zero < low:
        # y - k u(y) is concave: it rises through the limit once and may sink through it again.
        least = max(0.0, low)
        crossings = _crossings(meter, low, k)
        hair = least * (1.0 - 1e-12)
        if crossings is None or crossings[1] < hair:
            return None
        start = max(crossings[0] if crossings[0] >= hair else crossings[1], least)
        if k * k * meter.a2 > 1.0:
            end = min(end, crossings[1])
    if high is not None:
        # y + k u(y) only rises: it meets the limit once, at or below it.
        crossings = None if doubt_at_zero > high else _crossings(meter, high, k)
        if crossings is None:
            return None
        below = crossings[1] if crossings[1] <= high * (1.0 + 1e-12) else crossings[0]
        end = min(end, below)
    return (start, end) if start <= end else None


def _crossings(meter: MeterDoubt, limit: float, k: float) -> tuple[float, float] | None:
    """The smaller and the larger y at which (y - limit)^2 = k^2 u(y)^2, None without any.

    Where the doubt grows exactly as fast as y there is one: it stands for both.
    """
    k2 = k * k
    a2, a1, a0 = meter.a2, meter.a1, meter.a0
    a = 1.0 - k2 * a2
    half_b = -(limit + 0.5 * k2 * a1)
    # half_b^2 - a c without the difference of two nearly equal squares.
    discriminant = k2 * ((a2 * limit + a1) * limit + a0 + k2 * (0.25 * a1 * a1 - a2 * a0))
    if discriminant < 0.0:
        return None
    root = sqrt(discriminant)
    q = -half_b + (root if half_b <= 0.0 else -root)
    one = (limit * limit - k2 * a0) / q if q != 0.0 else 0.0
    other = q / a if a != 0.0 else one
    return (one, other) if one <= other else (other, one)


def probability_in_band(y: float, u: float, band: Band) -> float:
    """P(true value in band) for a normal distribution about y (JCGM 106:2012 7.2)."""
    low, high = band.lower, band.high
    if u <= 0.0:
        return float((low is None or y >= low) and (high is None or y <= high))
    upper = 1.0 if high is None else normal_cdf((high - y) / u)
    lower = 0.0 if low is None else normal_cdf((low - y) / u)
    return max(0.0, upper - lower)


def normal_cdf(z: float) -> float:
    """Probability that a standard normal deviate is at most `z`."""
    return 0.5 * erfc(-z / SQRT2)
