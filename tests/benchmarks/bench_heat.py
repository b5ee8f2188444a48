"""What a heat run finds in seeded logs, beside two peers on the same logs, and how fast.

The peers are a plain threshold (two samples in a row beyond the alarm limit of the first value) and
ruptures, an offline library of change points (optimal partitioning of the resistance over its
copper line, with a penalty in log n; only changes of level beyond the alarm limit count). Neither
is told what a spike is. An open or a step is found where an event begins within two samples of it,
a step of two percent within two seconds; its delay is how many samples after its first the alarm
came. In a clean log all that would sound an alarm is false.

Of a log with a fault, what lies more than two minutes before it is fed as a block and the rest
sample by sample; tests hold that this makes no difference.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf
from statistics import median

import numpy as np

from benchassist.core.copper import ALPHA_20
from benchassist.core.heat_block import part_of
from benchassist.core.heat_run import HeatRun, analyse_heat
from benchassist.core.heat_trend import LIMIT_COUNTS, LIMIT_SHARE
from benchassist.core.run_finding import HeatEventKind
from benchassist.core.samples import Column, Samples
from tests.benchmarks.figure import Aim, Figure, median_time, side_by_side
from tests.benchmarks.heat_log import BENCH, HAND_HELD, METERS, Fault, HeatLog, heat_log
from tests.benchmarks.heat_peer import (
    PEERS,
    WINDING,
    Alarm,
    Detector,
    by_ours,
    in_a_block,
    without_temperature,
)

SEEDS = 60
CLEAN_SEEDS = 100
PEER_SEEDS = 20
"""Of each kind of log, those the peers are given too."""
NEAR = 2
NEAR_S = 2.0


@dataclass(frozen=True, slots=True)
class Trial:
    """A kind of fault in a kind of log, and what we ask of it."""

    name: str
    faults: tuple[Fault, ...]
    aim: float | None = None
    step: float = 0.05
    meters: tuple[int, ...] = (0, 1, 2)

    def logs(self, seeds: int) -> Iterator[HeatLog]:
        """All its logs."""
        for fault in self.faults:
            for meter in self.meters:
                for seed in range(seeds):
                    yield heat_log(seed, METERS[meter], fault, step=self.step)

    def hit(self, log: HeatLog, alarms: list[Alarm]) -> Alarm | None:
        """The alarm that is for what was put in."""
        near = NEAR if self.step >= 0.05 else int(NEAR_S * log.meter.hertz)
        return next((a for a in alarms if abs(a.begin - log.start) <= near), None)

    def share(self, detect: Detector, seeds: int) -> float:
        """What a detector finds of them."""
        found = [self.hit(log, detect(log)) is not None for log in self.logs(seeds)]
        return sum(found) / len(found)


OPENS = Trial("opens of two samples or more", (Fault.OPEN, Fault.FLICKER), 0.995)
STEPS = Trial("steps of 5 %", (Fault.STEP,), 0.98)
SMALL = Trial("steps of 2 % at 2,000 counts", (Fault.STEP,), None, 0.02, (METERS.index(HAND_HELD),))


def found(trial: Trial) -> Iterator[Figure]:
    """How many are found by us and by the peers, how soon, and how warm the break is said to be."""
    hits: list[Alarm] = []
    off_part: list[float] = []
    off_shown: list[float] = []
    count = flagged = 0
    for log in trial.logs(SEEDS):
        alarms = by_ours(log)
        count += 1
        flagged += any(log.start - NEAR <= alarm.begin < log.end for alarm in alarms)
        alarm = trial.hit(log, alarms)
        if alarm is None or alarm.event is None:
            continue
        hits.append(Alarm(log.start, alarm.told))
        if alarm.event.kind is HeatEventKind.OPEN and alarm.event.celsius is not None:
            off_part.append(abs(alarm.event.celsius - float(log.part_celsius[log.start])))
            off_shown.append(abs(alarm.event.celsius - float(log.celsius[log.start])))
    aim = None if trial.aim is None else Aim(trial.aim, on="ours", at_least=True)
    for name, peer in PEERS:
        theirs = trial.share(peer, PEER_SEEDS)
        note = f"of {count}; beside: {name}"
        yield Figure(f"{trial.name}: found", len(hits) / count, theirs, None, aim, "share", note)
    if trial is SMALL:
        note = "as a step or as a departure, while it stood"
        yield Figure(f"{trial.name}: flagged", flagged / count, unit="share", note=note)
    else:
        alone = trial.share(without_temperature, SEEDS)
        note = "no temperature beside the log"
        yield Figure(f"{trial.name}: without one", alone, aim=aim, unit="share", note=note)
    delays = [alarm.told - alarm.begin for alarm in hits]
    yield Figure(
        f"{trial.name}: median delay",
        median(delays),
        aim=None if trial.aim is None else Aim(2.0, on="ours"),
        unit="samples",
        note=f"after the first sample; the longest {max(delays)}",
    )
    if off_part:
        yield from warmth(off_part, off_shown)


def warmth(off_part: list[float], off_shown: list[float]) -> Iterator[Figure]:
    """How far the temperatures told with breaks are off."""
    aim = Aim(3.0, on="ours")
    note = "the furthest"
    yield Figure("break: off what was shown", max(off_shown), aim=aim, unit="K", note=note)
    late = "19 of 20; thermometers 5 to 30 s late, half a kelvin off"
    yield Figure(
        "break: off the part's own temperature",
        float(np.quantile(off_part, 0.95)),
        aim=aim,
        unit="K",
        note=f"{late}; the furthest {max(off_part):.1f}",
    )


def false_alarms() -> Iterator[Figure]:
    """What sounds in clean logs with their spikes, silences and changes of range."""
    clean = Trial("clean", (Fault.NONE,))
    hours = alarms = alone = 0.0
    for log in clean.logs(CLEAN_SEEDS):
        hours += log.hours
        alarms += len(in_a_block(log))
        alone += len(without_temperature(log))
    aim = Aim(1.0, on="ours")
    for name, peer in PEERS:
        logs = list(clean.logs(PEER_SEEDS))
        theirs = sum(len(peer(log)) for log in logs) / sum(log.hours for log in logs) * 24.0
        note = f"over {hours:.0f} h; beside: {name}"
        ours = 24.0 * alarms / hours
        yield Figure("false alarms in 24 h of clean log", ours, theirs, None, aim, "1/day", note)
    note = "no temperature beside the log"
    yield Figure(
        "false alarms: without one", 24.0 * alone / hours, aim=aim, unit="1/day", note=note
    )


def slow_joints() -> Iterator[Figure]:
    """What a slow joint has added when it is flagged, where it comes to 1.5 limits at all."""
    flagged: list[float] = []
    for log in Trial("slow", (Fault.SLOW,)).logs(SEEDS):
        sound = np.where(np.isfinite(log.samples.value), log.samples.value, 1e9)
        limit = np.maximum(LIMIT_SHARE, LIMIT_COUNTS * log.samples.resolution / sound)
        added = log.excess / limit
        if added.max() >= 1.5:
            told = [alarm.told for alarm in by_ours(log)]
            flagged.append(float(added[told[0]]) if told else inf)
    yield Figure(
        "slow joint when flagged",
        max(flagged),
        aim=Aim(1.5, on="ours"),
        unit="limits",
        note=f"alarm limits it adds, the latest of {len(flagged)}; median {median(flagged):.2f}",
    )


def plain_pass(samples: Samples, celsius: Column) -> int:
    """One look at every sample: beyond the limit of the first value's copper line or not."""
    line = samples.value[0] * (1.0 + ALPHA_20 * (celsius - celsius[0]))
    return int(np.count_nonzero(np.abs(samples.value - line) > LIMIT_SHARE * line))


