"""One quantity of a machine across its visits, and whether it has moved.

Values are brought to one temperature first. A change is real only where it exceeds its expanded
uncertainty, |y2 - y1| > k u(y2 - y1); the doubts are taken as independent, which for two readings
of the same meter is on the safe side. Over three visits or more a line is fitted with the weights
1 / u², and its slope is a drift only where it exceeds its own expanded uncertainty. Where values
scatter more about the line than their doubts allow, that uncertainty grows by the Birge ratio.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from math import hypot, isfinite, sqrt
from typing import Final

from benchassist.core.copper import correction
from benchassist.core.entry import Taken

YEAR_S: Final = 365.25 * 86400.0


class Drift(StrEnum):
    """What may be said of a quantity over time."""

    UNTOLD = "untold"
    """Fewer than two values with a known doubt: nothing can be said."""
    NONE = "none"
    RISING = "rising"
    FALLING = "falling"


@dataclass(frozen=True, slots=True, kw_only=True)
class TrendPoint:
    """One visit's value in the base unit, at the trend's temperature.

    `u` is its standard uncertainty, None where it is unknown. A point that is not `comparable`,
    a winding of unknown temperature, is shown and says nothing of a change.
    """

    at: datetime
    value: float
    u: float | None
    comparable: bool = True

    @property
    def counts(self) -> bool:
        """Whether a change can be told from it."""
        return self.comparable and self.u is not None and isfinite(self.u) and self.u > 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """From one value to a later one: difference, its standard uncertainty, and k."""

    delta: float
    u: float
    k: float = 2.0

    @property
    def real(self) -> bool:
        """Whether it exceeds its expanded uncertainty."""
        return abs(self.delta) > self.k * self.u


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A weighted line: `slope` and its standard uncertainty `u` per second.

    It passes `value` (standard uncertainty `u_value`) at `at`, the weighted middle of the visits,
    where slope and value are uncorrelated. `birge` is sqrt(chi² / (n - 2)), None for two points;
    both uncertainties have grown by it where it is above 1.
    """

    slope: float
    u: float
    value: float
    u_value: float
    at: datetime
    birge: float | None
    k: float = 2.0

    @property
    def real(self) -> bool:
        """Whether the slope exceeds its expanded uncertainty."""
        return abs(self.slope) > self.k * self.u

    @property
    def per_year(self) -> float:
        """The slope per year of 365.25 days."""
        return self.slope * YEAR_S

    @property
    def u_per_year(self) -> float:
        """Its standard uncertainty."""
        return self.u * YEAR_S

    def value_at(self, at: datetime) -> tuple[float, float]:
        """The line's value at a moment, and its standard uncertainty there."""
        seconds = (at - self.at).total_seconds()
        return self.value + self.slope * seconds, hypot(self.u_value, self.u * seconds)


@dataclass(frozen=True, slots=True, kw_only=True)
class Trend:
    """A quantity over time. `points` are in order of time.

    `last` is the change between the last two values that count, `line` the line through all of
    them; None where there are too few, or no time lies between them.
    """

    points: tuple[TrendPoint, ...]
    last: Change | None
    line: Line | None

    @property
    def drift(self) -> Drift:
        """What the line says; where it says nothing, the newest step by itself."""
        if self.line is not None and self.line.real:
            return Drift.RISING if self.line.slope > 0.0 else Drift.FALLING
        if self.last is None:
            return Drift.UNTOLD
        if not self.last.real:
            return Drift.NONE
        return Drift.RISING if self.last.delta > 0.0 else Drift.FALLING


def trend_point(
    taken: Taken, *, copper: bool = False, reference_celsius: float = 20.0
) -> TrendPoint | None:
    """A taken reading at a reference temperature in celsius; None for an overload.

    A winding corrected to another temperature is brought over by the copper law, its doubt with
    it; one whose temperature was not known stays as it was read and is not comparable.
    """
    value, expanded = taken.judgement.value, taken.judgement.expanded_uncertainty
    if value is None:
        return None
    u = None if expanded is None else expanded / taken.judgement.k
    comparable = True
    if copper:
        conditions = taken.conditions
        reference = conditions.copper_reference
        if conditions.part_temperature is None or reference is None:
            comparable = False
        else:
            over = correction(reference, reference_celsius)[0]
            value, u = value * over, None if u is None else u * over
    return TrendPoint(at=taken.stamp.at, value=value, u=u, comparable=comparable)


def trend_of(points: Sequence[TrendPoint], *, k: float = 2.0) -> Trend:
    """The trend of points at one temperature, in whatever order they come."""
    ordered = tuple(sorted(points, key=lambda point: point.at))
    counting = [point for point in ordered if point.counts]
    last = change(counting[-2], counting[-1], k=k) if len(counting) > 1 else None
    return Trend(points=ordered, last=last, line=weighted_line(counting, k=k))


def change(before: TrendPoint, after: TrendPoint, *, k: float = 2.0) -> Change:
    """The change between two values. Raises ValueError where one of them does not count."""
    if not (before.counts and after.counts):
        raise ValueError("a change needs two comparable values of known doubt")
    return Change(delta=after.value - before.value, u=hypot(before.u or 0.0, after.u or 0.0), k=k)


def weighted_line(points: Sequence[TrendPoint], *, k: float = 2.0) -> Line | None:
    """The line of least squares with weights 1 / u²; None without two moments to draw it through.

    u(slope)² = 1 / sum w (t - tm)², tm the weighted middle (any text on weighted least squares);
    for two points this is the change between them over the time, with the same verdict. Points
    that do not count are passed over.
    """
    used = [(p.at, p.value, 1.0 / p.u**2) for p in points if p.counts and p.u]
    if len(used) < 2:
        return None
    start = used[0][0]
    rows = [((at - start).total_seconds(), y, w) for at, y, w in used]
    weight = sum(w for _t, _y, w in rows)
    middle = sum(w * t for t, _y, w in rows) / weight
    value = sum(w * y for _t, y, w in rows) / weight
    spread = sum(w * (t - middle) ** 2 for t, _y, w in rows)
    if not spread > 0.0:
        return None
    slope = sum(w * (t - middle) * (y - value) for t, y, w in rows) / spread
    chi2 = sum(w * (y - value - slope * (t - middle)) ** 2 for t, y, w in rows)
    birge = sqrt(chi2 / (len(rows) - 2)) if len(rows) > 2 else None
    grown = max(1.0, birge or 0.0)
    return Line(
        slope=slope,
        u=grown / sqrt(spread),
        value=value,
        u_value=grown / sqrt(weight),
        at=start + timedelta(seconds=middle),
        birge=birge,
        k=k,
    )
