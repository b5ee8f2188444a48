"""What a meter's display shows, exact to the digit, before it becomes a reading.

One count is the last printed decimal times the prefix. A value is whole counts of it, brought into
the base unit in one rounding (as Decimal, or by one division of whole numbers), so that 3.86 k is
3860 with a count of 10 and never 3859.9999.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from types import MappingProxyType
from typing import Final, Protocol

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, Mode, Reading

PREFIX: Final[Mapping[str, int]] = MappingProxyType(
    {"p": -12, "n": -9, "u": -6, "µ": -6, "μ": -6, "m": -3, "": 0, "k": 3, "K": 3, "M": 6, "G": 9}
)
"""Powers of ten of the prefixes that displays print (both code points of the micro sign)."""


class Display(Protocol):
    """What a display shows, ready to become a reading."""

    def reading(self, *, t_s: float, channel: str) -> Reading:
        """The same as a reading of that moment and channel."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """One display: value, one count and full scale in the base unit of `quantity`.

    `value` is None for an overload; `resolution` and `full_scale` are None where unknown.
    `exponent` is the power of ten of the prefix shown.
    """

    quantity: Quantity | None
    value: Decimal | None
    resolution: Decimal | None = None
    full_scale: Decimal | None = None
    mode: Mode = Mode.PLAIN
    flags: frozenset[Flag] = frozenset()
    exponent: int = 0

    def reading(self, *, t_s: float, channel: str) -> Reading:
        """The same as a reading of that moment and channel."""
        return Reading(
            t_s=t_s,
            channel=channel,
            quantity=self.quantity,
            value=_float(self.value),
            resolution=_float(self.resolution),
            full_scale=_float(self.full_scale),
            overload=self.value is None,
            mode=self.mode,
            flags=self.flags,
            exponent=self.exponent,
        )


@dataclass(frozen=True, slots=True)
class Span:
    """A range as a table prints it: counts at full scale, one count as a power of ten, prefix."""

    counts: int
    power: int
    exponent: int
    resolution: float = field(init=False)
    full_scale: float = field(init=False)

    def __post_init__(self) -> None:
        """One count and full scale in the base unit, for every frame the same."""
        object.__setattr__(self, "resolution", self.value(1))
        object.__setattr__(self, "full_scale", self.value(self.counts))

    def value(self, counts: int) -> float:
        """The float next to that many counts in the base unit."""
        return float(counts * 10**self.power) if self.power >= 0 else counts / 10**-self.power


def span(text: str) -> Span:
    """A range written as in a data sheet: '22.000k' is 22 kilo with a count of 1.

    Raises ValueError for anything else.
    """
    digits = text.rstrip("pnuµμmkMG")
    prefix = text[len(digits) :]
    if prefix not in PREFIX or not digits.replace(".", "", 1).isdigit():
        raise ValueError(f"not a range: {text!r}")
    exponent, decimals = PREFIX[prefix], len(digits.partition(".")[2])
    return Span(int(digits.replace(".", "")), exponent - decimals, exponent)


def spans(texts: Iterable[str | None]) -> tuple[Span | None, ...]:
    """The ranges of a table in the order of their codes; None where a code has none."""
    return tuple(None if text is None else span(text) for text in texts)


def scaled(digits: str, exponent: int) -> Decimal:
    """Printed digits times the power of ten of their prefix."""
    return Decimal(digits).scaleb(exponent)


def count_of(digits: str, exponent: int) -> Decimal:
    """One count of printed digits: the last decimal times the power of ten of their prefix."""
    decimals = len(digits.partition(".")[2])
    return Decimal(1).scaleb(exponent - decimals)


def _float(value: Decimal | None) -> float | None:
    return None if value is None else float(value)
