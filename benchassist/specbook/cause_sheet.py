"""Causes and evidence as they are written: one dataclass a TOML table.

Weights, shares, strengths and minutes are shop judgement, not statistics; a book says so.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from benchassist.core.cause import CostClass


class WeightWord(StrEnum):
    """The trade's words for how common a cause is beside the others."""

    HIGH = "H"
    MIDDLE_HIGH = "M-H"
    MIDDLE = "M"
    LOW_MIDDLE = "L-M"
    LOW = "L"


WEIGHTS: Final[Mapping[WeightWord, float]] = MappingProxyType(
    {
        WeightWord.HIGH: 6.0,
        WeightWord.MIDDLE_HIGH: 4.0,
        WeightWord.MIDDLE: 3.0,
        WeightWord.LOW_MIDDLE: 2.0,
        WeightWord.LOW: 1.0,
    }
)
"""What the words stand for: shop judgement."""

Weight = WeightWord | float
"""A word, or the figure itself."""


def figure(weight: Weight) -> float:
    """The number that a weight stands for."""
    return WEIGHTS[weight] if isinstance(weight, WeightWord) else weight


@dataclass(frozen=True, slots=True, kw_only=True)
class OutcomeSheet:
    """One way evidence can turn out; `share` is how often where something else is wrong.

    Without `when` the key itself is the answer or code that makes it so; without `text` it has
    that answer's words.
    """

    key: str
    share: float
    text: str = ""
    when: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidenceSheet:
    """A piece of evidence, of one complaint or shared by several.

    Without `source` the technician states it: then it needs its own minutes and cautions. What a
    check answers has that check's minutes unless others are written, and its cautions besides
    those written here. `after` holds 'evidence:outcome', one of which must have been seen.
    """

    key: str
    name: str
    outcomes: tuple[OutcomeSheet, ...]
    source: str = ""
    minutes: float | None = None
    after: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class BearingSheet:
    """How many times likelier an outcome is under the cause than under something else.

    `note` says whose figure it is where it is not the book's.
    """

    evidence: str
    outcome: str
    strength: float
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CauseSheet:
    """A cause. `not_for` names engine classes that cannot have it.

    `class_weight` says where a class has it more or less often. `part` is a plain word, the one
    after 'swap:' where the part can be swapped; `test` the evidence that settles it quickest.
    `note` says whose weights they are where they are not the book's.
    """

    key: str
    name: str
    weight: Weight
    fix: str
    cost: CostClass
    test: str
    bearings: tuple[BearingSheet, ...] = ()
    part: str = ""
    cautions: tuple[str, ...] = ()
    not_for: tuple[str, ...] = ()
    class_weight: dict[str, Weight] = field(default_factory=dict)
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CauseBookSheet:
    """The causes of one complaint, whose key it has; `note` says whose figures these are.

    `by_hand` names the evidence that no step of the complaint's procedure answers: the technician
    states it with the findings.
    """

    key: str
    version: str
    note: str
    other_weight: float
    cause: tuple[CauseSheet, ...]
    evidence: tuple[EvidenceSheet, ...] = ()
    by_hand: tuple[str, ...] = ()
