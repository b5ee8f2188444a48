"""What a part does wrong when it gets hot, or a clip does on it. Temperatures in celsius."""

import math
import random
from dataclasses import dataclass
from typing import Final, Protocol

FLICKER_K: Final = 1.5
FLICKER_SHARE: Final = 0.3
"""A cracked joint opens now and then in so many kelvin before it stays open."""


class HotFault(Protocol):
    """One fault of one part; it may keep its state between two temperatures."""

    def warm(self, celsius: float) -> None:
        """The part has this temperature now."""
        ...

    def ohm(self, sound: float, draw: random.Random) -> float:
        """Resistance in ohm where a sound part has `sound`; infinite where it is open."""
        ...


@dataclass(frozen=True, slots=True)
class HotBreak:
    """A cracked joint: open from `opens` on, closed again from `closes` down."""

    opens: float
    closes: float

    def fresh(self) -> HotFault:
        """The fault in a part that is cold."""
        return _Broken(self)


@dataclass(frozen=True, slots=True)
class SlowJoint:
    """A joint that grows resistance: from `above` on, this share more for each kelvin."""

    above: float
    share: float

    def fresh(self) -> HotFault:
        """The fault in a part that is cold."""
        return _Grown(self)


@dataclass(frozen=True, slots=True)
class ShortedTurns:
    """Insulation that gives way: `share` of the ohms is lost from `shorts` on, back at `clears`."""

    shorts: float
    clears: float
    share: float

    def fresh(self) -> HotFault:
        """The fault in a part that is cold."""
        return _Shorted(self)


@dataclass(frozen=True, slots=True)
class LooseClip:
    """A clip that loses touch for a single reading now and then, hot or cold."""

    share: float

    def fresh(self) -> HotFault:
        """The fault as the clip is put on."""
        return _Loose(self)


Fault = HotBreak | SlowJoint | ShortedTurns | LooseClip


class _Broken:
    def __init__(self, fault: HotBreak) -> None:
        self._fault = fault
        self._is_open = self._is_close = False

    def warm(self, celsius: float) -> None:
        if celsius >= self._fault.opens:
            self._is_open = True
        elif celsius <= self._fault.closes:
            self._is_open = False
        self._is_close = self._fault.opens - FLICKER_K <= celsius

    def ohm(self, sound: float, draw: random.Random) -> float:
        flickers = self._is_close and not self._is_open and draw.random() < FLICKER_SHARE
        return math.inf if self._is_open or flickers else sound


class _Grown:
    def __init__(self, fault: SlowJoint) -> None:
        self._fault = fault
        self._excess = 0.0

    def warm(self, celsius: float) -> None:
        self._excess = max(0.0, celsius - self._fault.above) * self._fault.share

    def ohm(self, sound: float, draw: random.Random) -> float:
        return sound * (1.0 + self._excess)


class _Shorted:
    def __init__(self, fault: ShortedTurns) -> None:
        self._fault = fault
        self._is_short = False

    def warm(self, celsius: float) -> None:
        if celsius >= self._fault.shorts:
            self._is_short = True
        elif celsius <= self._fault.clears:
            self._is_short = False

    def ohm(self, sound: float, draw: random.Random) -> float:
        return sound * (1.0 - self._fault.share) if self._is_short else sound


class _Loose:
    def __init__(self, fault: LooseClip) -> None:
        self._fault = fault
        self._was_off = False

    def warm(self, celsius: float) -> None:
        """Heat is nothing to a clip."""

    def ohm(self, sound: float, draw: random.Random) -> float:
        self._was_off = not self._was_off and draw.random() < self._fault.share
        return math.inf if self._was_off else sound
