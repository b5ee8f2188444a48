"""A verdict against GTC on the same budget.

The verdict has two halves: combine the contributions and hold y - U to y + U against the band; and,
where that is undecided, ask whether this meter on this range could say In band at any y at all,
its doubt re-evaluated at each. GTC combines; for the second half its budget is bisected over y.
"""

from collections.abc import Iterator
from dataclasses import replace
from math import sqrt

import GTC

from benchassist.core.accuracy import Accuracy, LeadZero
from benchassist.core.band import Band, Judgement, Verdict, judge
from benchassist.core.copper import ALPHA_20
from benchassist.core.estimate import Conditions, PartTemperature, estimate
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from tests.benchmarks.figure import Aim, Figure, side_by_side

READING = Reading(
    t_s=0.0,
    channel="A",
    quantity=Quantity.RESISTANCE,
    value=6780.0,
    resolution=10.0,
    full_scale=2e4,
)
CONDITIONS = Conditions(
    accuracy=Accuracy(percent=0.8, counts=3.0),
    lead_zero=LeadZero(value=0.0, resolution=10.0, full_scale=2e4),
    spread=4.0,
    part_temperature=PartTemperature(celsius=31.0),
    copper_reference=20.0,
)
BAND = Band(quantity=Quantity.RESISTANCE, low=5900.0, high=7100.0, copper=True)


EDGE = replace(READING, value=7370.0)
"""At 31 °C this is 7.06 kΩ at 20 °C: across the upper limit."""


def decided() -> Judgement:
    """Estimate and verdict, with every contribution kept."""
    return judge(estimate(READING, CONDITIONS), BAND)


def undecided() -> Judgement:
    """The same, where the second half is asked too."""
    return judge(estimate(EDGE, CONDITIONS), BAND)


def budget(display: float, *, meter_only: bool = False) -> GTC.lib.UncertainReal:
    """The measurement model in GTC, at a display."""
    y = display + GTC.ureal(0.0, (0.008 * display + 30.0) / sqrt(3.0))
    y += GTC.ureal(0.0, 10.0 / sqrt(12.0))
    y -= GTC.ureal(0.0, 10.0 / sqrt(12.0))
    if meter_only:
        return y / (1.0 + ALPHA_20 * 11.0)
    y += GTC.ureal(0.0, 4.0)
    return y / (1.0 + ALPHA_20 * (GTC.ureal(31.0, 2.0) - 20.0))


def clear(y: GTC.lib.UncertainReal) -> tuple[bool, bool]:
    """Whether y - U is clear of the lower limit, and y + U of the upper."""
    return y.x - 2.0 * y.u >= 5900.0, y.x + 2.0 * y.u <= 7100.0


def combined_by_gtc() -> bool:
    """The first half, with the contributions listed as ours are kept."""
    y = budget(6780.0)
    GTC.reporting.budget(y)
    return all(clear(y))


def whole_by_gtc() -> str:
    """Both halves: the first y that is clear of the lower limit decides, found to a millionth."""
    y = budget(7370.0)
    GTC.reporting.budget(y)
    if all(clear(y)):
        return "in_band"
    low, high = 0.0, 2e4
    while high - low > 1e-6 * high:
        middle = 0.5 * (low + high)
        if clear(budget(middle, meter_only=True))[0]:
            high = middle
        else:
            low = middle
    could = clear(budget(high, meter_only=True))[1]
    return "too_close" if could else "cannot_tell"


def figures() -> Iterator[Figure]:
    """How long a verdict takes, and how many times faster than GTC."""
    if (decided().verdict, undecided().verdict.value) != (Verdict.IN_BAND, whole_by_gtc()):
        raise RuntimeError("the two do not say the same")
    first = side_by_side(decided, combined_by_gtc, 31, inner=100)
    whole = side_by_side(undecided, whole_by_gtc, 31, inner=100)
    yield Figure(
        "verdict, undecided",
        whole.ours * 1e6,
        whole.baseline * 1e6,
        aim=Aim(20.0, on="ours"),
        unit="µs",
        note="both halves, five contributions kept",
    )
    yield Figure(
        "verdict, undecided: faster than GTC",
        whole.ours * 1e6,
        whole.baseline * 1e6,
        whole.baseline / whole.ours,
        Aim(50.0, at_least=True),
        "µs",
        "GTC's time to ours; its second half is bisected over y",
    )
    yield Figure(
        "verdict, decided: faster than GTC",
        first.ours * 1e6,
        first.baseline * 1e6,
        first.baseline / first.ours,
        unit="µs",
        note="GTC's time to ours; the first half alone, no aim",
    )
