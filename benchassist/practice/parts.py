"""Simulated ignition parts: what a meter finds between two points of a made-up engine.

Windings follow the copper law, caps and plugs do not. A hot break opens at one temperature,
flickers just below it and closes again only well below, as a cracked joint does.
"""

import math
import random
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

from benchassist.core.copper import ALPHA_20
from benchassist.core.quantity import Quantity

OPEN: Final = math.inf
SHOP_CELSIUS: Final = 21.0
FLICKER_K: Final = 1.5
FLICKER_SHARE: Final = 0.3
SPEED_SPREAD: Final = 0.0006
"""Standard deviation of an engine's speed from one reading to the next, relative."""


@dataclass(frozen=True, slots=True)
class HotBreak:
    """Opens when it gets as hot as `opens`, closes when it has cooled to `closes` (celsius)."""

    opens: float
    closes: float


@dataclass(frozen=True, slots=True)
class Part:
    """Resistance in ohm at 20 celsius, whether it is a copper winding, and its fault if any."""

    ohm: float
    copper: bool = False
    hot_break: HotBreak | None = None

    def at(self, celsius: float) -> float:
        """Resistance in ohm at a temperature, its fault aside."""
        return self.ohm * (1.0 + ALPHA_20 * (celsius - 20.0)) if self.copper else self.ohm


SOUND: Final[Mapping[str, Part]] = MappingProxyType(
    {
        "primary": Part(0.9, copper=True),
        "secondary": Part(9_100.0, copper=True),
        "cap": Part(4_900.0),
        "plug": Part(5_100.0),
        "stop wire": Part(OPEN),
        "stop switch": Part(0.1),
        "oil switch": Part(OPEN),
        "known resistor": Part(10_000.0),
        "test leads": Part(0.12),
    }
)

CASES: Final[Mapping[str, Mapping[str, Part]]] = MappingProxyType(
    {
        "sound": SOUND,
        "coil-opens-hot": {
            **SOUND,
            "secondary": replace(SOUND["secondary"], hot_break=HotBreak(68.0, 55.0)),
        },
        "cap-high": {**SOUND, "cap": Part(11_400.0)},
        "stop-wire-leaks": {**SOUND, "stop wire": Part(47_000.0)},
        "broken-lead": {**SOUND, "test leads": Part(OPEN)},
    }
)

CIRCUITS: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "coil_primary": ("primary",),
        "coil_secondary": ("secondary",),
        "cap": ("cap",),
        "path": ("secondary", "cap"),
        "plug_resistor": ("plug",),
        "stop_insulation": ("stop wire",),
        "stop_switch": ("stop switch",),
        "low_oil": ("oil switch",),
        "self_check": ("known resistor",),
        "leads": (),
    }
)
"""Which parts in series lie between the probes, by what they touch."""

SPEEDS: Final[Mapping[str, float]] = MappingProxyType({"idle_low": 1_750.0, "idle_high": 3_540.0})
"""Revolutions per minute of an engine whose clamp gives one pulse a turn."""

SURFACE: Final = "surface"
TOUCHES: Final = (*CIRCUITS, *SPEEDS, SURFACE)


class PartBench:
    """The parts of one case at one temperature, and the test leads they are reached with."""

    def __init__(self, case: str, seed: int) -> None:
        self._parts = CASES[case]
        self._random = random.Random(seed)
        self._celsius = SHOP_CELSIUS
        self._broken: set[str] = set()

    def change(self, case: str) -> None:
        """Put the parts of another case there, as warm as these are."""
        self._parts = CASES[case]
        self._broken.clear()
        self.celsius = self._celsius

    @property
    def celsius(self) -> float:
        """Temperature of the parts."""
        return self._celsius

    @celsius.setter
    def celsius(self, celsius: float) -> None:
        self._celsius = celsius
        for name, part in self._parts.items():
            if part.hot_break is None:
                continue
            if celsius >= part.hot_break.opens:
                self._broken.add(name)
            elif celsius <= part.hot_break.closes:
                self._broken.discard(name)

    def quantity(self, touched: str) -> Quantity:
        """What a meter has to be set to for this touch."""
        if touched in SPEEDS:
            return Quantity.FREQUENCY
        return Quantity.TEMPERATURE if touched == SURFACE else Quantity.RESISTANCE

    def value(self, touched: str) -> float:
        """Ohm with the test leads in it, hertz or celsius; infinite where nothing conducts."""
        if touched == SURFACE:
            return self._celsius
        if touched in SPEEDS:
            return SPEEDS[touched] / 60.0 * self._random.gauss(1.0, SPEED_SPREAD)
        return sum(self._ohm(name) for name in (*CIRCUITS[touched], "test leads"))

    def _ohm(self, name: str) -> float:
        part = self._parts[name]
        if name in self._broken or self._flickers(part):
            return OPEN
        return part.at(self._celsius)

    def _flickers(self, part: Part) -> bool:
        hot = part.hot_break
        return (
            hot is not None
            and hot.opens - FLICKER_K <= self._celsius < hot.opens
            and self._random.random() < FLICKER_SHARE
        )
