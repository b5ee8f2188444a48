"""Engine runs on seeded logs: edges, hunting, false alarms; and how fast they are analysed.

The baselines are what a bench without this would do: the edge at the first reading beyond the line,
the period from the times between crossings of the mean, and for speed one pass of numpy over the
same columns that only sorts them.
"""

from collections.abc import Callable, Iterator
from time import perf_counter

import numpy as np

from benchassist.core.engine_run import EngineRun, analyse_speed
from benchassist.core.run_finding import EngineFinding
from benchassist.core.samples import Column, Samples
from tests.benchmarks.engine_log import Engine, EngineLog, Meter, Shape, engine_log
from tests.benchmarks.figure import Aim, Figure, median_time

RATES = (2.0, 2.5, 5.0, 10.0)
SEEDS = 60
STEADY = 100
LOW, HIGH = 1800.0, 3600.0


def found_in(log: EngineLog) -> EngineFinding:
    """The finding, levels stated."""
    s = log.samples
    return analyse_speed(s.t_s, s.value, s.resolution, LOW, HIGH)


def idle_downs(hertz: float, shape: Shape, *, lost: float = 0.0) -> list[EngineLog]:
    """Logs of three idle-downs each, falls of 1 to 2 s, some with overshoot."""
    return [
        engine_log(
            Engine(
                cycles=3,
                shape=shape,
                fall_s=(1.0, 1.5, 2.0)[seed % 3],
                recover_s=(0.6, 0.9, 1.4)[seed % 3],
                overshoot=(0.0, 150.0)[seed % 2],
                high_s=10.0,
                low_s=(7.0, 10.0)[seed % 2],
            ),
            Meter(hertz=hertz, lost=lost, doubled=lost / 2.0),
            seed,
        )
        for seed in range(SEEDS)
    ]


def edge_errors(log: EngineLog) -> list[float]:
    """How far each edge is off, in seconds; infinite for one that was not found."""
    found = found_in(log)
    if len(found.cycles) != len(log.falls):
        return [float("inf")] * (4 * len(log.falls))
    errors: list[float] = []
    for cycle, fall, rise in zip(found.cycles, log.falls, log.rises, strict=True):
        errors += [cycle.fall_start_s - fall[0], cycle.fall_start_s + cycle.fall_s - fall[1]]
        if cycle.recover_start_s is None or cycle.recover_s is None:
            errors += [float("inf")] * 2
            continue
        errors += [
            cycle.recover_start_s - rise[0],
            cycle.recover_start_s + cycle.recover_s - rise[1],
        ]
    return errors


def plain_edge_errors(log: EngineLog) -> list[float]:
    """The same by the first reading beyond the line after each true start."""
    s, errors = log.samples, []
    step = HIGH - LOW
    for moves, falls in ((log.falls, True), (log.rises, False)):
        for start, end in moves:
            for at, share in ((start, 0.1), (end, 0.9)):
                line = HIGH - share * step if falls else LOW + share * step
                after = s.t_s > start - 1.0
                beyond = after & ((s.value <= line) if falls else (s.value >= line))
                errors.append(float(s.t_s[np.argmax(beyond)]) - at)
    return errors


def share_within(errors: list[float], limit: float) -> float:
    """Percent of errors within a limit."""
    return 100.0 * float(np.mean(np.abs(errors) <= limit))


def edges() -> Iterator[Figure]:
    """Edges within one sample, in percent."""
    for hertz in RATES:
        for shape in Shape:
            logs = idle_downs(hertz, shape)
            ours = share_within([e for log in logs for e in edge_errors(log)], 1.0 / hertz)
            plain = share_within([e for log in logs for e in plain_edge_errors(log)], 1.0 / hertz)
            yield Figure(
                f"edges within one sample, {shape}, {hertz:g} Hz",
                ours,
                plain,
                aim=Aim(99.0, on="ours", at_least=True),
                unit="%",
                note="baseline is the first reading beyond the line",
            )
    logs = idle_downs(5.0, Shape.LINE, lost=0.02)
    errors = [e for log in logs for e in edge_errors(log)]
    yield Figure(
        "edges within one sample, 2 % lost, 1 % doubled",
        share_within(errors, 0.2),
        unit="%",
        note="5 Hz; a reading lost at the edge costs up to two",
    )


def hunting() -> Iterator[Figure]:
    """How often hunting is found, and its period within 5 %."""
    for hertz in RATES:
        for readings in (4.0, 6.0, 12.0):
            period = readings / hertz
            logs = [
                engine_log(
                    Engine(cycles=0, seconds=40.0, period_s=period, amplitude=60.0),
                    Meter(hertz=hertz, lost=0.01, doubled=0.005),
                    seed,
                )
                for seed in range(SEEDS)
            ]
            periods = [found_in(log).hunting.period_s for log in logs]
            ours = [p is not None and abs(p / period - 1.0) <= 0.05 for p in periods]
            plain = [abs(crossings(log.samples) / period - 1.0) <= 0.05 for log in logs]
            yield Figure(
                f"hunting found, period within 5 %, {readings:g} readings, {hertz:g} Hz",
                100.0 * float(np.mean(ours)),
                100.0 * float(np.mean(plain)),
                aim=Aim(99.0, on="ours", at_least=True),
                unit="%",
                note="baseline counts crossings of the mean",
            )


