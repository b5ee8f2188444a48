"""Accuracy statements, and the contributions to a standard uncertainty that follow from them.

JCGM 100:2008 (GUM) 4.3.7: a half-width a without a stated level is taken as rectangular,
u = a/sqrt(3). One count q of a display is a rectangle of half-width q/2, u = q/sqrt(12).
"""

from dataclasses import dataclass
from enum import StrEnum
from math import isclose, sqrt

SQRT3 = sqrt(3.0)
SQRT12 = sqrt(12.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Accuracy:
    """p % of reading + n counts (+ r % of the range, as bench instruments state it).

    `fixed` is so much in the base unit of what is read, as thermometers state it: 1 °C.
    """

    percent: float
    counts: float = 0.0
    percent_of_range: float = 0.0
    stated: bool = True
    fixed: float = 0.0

    def half_width(
        self, value: float, *, resolution: float | None, full_scale: float | None
    ) -> float | None:
        """Half-width a at `value`, in the unit of `value`.

        None where a needed resolution or range is unknown.
        """
        fixed = self.fixed_part(resolution=resolution, full_scale=full_scale)
        return None if fixed is None else abs(value) * self.percent / 100.0 + fixed

    def fixed_part(self, *, resolution: float | None, full_scale: float | None) -> float | None:
        """The part of the half-width that does not grow with the reading."""
        fixed = self.fixed
        if self.counts:
            if resolution is None:
                return None
            fixed += self.counts * resolution
        if self.percent_of_range:
            if full_scale is None:
                return None
            fixed += self.percent_of_range / 100.0 * full_scale
        return fixed


WORST_CASE = Accuracy(percent=2.0, counts=5.0, stated=False)
"""Used where a meter has no accuracy statement; the slip says so."""


class Part(StrEnum):
    """Names of the contributions to a doubt."""

    ACCURACY = "accuracy"
    COUNT = "count"
    LEAD_ZERO = "lead_zero"
    SPREAD = "spread"
    TEMPERATURE = "temperature"
    CURRENT_ACCURACY = "current_accuracy"
    CURRENT_COUNT = "current_count"


@dataclass(frozen=True, slots=True)
class Contribution:
    """One standard uncertainty, in the unit of the corrected value."""

    name: Part
    standard_uncertainty: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterRange:
    """One range of a meter card: full scale, one count and what its maker states of it."""

    full_scale: float
    resolution: float
    accuracy: Accuracy


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadZero:
    """What the probes showed when held together: ohms, one count, its accuracy and range."""

    value: float
    resolution: float | None
    accuracy: Accuracy = WORST_CASE
    full_scale: float | None = None

    def same_range_as(self, *, resolution: float | None, full_scale: float | None) -> bool:
        """Whether a reading was made on the range this zero was made on.

        The same count tells, and the same full scale where both are known.
        """
        if self.resolution is None or resolution is None:
            return False
        if not isclose(self.resolution, resolution, rel_tol=1e-6):
            return False
        if self.full_scale is None or full_scale is None:
            return True
        return isclose(self.full_scale, full_scale, rel_tol=1e-6)

    def standard_uncertainty(
        self, *, resolution: float | None, full_scale: float | None
    ) -> float | None:
        """q/sqrt(12) on the range of the reading, else a/sqrt(3) of its own; None if unknowable."""
        if self.resolution is not None and self.same_range_as(
            resolution=resolution, full_scale=full_scale
        ):
            return self.resolution / SQRT12
        half = self.accuracy.half_width(
            self.value, resolution=self.resolution, full_scale=self.full_scale
        )
        return None if half is None else half / SQRT3
