"""A made-up engine at speed: its governor, its throttle, the pump it drives, and how it dies hot.

Speeds are those of life. What takes long (warming up, filling the tank) goes `pace` times faster.
"""

import math
import random
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from benchassist.errors import InputError
from benchassist.practice.oven import SHOP_CELSIUS

LOW: Final = 1_750.0
HIGH: Final = 3_540.0
"""Revolutions a minute with no load."""
DROOP: Final = 0.06
"""(no load - full load) / full load."""
SPREAD: Final = 0.0006
"""Standard deviation of the speed from one reading to the next, relative."""
PSI: Final = 6_894.757
LETS_GO: Final = 125.0 * PSI
PULLS_IN: Final = 95.0 * PSI
"""Gauge pressure at which the pilot lets the throttle fall, and pulls it in again (pascal)."""
TANK: Final = 0.060
"""Cubic metres."""
RISE: Final = 2_500.0
"""Pascal a second that the pump adds at high speed: about 90 L of free air a minute."""
BLEED: Final = 50_000.0
"""Pascal a second that the open drain lets out, whatever the pump adds; not faster than life."""
WARMING: Final = 3.0 / 60.0
HOTTEST: Final = 90.0
COOLING: Final = 900.0
"""Kelvin a second while it runs, up to so many celsius; time constant of cooling in seconds."""
DIES: Final = 70.0
RESTARTS: Final = 55.0
"""Celsius at which an engine that quits hot dies, and below which it starts again."""
STOPPING: Final = 0.35
STEP: Final = 0.01
VOLTS: Final = 121.0


class Throttle(StrEnum):
    """Where the throttle is put."""

    LOW = "low"
    HIGH = "high"
    TANK = "tank"
    """Left to the pilot, which goes by the tank's pressure."""


class Load(StrEnum):
    """How much is asked of it."""

    NONE = "none"
    HALF = "half"
    FULL = "full"


