"""Seeded logs of heat runs: a winding in a warm box, a late thermometer, meters of three classes.

The winding rests, is heated at 3 to 5 kelvin a minute, held and cools by itself; the thermometer on
its surface is late by a first-order lag. The meter sends at its own rate, to its own count and
noise, changes its range where it must and is silent for one to three seconds then, and now and then
a clip loses its contact for one sample. What was put in is kept beside the log.
"""

from dataclasses import dataclass
from enum import Enum
from math import exp, log

import numpy as np

from benchassist.core.copper import ALPHA_20
from benchassist.core.samples import Column, Samples

AMBIENT = 21.0
SPIKES = 1.0 / 300.0
"""Contact spikes a second."""
SILENCES = 1.0 / 900.0
"""Silences of one to three seconds without cause, a second."""


@dataclass(frozen=True, slots=True)
class MeterClass:
    """How a meter shows ohms: counts of a range, samples a second, noise in counts and in parts."""

    name: str
    counts: float
    first_range: float
    hertz: float
    noise_counts: float
    noise_parts: float
    range_error: float

    def range_of(self, ohms: float) -> float:
        """The range that holds a value."""
        full = self.first_range
        while ohms >= full:
            full *= 10.0
        return full


HAND_HELD = MeterClass("2,000 counts", 2000.0, 200.0, 2.5, 0.5, 3e-4, 0.002)
BETTER = MeterClass("6,000 counts", 6000.0, 600.0, 4.0, 0.7, 2e-4, 0.001)
BENCH = MeterClass("6½ digits", 1e6, 1000.0, 10.0, 5.0, 1e-5, 2e-5)
METERS = (HAND_HELD, BETTER, BENCH)


class Fault(Enum):
    """What is put in."""

    NONE = "none"
    OPEN = "open"
    """Opens hot, recloses cooler."""
    FLICKER = "flicker"
    """Opens for two to ten samples."""
    STEP = "step"
    SLOW = "slow"
    """A joint that grows smoothly above some temperature."""


@dataclass(frozen=True, slots=True, eq=False)
class HeatLog:
    """A log and what was put in: from `start` to `end` (places), the part's own temperature.

    `excess` is what a slow joint adds, as a share of the sound resistance, at each sample.
    """

    meter: MeterClass
    fault: Fault
    samples: Samples
    celsius: Column
    part_celsius: Column
    excess: Column
    start: int = 0
    end: int = 0

    @property
    def hours(self) -> float:
        """How long it is."""
        return float(self.samples.t_s[-1]) / 3600.0


def heat_log(
    seed: int,
    meter: MeterClass,
    fault: Fault = Fault.NONE,
    *,
    step: float = 0.05,
    ranges: bool = True,
    faster: float = 1.0,
    cycles: int = 1,
) -> HeatLog:
    """Make a log; `step` is the relative size of a step, `faster` how many times life's pace.

    With `ranges` some parts cross into another range of the meter while they are hot.
    """
    rng = np.random.default_rng((seed, METERS.index(meter), list(Fault).index(fault)))
    part = profile(rng, faster, cycles)
    t = moments(rng, meter.hertz, part[-1][0])
    celsius = np.interp(t, *zip(*part, strict=True))
    r20 = resistance(rng, meter, crossing=ranges and bool(rng.random() < 0.2))
    sound = r20 * (1.0 + ALPHA_20 * (celsius - 20.0))
    excess, start, end = put_in(rng, fault, celsius, step)
    true = sound * (1.0 + excess)
    samples, kept = shown(rng, meter, t, true)
    late = lagged(t, celsius, rng.uniform(5.0, 30.0) / faster)
    count = rng.choice((0.1, 1.0))
    read = late + rng.normal(0.0, 0.1, len(t)) + rng.normal(0.0, 0.5)
    thermometer = np.round(read / count) * count
    place = np.searchsorted(kept, (start, end))
    return HeatLog(
        meter,
        fault,
        samples,
        thermometer[kept],
        celsius[kept],
        excess[kept],
        int(place[0]),
        int(place[1]),
    )


def profile(rng: np.random.Generator, faster: float, cycles: int) -> list[tuple[float, float]]:
    """Cycles as (seconds, celsius): rest, then heating, hold, cooling to below 40 celsius each."""
    points = [(0.0, AMBIENT), (rng.uniform(30.0, 120.0), AMBIENT)]
    for _ in range(cycles):
        ceiling, rise = rng.uniform(90.0, 95.0), rng.uniform(3.0, 5.0) / 60.0
        start_s, start = points[-1]
        points.append((start_s + (ceiling - start) / rise, ceiling))
        top = points[-1][0] + rng.uniform(60.0, 300.0)
        points.append((top, ceiling))
        slowness = rng.uniform(600.0, 1000.0)
        whole = slowness * log((ceiling - AMBIENT) / (38.0 - AMBIENT))
        for passed in np.linspace(0.0, whole, 60)[1:].tolist():
            cooled = AMBIENT + (ceiling - AMBIENT) * exp(-passed / slowness)
            points.append((top + passed, cooled))
    return [(t / faster, celsius) for t, celsius in points]


