"""How often a meter says something valid, and when it has been silent for too long."""

from collections import deque
from statistics import median
from typing import Final

LEAST_SILENCE_S: Final = 2.0
PERIODS: Final = 3.0


class Pulse:
    """The last few periods of a meter, kept over a silence, and its last sign of life."""

    def __init__(self) -> None:
        self._periods: deque[float] = deque(maxlen=9)
        self._last_s: float | None = None

    def beat(self, t_s: float) -> None:
        """The meter said something valid."""
        if self._last_s is not None:
            self._periods.append(t_s - self._last_s)
        self._last_s = t_s

    def cut(self) -> None:
        """The connection was cut: the next beat ends no period."""
        self._last_s = None

    def is_overdue(self, t_s: float) -> bool:
        """Whether nothing valid came in max(3 periods, 2 s)."""
        if self._last_s is None:
            return False
        period = median(self._periods) if self._periods else 0.0
        return t_s - self._last_s > max(PERIODS * period, LEAST_SILENCE_S)
