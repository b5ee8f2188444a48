"""Seeded logs of whole runs as columns, and shops that hold them."""

from array import array
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.core.run import RunHeader
from benchassist.core.samples import Column
from benchassist.storage.inlet import BLOCK, Block
from benchassist.storage.recorder import Recorder
from benchassist.storage.store import SqlStore
from tests.storage.case import PATIENCE

ROOM = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterLog:
    """How a meter logs a winding of 6.5 kΩ that warms and cools.

    `resolution` is one count in ohm, `noise` the standard deviation in counts, `jitter_s` that of
    the time between two readings.
    """

    name: str
    rate_hz: float
    resolution: float
    noise: float
    jitter_s: float

    def columns(self, count: int, seed: int = 1) -> tuple[Column, Column]:
        """Return times and values, each value rounded as a decoder rounds."""
        chance = np.random.default_rng(seed)
        step = chance.normal(1.0 / self.rate_hz, self.jitter_s, count)
        t_s = np.cumsum(step.clip(0.2 / self.rate_hz))
        warm = 6500.0 * (1.0 + 0.14 * np.sin(t_s / 700.0))
        counts = np.rint(warm / self.resolution + chance.normal(0.0, self.noise, count))
        per_ohm = round(1.0 / self.resolution)
        return t_s, counts / per_ohm if per_ohm else counts * self.resolution

    def readings(self, count: int) -> Iterator[Reading]:
        """Return the same as readings, one after the other."""
        t_s, value = self.columns(count)
        for moment, ohms in zip(t_s.tolist(), value.tolist(), strict=True):
            yield self.reading(moment, ohms)

    def reading(self, t_s: float, ohms: float) -> Reading:
        """Return one reading."""
        return Reading(
            t_s=t_s,
            channel="A",
            quantity=Quantity.RESISTANCE,
            value=ohms,
            resolution=self.resolution,
        )


HAND_HELD = MeterLog(
    name="2,000 counts at 10 Hz", rate_hz=10.0, resolution=10.0, noise=0.4, jitter_s=0.003
)
BENCH_TYPE = MeterLog(
    name="noisy 6 1/2 digits at 10 Hz", rate_hz=10.0, resolution=0.001, noise=300.0, jitter_s=0.003
)
FAST = MeterLog(
    name="noisy 6 1/2 digits at 1 kHz",
    rate_hz=1000.0,
    resolution=0.001,
    noise=300.0,
    jitter_s=5e-5,
)


def poured(store: SqlStore, log: MeterLog, count: int) -> str:
    """Record a log of so many samples faster than one reading at a time; return the run's id.

    Past the first reading it goes into the recorder's memory a block at a time.
    """
    run = RunHeader(id=f"run of {count} {log.resolution}"[:36])
    recording = store.record(run, {})
    inlet, (t_s, value) = recording._inlet, log.columns(count)
    recording.put(log.reading(float(t_s[0]), float(value[0])))
    for start in range(1, count, BLOCK):
        part = slice(start, start + BLOCK)
        moments = array("d", t_s[part].tobytes())
        block = Block(moments, array("d", value[part].tobytes()), array("H", [0] * len(moments)))
        with inlet._lock:
            if not inlet._blocks[-1]:
                inlet._blocks.pop()
            inlet._blocks.append(block)
            inlet._came += len(block)
            inlet._in_memory += len(block)
        if len(inlet._blocks) > ROOM:
            flush(recording)
    recording.close()
    flush(recording)
    return run.id


def flush(recording: Recorder) -> None:
    """Wait until everything is on disk. Raises RuntimeError where it does not get there."""
    if not recording.flushed(PATIENCE):
        raise RuntimeError(f"samples did not get to disk: {recording.trouble}")