def moments(rng: np.random.Generator, hertz: float, end: float) -> Column:
    """When samples come: at the meter's pace, some milliseconds early or late."""
    t = np.arange(0.0, end, 1.0 / hertz)
    return t + rng.uniform(0.0, 0.1 / hertz, len(t))


def resistance(rng: np.random.Generator, meter: MeterClass, *, crossing: bool) -> float:
    """A winding's ohms at 20 celsius; `crossing`: it reaches the meter's next range when hot."""
    if not crossing:
        return float(np.exp(rng.uniform(log(3000.0), log(14_000.0))))
    full = meter.range_of(4000.0 if meter is BETTER else 12_000.0)
    return float(full * rng.uniform(0.8, 0.95))


def put_in(
    rng: np.random.Generator, fault: Fault, celsius: Column, step: float
) -> tuple[Column, int, int]:
    """What a fault adds at each sample, as a share (inf: open), and its first and last place."""
    excess = np.zeros(len(celsius))
    if fault is Fault.NONE:
        return excess, 0, 0
    if fault is Fault.SLOW:
        onset = rng.uniform(35.0, 60.0)
        at_ceiling = rng.uniform(0.04, 0.12)
        excess = at_ceiling * np.clip((celsius - onset) / (92.0 - onset), 0.0, None)
        return excess, int(np.argmax(excess > 0.0)), len(excess)
    opens_at = rng.uniform(55.0, 88.0)
    start = int(np.argmax(celsius >= opens_at))
    if fault is Fault.FLICKER:
        end = start + int(rng.integers(2, 11))
    else:
        top = int(np.argmax(celsius))
        end = top + int(np.argmax(celsius[top:] <= opens_at - rng.uniform(5.0, 15.0)))
    size = np.inf
    if fault is Fault.STEP:
        size = step if rng.random() < 0.5 else -step
    excess[start:end] = size
    return excess, start, end


def shown(
    rng: np.random.Generator, meter: MeterClass, t: Column, true: Column
) -> tuple[Samples, Column]:
    """What the meter shows, with one count of each, and which of the moments brought a sample.

    A change of range costs one to three seconds; an open is above every range at once.
    """
    full = meter.first_range * np.ones(len(t))
    for _ in range(6):
        full = np.where((true >= full) & np.isfinite(true), full * 10.0, full)
    count = full / meter.counts
    gain = 1.0 + meter.range_error * np.sin(np.log10(full) * 12.9)
    noise = rng.normal(0.0, 1.0, len(t)) * (meter.noise_counts * count)
    noise += rng.normal(0.0, meter.noise_parts, len(t)) * np.where(np.isfinite(true), true, 0.0)
    value = np.where(np.isfinite(true), true, 0.0) * gain + noise
    value = np.round(value / count) * count
    value[~np.isfinite(true)] = np.inf
    period = 1.0 / meter.hertz
    lone = spaced(rng, len(t), SPIKES * period)
    value[lone] = np.where(
        rng.random(len(lone)) < 0.5, np.inf, value[lone] * (1.0 + rng.uniform(0.05, 2.0, len(lone)))
    )
    kept = np.ones(len(t), dtype=bool)
    finite = np.flatnonzero(np.isfinite(true))
    changes = finite[1:][full[finite[1:]] != full[finite[:-1]]]
    for place in (*changes.tolist(), *spaced(rng, len(t), SILENCES * period).tolist()):
        # An open is never what a silence hides: the meter shows it when it comes back.
        if np.isfinite(true[max(0, place - 40) : place + 80]).all():
            kept[place : place + max(1, int(rng.uniform(1.0, 3.0) / period))] = False
    places = np.flatnonzero(kept)
    return Samples(t[kept], value[kept], count[kept]), places


def spaced(rng: np.random.Generator, count: int, chance: float) -> Column:
    """Places drawn with a chance each, never two within three of each other, none at the start."""
    drawn = np.flatnonzero(rng.random(count) < chance)
    drawn = drawn[drawn > 60]
    return drawn[np.diff(drawn, prepend=-10) > 3] if len(drawn) else drawn


def lagged(t: Column, celsius: Column, lag: float) -> Column:
    """A first-order lag of so many seconds, exact for straight pieces between the samples."""
    times, shown_at, out = t.tolist(), celsius.tolist(), [float(celsius[0])]
    for before, now, x0, x1 in zip(times, times[1:], shown_at, shown_at[1:], strict=False):
        behind = lag * (x1 - x0) / (now - before)
        out.append(x1 - behind + (out[-1] - x0 + behind) * exp(-(now - before) / lag))
    return np.array(out)
