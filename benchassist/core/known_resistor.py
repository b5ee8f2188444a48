"""A known resistor measured at the start and the end of a visit: does the meter read it right?

The normalised error E_n = |x - X| / sqrt(U(x)^2 + U(X)^2) of ISO/IEC 17043 (recalled, clause not
cited) says whether the two agree within their doubts: agree where E_n <= 1. The resistor's marked
tolerance is taken as a rectangle, U(X) = k t / sqrt(3).
"""

from math import hypot

from benchassist.core.accuracy import SQRT3
from benchassist.core.band import Judgement, Reason, Side, Verdict
from benchassist.core.estimate import Conditions, estimate
from benchassist.core.reading import Reading


def judge_known(
    reading: Reading,
    conditions: Conditions,
    *,
    nominal: float,
    tolerance_percent: float,
    k: float = 2.0,
) -> Judgement:
    """IN_BAND where meter and resistor agree, else OUT_OF_BAND; above range cannot tell.

    `nominal` in ohm above zero. Raises ValueError for a nominal or tolerance that is not.
    """
    if not nominal > 0.0 or tolerance_percent < 0.0:
        raise ValueError("a known resistor has a value above zero and a tolerance")
    if reading.overload:
        return Judgement(verdict=Verdict.CANNOT_TELL, reason=Reason.GO_UP_A_RANGE, k=k)
    found = estimate(reading, conditions)
    if not found.knowable:
        return Judgement(verdict=Verdict.CANNOT_TELL, reason=Reason.COUNT_UNKNOWN, value=found.y)
    expanded = k * found.standard_uncertainty
    allowed = hypot(expanded, k * nominal * tolerance_percent / 100.0 / SQRT3)
    off = found.y - nominal
    agrees = abs(off) <= allowed
    return Judgement(
        verdict=Verdict.IN_BAND if agrees else Verdict.OUT_OF_BAND,
        reason=Reason.CLEAR_OF_EDGES if agrees else Reason.BEYOND_EDGE,
        side=None if agrees else (Side.HIGH if off > 0.0 else Side.LOW),
        value=found.y,
        expanded_uncertainty=expanded,
        contributions=found.contributions,
        dominant=found.dominant,
        clearance=abs(abs(off) - allowed),
        k=k,
    )
