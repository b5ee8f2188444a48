"""Seeded logs of an engine's speed, with the truth beside them.

The speed is drawn on a fine grid without noise, its edges are found there; then it is read as a
meter reads it: at 2 to 10 readings a second with jitter, rough by a few rpm, wandering a little,
in counts of 0.1 Hz, here and there lost (0) or doubled.
"""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from benchassist.core.samples import Column, Samples

FINE = 0.002


class Shape(StrEnum):
    """How a speed goes from one level to the other."""

    LINE = "line"
    LAG = "lag"
    """A first-order lag, as a flywheel against a fixed torque."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Engine:
    """An engine that idles down `cycles` times and hunts, or not, at one of its levels."""

    low: float = 1800.0
    high: float = 3600.0
    cycles: int = 5
    shape: Shape = Shape.LINE
    fall_s: float = 1.5
    recover_s: float = 0.9
    overshoot: float = 0.0
    high_s: float = 10.0
    low_s: float = 8.0
    seconds: float = 60.0
    """Of a run without idle-downs."""
    hunts_at_high: bool = True
    period_s: float = 0.0
    """Of the hunting; 0: none."""
    amplitude: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Meter:
    """How it is read."""

    hertz: float = 10.0
    jitter: float = 0.05
    """Of the interval, standard deviation."""
    rough: float = 8.0
    """White noise, rpm."""
    wander: float = 4.0
    """A slow wander (first order, 3 s), rpm standard deviation."""
    count: float = 6.0
    lost: float = 0.0
    doubled: float = 0.0
    """Probabilities of a reading."""


@dataclass(frozen=True, slots=True, eq=False)
class EngineLog:
    """What was read, and (start, end) of every fall and rise as it was, in seconds."""

    samples: Samples
    falls: tuple[tuple[float, float], ...]
    rises: tuple[tuple[float, float], ...]


def engine_log(engine: Engine, meter: Meter, seed: int) -> EngineLog:
    """One log; the same seed gives the same log."""
    rng = np.random.default_rng(seed)
    fine, speed, moves = _speed(engine, rng)
    falls = tuple(_edges(fine, speed, a, b, engine, falls=True) for a, b, falls in moves if falls)
    rises = tuple(
        _edges(fine, speed, a, b, engine, falls=False) for a, b, falls in moves if not falls
    )
    if engine.period_s > 0.0:
        share = (speed - engine.low) / (engine.high - engine.low)
        weight = np.clip(share if engine.hunts_at_high else 1.0 - share, 0.0, 1.0) ** 4
        phase = rng.uniform(0.0, 2.0 * np.pi)
        swing = engine.amplitude * np.sin(2.0 * np.pi * fine / engine.period_s + phase)
        speed = speed + weight * swing
    return EngineLog(_read(fine, speed, meter, rng), falls, rises)


def _speed(
    engine: Engine, rng: np.random.Generator
) -> tuple[Column, Column, list[tuple[float, float, bool]]]:
    """The fine grid, the speed on it, and where each move begins and its stay ends."""
    moves: list[tuple[float, float, bool]] = []
    if engine.cycles == 0:
        fine = np.arange(0.0, engine.seconds, FINE)
        return fine, np.full(len(fine), engine.high), moves
    turn = engine.high_s + engine.low_s
    fine = np.arange(0.0, engine.cycles * turn + engine.high_s, FINE)
    speed = np.full(len(fine), engine.high)
    for k in range(engine.cycles):
        down = engine.high_s + k * turn + rng.uniform(0.0, 0.5)
        up = down + engine.low_s
        end = (k + 1) * turn + engine.high_s
        for start, stop, falls in ((down, up, True), (up, end + 0.5, False)):
            inside = (fine >= start) & (fine < stop)
            speed[inside] = _move(fine[inside] - start, engine, falls=falls)
            moves.append((start, stop, falls))
    return fine, speed, moves


def _move(t: Column, engine: Engine, *, falls: bool) -> Column:
    """The speed so many seconds into a move."""
    took = engine.fall_s if falls else engine.recover_s
    # 10 to 90 % take 0.8 of a line and 2.197 time constants of a lag.
    share: Column = (
        np.clip(t / (took / 0.8), 0.0, 1.0)
        if engine.shape is Shape.LINE
        else 1.0 - np.exp(-t * 2.197 / took)
    )
    if falls:
        return np.asarray(engine.high - share * (engine.high - engine.low))
    late = np.maximum(0.0, t - took)
    bump = engine.overshoot * np.e * (late / 0.6) * np.exp(-late / 0.6)
    return np.asarray(engine.low + share * (engine.high - engine.low) + bump)


def _edges(
    fine: Column, speed: Column, start: float, stop: float, engine: Engine, *, falls: bool
) -> tuple[float, float]:
    """When a move passed 10 and 90 % of the step."""
    inside = (fine >= start) & (fine < stop)
    t = fine[inside]
    share = (speed[inside] - engine.low) / (engine.high - engine.low)
    done = 1.0 - share if falls else share
    return float(t[np.argmax(done >= 0.1)]), float(t[np.argmax(done >= 0.9)])


def _read(fine: Column, speed: Column, meter: Meter, rng: np.random.Generator) -> Samples:
    """The speed as a meter reads it."""
    interval = 1.0 / meter.hertz
    n = int((fine[-1] - fine[0]) / interval)
    ticks = fine[0] + interval * (np.arange(n) + rng.uniform(0.0, 1.0))
    t = ticks + np.clip(rng.normal(0.0, meter.jitter, n), -0.4, 0.4) * interval
    rpm = np.interp(t, fine, speed) + rng.normal(0.0, meter.rough, n) + _wander(n, meter, rng)
    fate = rng.uniform(0.0, 1.0, n)
    rpm = np.where(fate < meter.doubled, 2.0 * rpm, rpm)
    rpm = np.where(fate > 1.0 - meter.lost, 0.0, rpm)
    if meter.count > 0.0:
        rpm = np.round(rpm / meter.count) * meter.count
    return Samples(t, rpm, np.full(n, meter.count))


def _wander(n: int, meter: Meter, rng: np.random.Generator) -> Column:
    """A first-order process with a memory of three seconds."""
    keep = float(np.exp(-1.0 / (3.0 * meter.hertz)))
    kick = rng.normal(0.0, meter.wander * np.sqrt(1.0 - keep * keep), n)
    x = np.empty(n)
    value = 0.0
    for i, k in enumerate(kick.tolist()):
        value = keep * value + k
        x[i] = value
    return x
