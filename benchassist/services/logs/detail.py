"""The samples of a log for a plot: the whole of it, and any stretch as fine as it is."""

from typing import Final

import numpy as np

from benchassist.core.extremes import Rows
from benchassist.core.pyramid import Pyramid
from benchassist.core.samples import Column, Samples

HOLE: Final = 5.0
"""Seconds without a row from which the line is broken, where rows come that often at all."""
HOLE_STEPS: Final = 20.0
"""And so many times the usual time between two rows."""


class LogDetail:
    """Values with the temperatures beside them, at whatever closeness is asked for.

    `holes` are stretches without a row, from the last one before to the first one after.
    """

    def __init__(self, samples: Samples, celsius: Column | None) -> None:
        t_s, value = samples.t_s, samples.value
        after = _holes(t_s)
        self.holes = tuple(zip(t_s[after - 1].tolist(), t_s[after].tolist(), strict=True))
        gaps = np.full(len(after), np.nan)
        self._value = Pyramid(np.insert(t_s, after, t_s[after - 1]), np.insert(value, after, gaps))
        self._celsius: Pyramid | None = None
        if celsius is not None:
            known = np.isfinite(celsius)
            self._celsius = Pyramid(t_s[known], celsius[known])
        self.start_s, self.end_s = float(t_s[0]), float(t_s[-1])
        numbers = value[np.isfinite(value)]
        self.extent = (float(numbers.min()), float(numbers.max())) if len(numbers) else (0.0, 0.0)
        """Lowest and highest of the values."""
        self.usual = float(np.median(np.diff(t_s))) if len(t_s) > 1 else 0.0
        """Seconds between two rows."""

    def values(self, start_s: float, end_s: float, buckets: int) -> Rows:
        """Rows of the values between two moments, at most about so many."""
        return self._value.window(start_s, end_s, buckets)

    def celsius(self, start_s: float, end_s: float, buckets: int) -> Rows | None:
        """Of the temperatures; None where the log has none."""
        if self._celsius is None:
            return None
        return self._celsius.window(start_s, end_s, buckets)


def _holes(t_s: Column) -> "np.ndarray[tuple[int], np.dtype[np.intp]]":
    """Before which rows nothing came for long."""
    if len(t_s) < 2:
        return np.empty(0, dtype=np.intp)
    steps = np.diff(t_s)
    return np.flatnonzero(steps > max(HOLE, HOLE_STEPS * float(np.median(steps)))) + 1
