"""Whether a governed speed swings to and fro.

Each stay at a level is cut into windows and the strongest sine of each is looked at. It is
hunting where that carries a share of the variance that noise would reach once in a million windows
(Fisher's test for the largest of many periodogram lines), or where several short windows agree, and
where it is more than counts and roughness make, stands alone in the spectrum and does not die away.
A swing with less than four readings in a period is not resolvable.
"""

from collections.abc import Iterable
from dataclasses import dataclass, fields
from math import ceil
from typing import Final

import numpy as np
from numpy.typing import NDArray

from benchassist.core.run_finding import Hunting, Level
from benchassist.core.samples import Column
from benchassist.core.speed_stay import Stays
from benchassist.core.speed_trace import Trace
from benchassist.core.swing import strongest

Mask = NDArray[np.bool_]

FINEST: Final = 0.05
"""Denser readings (seconds) are averaged to this; no governor hunts faster than it shows."""

WINDOW_S: Final = 60.0
LONGEST: Final = 512
SHORTEST: Final = 64
LEAST: Final = 10
"""Readings in a window: for so many seconds, most and least; and the least of a short stay."""

ALONE: Final = 1e-6
TOGETHER: Final = 0.01
"""How rarely noise may look so: in one window, in each of several that agree."""

SWINGS_ALONE: Final = 3.0
SWINGS_TOGETHER: Final = 2.0
"""Periods at least in a window that is believed alone, in each of several that agree."""

AGREEING: Final = 3
AGREE: Final = 0.06
"""So many windows whose frequencies lie so near to their median (a share of it) agree."""

LEAST_SHARE: Final = 0.5
"""The sine's share of the variance at least, however long the window: wandering has less."""

LONELY: Final = 4.0
"""Its line's power at least, of the next largest: a speed that wanders has several alike."""

LEAST_RATIO: Final = 0.005
"""Amplitude at least, of the level (common practice: under half a percent is no hunting)."""

LEAST_COUNTS: Final = 1.5
"""Amplitude at least, in counts of the readings."""

EVEN: Final = 0.5
EVEN_FROM: Final = 32
"""The smaller half's amplitude of the larger, in windows of so many readings: no dying away."""

RESOLVABLE: Final = 3.95
"""Readings in a period at least: four, less what the fit may miss."""

MOSTLY: Final = 0.4
"""The share of a level's time in which it must swing."""

BATCH: Final = 256


@dataclass(frozen=True, slots=True, eq=False)
class Windows:
    """What was fitted to the windows of one level, a row each.

    Seconds covered, frequency in hertz, amplitude in rpm, readings in a period, and whether the
    swing is beyond doubt alone, and likely enough to be believed of several.
    """

    seconds: Column
    hertz: Column
    amplitude: Column
    readings: Column
    sure: Mask
    likely: Mask

    @staticmethod
    def none() -> "Windows":
        """No window."""
        empty, no = np.empty(0), np.empty(0, dtype=np.bool_)
        return Windows(empty, empty, empty, empty, no, no)

    @staticmethod
    def joined(parts: Iterable["Windows"]) -> "Windows":
        """Several as one."""
        rows = [part for part in parts if len(part.seconds)]
        if not rows:
            return Windows.none()
        return Windows(
            *(np.concatenate([getattr(row, f.name) for row in rows]) for f in fields(Windows))
        )


def windows(trace: Trace, stretches: Stays, *, count: float) -> Windows:
    """Fit the windows of these stays. `count` is one count of the readings in rpm (0: unknown)."""
    interval = trace.interval
    if interval <= 0.0:
        return Windows.none()
    together = max(1, round(FINEST / interval))
    pace = interval * together
    size = int(min(LONGEST, max(SHORTEST, WINDOW_S / pace)))
    least = LEAST * together
    pieces = [
        piece
        for start, end in zip(stretches.start.tolist(), stretches.end.tolist(), strict=True)
        if end - start >= least
        for piece in _cut(trace.t_s[start:end], trace.rpm[start:end], together, size)
    ]
    return Windows.joined(
        _fitted(pieces[i : i + BATCH], pace=pace, interval=interval, count=count)
        for i in range(0, len(pieces), BATCH)
    )


