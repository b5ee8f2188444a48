"""A few logs of runs, analysed once; a drawn shop's runs repeat them."""

from array import array
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np

from benchassist.core.engine_run import analyse_speed
from benchassist.core.heat_run import analyse_heat
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.core.run import HeatedPart
from benchassist.core.run_finding import EngineFinding, HeatFinding
from benchassist.core.samples import Samples
from tests.benchmarks.engine_log import Engine, Meter, engine_log
from tests.benchmarks.heat_log import HAND_HELD, Fault, heat_log

HEAT: Final = tuple(("heat", seed) for seed in range(12))
ENGINE: Final = tuple(("engine", seed) for seed in range(8))
LONGEST: Final = 4000
"""Samples, fewer than what a recorder gathers before the end."""
FAULTS: Final = (Fault.NONE, Fault.OPEN, Fault.NONE, Fault.STEP)


@dataclass(frozen=True, slots=True)
class TypedMark:
    """A temperature typed in a run."""

    t_s: float
    celsius: float


@dataclass(frozen=True, slots=True, eq=False)
class RunLog:
    """A log, and what the program finds in it."""

    name: tuple[str, int]
    samples: Samples
    quantity: Quantity
    marks: tuple[TypedMark, ...] = ()
    heat: HeatFinding | None = None
    engine: EngineFinding | None = None

    def readings(self) -> Iterator[Reading]:
        """Each sample as its meter gave it."""
        s = self.samples
        columns = (array("d", column.tobytes()) for column in (s.t_s, s.value, s.resolution))
        for t_s, value, count in zip(*columns, strict=True):
            over = value == np.inf
            yield Reading(
                t_s=t_s,
                channel="A",
                quantity=self.quantity,
                value=None if over else value,
                resolution=count,
                overload=over,
            )


@cache
def run_log(name: tuple[str, int]) -> RunLog:
    """Return one of HEAT or of ENGINE."""
    kind, seed = name
    return _heat(name) if kind == "heat" else _engine(name, seed)


def _heat(name: tuple[str, int]) -> RunLog:
    seed = name[1]
    log = heat_log(seed, HAND_HELD, FAULTS[seed % len(FAULTS)], faster=3.0 + seed % 4)
    samples, celsius = log.samples, log.celsius
    places = np.linspace(1, len(samples) - 1, 6).astype(int).tolist()
    marks = tuple(TypedMark(float(samples.t_s[at]), float(np.rint(celsius[at]))) for at in places)
    found = analyse_heat(samples, celsius, HeatedPart.WINDING, cycles=1)
    return RunLog(name, samples, Quantity.RESISTANCE, marks, heat=found)


def _engine(name: tuple[str, int], seed: int) -> RunLog:
    log = engine_log(Engine(cycles=3 + seed % 4, fall_s=1.0 + 0.2 * seed), Meter(), seed)
    s = log.samples
    found = analyse_speed(s.t_s, s.value, s.resolution, 1800.0, 3600.0, pulses_per_rev=1.0)
    return RunLog(name, s, Quantity.SPEED, engine=found)
