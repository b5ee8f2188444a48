"""Series check: coil and cap (and lead) measured one by one against the whole path.

Ohms in series add up. What the path has more is a joint nobody measured; what it has less runs
beside it. The limit, the larger of 3 % and 200 ohm, is common practice of the trade.
"""

from dataclasses import dataclass
from enum import StrEnum
from math import sqrt
from typing import Final

from benchassist.core.copper import at_reference

SHARE: Final = 0.03
LEAST: Final = 200.0
"""Ohm."""


class Closure(StrEnum):
    """What the sum says."""

    CLOSES = "closes"
    HIDDEN_JOINT = "hidden_joint"
    PARALLEL_PATH = "parallel_path"
    UNDECIDED = "undecided"
    """The doubts are wider than the limit, or reach over it."""
    VOID = "void"
    """Electronics in the path: ohms do not add up."""
    OTHER_TEMPERATURE = "other_temperature"
    """A winding was measured at an unknown temperature."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One resistance in the path: ohm with its standard uncertainty, copper or not, and how warm.

    `celsius` is needed for copper only.
    """

    name: str
    ohm: float
    uncertainty: float
    copper: bool = False
    celsius: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PathCheck:
    """The residual: path less the sum of its pieces, in ohm, with its expanded uncertainty."""

    closure: Closure
    total: float = 0.0
    residual: float = 0.0
    expanded_uncertainty: float = 0.0
    limit: float = 0.0


def check_path(
    pieces: tuple[Piece, ...], path: Piece, *, electronics: bool = False, k: float = 2.0
) -> PathCheck:
    """Whether the pieces make up the path, all brought to the path's temperature.

    Readings of one meter share its error; taken as independent, the doubt comes out too wide
    rather than too narrow.
    """
    if electronics:
        return PathCheck(closure=Closure.VOID)
    total, square = 0.0, path.uncertainty**2
    for piece in pieces:
        factor = 1.0
        if piece.copper and piece.celsius != path.celsius:
            if piece.celsius is None or path.celsius is None:
                return PathCheck(closure=Closure.OTHER_TEMPERATURE)
            factor = at_reference(1.0, celsius=piece.celsius, reference=path.celsius)
        total += piece.ohm * factor
        square += (piece.uncertainty * factor) ** 2
    residual, doubt = path.ohm - total, k * sqrt(square)
    limit = max(SHARE * total, LEAST)
    return PathCheck(
        closure=_closure(residual, doubt, limit),
        total=total,
        residual=residual,
        expanded_uncertainty=doubt,
        limit=limit,
    )


def _closure(residual: float, doubt: float, limit: float) -> Closure:
    if abs(residual) + doubt <= limit:
        return Closure.CLOSES
    if residual - doubt > limit:
        return Closure.HIDDEN_JOINT
    if residual + doubt < -limit:
        return Closure.PARALLEL_PATH
    return Closure.UNDECIDED
