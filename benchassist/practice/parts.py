"""Simulated ignition parts: what a meter finds between two points of a made-up engine.

Windings follow the copper law, caps and plugs do not; what goes wrong hot stands in `hot_fault`.
"""

import math
import random
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

from benchassist.core.copper import ALPHA_20
from benchassist.core.quantity import Quantity
from benchassist.errors import InputError
from benchassist.practice.engine import HIGH, LOW, SPREAD, Engine
from benchassist.practice.hot_fault import Fault, HotBreak, LooseClip, ShortedTurns, SlowJoint
from benchassist.practice.oven import Oven

OPEN: Final = math.inf
FASTEST_PACE: Final = 60.0


@dataclass(frozen=True, slots=True)
class Part:
    """Resistance in ohm at 20 celsius, whether it is a copper winding, and its fault if any."""

    ohm: float
    copper: bool = False
    fault: Fault | None = None

    def at(self, celsius: float) -> float:
        """Resistance in ohm at a temperature, its fault aside."""
        return self.ohm * (1.0 + ALPHA_20 * (celsius - 20.0)) if self.copper else self.ohm


SOUND: Final[Mapping[str, Part]] = MappingProxyType(
    {
        "primary": Part(0.9, copper=True),
        "secondary": Part(9_100.0, copper=True),
        "cap": Part(4_900.0),
        "plug": Part(5_100.0),
        "lead": Part(0.4),
        "stop wire": Part(OPEN),
        "stop switch": Part(0.1),
        "oil switch": Part(OPEN),
        "known resistor": Part(10_000.0),
        "test leads": Part(0.12),
    }
)

SECONDARY: Final = SOUND["secondary"]
CASES: Final[Mapping[str, Mapping[str, Part]]] = MappingProxyType(
    {
        "sound": SOUND,
        "coil-opens-hot": {**SOUND, "secondary": replace(SECONDARY, fault=HotBreak(68.0, 55.0))},
        "coil-joint": {**SOUND, "secondary": replace(SECONDARY, fault=SlowJoint(50.0, 0.003))},
        "coil-turns": {
            **SOUND,
            "secondary": replace(SECONDARY, fault=ShortedTurns(60.0, 52.0, 0.05)),
        },
        "clip-loose": {**SOUND, "secondary": replace(SECONDARY, fault=LooseClip(0.04))},
        "cap-high": {**SOUND, "cap": Part(11_400.0)},
        "cap-drifts": {**SOUND, "cap": replace(SOUND["cap"], fault=SlowJoint(40.0, 0.01))},
        "cap-opens": {**SOUND, "cap": replace(SOUND["cap"], fault=HotBreak(60.0, 48.0))},
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
        "lead": ("lead",),
        "plug_resistor": ("plug",),
        "stop_insulation": ("stop wire",),
        "stop_switch": ("stop switch",),
        "low_oil": ("oil switch",),
        "self_check": ("known resistor",),
        "leads": (),
    }
)
"""Which parts in series lie between the probes, by what they touch."""

SPEEDS: Final[Mapping[str, float]] = MappingProxyType({"idle_low": LOW, "idle_high": HIGH})
"""Revolutions per minute of an engine that runs as it should, at a clamp's one pulse a turn."""

SURFACE: Final = "surface"
"""The thermometer's tip, on the part."""
CLAMP: Final = "clamp"
"""A clamp on the plug lead of the engine, whatever it does."""
TOUCHES: Final = (*CIRCUITS, *SPEEDS, CLAMP, SURFACE)


class PartBench:
    """The parts of one case, the box that warms them, the engine, and the test leads."""

    def __init__(self, case: str, seed: int, *, engine: str = "sound") -> None:
        self._random = random.Random(seed)
        self.oven = Oven()
        self.engine = Engine(engine, seed)
        self._set_out(case)

    def change(self, case: str) -> None:
        """Put the parts of another case there, as warm as these are. Raises InputError."""
        self._set_out(case)

    def set_pace(self, pace: float) -> None:
        """Let warming, cooling and pumping go so many times faster than life. Raises InputError."""
        if not 1.0 <= pace <= FASTEST_PACE:
            raise InputError(f"Pace {pace}: 1 to {FASTEST_PACE:.0f} would be right")
        self.oven.pace = self.engine.pace = pace

    def _set_out(self, case: str) -> None:
        if case not in CASES:
            raise InputError(f"Case {case}: there are {', '.join(CASES)}")
        self._parts = CASES[case]
        self._faults = {
            name: part.fault.fresh() for name, part in self._parts.items() if part.fault is not None
        }
        self._feel()

    @property
    def celsius(self) -> float:
        """Temperature of the parts."""
        return self.oven.celsius

    @celsius.setter
    def celsius(self, celsius: float) -> None:
        self.oven.celsius = self.oven.shown = celsius
        self._feel()

    def advance(self, t_s: float) -> None:
        """Let it be `t_s`: what is warmed gets warmer, what runs runs on."""
        self.oven.advance(t_s)
        self.engine.advance(t_s)
        self._feel()

    def _feel(self) -> None:
        for fault in self._faults.values():
            fault.warm(self.oven.celsius)

    def quantity(self, touched: str) -> Quantity:
        """What a meter has to be set to for this touch."""
        if touched in SPEEDS or touched == CLAMP:
            return Quantity.FREQUENCY
        return Quantity.TEMPERATURE if touched == SURFACE else Quantity.RESISTANCE

    def value(self, touched: str) -> float:
        """Ohm with the test leads in it, hertz or celsius; infinite where nothing conducts."""
        if touched == SURFACE:
            return self.oven.shown
        if touched == CLAMP:
            return self.engine.hertz()
        if touched in SPEEDS:
            return SPEEDS[touched] / 60.0 * self._random.gauss(1.0, SPREAD)
        return sum(self._ohm(name) for name in (*CIRCUITS[touched], "test leads"))

    def _ohm(self, name: str) -> float:
        sound, fault = self._parts[name].at(self.oven.celsius), self._faults.get(name)
        return sound if fault is None else fault.ohm(sound, self._random)
