"""What a drawn machine's parts are, and what a meter shows of them."""

from dataclasses import dataclass, replace
from math import floor, isfinite, log10
from random import Random
from typing import Final

from benchassist.core.accuracy import Accuracy, LeadZero
from benchassist.core.band import Band
from benchassist.core.copper import ALPHA_20
from benchassist.core.entry import Taken
from benchassist.core.estimate import PartTemperature
from benchassist.core.procedure import Check, CheckKind
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, Reading, Source
from benchassist.core.stamp import Stamp
from benchassist.services.bench.taking import DIRECT, conditions_of, judge_reading

COUNTS: Final = 2000.0
TOP_RANGE: Final = 20e6
HAND_HELD: Final = "2,000-count hand-held"
STATED: Final = Accuracy(percent=0.8, counts=3.0)
NOTE: Final = "±(0.8 % + 3 counts)"
ZERO: Final = LeadZero(value=0.3, resolution=0.1, accuracy=STATED, full_scale=200.0)

FULL_SCALE: Final = {Quantity.LENGTH: 1e-3, Quantity.PRESSURE: 2e6, Quantity.SPEED: 20_000.0}
"""Of a feeler gauge, a compression gauge, a tachometer; each shows a hundredth of a tenth of it."""


@dataclass(slots=True)
class PartState:
    """A part's true value at 20 celsius in base units, and its drift a year as a share."""

    value: float
    yearly: float

    def after(self, years: float) -> float:
        """Its value so many years on."""
        return self.value * (1.0 + self.yearly * years)


def new_part(chance: Random, check: Check, band: Band | None) -> PartState:
    """A part as it comes: about its band's middle, one in seven at the edge or past it."""
    low = band.lower if band is not None else None
    high = band.high if band is not None else None
    if low is not None and high is not None:
        middle, half = 0.5 * (low + high), 0.5 * (high - low)
        reach = 1.3 if chance.random() < 0.15 else 0.6
        value = middle + half * chance.uniform(-reach, reach)
    elif high is not None:
        value = high * chance.uniform(0.05, 1.2)
    else:
        value = (low or check.typical or 1.0) * chance.uniform(1.5, 6.0)
    return PartState(value, chance.gauss(0.0, 0.004))


def shown(
    chance: Random, check: Check, state: float, *, copper: bool, celsius: float, t_s: float
) -> Reading:
    """What a meter or a gauge shows of a part at a temperature."""
    quantity = check.quantity
    true = state * (1.0 + ALPHA_20 * (celsius - 20.0)) if copper else state
    if quantity is not Quantity.RESISTANCE or check.kind is CheckKind.GAUGE:
        assert quantity is not None
        full = FULL_SCALE.get(quantity, 10.0 ** (floor(log10(true)) + 2))
        count = full / 1000.0
        return Reading(
            t_s=t_s,
            channel="typed",
            quantity=quantity,
            value=displayed(true * (1.0 + chance.gauss(0.0, 0.01)), count),
            resolution=count,
            source=Source.TYPED,
        )
    full = 200.0
    while full < TOP_RANGE and true >= full:
        full *= 10.0
    over = true >= full
    count = full / COUNTS
    return Reading(
        t_s=t_s,
        channel="A",
        quantity=quantity,
        value=None if over else displayed(true * (1.0 + chance.gauss(0.0, 0.002)), count),
        resolution=count,
        full_scale=full,
        overload=over,
        flags=AUTO,
        exponent=3 * min(2, int(log10(full)) // 3),
    )


AUTO: Final = frozenset({Flag.AUTO})


def displayed(value: float, count: float) -> float:
    """A value to a whole count, as the decoder of its digits rounds it."""
    shown_value = float(f"{round(value / count) * count:.9g}")
    assert isfinite(shown_value)
    return shown_value


def taken(
    stamp: Stamp,
    check: Check,
    band: Band | None,
    reading: Reading,
    *,
    temperature: PartTemperature,
    supersedes: str | None,
) -> Taken:
    """A reading as the bench takes it: corrected, judged, with what was stated then."""
    typed = reading.source is Source.TYPED
    accuracy = (check.accuracy or STATED) if typed else STATED
    conditions = conditions_of(
        reading,
        band=band,
        accuracy=accuracy,
        zero=None if typed else ZERO,
        temperature=temperature,
    )
    return Taken(
        stamp=stamp,
        check_key=check.key,
        reading=reading,
        conditions=conditions,
        judgement=judge_reading(reading, band, conditions, leads_proved=True),
        band=band,
        method=DIRECT,
        supersedes=supersedes,
        meter="" if typed else HAND_HELD,
        accuracy_note=check.accuracy_note if typed else NOTE,
        leads_proved=reading.overload,
        by_key=reading.overload or typed,
    )


def worded(check: Check, year: int) -> Check:
    """A check as a later program words it."""
    return replace(check, why=f"{check.why} ({year})" if check.why else str(year))
