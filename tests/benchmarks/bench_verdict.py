"""A verdict against GTC on the same budget: correct, combine, hold against the band."""

from collections.abc import Iterator
from math import sqrt

import GTC

from benchassist.core.accuracy import Accuracy, LeadZero
from benchassist.core.band import Band, Judgement, judge
from benchassist.core.copper import ALPHA_20
from benchassist.core.estimate import Conditions, PartTemperature, estimate
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from tests.benchmarks.figure import Aim, Figure, side_by_side

READING = Reading(
    t_s=0.0,
    channel="A",
    quantity=Quantity.RESISTANCE,
    value=7220.0,
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


def ours() -> Judgement:
    """Estimate and verdict, five contributions and all that is kept of them."""
    return judge(estimate(READING, CONDITIONS), BAND)


def theirs() -> bool:
    """The same measurement model in GTC, and the two comparisons."""
    accuracy = GTC.ureal(0.0, (0.008 * 7220.0 + 30.0) / sqrt(3.0))
    count, spread = GTC.ureal(0.0, 10.0 / sqrt(12.0)), GTC.ureal(0.0, 4.0)
    zero, celsius = GTC.ureal(0.0, 10.0 / sqrt(12.0)), GTC.ureal(31.0, 2.0)
    y = (7220.0 + accuracy + count + spread - zero) / (1.0 + ALPHA_20 * (celsius - 20.0))
    return bool(y.x - 2.0 * y.u >= 5900.0 and y.x + 2.0 * y.u <= 7100.0)


def figures() -> Iterator[Figure]:
    """How long a verdict takes, and how many times faster it is than GTC's."""
    times = side_by_side(ours, theirs, 31, inner=200)
    yield Figure(
        "verdict", times.ours * 1e6, times.baseline * 1e6, aim=Aim(20.0, on="ours"), unit="µs"
    )
    yield Figure(
        "verdict, times faster than GTC",
        times.ours * 1e6,
        times.baseline * 1e6,
        times.baseline / times.ours,
        Aim(50.0, at_least=True),
        "µs",
        "ratio is GTC's time to ours, same budget of five contributions",
    )
