"""Age replacement of a part that wears: the age at which replacing it costs least an hour.

Weibull life, cost rate C(t) = [C_P R(t) + C_U (1 - R(t))] / integral of R from 0 to t (Barlow and
Hunter's policy I; the published check is in tests/published). With shape 1 or below a part does
not wear, and replacing early never pays.
"""

from dataclasses import dataclass
from math import exp, inf

import numpy as np

STEPS = 4000


@dataclass(frozen=True, slots=True, kw_only=True)
class Life:
    """Weibull life: shape without unit, scale in hours."""

    shape: float
    scale: float

    def __post_init__(self) -> None:
        """Raise ValueError unless both are above zero."""
        if not (0.0 < self.shape < inf and 0.0 < self.scale < inf):
            raise ValueError("shape and scale must be above zero")

    def reliability(self, hours: float) -> float:
        """The share that still works at an age."""
        return exp(-((hours / self.scale) ** self.shape))


def cost_rate(life: Life, *, planned: float, unplanned: float, hours: float) -> float:
    """Cost an hour when replaced at an age, or at failure before. Raises ValueError at no age."""
    if not hours > 0.0:
        raise ValueError("the age must be above zero")
    ages = np.linspace(0.0, hours, STEPS + 1)
    survival = np.exp(-((ages / life.scale) ** life.shape))
    weights = np.ones(STEPS + 1)
    weights[1:-1:2], weights[2:-1:2] = 4.0, 2.0
    mean_age = float(np.dot(weights, survival)) * hours / STEPS / 3.0  # Simpson's rule
    share = life.reliability(hours)
    return (planned * share + unplanned * (1.0 - share)) / mean_age


def best_age(life: Life, *, planned: float, unplanned: float) -> float | None:
    """The age in hours at which the cost rate is least; None where replacing early never pays.

    Golden-section search; the cost rate has one least value where the shape is above 1.
    """
    if life.shape <= 1.0 or unplanned <= planned or planned <= 0.0:
        return None
    low, high, golden = 1e-3 * life.scale, 5.0 * life.scale, (5.0**0.5 - 1.0) / 2.0

    def rate(hours: float) -> float:
        return cost_rate(life, planned=planned, unplanned=unplanned, hours=hours)

    while high - low > 1e-7 * life.scale:
        span = golden * (high - low)
        if rate(high - span) < rate(low + span):
            high = low + span
        else:
            low = high - span
    best = 0.5 * (low + high)
    return best if best < 4.9 * life.scale else None