def crossings(samples: Samples) -> float:
    """The period from the times between rising crossings of the mean."""
    above = samples.value > float(np.mean(samples.value))
    rising = np.flatnonzero(above[1:] & ~above[:-1])
    if len(rising) < 2:
        return float("inf")
    return float((samples.t_s[rising[-1]] - samples.t_s[rising[0]]) / (len(rising) - 1))


def no_hunting() -> Iterator[Figure]:
    """Hunting reported where there is none, or where it cannot be resolved."""
    for hertz in RATES:
        steady = [
            engine_log(
                Engine(cycles=(0, 3)[seed % 2], seconds=90.0),
                Meter(hertz=hertz, rough=(4.0, 8.0, 16.0)[seed % 3]),
                seed,
            )
            for seed in range(STEADY)
        ]
        yield Figure(
            f"hunting reported on {STEADY} steady runs, {hertz:g} Hz",
            float(sum(found_in(log).hunting.present is True for log in steady)),
            aim=Aim(0.0, on="ours"),
            unit="runs",
        )
    fast = [
        engine_log(Engine(cycles=0, period_s=0.6, amplitude=60.0), Meter(hertz=5.0), seed)
        for seed in range(STEADY)
    ]
    yield Figure(
        f"three readings a period reported as hunting, {STEADY} runs",
        float(sum(found_in(log).hunting.present is True for log in fast)),
        aim=Aim(0.0, on="ours"),
        unit="runs",
        note="5 Hz; 'not resolvable' is right",
    )


def long_log(n: int) -> Samples:
    """So many readings at 10 Hz: an idle-down every minute, hunting at speed."""
    engine = Engine(
        cycles=15, shape=Shape.LAG, high_s=40.0, low_s=20.0, period_s=1.3, amplitude=60.0
    )
    log = engine_log(engine, Meter(), 7)
    once = log.samples
    times = n // len(once) + 1
    span = float(once.t_s[-1] - once.t_s[0]) + 0.1
    t = np.concatenate([once.t_s + k * span for k in range(times)])[:n]
    return Samples(t, np.tile(once.value, times)[:n], np.tile(once.resolution, times)[:n])


def speed() -> Iterator[Figure]:
    """Seconds for a million readings, its growth, microseconds a reading live."""
    times = {n: median_time(analysing(long_log(n)), 5) for n in (10_000, 100_000, 1_000_000)}
    million = long_log(1_000_000)
    baseline = median_time(lambda: np.sort(million.value), 3)
    yield Figure(
        "analysis of 1 million readings",
        times[1_000_000],
        baseline,
        times[1_000_000] / baseline,
        Aim(1.0, on="ours"),
        "s",
        "an idle-down a minute, hunting; baseline sorts the column",
    )
    yield Figure(
        "time a reading, 1 million against 10 thousand",
        times[1_000_000] / 1e6 * 1e6,
        times[10_000] / 1e4 * 1e6,
        times[1_000_000] / times[10_000] / 100.0,
        Aim(1.5),
        "µs",
        f"100 thousand: {times[100_000] / 1e5 * 1e6:.2f} µs",
    )
    rows = long_log(100_000)
    columns = (rows.t_s.tolist(), rows.value.tolist(), rows.resolution.tolist())
    for keep in (4096, 32_768):
        run = EngineRun(low=LOW, high=HIGH, keep=keep)
        start = perf_counter()
        for t, rpm, count in zip(*columns, strict=True):
            run.feed(t, rpm, count)
        a_reading = (perf_counter() - start) / len(rows) * 1e6
        yield Figure(
            f"live, {keep} readings kept: time a reading",
            a_reading,
            aim=Aim(20.0, on="ours"),
            unit="µs",
            note="100 thousand one by one, what was let go analysed among them",
        )
        yield Figure(
            f"live, {keep} readings kept: finding at any moment",
            1e3 * median_time(run.finding, 7),
            unit="ms",
        )


def analysing(samples: Samples) -> Callable[[], object]:
    """One analysis, levels not stated."""
    columns: tuple[Column, Column, Column] = (samples.t_s, samples.value, samples.resolution)
    return lambda: analyse_speed(*columns)


def figures() -> Iterator[Figure]:
    """All of them."""
    yield from edges()
    yield from hunting()
    yield from no_hunting()
    yield from speed()
