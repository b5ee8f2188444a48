"""Small heat logs for tests: a part led over some points of temperature, sampled and shown."""

from dataclasses import dataclass
from math import exp, inf

import numpy as np

from benchassist.core.copper import ALPHA_20
from benchassist.core.heat_run import HeatRun
from benchassist.core.run_finding import HeatEvent
from benchassist.core.samples import Column, Samples

CYCLE = ((0.0, 22.0), (60.0, 22.0), (1020.0, 94.0), (1320.0, 94.0), (2400.0, 36.0))
"""Rest, 4.5 kelvin a minute to 94 celsius, five minutes' hold, cooling to 36 celsius."""
TWICE = (*CYCLE, (3360.0, 94.0), (3500.0, 94.0), (4500.0, 36.0))


@dataclass(slots=True, eq=False)
class Log:
    """Columns of a run, and the part's own temperature beside them; change them as a test needs."""

    t_s: Column
    ohms: Column
    celsius: Column
    part: Column
    resolution: float

    def samples(self) -> Samples:
        """As they are fed; ohms in whole counts."""
        shown = np.round(self.ohms / self.resolution) * self.resolution
        return Samples(self.t_s, shown, np.full(len(self.t_s), self.resolution))

    def at(self, t_s: float) -> int:
        """The place of the first sample at or after a moment."""
        return int(np.searchsorted(self.t_s, t_s))

    def heated_to(self, celsius: float) -> int:
        """The place at which the part is first as warm as that."""
        return int(np.argmax(self.part >= celsius))

    def cooled_to(self, celsius: float) -> int:
        """The place at which the part is, after its first peak, as cool as that again."""
        top = int(np.argmax(self.part >= self.part.max() - 0.01))
        return top + int(np.argmax(self.part[top:] <= celsius))


def warmed(
    points: tuple[tuple[float, float], ...] = CYCLE,
    *,
    hertz: float = 5.0,
    r20: float = 7000.0,
    share: float = 1.0,
    lag: float = 20.0,
    resolution: float = 10.0,
    seed: int = 1,
) -> Log:
    """A sound part whose copper has that share, and a thermometer late by `lag` seconds."""
    rng = np.random.default_rng(seed)
    t = np.arange(0.0, points[-1][0], 1.0 / hertz)
    part = np.interp(t, *zip(*points, strict=True))
    ohms = r20 * (1.0 + share * ALPHA_20 * (part - 20.0))
    ohms = ohms + rng.normal(0.0, 0.3 * resolution, len(t))
    shown = np.round(late(t, part, lag) + rng.normal(0.0, 0.05, len(t)), 1)
    return Log(t, ohms, shown, part, resolution)


def late(t: Column, celsius: Column, lag: float) -> Column:
    """A first-order lag."""
    if lag == 0.0:
        return celsius.copy()
    shown = [float(celsius[0])]
    for passed, true in zip(np.diff(t).tolist(), celsius[1:].tolist(), strict=True):
        shown.append(shown[-1] + (true - shown[-1]) * (1.0 - exp(-passed / lag)))
    return np.array(shown)


def feed(run: HeatRun, log: Log, *, warm: bool = True) -> list[tuple[float, HeatEvent]]:
    """Feed a log sample by sample; what was told, and when."""
    samples = log.samples()
    told: list[tuple[float, HeatEvent]] = []
    columns = (samples.t_s, samples.value, samples.resolution, log.celsius)
    rows = zip(*(column.tolist() for column in columns), strict=True)
    for t_s, value, resolution, celsius in rows:
        ohms = None if value == inf else value
        events = run.feed(t_s, ohms, resolution, celsius if warm else None)
        told += [(t_s, event) for event in events]
    return told
