"""What can be done about a verdict that is not reached yet: codes and figures, never sentences."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from benchassist.core.band import Band
from benchassist.core.estimate import Conditions
from benchassist.core.prospect import RANK, Prospect, Reach
from benchassist.core.quantity import Quantity
from benchassist.core.volt_drop import HIGHEST_CURRENT, HIGHEST_VOLTAGE

USUAL_LEADS: Final = 0.5
"""Ohm: leads add 0.1 to 0.5 ohm (common practice)."""


class Remedy(StrEnum):
    """What to do; services/wording makes the sentence."""

    OTHER_RANGE = "other_range"
    FINER_COUNT = "finer_count"
    VOLT_DROP = "volt_drop"
    LEAD_ZERO = "lead_zero"
    ACCURACY_STATEMENT = "accuracy_statement"
    COLDER_PART = "colder_part"
    BETTER_THERMOMETER = "better_thermometer"
    STEADY_CONTACT = "steady_contact"
    GO_UP_A_RANGE = "go_up_a_range"
    TOUCH_PROBES = "touch_probes"
    NAME_THE_RANGE = "name_the_range"
    TYPE_AS_SHOWN = "type_as_shown"
    OTHER_METER = "other_meter"
    """No way of this meter to decide the step is known."""
    ON_THE_EDGE = "on_the_edge"
    """So near the limit that no other way to read it is likely to settle it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """One remedy with the figures it stands on, in base units; None where they do not apply.

    `full_scale` and `resolution` name the range, `expanded` is the U to expect on it and `share`
    the part of the band it could call. `u_temperature` is the standard uncertainty in kelvin to
    which the temperature would have to be known. `odds` is the probability that a reading too close
    to call would be decided by it. `rezero`: zero the leads on that range.
    `current` and `voltage` are the limits of a volt drop. `best` marks the one to try first.
    """

    remedy: Remedy
    full_scale: float | None = None
    resolution: float | None = None
    expanded: float | None = None
    share: float | None = None
    reach: Reach | None = None
    odds: float | None = None
    u_temperature: float | None = None
    rezero: bool = False
    current: float | None = None
    voltage: float | None = None
    best: bool = False


def on_range(p: Prospect, band: Band, conditions: Conditions) -> Advice:
    """Read it on that range of the meter card."""
    zero = conditions.lead_zero
    zeroed_there = zero is not None and zero.same_range_as(
        resolution=p.resolution, full_scale=p.full_scale
    )
    return Advice(
        remedy=Remedy.OTHER_RANGE,
        full_scale=p.full_scale,
        resolution=p.resolution,
        expanded=p.expanded,
        share=p.share,
        reach=p.reach,
        rezero=leads_matter(band, p.expanded) and not zeroed_there,
    )


def finer_count(p: Prospect, band: Band) -> Advice:
    """Read it on any range that steps so finely."""
    return Advice(
        remedy=Remedy.FINER_COUNT,
        resolution=p.resolution,
        expanded=p.expanded,
        share=p.share,
        reach=p.reach,
        rezero=leads_matter(band, p.expanded),
    )


def by_volt_drop(p: Prospect) -> Advice:
    """Measure volts and amperes instead, within the limits that keep part and hand safe."""
    return Advice(
        remedy=Remedy.VOLT_DROP,
        resolution=p.resolution,
        expanded=p.expanded,
        share=p.share,
        reach=p.reach,
        current=HIGHEST_CURRENT,
        voltage=HIGHEST_VOLTAGE,
    )


def leads_matter(band: Band, expanded: float) -> bool:
    """Whether leads that are not taken off could be a tenth of the doubt or more."""
    return band.quantity is Quantity.RESISTANCE and 0.1 * expanded < USUAL_LEADS


def ranked(found: list[Advice]) -> list[Advice]:
    """What can call most of the band first, the smaller doubt among equals."""
    return sorted(found, key=lambda a: (RANK.index(a.reach) if a.reach else 0, a.expanded or 0.0))


def smallest_of_each(found: list[Advice]) -> list[Advice]:
    """Of each remedy the one with the smallest doubt among those that can decide, ranked."""
    smallest: dict[Remedy, Advice] = {}
    for advice in sorted(found, key=lambda a: (a.reach is Reach.OPEN_ONLY, a.expanded or 0.0)):
        smallest.setdefault(advice.remedy, advice)
    return ranked(list(smallest.values()))