def speed() -> Iterator[Figure]:
    """How long an analysis takes, how it grows, and what one sample costs."""
    made = heat_log(1, BENCH, ranges=False, cycles=50)
    samples, celsius = part_of(made.samples, slice(1_000_000)), made.celsius[:1_000_000]
    if len(samples) < 1_000_000:
        raise RuntimeError("the log is too short")
    few, few_celsius = part_of(samples, slice(10_000)), celsius[:10_000]
    whole = side_by_side(
        lambda: analyse_heat(samples, celsius, WINDING), lambda: plain_pass(samples, celsius), 5
    )
    yield Figure(
        "analysis of 1 million samples",
        whole.ours,
        whole.baseline,
        whole.ratio,
        Aim(1.0, on="ours"),
        note="beside: one plain numpy pass over the same columns",
    )
    short = median_time(lambda: analyse_heat(few, few_celsius, WINDING), 9)
    yield Figure(
        "analysis: growth from 10 thousand",
        whole.ours,
        100.0 * short,
        whole.ours / (100.0 * short),
        Aim(1.5),
        note="1 for linear; beside: a hundred times the short one",
    )
    ohms = [None if value == inf else value for value in few.value.tolist()]
    columns = (few.t_s.tolist(), ohms, few.resolution.tolist(), few_celsius.tolist())
    rows = list(zip(*columns, strict=True))

    def online() -> None:
        run = HeatRun(WINDING)
        for row in rows:
            run.feed(*row)

    def bare() -> int:
        first = rows[0][1] or 1.0
        return sum(1 for _, v, _, _ in rows if v is None or abs(v - first) > LIMIT_SHARE * first)

    single = side_by_side(online, bare, 7)
    yield Figure(
        "online, a sample",
        single.ours / len(rows) * 1e6,
        single.baseline / len(rows) * 1e6,
        single.ratio,
        Aim(20.0, on="ours"),
        "µs",
        "beside: a bare threshold in Python",
    )


def figures() -> Iterator[Figure]:
    """All of them."""
    for trial in (OPENS, STEPS, SMALL):
        yield from found(trial)
    yield from false_alarms()
    yield from slow_joints()
    yield from speed()
