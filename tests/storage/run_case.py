"""Made-up readings of runs, and what they are as columns."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from uuid import uuid4

import numpy as np

from benchassist.core.entry import Entry, RunEnded, RunMarked, RunStarted
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, Mode, Reading
from benchassist.core.run import HeatedPart, MarkKind, RunGap, RunHeader, RunKind, RunPlan
from benchassist.core.run_finding import Doubt, HeatEvent, HeatEventKind, HeatFinding, Leg
from benchassist.core.samples import Column, Samples
from benchassist.storage.chunk import Chunk
from benchassist.storage.compaction import MOST
from benchassist.storage.recorder import Recorder
from benchassist.storage.store import SqlStore
from tests.storage.case import PATIENCE, Scribe

TIME_ERROR_S = 50e-6
"""How far a time read back may be from the one that was put in."""


def run_header(visit_id: str = "", check_key: str = "hot") -> RunHeader:
    """Return a run that was not there before."""
    return RunHeader(id=str(uuid4()), visit_id=visit_id, check_key=check_key, kind=RunKind.HEAT)


def reading(
    t_s: float,
    value: float | None = 6500.0,
    *,
    channel: str = "A",
    resolution: float | None = 10.0,
    quantity: Quantity = Quantity.RESISTANCE,
    mode: Mode = Mode.PLAIN,
    flags: Iterable[Flag] = (),
) -> Reading:
    """Return a reading; without a value an overload."""
    return Reading(
        t_s=t_s,
        channel=channel,
        quantity=quantity,
        value=value,
        resolution=resolution,
        full_scale=20000.0,
        overload=value is None,
        mode=mode,
        flags=frozenset(flags),
        exponent=3,
    )


@dataclass(frozen=True, slots=True, eq=False)
class Log:
    """Times and values of one channel; an overload is inf."""

    t_s: Column
    value: Column

    def readings(self, channel: str = "A") -> Iterator[Reading]:
        """Each sample as a reading."""
        for t_s, value in zip(self.t_s.tolist(), self.value.tolist(), strict=True):
            yield reading(t_s, None if value == np.inf else value, channel=channel)


def log(count: int, *, rate_hz: float = 10.0, seed: int = 1, opens: Sequence[int] = ()) -> Log:
    """Return a winding of 6.5 kΩ that warms and cools, on a meter with counts of 10 Ω.

    No two samples come within a tick of each other. `opens` are the places of overloads.
    """
    chance = np.random.default_rng(seed)
    step = chance.normal(1.0, 0.02, count).clip(0.5) / rate_hz
    t_s = np.cumsum(step)
    warm = 6500.0 * (1.0 + 0.15 * np.sin(t_s / 600.0)) + chance.normal(0.0, 5.0, count)
    value = np.rint(warm / 10.0) * 10.0
    value[list(opens)] = np.inf
    return Log(t_s, value)


def long_chunk() -> Chunk:
    """Return samples of one channel, a piece to gather and a part of another."""
    numbers = np.arange(MOST + 1000)
    return Chunk(numbers * 200, (numbers % 977).astype(float), np.zeros(len(numbers), np.uint16))


def heat_run(scribe: Scribe, run_id: str = "a-run", check_key: str = "secondary") -> list[Entry]:
    """Return a heat run of the coil's winding that found a break, with two marks."""
    start, end = scribe.stamp(), 1800.0
    event = HeatEvent(
        kind=HeatEventKind.OPEN,
        start_s=840.5,
        before=7930.0,
        end_s=1204.25,
        celsius=78.0,
        end_celsius=61.0,
        leg=Leg.HEATING,
    )
    finding = HeatFinding(
        part=HeatedPart.WINDING,
        reproduced=True,
        departure_assessed=True,
        events=(event,),
        r20=6497.0,
        largest_departure=0.004,
        hottest=95.0,
        cycles=1,
        duration_s=end,
        used=18_000,
        gaps=(RunGap(channel="A", start_s=900.0, end_s=903.0, reason="stalled"),),
        doubts=(Doubt.ONE_CYCLE,),
    )
    return [
        RunStarted(
            stamp=start,
            check_key=check_key,
            run_id=run_id,
            plan=RunPlan(kind=RunKind.HEAT),
            meter="2,000-count hand-held",
            thermometer="typed",
        ),
        RunMarked(
            stamp=scribe.stamp(),
            check_key=check_key,
            run_id=run_id,
            t_s=60.0,
            kind=MarkKind.TEMPERATURE,
            value=35.0,
            resolution=1.0,
        ),
        RunMarked(
            stamp=scribe.stamp(),
            check_key=check_key,
            run_id=run_id,
            t_s=840.0,
            kind=MarkKind.MOMENT,
            text="tapped it",
        ),
        RunEnded(stamp=scribe.stamp(), check_key=check_key, run_id=run_id, heat=finding),
    ]


def recorded(store: SqlStore, readings: Iterable[Reading], **origins: float) -> str:
    """Record readings to the end; return the run's id."""
    header = run_header()
    recording = store.record(header, origins)
    put_all(recording, readings)
    recording.close()
    assert recording.flushed(PATIENCE)
    return header.id


def put_all(recording: Recorder, readings: Iterable[Reading]) -> None:
    """Put readings, waiting now and then as a meter would, so that memory does not fill."""
    for number, item in enumerate(readings, 1):
        recording.put(item)
        if number % 100_000 == 0:
            assert recording.flushed(PATIENCE)


def assert_same(samples: Samples, expected: Log) -> None:
    """The samples are those of the log: every value exactly, every time as near as promised."""
    assert len(samples) == len(expected.t_s)
    assert np.array_equal(samples.value, expected.value)
    assert (np.abs(samples.t_s - expected.t_s) <= TIME_ERROR_S).all()