SHARE: Final[Mapping[Load, float]] = MappingProxyType(
    {Load.NONE: 0.0, Load.HALF: 0.5, Load.FULL: 1.0}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class EngineCase:
    """How an engine behaves. Seconds and rpm; `falls` and `rises` in radians a second.

    `sticks` makes every so many-th fall stop half way, `late` is how long a fall is put off, and
    `damping` how much it swings past the speed it falls to. `pulses` for each turn are counted,
    twice as many in a share `rings` of the readings.
    """

    period: float = 0.0
    amplitude: float = 0.0
    sticks: int = 0
    late: float = 0.15
    falls: float = 4.0
    rises: float = 3.5
    damping: float = 0.9
    pulses: float = 1.0
    rings: float = 0.0
    dies: bool = False


ENGINES: Final[Mapping[str, EngineCase]] = MappingProxyType(
    {
        "sound": EngineCase(),
        "hunts": EngineCase(period=2.4, amplitude=90.0),
        "sticks": EngineCase(sticks=2, late=1.2, damping=0.5),
        "slow": EngineCase(rises=1.0),
        "doubled": EngineCase(pulses=2.0),
        "rings": EngineCase(rings=0.08),
        "dies": EngineCase(dies=True),
    }
)


class Engine:
    """One engine with its pump and tank. Time comes in as seconds that never go back."""

    def __init__(self, case: str, seed: int) -> None:
        """Raises InputError for a case that is none."""
        self.change(case)
        self._random = random.Random(seed)
        self.runs = False
        self.has_died = False
        """Whether it stopped by itself."""
        self.celsius = SHOP_CELSIUS
        self.pascal = 0.0
        self.throttle = Throttle.HIGH
        self.load = Load.NONE
        self.bleeds = False
        self.pace = 1.0
        self._speed = self._slope = 0.0
        self._lets_go = False
        self._is_low = False
        self._turned_s = -math.inf
        self._now_s: float | None = None

    def change(self, case: str) -> None:
        """Another engine's manners; speed, heat and tank stay. Raises InputError."""
        if case not in ENGINES:
            raise InputError(f"Engine {case}: there are {', '.join(ENGINES)}")
        self._case = ENGINES[case]
        self._falls = 0

    def start(self) -> bool:
        """Pull the rope; whether it runs. One that has died hot has to cool first."""
        if not self.runs and (not self.has_died or self.celsius <= RESTARTS):
            self.runs, self.has_died = True, False
        return self.runs

    def stop(self) -> None:
        """Switch it off."""
        self.runs = False

    # --- what there is to see ---------------------------------------------------------------------

    @property
    def rpm(self) -> float:
        """Revolutions a minute now, the governor's swing in it."""
        at_high = self.runs and not self._is_low and self._speed > 0.9 * HIGH
        swing = 0.0
        if at_high and self._case.period and self._now_s is not None:
            swing = self._case.amplitude * math.sin(math.tau * self._now_s / self._case.period)
        return max(0.0, self._speed + swing)

    def hertz(self) -> float:
        """What a clamp on the plug lead counts."""
        rings = 2.0 if self._random.random() < self._case.rings else 1.0
        noise = self._random.gauss(1.0, SPREAD)
        return self.rpm / 60.0 * self._case.pulses * rings * noise

    @property
    def volts(self) -> float:
        """At a generator's outlet."""
        return VOLTS * min(1.0, self._speed / HIGH) * (1.0 - 0.03 * SHARE[self.load])

    # --- time -------------------------------------------------------------------------------------

    def advance(self, t_s: float) -> None:
        """Let it be `t_s`."""
        before = t_s if self._now_s is None else self._now_s
        steps = math.ceil(max(0.0, t_s - before) / STEP)
        for k in range(steps):
            self._now_s = before + (t_s - before) * (k + 1.0) / steps
            self._step((t_s - before) / steps, self._now_s)
        self._now_s = max(before, t_s)

    def _step(self, dt: float, t_s: float) -> None:
        self._warm(dt * self.pace)
        self._pump(dt)
        self._turn(t_s)
        if not self.runs:
            self._speed -= self._speed * dt / STOPPING
            self._slope = 0.0
            return
        case, target = self._case, self._target(t_s)
        pace = case.falls if self._is_low else case.rises
        damping = case.damping if self._is_low else 0.7
        pull = pace * pace * (target - self._speed) - 2.0 * damping * pace * self._slope
        self._slope += pull * dt
        self._speed = max(0.0, self._speed + self._slope * dt)

    def _warm(self, life: float) -> None:
        if self.runs:
            self.celsius += min(WARMING, (HOTTEST - self.celsius) / 120.0) * life
        else:
            self.celsius += (SHOP_CELSIUS - self.celsius) * life / COOLING
        if self.runs and self._case.dies and self.celsius >= DIES:
            self.runs, self.has_died = False, True

    def _pump(self, dt: float) -> None:
        """The pump fills the tank at speed, and is let go with the throttle or at the same mark."""
        if self.pascal >= LETS_GO:
            self._lets_go = True
        elif self.pascal <= PULLS_IN:
            self._lets_go = False
        if self.bleeds:
            self.pascal = max(0.0, self.pascal - BLEED * dt)
        elif self.runs and not self._lets_go:
            self.pascal += RISE * self.pace * dt * self._speed / HIGH

    def _turn(self, t_s: float) -> None:
        """Follow the throttle: count the falls that are asked for."""
        by_tank = self.throttle is Throttle.TANK and self._lets_go
        is_low = self.throttle is Throttle.LOW or by_tank
        if is_low == self._is_low:
            return
        self._is_low, self._turned_s = is_low, t_s
        self._falls += is_low and self.runs

    def _target(self, t_s: float) -> float:
        full = HIGH / (1.0 + DROOP * SHARE[self.load])
        if not self._is_low or t_s - self._turned_s < self._case.late:
            return full
        if self._case.sticks and self._falls % self._case.sticks == 0:
            return 0.5 * (LOW + HIGH)
        return LOW
