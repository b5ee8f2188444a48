"""What a band ruler shows, in numbers: paint draws it, on screen and on paper, and decides nothing.

Values are in base units; `factor` is the base units in one `unit_text` (1000.0 for a kilo-ohm).
"""

from dataclasses import dataclass
from math import ceil, floor, log10

from benchassist.core.band import Side, Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruler:
    """One reading against its band. `doubt` is the half-width U of the lozenge.

    `own_low` and `own_high` are another band that judges nothing: the shop's own, beside it; there
    is one where it has a label.
    """

    low: float | None
    high: float | None
    value: float | None = None
    doubt: float = 0.0
    verdict: Verdict = Verdict.RECORDED
    side: Side | None = None
    so_far: bool = False
    overload: bool = False
    earlier: tuple[float, ...] = ()
    before: float | None = None
    unit_text: str = ""
    factor: float = 1.0
    band_label: str = ""
    reading_label: str = ""
    earlier_label: str = ""
    leads_label: str = ""
    doubt_label: str = ""
    own_low: float | None = None
    own_high: float | None = None
    own_label: str = ""
    floor_at_zero: bool = True


@dataclass(frozen=True, slots=True)
class Scale:
    """Ends and ticks of an axis in base units; `decimals` for labels after dividing by factor."""

    start: float
    end: float
    ticks: tuple[float, ...]
    decimals: int

    def place(self, value: float) -> float:
        """Where a value lies, 0.0 at the start and 1.0 at the end; outside that beyond the ends."""
        return (value - self.start) / (self.end - self.start)


def scale_of(ruler: Ruler) -> Scale:
    """Axis for a ruler: shows reading and nearest edge, spans about 16 lozenges, round ends.

    Never below zero where `floor_at_zero`.
    """
    points = _points(ruler)
    low, high = min(points, default=0.0), max(points, default=1.0)
    span = high - low
    least = 1e-9 * ruler.factor
    if span < least:
        span = abs(high) if abs(high) > least else ruler.factor
    both = ruler.low is not None and ruler.high is not None
    pad = (0.22 if both else 0.6) * span
    start, end = low - pad, high + pad
    if ruler.floor_at_zero:
        start, end = max(0.0, start), max(end, span)
    step = _round_step((end - start) / ruler.factor / 7.0) * ruler.factor
    start, end = floor(start / step + 1e-9) * step, ceil(end / step - 1e-9) * step
    count = round((end - start) / step)
    decimals = max(0, -floor(log10(step / ruler.factor) + 1e-9))
    return Scale(start, end, tuple(start + i * step for i in range(count + 1)), decimals)


def _points(ruler: Ruler) -> list[float]:
    """What the axis has to show."""
    limits = [p for p in (ruler.low, ruler.high) if p is not None]
    value, doubt = ruler.value, ruler.doubt
    points = list(limits)
    if value is not None:
        lozenge_span = 16.0 * 2.0 * doubt
        width = max(limits) - min(limits) if len(limits) == 2 else 0.0
        if limits and ruler.verdict is Verdict.CANNOT_TELL:
            points = [0.0 if ruler.floor_at_zero else value - 1.25 * doubt, value + 1.25 * doubt]
            points += [p for p in limits if p <= value + 2.0 * doubt]
        elif limits and 0.0 < 4.0 * lozenge_span < width:
            nearest = min(limits, key=lambda p: abs(p - value))
            reach = max(abs(nearest - value) * 1.3, lozenge_span / 2.0)
            points = [value - reach, value + reach]
        points += [value - doubt, value + doubt]
    else:
        own = (ruler.own_low, ruler.own_high) if ruler.own_label else ()
        points += [p for p in (*own, *ruler.earlier) if p is not None]
    if ruler.before is not None:
        points.append(ruler.before)
    return points


def _round_step(rough: float) -> float:
    """The smallest of 1, 2, 5 times a power of ten that is at least `rough`."""
    power = 10.0 ** floor(log10(rough))
    for m in (1.0, 2.0, 5.0):
        if m * power >= rough * (1.0 - 1e-9):
            return m * power
    return 10.0 * power
