"""Speed under load: droop, a generator's hertz, overspeed, and the classes of ISO 8528-5."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from benchassist.core.run_finding import Load, LoadPoint

OVERSPEED: Final = 1.10
"""A warning stands at this much of the rated speed."""


def droop(no_load: float, full_load: float) -> float:
    """(no load - full load) / full load, a fraction, of speeds in rpm or of frequencies.

    Divided by full load, as the army manual in tests/published has it; some sources divide by no
    load. Raises ValueError unless both are above zero.
    """
    if not (no_load > 0.0 and full_load > 0.0):
        raise ValueError("speeds for a droop must be above zero")
    return (no_load - full_load) / full_load


def droop_of(loads: Iterable[LoadPoint]) -> float | None:
    """The droop of the load points: by rpm, else by hertz; None without both ends."""
    points = {point.load: point for point in loads}
    none, full = points.get(Load.NONE), points.get(Load.FULL)
    if none is None or full is None:
        return None
    if none.rpm and full.rpm:
        return droop(none.rpm, full.rpm)
    if none.hertz and full.hertz:
        return droop(none.hertz, full.hertz)
    return None


def generator_hertz(rpm: float, poles: int) -> float:
    """Hertz of a generator with so many poles: rpm x poles / 120.

    Raises ValueError unless the poles are an even number above zero.
    """
    if poles < 2 or poles % 2:
        raise ValueError("a generator has an even number of poles, two or more")
    return rpm * poles / 120.0


def overspeed_warning(rated: float | None) -> float | None:
    """The speed in rpm from which to warn: +10 % of rated; None where nothing is rated."""
    return None if rated is None else OVERSPEED * rated


def steady_band(lowest: float, highest: float, rated: float) -> float:
    """The steady band of ISO 8528-5, (f_max - f_min) / f_r, as a fraction.

    The formula is from a transcription, the standard itself was not read.
    """
    if not rated > 0.0:
        raise ValueError("the rated frequency must be above zero")
    return (highest - lowest) / rated


class SetClass(StrEnum):
    """Performance classes of generating sets in ISO 8528-5, the strictest first."""

    G3 = "g3"
    G2 = "g2"
    G1 = "g1"


@dataclass(frozen=True, slots=True)
class ClassLimits:
    """What a class allows, as fractions."""

    droop: float
    band: float


CLASS_LIMITS: Final = MappingProxyType(
    {
        SetClass.G3: ClassLimits(0.03, 0.005),
        SetClass.G2: ClassLimits(0.05, 0.015),
        SetClass.G1: ClassLimits(0.08, 0.025),
    }
)
"""G2 and the bands from transcriptions, the droops of G1 and G3 from memory; standard not read."""


def set_class(*, droop: float, band: float) -> SetClass | None:
    """The strictest class that a droop and a steady band keep; None beyond G1. Informative only."""
    for name, limits in CLASS_LIMITS.items():
        if droop <= limits.droop and band <= limits.band:
            return name
    return None
