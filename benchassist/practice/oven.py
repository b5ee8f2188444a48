"""A warm box for one part: how warm it is, and what the thermometer on it says meanwhile.

As in life: 4 kelvin a minute up to just below the ceiling, cooling as metal in still air does, a
thermometer that is late. `pace` makes the same happen so many times faster.
"""

import math
from typing import Final

SHOP_CELSIUS: Final = 21.0
RATE: Final = 4.0 / 60.0
"""Kelvin a second on heat."""
TOP: Final = 93.0
"""Celsius at which the box holds a part: just below the ceiling of common practice."""
APPROACH: Final = 60.0
COOLING: Final = 720.0
"""Seconds: time constants of the last kelvin below the top, and of cooling to the shop's air."""
ONSET: Final = 30.0
"""Seconds in which a change of heat reaches the part."""
LATE: Final = 20.0
"""Seconds by which the thermometer is late."""
PACES: Final = (1.0, 20.0, 45.0)
"""How many times faster than life; what a sound part does is found in all of them."""
STEP: Final = 0.02
"""Seconds of practice time in one step of the sum."""


class Oven:
    """Temperatures in celsius, seconds of a clock that never goes back."""

    def __init__(self, *, pace: float = PACES[0]) -> None:
        self.celsius = SHOP_CELSIUS
        self.shown = SHOP_CELSIUS
        """What a thermometer on the part shows, before its own count and error."""
        self.pace = pace
        self.is_on = False
        self._rate = 0.0
        self._is_let = False
        """Whether the part goes by the box, not as it was put by hand."""
        self._ramp: tuple[float, float, float, float] | None = None
        self._now_s: float | None = None

    def heat(self, *, on: bool) -> None:
        """Put the heat on, or take it away and let the part cool."""
        self.is_on, self._is_let, self._ramp = on, True, None

    def put(self, celsius: float, *, over_s: float, t_s: float) -> None:
        """Make the part so warm, at once or evenly over some seconds, and leave it so."""
        self.advance(t_s)
        self.is_on = self._is_let = False
        self._rate = 0.0
        self._ramp = (t_s, self.celsius, t_s + over_s, celsius)
        if over_s <= 0.0:
            self.celsius = self.shown = celsius
            self._ramp = None

    def advance(self, t_s: float) -> None:
        """Let it be `t_s`."""
        since = 0.0 if self._now_s is None else t_s - self._now_s
        if self._now_s is None or since > 0.0:
            self._now_s = t_s
        steps = max(1, math.ceil(since / STEP)) if since > 0.0 else 0
        for k in range(steps):
            self._step(since / steps, t_s - since * (1.0 - (k + 1.0) / steps))

    def _step(self, dt: float, t_s: float) -> None:
        life = dt * self.pace
        if self._ramp is not None:
            self._follow(self._ramp, t_s)
        elif self._is_let:
            self._rate += (self._wanted() - self._rate) * (1.0 - math.exp(-life / ONSET))
            self.celsius += self._rate * life
        self.shown += (self.celsius - self.shown) * (1.0 - math.exp(-life / LATE))

    def _wanted(self) -> float:
        """Kelvin a second of life that the box aims at."""
        if self.is_on:
            return min(RATE, (TOP - self.celsius) / APPROACH)
        return (SHOP_CELSIUS - self.celsius) / COOLING

    def _follow(self, ramp: tuple[float, float, float, float], t_s: float) -> None:
        start_s, start, end_s, end = ramp
        if t_s >= end_s:
            self.celsius, self._ramp = end, None
        else:
            self.celsius = start + (end - start) * (t_s - start_s) / (end_s - start_s)
