"""Which way a temperature goes, how hot it was, and how many times it was heated and cooled."""

from typing import Final

from benchassist.core.run_finding import Leg

NEAR: Final = 5.0
"""Kelvin below the ceiling that count as having reached it."""
COOL: Final = 40.0
"""Celsius at which a part counts as cooled (common practice); or this share of the rise lost:"""
COOLED_SHARE: Final = 0.75
TURN: Final = 2.0
"""Kelvin back from the highest or lowest that make a turn."""


class CycleCount:
    """Fed a temperature at a time."""

    __slots__ = ("_base", "_extreme", "_hot", "_peak", "ceiling", "cycles", "hottest", "leg")

    def __init__(self, ceiling: float) -> None:
        self.ceiling = ceiling
        self.hottest: float | None = None
        self.leg = Leg.UNKNOWN
        self.cycles = 0
        self._base = self._peak = self._extreme = 0.0
        self._hot = False

    def feed(self, celsius: float) -> None:
        """Take in the temperature of a moment."""
        if self.hottest is None:
            self.hottest = self._base = self._peak = self._extreme = celsius
            return
        self.hottest = max(self.hottest, celsius)
        self._turn(celsius)
        if not self._hot:
            self._base = min(self._base, celsius)
            self._hot, self._peak = self.reached(celsius), celsius
            return
        self._peak = max(self._peak, celsius)
        if celsius <= max(COOL, self._peak - COOLED_SHARE * (self._peak - self._base)):
            self.cycles += 1
            self._hot, self._base = False, celsius

    def reached(self, celsius: float | None) -> bool:
        """Whether a temperature is at the ceiling, within what counts."""
        return celsius is not None and celsius >= self.ceiling - NEAR

    def hot(self, celsius: float | None) -> bool:
        """Whether a fault that shows hot may show here: halfway from 20 celsius to the ceiling."""
        return celsius is None or celsius >= 0.5 * (20.0 + self.ceiling)

    def _turn(self, celsius: float) -> None:
        """Follow the leg: its extreme, and the turn that ends it."""
        ahead = celsius - self._extreme
        if self.leg is Leg.COOLING:
            ahead = -ahead
        if self.leg is Leg.UNKNOWN:
            if abs(ahead) >= TURN:
                self.leg = Leg.HEATING if ahead > 0.0 else Leg.COOLING
                self._extreme = celsius
        elif ahead > 0.0:
            self._extreme = celsius
        elif ahead <= -TURN:
            self.leg = Leg.COOLING if self.leg is Leg.HEATING else Leg.HEATING
            self._extreme = celsius
