"""Speeds drawn by their corners, as tests of engine runs need them."""

import numpy as np

from benchassist.core.samples import Column, Samples
from benchassist.core.speed_trace import Trace


def drawn(
    *corners: tuple[float, float], hertz: float = 10.0, rough: float = 6.0, seed: int = 1
) -> Samples:
    """Readings along straight lines between (second, rpm), rough by some rpm, in counts of 6."""
    rng = np.random.default_rng(seed)
    t = np.arange(corners[0][0], corners[-1][0], 1.0 / hertz)
    rpm = np.interp(t, [c[0] for c in corners], [c[1] for c in corners])
    rpm = np.where(rpm > 0.0, rpm + rng.normal(0.0, rough, len(t)), 0.0)
    counts: Column = np.round(np.maximum(rpm, 0.0) / 6.0) * 6.0
    return Samples(t, counts, np.full(len(t), 6.0))


def trace(samples: Samples) -> Trace:
    """The same as one unbroken trace."""
    interval = float(np.median(np.diff(samples.t_s)))
    return Trace(samples.t_s, samples.value, np.zeros(len(samples), dtype=np.int64), interval)


IDLE_DOWN = ((0.0, 3600.0), (20.0, 3600.0), (21.5, 1800.0), (30.0, 1800.0), (31.0, 3600.0))
"""A fall of 1.2 s from 20.15 s and a rise of 0.8 s from 30.1 s, between 10 and 90 %."""
