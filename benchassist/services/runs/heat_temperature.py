"""How warm the part is, as told during a heat run: by a second meter, by marks typed, or not.

Each temperature goes to the detector once, with the first resistance after it.
"""

from dataclasses import dataclass

import numpy as np

from benchassist.core.run_plot import Column
from benchassist.core.samples import Samples

MEASURED_U = 1.0
TYPED_U = 2.0
"""Kelvin: a probe on a surface, and one read off by eye while it moves (shop judgement)."""


@dataclass(frozen=True, slots=True)
class Told:
    """A temperature in celsius, its doubt in kelvin, and the second of the run it was told at."""

    t_s: float
    celsius: float
    u: float
    typed: bool = False


class PartThermometer:
    """The newest temperature told, and what was not passed on yet."""

    def __init__(self) -> None:
        self.last: Told | None = None
        self._fresh = False
        self._stretch = Samples.none()

    def tell(self, t_s: float, celsius: float, *, typed: bool = False) -> None:
        """A temperature as it comes."""
        self.last = Told(t_s, celsius, TYPED_U if typed else MEASURED_U, typed)
        self._fresh = True

    def tell_block(self, samples: Samples) -> None:
        """Many, before the resistances of the same stretch."""
        self._keep_newest()
        kept = np.isfinite(samples.value)
        self._stretch = Samples(samples.t_s[kept], samples.value[kept], samples.resolution[kept])

    def fresh(self) -> Told | None:
        """The newest one, the first time it is asked for."""
        self._keep_newest()
        fresh, self._fresh = self._fresh, False
        return self.last if fresh else None

    def column(self, t_s: Column) -> Column:
        """Beside many resistances: each temperature at the first one after it, nan elsewhere.

        What came later than the last resistance waits for the next ones.
        """
        celsius = np.full(len(t_s), np.nan)
        stretch = self._stretch
        if self._fresh and self.last is not None and len(t_s):
            celsius[0], self._fresh = self.last.celsius, False
        place = np.searchsorted(t_s, stretch.t_s, side="left")
        told = int(np.count_nonzero(place < len(t_s)))
        celsius[place[:told]] = stretch.value[:told]
        if told:
            self.last = Told(
                float(stretch.t_s[told - 1]), float(stretch.value[told - 1]), MEASURED_U
            )
        self._stretch = Samples(stretch.t_s[told:], stretch.value[told:], stretch.resolution[told:])
        return celsius

    def _keep_newest(self) -> None:
        """Of a stretch whose resistances never came."""
        stretch, self._stretch = self._stretch, Samples.none()
        if len(stretch):
            self.tell(float(stretch.t_s[-1]), float(stretch.value[-1]))
