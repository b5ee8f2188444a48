"""A simulated meter: ranges, a gain error of its own, noise, and half a second to settle."""

import math
import random
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, Mode

GAIN_ERROR: Final = 0.003
"""Largest relative error of a range, fixed for a seed."""
NOISE_COUNTS: Final = 0.35
SETTLE_S: Final = 0.12
"""Time constant after the probes touch: within 1 % after half a second."""
FIRST_ERROR: Final = 0.6


@dataclass(frozen=True, slots=True)
class MeterSpan:
    """One range: full scale and one count in base units, and its code where a frame has one."""

    full_scale: float
    count: float
    code: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Face:
    """What the display shows: counts of one range, or an overload."""

    quantity: Quantity
    spanned: MeterSpan
    counts: int
    over: bool = False
    mode: Mode = Mode.PLAIN
    flags: frozenset[Flag] = frozenset()

    @property
    def value(self) -> float:
        """The number shown, in base units; infinite for an overload."""
        return math.inf if self.over else self.counts * self.spanned.count


def _ranges(first: float, count: float, codes: range | tuple[int, ...]) -> tuple[MeterSpan, ...]:
    """Ranges in steps of ten from the first full scale and its count."""
    return tuple(MeterSpan(first * 10**i, count * 10**i, code) for i, code in enumerate(codes))


Ranges = Mapping[Quantity, tuple[MeterSpan, ...]]
RANGES: Final[Mapping[str, Ranges]] = MappingProxyType(
    {
        "nibble-14": {
            Quantity.RESISTANCE: _ranges(220.0, 0.01, range(7)),
            Quantity.FREQUENCY: (
                MeterSpan(22.0, 0.01, 0),
                MeterSpan(220.0, 0.1, 1),
                MeterSpan(22e3, 1.0, 3),
                MeterSpan(220e3, 10.0, 4),
            ),
            Quantity.VOLTAGE: _ranges(2.2, 0.0001, range(4)),
        },
        "text-line": {
            Quantity.RESISTANCE: _ranges(200.0, 0.1, range(6)),
            Quantity.FREQUENCY: _ranges(200.0, 0.1, range(4)),
            Quantity.VOLTAGE: _ranges(2.0, 0.001, range(4)),
            Quantity.TEMPERATURE: (MeterSpan(1000.0, 0.1),),
        },
        "scpi": {
            Quantity.RESISTANCE: _ranges(100.0, 1e-4, range(7)),
            Quantity.FREQUENCY: (MeterSpan(300e3, 1e-3),),
            Quantity.VOLTAGE: _ranges(0.1, 1e-7, range(5)),
            Quantity.TEMPERATURE: (MeterSpan(1000.0, 0.01),),
        },
    }
)


class SimulatedMeter:
    """A meter of one protocol. Time comes in as monotonic seconds."""

    def __init__(self, protocol: str, seed: int) -> None:
        self.quantity = Quantity.RESISTANCE
        self.mode = Mode.PLAIN
        self.flags: set[Flag] = set()
        self.fixed_full_scale: float | None = None
        self._ranges = RANGES[protocol]
        self._random = random.Random(seed)
        self._gain = {
            spanned: 1.0 + self._random.uniform(-GAIN_ERROR, GAIN_ERROR)
            for ranges in self._ranges.values()
            for spanned in ranges
        }
        self._touched_s = -math.inf

    @property
    def quantities(self) -> frozenset[Quantity]:
        """What it can be set to."""
        return frozenset(self._ranges)

    def touch(self, t_s: float) -> None:
        """The probes touch something else from now on."""
        self._touched_s = t_s

    def read(self, true: float, t_s: float) -> Face:
        """What it shows of a true value in base units (infinite: nothing connected) at `t_s`."""
        since = t_s - self._touched_s
        seen = true * (1.0 - FIRST_ERROR * math.exp(-since / SETTLE_S))
        spanned = self._chosen(seen)
        noise = self._random.gauss(0.0, NOISE_COUNTS)
        over = not math.isfinite(seen) or abs(seen) > spanned.full_scale
        exact = 0.0 if over else seen * self._gain[spanned] / spanned.count + noise
        counts = round(exact) if self.quantity is Quantity.TEMPERATURE else max(0, round(exact))
        auto = {Flag.AUTO} if self.fixed_full_scale is None else set()
        return Face(
            quantity=self.quantity,
            spanned=spanned,
            counts=counts,
            over=over,
            mode=self.mode,
            flags=frozenset(self.flags | auto),
        )

    def _chosen(self, seen: float) -> MeterSpan:
        """The range set by hand, else the smallest that holds the value, else the largest."""
        ranges = self._ranges[self.quantity]
        least = abs(seen) if self.fixed_full_scale is None else self.fixed_full_scale
        return next((s for s in ranges if s.full_scale >= least), ranges[-1])
