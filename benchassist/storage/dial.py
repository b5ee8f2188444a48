"""All that stands beside the digits of a reading, told once for thousands of samples."""

from dataclasses import dataclass
from math import isfinite
from typing import Final

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, Mode, Reading, Source

HOLDS: Final = frozenset({Flag.HOLD, Flag.REL, Flag.MIN, Flag.MAX})
"""Flags under which a display does not show what the part does."""

Function = tuple[Quantity | None, Mode]
"""What a meter is turned to."""

Key = tuple[str, Quantity | None, Mode, float | None, float | None, bool, frozenset[Flag], int, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Dial:
    """A reading without its time and its value.

    `missing` is the reason of the gap that its samples stand for: 'hold' where the display was
    held, 'function' where the meter measured something else than the channel does; else empty.
    """

    channel: str
    quantity: Quantity | None = None
    mode: Mode = Mode.PLAIN
    resolution: float | None = None
    full_scale: float | None = None
    overload: bool = False
    flags: frozenset[Flag] = frozenset()
    exponent: int = 0
    source: Source = Source.METER
    missing: str = ""

    def reading(self, t_s: float, value: float) -> Reading:
        """The reading again; the value of an overload is not looked at."""
        return Reading(
            t_s=t_s,
            channel=self.channel,
            quantity=self.quantity,
            value=None if self.overload else value,
            resolution=self.resolution,
            full_scale=self.full_scale,
            overload=self.overload,
            mode=self.mode,
            flags=self.flags,
            exponent=self.exponent,
            source=self.source,
        )


def key_of(reading: Reading) -> Key:
    """Return what tells two dials apart, quickly: it is asked for at every reading."""
    return (
        reading.channel,
        reading.quantity,
        reading.mode,
        reading.resolution,
        reading.full_scale,
        reading.overload,
        reading.flags,
        reading.exponent,
        reading.source,
    )


def dial_of(reading: Reading, function: Function | None, *, plain: bool = False) -> Dial:
    """Return the dial of a reading on a channel of this function, None while none is known.

    `plain` leaves out what can take any number of values. A number that is none counts as unknown.
    """
    foreign = function is not None and function != (reading.quantity, reading.mode)
    return Dial(
        channel=reading.channel,
        quantity=reading.quantity,
        mode=reading.mode,
        resolution=None if plain else _finite(reading.resolution),
        full_scale=None if plain else _finite(reading.full_scale),
        overload=reading.overload,
        flags=reading.flags,
        exponent=0 if plain else reading.exponent,
        source=reading.source,
        missing="hold" if reading.flags & HOLDS else "function" if foreign else "",
    )


def _finite(number: float | None) -> float | None:
    return number if number is not None and isfinite(number) else None
