"""The strongest sine in windows of readings, many windows at once.

The strongest line of a window's spectrum (readings put on an even grid) gives a first frequency; a
sine beside a straight line is then fitted to the readings at their own times, with its second
harmonic where they are dense enough to see one.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi
from typing import Final

import numpy as np
from numpy.typing import NDArray

from benchassist.core.samples import Column

Mask = NDArray[np.bool_]

SWINGS: Final = 2.0
"""Periods a window must hold at least, so that a drift is none."""

WORTH_A_FIT: Final = 0.2
"""A line with less of the variance than this is not fitted; its share is the line's."""

DENSE: Final = 8.0
"""So many readings in a period show its second harmonic."""

BESIDE: Final = 1.5
"""Lines so near (in lines) to the strongest one belong to it."""

PADDED: Final = 4
STEP: Final = 0.5
"""The spectrum's padding, and the first step of the frequency's refinement in lines of it."""

REFINED: Final = 1

MANY: Final = 8.0
"""With fewer periods in a window, a spectrum's line is drawn aside by the trend and by itself."""


@dataclass(frozen=True, slots=True, eq=False)
class Swings:
    """A row for each window: frequency in hertz, half peak to peak, share of the variance.

    `stands_out` is its line's power over that of the next largest one, `steadiness` the smaller
    half window's amplitude, of the larger.
    """

    hertz: Column
    amplitude: Column
    share: Column
    stands_out: Column
    steadiness: Column


@dataclass(frozen=True, slots=True, eq=False)
class Batch:
    """Windows side by side, filled up: seconds, values, and which places hold a reading."""

    t: Column
    x: Column
    inside: Mask

    def rows(self, chosen: NDArray[np.intp]) -> "Batch":
        """Some of them."""
        return Batch(self.t[chosen], self.x[chosen], self.inside[chosen])


def strongest(pieces: Sequence[tuple[Column, Column]], *, pace: float) -> Swings:
    """The strongest sine of each window, given as times in seconds and values.

    `pace` is the usual time between readings. Windows need not be of one length.
    """
    n = np.array([len(t) for t, _ in pieces], dtype=np.float64)
    size = int(n.max())
    t, x, even = (np.zeros((len(pieces), size)) for _ in range(3))
    for row, (times, values) in enumerate(pieces):
        k = len(times)
        t[row, :k] = times - times[0]
        x[row, :k] = values
        even[row, :k] = np.interp(pace * np.arange(k), t[row, :k], values)
    inside = np.arange(size) < n[:, None]
    line, share, stands_out = _line(_without_trend(even, inside, n), n)
    hertz = line / (PADDED * size * pace)
    amplitude, steadiness = np.zeros(len(n)), np.zeros(len(n))
    worth = np.flatnonzero(share >= WORTH_A_FIT)
    if len(worth):
        batch = Batch(t, _without_trend(x, inside, n), inside).rows(worth)
        better = hertz[worth]
        few = np.flatnonzero(better * n[worth] * pace < MANY)
        step = STEP / (PADDED * n[worth] * pace)
        better[few] = _refined(batch.rows(few), better[few], step[few])
        dense = better * pace * DENSE <= 1.0
        hertz[worth] = better
        share[worth], amplitude[worth] = _sine(batch, better, dense)
        middle = 0.5 * (batch.t * batch.inside).max(axis=1)[:, None]
        plain = np.zeros_like(dense)
        halves = [
            _sine(Batch(batch.t, batch.x, batch.inside & half), better, plain)[1]
            for half in (batch.t <= middle, batch.t > middle)
        ]
        steadiness[worth] = np.minimum(*halves) / np.maximum(np.maximum(*halves), 1e-9)
    return Swings(hertz, amplitude, share, stands_out, steadiness)


def _without_trend(x: Column, inside: Mask, n: Column) -> Column:
    """Each row less its straight line; zero outside."""
    place = np.where(inside, np.arange(x.shape[1]) - (n[:, None] - 1.0) / 2.0, 0.0)
    mean = x.sum(axis=1) / n
    slope = (x * place).sum(axis=1) / (place**2).sum(axis=1)
    rest: Column = np.where(inside, x - mean[:, None] - slope[:, None] * place, 0.0)
    return rest


