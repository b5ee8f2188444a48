"""Runs on disk: bytes a sample, reading back, plots of long runs, and whether a long run slows."""

import resource
import sqlite3
import tempfile
import time
import zlib
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from statistics import median

import numpy as np

from benchassist.core.record import Stored
from benchassist.core.run import RunHeader
from benchassist.core.samples import Column
from benchassist.storage import open_store
from benchassist.storage.store import SqlStore
from benchassist.storage.track import GATHER_AT
from tests.benchmarks.figure import Aim, Figure, median_time, side_by_side
from tests.benchmarks.run_log import BENCH_TYPE, FAST, HAND_HELD, MeterLog, flush, poured
from tests.storage.case import PATIENCE, Scribe, header

MILLION = 1_000_000
LONG = 10_000_000
BUCKETS = 1000
TAKEN = 200
TENTHS = 10
BYTES = (
    "SELECT sum(length(body)) FROM (SELECT body FROM run_chunk UNION ALL SELECT body FROM run_bins)"
)


def figures() -> Iterator[Figure]:
    """Measure on one disk, each beside its baseline."""
    # First, because the highest memory so far is what the operating system tells.
    yield from whole_run("24 h at 10 Hz", HAND_HELD, 24 * 3600 * 10)
    yield from whole_run("1 h at 1 kHz", FAST, 3600 * 1000)
    yield taken_meanwhile()
    for log in (HAND_HELD, BENCH_TYPE):
        yield from kept(log)
    yield from plotted()


def kept(log: MeterLog) -> Iterator[Figure]:
    """Bytes on disk and the time to read a million samples back."""
    with tempfile.TemporaryDirectory(prefix="bench-run-") as folder:
        path, columns = Path(folder) / "shop.db", log.columns(MILLION)
        with open_store(path) as store:
            run_id = poured(store, log, MILLION)
        deflated = sum(len(zlib.compress(c.tobytes(), 6)) for c in columns)
        yield Figure(
            name=f"bytes a sample, {log.name}",
            ours=size_of(path) / MILLION,
            baseline=deflated / MILLION,
            ratio=size_of(path) / deflated,
            aim=Aim(4.5, on="ours"),
            unit="B",
            note="time and value, chunks and the levels above them; against deflated float64",
        )
        raw = raw_chunks(Path(folder) / "raw.db", columns)
        with open_store(path) as store:
            samples = store.run_samples(run_id, "A")
            if not np.array_equal(samples.value, columns[1]):
                raise RuntimeError("what was read back is not what was put in")
            found = side_by_side(lambda: store.run_samples(run_id, "A"), lambda: read_raw(raw), 25)
        raw.close()
        yield Figure(
            name=f"1 million samples read back, {log.name}",
            ours=found.ours,
            baseline=found.baseline,
            ratio=found.ratio,
            aim=Aim(2.0),
            note="times, values and counts, against times and values in chunks of raw float64",
        )


def size_of(path: Path) -> int:
    """Return the bytes of all bodies of runs in a shop file."""
    connection = sqlite3.connect(path)
    (size,) = connection.execute(BYTES).fetchone()
    connection.close()
    return int(size)


def raw_chunks(path: Path, columns: tuple[Column, Column]) -> sqlite3.Connection:
    """Return a file with times and values as they stand in memory, in chunks as long as ours."""
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE raw (number INTEGER PRIMARY KEY, t_s BLOB, value BLOB)")
    t_s, value = columns
    for start in range(0, len(t_s), GATHER_AT):
        part = slice(start, start + GATHER_AT)
        connection.execute(
            "INSERT INTO raw VALUES (?, ?, ?)", (start, t_s[part].tobytes(), value[part].tobytes())
        )
    connection.commit()
    return connection


def read_raw(connection: sqlite3.Connection) -> tuple[Column, Column]:
    """Return the columns again."""
    rows = connection.execute("SELECT t_s, value FROM raw ORDER BY number").fetchall()
    t_s, value = zip(*rows, strict=True)
    return (
        np.concatenate([np.frombuffer(body) for body in t_s]),
        np.concatenate([np.frombuffer(body) for body in value]),
    )


