"""Usable readings of a speed, and when it passed one."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from benchassist.core.samples import Column

Index = NDArray[np.intp]

FEW_FITTED: Final = 12
FITTED_S: Final = 0.3
"""A creeping speed's crossing is fitted to so many readings on either side, or so many seconds."""

LEAST_FITTED: Final = 4


@dataclass(frozen=True, slots=True, eq=False)
class Trace:
    """Usable readings: rising times in seconds, rpm, the number of the unbroken piece of each.

    `interval` is the usual time between two, 0 for fewer.
    """

    t_s: Column
    rpm: Column
    piece: NDArray[np.int64]
    interval: float

    def __len__(self) -> int:
        """How many."""
        return len(self.t_s)


def crossings(trace: Trace, at: Index, rpm: Column, *, close: float) -> Column:
    """When the line from reading `at` to the next one passes a speed, in seconds; of many.

    Where the speed creeps, by less than `close` between the two, their roughness would move that
    moment: a straight line is fitted to the readings within `close` around it.
    """
    a, b = trace.rpm[at], trace.rpm[at + 1]
    start, end = trace.t_s[at], trace.t_s[at + 1]
    flat = a == b
    share = np.where(flat, 0.5, (rpm - a) / np.where(flat, 1.0, b - a))
    moments: Column = start + np.clip(share, 0.0, 1.0) * (end - start)
    creeping = np.flatnonzero(np.abs(b - a) < close)
    if len(creeping):
        fitted = _fitted(trace, at[creeping], rpm[creeping], close)
        moments[creeping] = np.where(np.isnan(fitted), moments[creeping], fitted)
    return moments


def _fitted(trace: Trace, at: Index, rpm: Column, close: float) -> Column:
    """The same by straight lines through the readings near each speed; nan where they are few."""
    reach = max(FEW_FITTED, int(FITTED_S / max(trace.interval, 1e-6)))
    places = at[:, None] + np.arange(-reach, reach + 2)
    inside = (places >= 0) & (places < len(trace))
    places = np.clip(places, 0, len(trace) - 1)
    near = inside & (np.abs(trace.rpm[places] - rpm[:, None]) <= close)
    near &= trace.piece[places] == trace.piece[at][:, None]
    # Unbroken from the crossing outwards.
    near[:, reach::-1] = np.logical_and.accumulate(near[:, reach::-1], axis=1)
    near[:, reach + 1 :] = np.logical_and.accumulate(near[:, reach + 1 :], axis=1)
    n = near.sum(axis=1)
    few = n < LEAST_FITTED
    n = np.maximum(n, 1)
    t = np.where(near, trace.t_s[places] - trace.t_s[at][:, None], 0.0)
    v = np.where(near, trace.rpm[places] - rpm[:, None], 0.0)
    middle_t, middle_v = t.sum(axis=1) / n, v.sum(axis=1) / n
    apart = np.where(near, t - middle_t[:, None], 0.0)
    slope = (apart * v).sum(axis=1) / np.maximum((apart**2).sum(axis=1), 1e-12)
    few |= slope == 0.0
    moment = middle_t - middle_v / np.where(few, 1.0, slope)
    few |= (moment < t.min(axis=1)) | (moment > t.max(axis=1))
    found: Column = np.where(few, np.nan, trace.t_s[at] + moment)
    return found
