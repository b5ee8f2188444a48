"""Whether values look normal, and which of them stand apart. Numbers, no judgement in words."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import log, pi, sqrt
from statistics import fmean, median, stdev
from typing import Final

from benchassist.core.band import normal_cdf

CRITICAL: Final = ((0.10, 0.631), (0.05, 0.752), (0.025, 0.873), (0.01, 1.035))
"""Significance and critical value of the modified A², mean and deviation both estimated.

Stephens, in D'Agostino and Stephens, Goodness-of-Fit Techniques (1986), table 4.7.
"""
LEVEL: Final = 0.05
FEWEST: Final = 8
"""Fewer values say next to nothing of their distribution; the table's own lower end."""
FAR: Final = 3.5
"""Modified z-score beyond which a value stands apart (Iglewicz and Hoaglin 1993)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Normality:
    """The Anderson-Darling test: `statistic` is the modified A², None where there was no test.

    `significance` is the smallest tabulated one at which normality is rejected, None where it is
    not rejected at the largest.
    """

    statistic: float | None
    significance: float | None = None

    @property
    def departs(self) -> bool:
        """Whether the values depart from a normal distribution at 5 %."""
        return self.significance is not None and self.significance <= LEVEL


def normality(values: Sequence[float]) -> Normality:
    """The Anderson-Darling test with mean and standard deviation taken from the values.

    No test of fewer than eight values, nor of values that are all the same.
    """
    n = len(values)
    deviation = stdev(values) if n >= FEWEST else 0.0
    if not deviation > 0.0:
        return Normality(statistic=None)
    mean = fmean(values)
    z = sorted((v - mean) / deviation for v in values)
    total = sum(
        (2 * i + 1) * (log(normal_cdf(z[i])) + log(normal_cdf(-z[n - 1 - i]))) for i in range(n)
    )
    statistic = (-n - total / n) * (1.0 + 0.75 / n + 2.25 / n**2)
    rejected = [significance for significance, critical in CRITICAL if statistic > critical]
    return Normality(statistic=statistic, significance=min(rejected, default=None))


def apart(values: Sequence[float]) -> tuple[int, ...]:
    """Places of the values that stand apart: |0.6745 (x - median) / MAD| above 3.5.

    Iglewicz and Hoaglin, How to Detect and Handle Outliers (1993), as in the NIST/SEMATECH
    e-Handbook 1.3.5.17; the median holds where a mean would be dragged along. Where more than
    half are the same, the mean absolute deviation stands in, scaled for a normal distribution.
    """
    if len(values) < 3:
        return ()
    middle = median(values)
    distances = [abs(v - middle) for v in values]
    scale = median(distances) / 0.6745 or fmean(distances) * sqrt(0.5 * pi)
    return tuple(i for i, d in enumerate(distances) if d > FAR * scale)