def plotted() -> Iterator[Figure]:
    """The lowest and highest for a plot, of a run ten times and a hundred times as long."""
    with tempfile.TemporaryDirectory(prefix="bench-run-") as folder:
        times: dict[int, dict[float, float]] = {}
        with open_store(Path(folder) / "shop.db") as store:
            for count in (LONG // 100, LONG):
                run_id = poured(store, FAST, count)
                times[count] = {
                    share: median_time(window(store, run_id, share), 15)
                    for share in (1.0, 0.1, 0.01)
                }
        for share, name in ((1.0, "whole"), (0.1, "a tenth"), (0.01, "a hundredth")):
            ours, baseline = times[LONG][share], times[LONG // 100][1.0]
            yield Figure(
                name=f"plot of {name} of 10 million samples",
                ours=ours,
                baseline=baseline,
                ratio=ours / baseline,
                aim=Aim(1.0 / 30.0, on="ours"),
                note=f"{BUCKETS} buckets from disk; against a whole run of a hundredth of them",
            )


def window(store: SqlStore, run_id: str, share: float) -> Callable[[], object]:
    """Return the call that asks for a share in the middle of a run."""
    first, last = store.run_extent(run_id)
    middle, half = 0.5 * (first + last), 0.5 * share * (last - first)

    def ask() -> object:
        return store.run_envelope(
            run_id, "A", start_s=middle - half, end_s=middle + half, buckets=BUCKETS
        )

    return ask


def whole_run(name: str, log: MeterLog, count: int) -> Iterator[Figure]:
    """Put a whole run as fast as it goes: the last tenth against the first, and memory."""
    with tempfile.TemporaryDirectory(prefix="bench-run-") as folder:
        with open_store(Path(folder) / "shop.db") as store:
            recording = store.record(RunHeader(id=name), {})
            part, grown = count // 100, list[int]()
            spent, worked = list[float](), list[float]()
            # A hundredth of the run over and over: what is made ahead is not what is measured.
            tape = list(log.readings(part))
            length_s = tape[-1].t_s
            for hundredth in range(100):
                batch = [replace(r, t_s=r.t_s + hundredth * length_s) for r in tape]
                start, busy = time.perf_counter(), time.process_time()
                for reading in batch:
                    recording.put(reading)
                flush(recording)
                spent.append((time.perf_counter() - start) / part)
                worked.append((time.process_time() - busy) / part)
                grown.append(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
            recording.close()
        kept_bytes = size_of(Path(folder) / "shop.db")
    first, last = median(spent[:TENTHS]), median(spent[-TENTHS:])
    processor = median(worked[-TENTHS:]) / median(worked[:TENTHS])
    yield Figure(
        name=f"{name}: put and committed, a sample",
        ours=last,
        baseline=first,
        ratio=last / first,
        aim=Aim(1.25),
        note="the last tenth of the run against its first; "
        f"of the processor alone {processor:.2f}; {kept_bytes / count:.2f} B a sample",
    )
    yield Figure(
        name=f"{name}: memory that comes on top",
        ours=(grown[-1] - grown[TENTHS]) / 1024.0,
        aim=Aim(32.0, on="ours"),
        unit="MB",
        note="highest resident memory after the whole run, less that after its first tenth",
    )


def taken_meanwhile() -> Figure:
    """A taken reading to disk while a run of 1 kHz goes on, against the same without a run."""
    with (
        tempfile.TemporaryDirectory(prefix="bench-run-") as folder,
        open_store(Path(folder) / "shop.db") as store,
    ):
        visit = header()
        store.submit_visit(visit)
        store.wait(PATIENCE)
        scribe, times = Scribe(visit), list[list[float]]()
        recording = store.record(RunHeader(id="meanwhile"), {})
        readings = FAST.readings(MILLION)
        for busy in (False, True):
            times.append([])
            for _ in range(TAKEN):
                # What comes in 20 ms, at once.
                for _reading in range(20 if busy else 0):
                    recording.put(next(readings))
                start = time.perf_counter()
                ticket = store.submit(scribe.taken())
                if store.wait(PATIENCE) != Stored(ticket):
                    raise RuntimeError("a reading was not stored")
                times[-1].append(time.perf_counter() - start)
                # A pace, the same with and without a run.
                time.sleep(0.02)
        recording.close()
    alone, meanwhile = (median(some) for some in times)
    worst = sorted(times[1])[int(0.99 * TAKEN)]
    return Figure(
        name="taken reading to disk while a run goes on",
        ours=meanwhile,
        baseline=alone,
        ratio=meanwhile / alone,
        aim=Aim(2.0),
        note=f"run of 1 kHz, against none; 99th percentile {worst * 1e3:.0f} ms",
    )
