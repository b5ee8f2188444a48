"""What could be known at best: the exact posterior of a simulated part, given what was displayed.

Errors of a meter are rectangles (its accuracy, its count), so a reading's error has a distribution
in closed form; a temperature or a current is integrated over. The prior is the one the parts are
drawn from. Arrays run over parts.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import product
from math import factorial, prod

import numpy as np
from numpy.typing import NDArray
from scipy.stats import norm

Array = NDArray[np.float64]
Cdf = Callable[[Array], Array]


@dataclass(frozen=True, slots=True)
class Prior:
    """The true value is uniform between these, for the band from `low` to `high`."""

    start: float
    end: float
    low: float
    high: float

    @classmethod
    def around(cls, low: float, high: float, *, margin: float = 0.6) -> "Prior":
        """From L - 0.6 W to U + 0.6 W."""
        reach = margin * (high - low)
        return cls(low - reach, high + reach, low, high)


@dataclass(frozen=True, slots=True)
class Odds:
    """Probability of lying below the band and above it."""

    below: Array
    above: Array

    def undecided(self, k: float) -> NDArray[np.bool_]:
        """Whether neither In nor Out can be said at the one-sided level of k deviations."""
        risk = float(norm.sf(k))
        inside = (self.below <= risk) & (self.above <= risk)
        return ~(inside | (self.below >= 1.0 - risk) | (self.above >= 1.0 - risk))


def sum_of_rectangles(*half_widths: Array | float) -> Cdf:
    """The distribution function of a sum of centred rectangles, by its closed form.

    F(x) = 1 / (n! prod 2a) sum over signs of (prod signs) max(0, x + sum signs a)^n.
    """
    n = len(half_widths)

    def cdf(x: Array) -> Array:
        total = np.zeros_like(x)
        for signs in product((1.0, -1.0), repeat=n):
            shift = sum(s * a for s, a in zip(signs, half_widths, strict=True))
            total += prod(signs) * np.maximum(0.0, x + shift) ** n
        widths = prod((2.0 * np.asarray(a, dtype=float) for a in half_widths), start=np.ones(1))
        return np.clip(total / (factorial(n) * widths), 0.0, 1.0)

    return cdf


def posterior(prior: Prior, nodes: Sequence[tuple[Array, Array, Cdf]]) -> Odds:
    """The odds of a part; each node is a weight, a factor and the distribution of value / factor.

    With a factor f the value is f X, where X has that distribution for a flat prior; the prior
    cuts it off at its ends. A display that no part of the prior explains, by a hair of rounding,
    keeps the flat prior.
    """
    at: dict[float, Array] = {}
    for limit in (prior.start, prior.low, prior.high, prior.end):
        parts = (weight * factor * cdf(limit / factor) for weight, factor, cdf in nodes)
        at[limit] = np.asarray(sum(parts), dtype=float)
    flat = np.asarray(sum(weight * factor for weight, factor, _cdf in nodes), dtype=float)
    explained = at[prior.end] > at[prior.start]
    start = np.where(explained, at[prior.start], 0.0)
    end = np.where(explained, at[prior.end], flat)
    return Odds(
        below=(at[prior.low] - start) / (end - start),
        above=(end - at[prior.high]) / (end - start),
    )