def _cut(t: Column, rpm: Column, together: int, size: int) -> list[tuple[Column, Column]]:
    """A stay in windows of at most `size`, as alike as can be; denser readings averaged."""
    if together > 1:
        whole = len(t) // together * together
        t = t[:whole].reshape(-1, together).mean(axis=1)
        rpm = rpm[:whole].reshape(-1, together).mean(axis=1)
    parts = ceil(len(t) / size)
    if parts == 1:
        return [(t, rpm)]
    return list(zip(np.array_split(t, parts), np.array_split(rpm, parts), strict=True))


def _fitted(
    pieces: list[tuple[Column, Column]], *, pace: float, interval: float, count: float
) -> Windows:
    """The windows of a batch, judged one by one."""
    n = np.array([len(t) for t, _ in pieces], dtype=np.float64)
    level = np.array([rpm.mean() for _, rpm in pieces])
    swings = strongest(pieces, pace=pace)
    # Averaging denser readings flattens a swing by a known factor.
    flat = np.sinc(np.minimum(swings.hertz * pace, 0.5)) if pace > interval else 1.0
    amplitude = swings.amplitude / flat
    worth = amplitude >= np.maximum(LEAST_RATIO * level, LEAST_COUNTS * count)
    worth &= swings.stands_out >= LONELY
    worth &= (swings.steadiness >= EVEN) | (n < EVEN_FROM)

    def beyond(chance: float) -> Mask:
        # n/2 lines, each beyond a share s with probability (1 - s)^((n - 3)/2).
        needed = 1.0 - (2.0 * chance / n) ** (2.0 / (n - 3.0))
        return worth & (swings.share >= np.maximum(LEAST_SHARE, needed))

    return Windows(
        seconds=n * pace,
        hertz=swings.hertz,
        amplitude=amplitude,
        readings=1.0 / np.maximum(swings.hertz * interval, 1e-9),
        sure=beyond(ALONE) & (swings.hertz * n * pace >= SWINGS_ALONE),
        likely=beyond(TOGETHER) & (swings.hertz * n * pace >= SWINGS_TOGETHER),
    )


def hunting(low: Windows, high: Windows) -> Hunting:
    """What the windows of both levels say; the larger swing, where both swing."""
    found = [h for h in (_level(low, Level.LOW), _level(high, Level.HIGH)) if h is not None]
    present = [h for h in found if h.present]
    if present:
        return max(present, key=lambda h: h.amplitude_rpm or 0.0)
    unresolved = [h for h in found if h.present is None]
    if unresolved or not found:
        return unresolved[0] if unresolved else Hunting(present=None)
    return Hunting(present=False)


def _level(rows: Windows, level: Level) -> Hunting | None:
    """What the windows of one level say; None without a window."""
    total = float(rows.seconds.sum())
    if total <= 0.0:
        return None
    for chosen in (rows.sure, _agreeing(rows)):
        if float(rows.seconds[chosen].sum()) < MOSTLY * total:
            continue
        weights = rows.seconds[chosen]
        if _middle(rows.readings[chosen], weights) < RESOLVABLE:
            return Hunting(present=None, level=level)
        return Hunting(
            present=True,
            level=level,
            period_s=1.0 / _middle(rows.hertz[chosen], weights),
            amplitude_rpm=_middle(rows.amplitude[chosen], weights),
        )
    return Hunting(present=False)


def _agreeing(rows: Windows) -> Mask:
    """The likely windows whose frequencies agree; none where they are few."""
    if not rows.likely.any():
        return rows.likely
    middle = _middle(rows.hertz[rows.likely], rows.seconds[rows.likely])
    near: Mask = rows.likely & (np.abs(rows.hertz - middle) <= AGREE * middle)
    return near if int(near.sum()) >= AGREEING else np.zeros_like(near)


def _middle(values: Column, weights: Column) -> float:
    """The weighted median."""
    order = np.argsort(values)
    passed = np.cumsum(weights[order])
    return float(values[order][np.searchsorted(passed, passed[-1] / 2.0)])
