"""Factors of a normal tolerance interval, by numerical integration instead of a table.

With mean and standard deviation s both taken from n values, mean ± k s (or a single limit
mean + k s) holds at least the share `content` of a normal population with the probability
`confidence`. Both factors are exact to the quadrature: the one-sided one is a quantile of the
non-central t distribution (NIST/SEMATECH e-Handbook 7.2.6.3), the two-sided one the solution that
ISO 16269-6 tabulates, where Howe's formula is an approximation. No random numbers.
"""

from collections.abc import Callable
from math import erfc, lgamma, pi, sqrt
from statistics import NormalDist

import numpy as np
import numpy.typing as npt

from benchassist.core.band import normal_cdf

Nodes = npt.NDArray[np.float64]

NODES = 128
FARTHEST = 9.0
"""Standard deviations up to which the mean is followed; beyond lie 2e-19."""


def one_sided_factor(n: int, *, content: float, confidence: float) -> float:
    """The k of a single limit mean + k s or mean - k s, without unit.

    confidence = P(mean + k s >= mu + z sigma), z the `content` quantile: k sqrt(n) is that quantile
    of the non-central t with n - 1 degrees of freedom and z sqrt(n) as its non-centrality. Taken
    over the mean, off by x = t / sqrt(n): E over t of P(chi² >= (n - 1) (z - x)² / k²). Raises
    ValueError for fewer than two values or a share that is not between 0 and 1.
    """
    _check(n, content, confidence)
    z, root = NormalDist().inv_cdf(content), sqrt(n)
    edge = z * root  # a mean off by more than this is beyond the quantile, whatever s
    short, short_mass = _offsets(-FARTHEST, min(FARTHEST, edge))
    past, past_mass = _offsets(max(-FARTHEST, edge), FARTHEST)
    lack, excess = (n - 1) * (z - short / root) ** 2, (n - 1) * (past / root - z) ** 2

    def reached(k: float) -> float:
        if k >= 0.0:
            made = float(short_mass @ chi_square_above(lack / (k * k), n - 1)) if k else 0.0
            return made + float(past_mass.sum())
        return float(past_mass @ (1.0 - chi_square_above(excess / (k * k), n - 1)))

    return _solve(reached, confidence)


def two_sided_factor(n: int, *, content: float, confidence: float) -> float:
    """The k of the two limits mean ± k s, without unit.

    A mean off by x = z / sqrt(n) needs the half-width r(x) with Phi(x + r) - Phi(x - r) = content,
    so confidence = E over z of P(chi² >= (n - 1) r² / k²). Raises ValueError as
    `one_sided_factor` does.
    """
    _check(n, content, confidence)
    z, mass = _offsets(0.0, FARTHEST)
    mass *= 2.0
    squared = (n - 1) * _half_width(z / sqrt(n), content) ** 2

    def reached(k: float) -> float:
        return float(mass @ chi_square_above(squared / (k * k), n - 1)) if k > 0.0 else 0.0

    return _solve(reached, confidence)


def chi_square_above(x: Nodes, freedom: int) -> Nodes:
    """P(chi² >= x) for a whole number of degrees of freedom, a value for each x >= 0.

    The finite series of Abramowitz and Stegun 26.4.4 and 26.4.5, its terms taken by logarithms.
    """
    half = 0.5 * np.asarray(x, dtype=np.float64)
    odd = freedom % 2
    # exp(-h) h^a / Gamma(a + 1), a = 0, 1, ... where even and 1/2, 3/2, ... where odd.
    powers = np.arange(freedom // 2) + 0.5 * odd
    gammas = np.array([lgamma(a + 1.0) for a in powers])
    with np.errstate(divide="ignore", invalid="ignore"):
        logs = powers[:, None] * np.log(half) - half - gammas[:, None]
    terms = np.exp(np.where(np.isnan(logs), 0.0, logs))  # 0 log 0 is the power 0 of nothing: 1
    first = np.array([erfc(sqrt(h)) for h in half]) if odd else 0.0
    above: Nodes = np.minimum(terms.sum(axis=0) + first, 1.0)
    return above


def _check(n: int, content: float, confidence: float) -> None:
    if n < 2:
        raise ValueError("a tolerance interval needs two values at least")
    if not (0.0 < content < 1.0 and 0.0 < confidence < 1.0):
        raise ValueError("content and confidence lie between 0 and 1")


def _cdf(z: Nodes) -> Nodes:
    return np.array([normal_cdf(float(v)) for v in z])


def _offsets(low: float, high: float) -> tuple[Nodes, Nodes]:
    """Standard normal deviates between two ends and the probability that each stands for."""
    points, weights = np.polynomial.legendre.leggauss(NODES)
    half = 0.5 * max(0.0, high - low)
    z = low + half * (points + 1.0)
    return z, half * weights * np.exp(-0.5 * z * z) / sqrt(2.0 * pi)


def _half_width(x: Nodes, content: float) -> Nodes:
    """The r with Phi(x + r) - Phi(x - r) = content for each x >= 0, by halving an interval."""
    least = NormalDist().inv_cdf(0.5 * (1.0 + content))
    low, high = np.full_like(x, least), x + least
    for _step in range(60):
        middle = 0.5 * (low + high)
        short = _cdf(x + middle) - _cdf(x - middle) < content
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return 0.5 * (low + high)


def _solve(reached: Callable[[float], float], confidence: float) -> float:
    """The k at which a rising probability reaches the confidence, by halving an interval."""
    low, high = 0.0, 1.0
    while reached(low) > confidence:
        low = 2.0 * low - 1.0
    while reached(high) < confidence:
        low, high = high, 2.0 * high
        if high > 1e9:
            raise ValueError("no factor reaches this confidence with so few values")
    while high - low > 1e-12 * max(1.0, abs(high)):
        middle = 0.5 * (low + high)
        if reached(middle) < confidence:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)