def _line(x: Column, n: Column) -> tuple[Column, Column, Column]:
    """Each row's largest line: its place, its share of the variance, and how far it stands out.

    The place is refined by a parabola; it stands out from the largest line that is neither beside
    it nor its second harmonic.
    """
    power = np.abs(np.fft.rfft(x, PADDED * x.shape[1], axis=1)) ** 2
    place = np.arange(power.shape[1])
    one = (PADDED * x.shape[1] / n)[:, None]
    able = np.where(place >= SWINGS * one, power, 0.0)
    top = np.clip(np.argmax(able, axis=1), 1, power.shape[1] - 2)
    rows = np.arange(len(power))
    a, b, c = (np.sqrt(power[rows, top + d]) for d in (-1, 0, 1))
    bend = a - 2.0 * b + c
    shift = np.where(bend < 0.0, 0.5 * (a - c) / np.where(bend < 0.0, bend, -1.0), 0.0)
    energy = np.maximum((x**2).sum(axis=1) * n, 1e-12)
    beside = np.abs(place - top[:, None]) <= BESIDE * one
    beside |= np.abs(place - 2 * top[:, None]) <= BESIDE * one
    power[beside] = 0.0
    stands_out = b**2 / np.maximum(power.max(axis=1), 1e-12)
    return top + np.clip(shift, -0.5, 0.5), np.minimum(1.0, 2.0 * b**2 / energy), stands_out


def _refined(batch: Batch, hertz: Column, step: Column) -> Column:
    """The frequency with the least left over, by parabolas through three near ones."""
    alone = np.zeros(len(hertz), dtype=np.bool_)
    if len(hertz) == 0:
        return hertz
    for _ in range(REFINED):
        a, b, c = (_sine(batch, hertz + d * step, alone)[0] for d in (-1.0, 0.0, 1.0))
        bend = a - 2.0 * b + c
        shift = np.where(bend < 0.0, 0.5 * (a - c) / np.where(bend < 0.0, bend, -1.0), 0.0)
        hertz = hertz + np.clip(shift, -1.5, 1.5) * step
        step = step / 2.0
    return hertz


def _sine(batch: Batch, hertz: Column, dense: Mask) -> tuple[Column, Column]:
    """The share of each row's variance in a sine of that frequency, and half its peak to peak.

    A straight line is fitted with it, and where readings are dense a second harmonic.
    """
    angle = 2.0 * pi * hertz[:, None] * batch.t
    waves = [batch.inside.astype(np.float64), batch.t / np.maximum(batch.t.max(), 1e-9)]
    waves += [np.cos(angle), np.sin(angle)]
    if dense.any():
        cos, sin = waves[2:]
        waves += [dense[:, None] * (2.0 * cos**2 - 1.0), dense[:, None] * (2.0 * sin * cos)]
    basis = np.stack(waves, axis=1) * batch.inside[:, None, :]
    x = np.where(batch.inside, batch.x, 0.0)
    normal = basis @ basis.transpose(0, 2, 1) + 1e-9 * np.eye(len(waves))
    right = basis @ x[:, :, None]
    coefficient = np.linalg.solve(normal, right)
    explained = (coefficient * right).sum(axis=(1, 2))
    n = np.maximum(batch.inside.sum(axis=1), 1)
    mean = x.sum(axis=1) / n
    line = np.linalg.solve(normal[:, :2, :2], right[:, :2])
    trend = (line * right[:, :2]).sum(axis=(1, 2))
    total = np.maximum((x**2).sum(axis=1) - np.maximum(trend, n * mean**2), 1e-9)
    share = np.clip((explained - trend) / total, 0.0, 1.0)
    turn = np.linspace(0.0, 2.0 * pi, 48, endpoint=False)
    shape = np.stack([f(k * turn) for k in range(1, len(waves) // 2) for f in (np.cos, np.sin)])
    wave = coefficient[:, 2:, 0] @ shape
    return share, (wave.max(axis=1) - wave.min(axis=1)) / 2.0
