"""How strongly a repair may be said to have met its cause: confirmed, probable or precautionary.

The rules are the shop's honesty, not statistics. Nothing is confirmed without a swap that brought
the fault back with the old part, or a break that was reproduced.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from benchassist.core.run_finding import HeatEventKind, HeatFinding
from benchassist.core.swap import SwapFinding, SwapResult

BREAKS: Final = frozenset({HeatEventKind.OPEN, HeatEventKind.STEP_UP, HeatEventKind.STEP_DOWN})
CONTRADICTED_BITS: Final = 1.0
"""Evidence against a cause that halves its odds is said aloud and bars 'probable'."""


class Claim(StrEnum):
    """What may be said on the slip."""

    CONFIRMED = "confirmed"
    PROBABLE = "probable"
    PRECAUTIONARY = "precautionary"


@dataclass(frozen=True, slots=True, kw_only=True)
class Grounds:
    """What a claim about one part stands on.

    `named`: the ranking names its cause first. `against_bits`: the strongest single piece of
    evidence against it, as a positive number. `out_of_band`: a taken reading of the part is.
    """

    swap: SwapFinding | None = None
    heat: HeatFinding | None = None
    named: bool = False
    against_bits: float = 0.0
    out_of_band: bool = False


def claim(grounds: Grounds) -> Claim:
    """The strongest word the grounds carry."""
    swap = grounds.swap
    if swap is not None and swap.result is SwapResult.NOT_THIS_PART:
        return Claim.PRECAUTIONARY
    separated = swap is not None and not swap.not_separated
    if separated and swap is not None and swap.result is SwapResult.PROVED:
        return Claim.CONFIRMED
    if grounds.heat is not None and is_reproduced_break(grounds.heat):
        return Claim.CONFIRMED
    seen_in_part = grounds.out_of_band or (
        separated and swap is not None and swap.result is SwapResult.LIKELY
    )
    if grounds.named and seen_in_part and grounds.against_bits < CONTRADICTED_BITS:
        return Claim.PROBABLE
    return Claim.PRECAUTIONARY


def is_reproduced_break(finding: HeatFinding) -> bool:
    """Whether an open or a step was seen to come and to go again, or came twice.

    One that came once and stayed may be a clip that slipped.
    """
    breaks = [event for event in finding.events if event.kind in BREAKS]
    return len(breaks) >= 2 or any(event.end_s is not None for event in breaks)
