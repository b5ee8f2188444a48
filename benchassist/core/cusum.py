"""Cumulative sums against a small lasting shift, and how long they run on average.

The one-sided scheme is S = max(0, S + z - k), an alarm at S > h, for z of unit variance. Its
average run length is that of the Markov chain of Brook and Evans (Biometrika 59, 1972): the line
from 0 to h is cut into states, and the mean time to absorption solves (I - R) L = 1. The chain's
error falls with the square of the number of states, so two chains extrapolate to none.
"""

from functools import lru_cache
from math import erf, expm1, sqrt
from typing import Final

import numpy as np
from numpy.typing import NDArray

FINE: Final = 121
"""States of the finer of the two chains."""


class Cusum:
    """A two-sided cumulative sum, fed one standardised deviation at a time."""

    __slots__ = ("h", "high", "k", "low")

    def __init__(self, k: float, h: float) -> None:
        self.k, self.h = k, h
        self.high = self.low = 0.0

    def feed(self, z: float) -> int:
        """Return +1 or -1 where the sum on that side is above h with this deviation, else 0."""
        self.high = max(0.0, self.high + z - self.k)
        self.low = max(0.0, self.low - z - self.k)
        if self.high > self.h:
            return 1
        return -1 if self.low > self.h else 0

    @property
    def at_rest(self) -> bool:
        """Whether both sums are zero."""
        return self.high == 0.0 and self.low == 0.0

    def reset(self) -> None:
        """Both sums to zero."""
        self.high = self.low = 0.0


def one_sided_arl(k: float, h: float, *, shift: float = 0.0, start: float = 0.0) -> float:
    """Average number of samples until the one-sided sum alarms, from the sum `start` (0 to h).

    `shift` is the mean of the standardised deviations. Brook and Evans' chain, extrapolated.
    Raises ValueError unless h > 0 and 0 <= start <= h.
    """
    if not (h > 0.0 and 0.0 <= start <= h):
        raise ValueError("h must be above zero, and the start between zero and h")
    fine, coarse = (_chain(k - shift, h, states, start) for states in (FINE, FINE // 2))
    # Widths are 2h/(2t - 1); the error goes with their square.
    ratio = ((2 * FINE - 1) / (2 * (FINE // 2) - 1)) ** 2
    return fine + (fine - coarse) / (ratio - 1.0)


def two_sided_arl(k: float, h: float, *, shift: float = 0.0, head_start: float = 0.0) -> float:
    """Average run length of both sides together, each begun at `head_start` (a fast response).

    Lucas and Crosier (Technometrics 24, 1982), from the two one-sided lengths.
    Raises ValueError unless h > 0 and 0 <= head_start <= h.
    """
    high, low = (one_sided_arl(k, h, shift=side * shift) for side in (1.0, -1.0))
    if head_start == 0.0:
        return high * low / (high + low)
    high_led, low_led = (
        one_sided_arl(k, h, shift=side * shift, start=head_start) for side in (1.0, -1.0)
    )
    return (high_led * low + low_led * high - high * low) / (high + low)


def siegmund_arl(k: float, h: float, *, shift: float = 0.0) -> float:
    """Siegmund's closed approximation of the one-sided length, with b = h + 1.166.

    D. Siegmund, Sequential Analysis (1985): (exp(-2 d b) + 2 d b - 1) / (2 d^2), d = shift - k;
    b^2 at d = 0.
    """
    b, d = h + 1.166, shift - k
    if abs(d) < 1e-9:
        return b * b
    return (expm1(-2.0 * d * b) + 2.0 * d * b) / (2.0 * d * d)


@lru_cache(maxsize=64)
def decision_interval(k: float, arl: float) -> float:
    """The h at which a one-sided sum without a shift alarms once in `arl` samples on average.

    Raises ValueError unless arl > 1.
    """
    if arl <= 1.0:
        raise ValueError("the average run length must be above one sample")
    low, high = 0.0, 1.0
    while one_sided_arl(k, high) < arl:
        low, high = high, 2.0 * high
    for _ in range(40):
        middle = 0.5 * (low + high)
        if one_sided_arl(k, middle) < arl:
            low = middle
        else:
            high = middle
    return high


def _chain(k: float, h: float, states: int, start: float) -> float:
    """Mean time to absorption of one chain, read off at `start` by a parabola between states."""
    width = 2.0 * h / (2 * states - 1)
    edges = np.array([_normal((j + 0.5) * width + k) for j in range(-states, states)])
    # steps[m] is the chance of moving by m - states + 1 states.
    steps = np.diff(edges)
    rows = np.arange(states)[:, None]
    moves = np.arange(states)[None, :] - rows + states - 1
    chance: NDArray[np.float64] = steps[moves]
    chance[:, 0] = edges[states - np.arange(states)]
    lengths = np.linalg.solve(np.eye(states) - chance, np.ones(states))
    if start == 0.0:
        return float(lengths[0])
    place = start / width
    middle = min(max(round(place), 1), states - 2)
    x = place - middle
    before, at, after = lengths[middle - 1 : middle + 2].tolist()
    return float(at + 0.5 * x * (after - before) + 0.5 * x * x * (after - 2.0 * at + before))


def _normal(z: float) -> float:
    """Standard normal distribution function."""
    return 0.5 * (1.0 + erf(z / sqrt(2.0)))
