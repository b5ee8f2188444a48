"""Causes of a complaint and what bears on them, as the spec book states them.

The weights are shop judgement, not statistics. A strength is a likelihood ratio: how many times
likelier an outcome is where this cause is at work than where something else is.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import isfinite


class CostClass(StrEnum):
    """What the usual fix costs in parts."""

    LOW = "low"
    MIDDLE = "middle"
    HIGH = "high"


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """One way evidence can turn out; `base` is its share where something else is wrong.

    `when` names what makes it so: answers of a look or a question, codes of a verdict or a run.
    """

    key: str
    text: str
    base: float
    when: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """Something that can be asked, seen, measured or run.

    `source` says where it is answered: 'question:KEY', 'look:KEY', 'reading:KEY', 'run:KEY',
    'drill:STEP', 'swap:PART'. `minutes` on the bench is shop judgement; 0 for what is only said.
    `by_hand`: no step of the complaint's procedure answers it, the technician states it.
    `after` names what must have been seen before it can be made, each 'evidence:outcome', one of
    them is enough; `cautions` are keys.
    """

    key: str
    name: str
    outcomes: tuple[Outcome, ...]
    source: str = ""
    minutes: float = 0.0
    by_hand: bool = False
    after: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    def is_due(self, seen: Mapping[str, str]) -> bool:
        """Whether what must come before it has been seen (evidence key to outcome key)."""
        pairs = (one.split(":", 1) for one in self.after)
        return not self.after or any(seen.get(key) == outcome for key, outcome in pairs)

    def outcome(self, key: str) -> Outcome:
        """The outcome of that key. Raises KeyError."""
        for outcome in self.outcomes:
            if outcome.key == key:
                return outcome
        raise KeyError(key)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bearing:
    """How many times likelier an outcome is under a cause; above 1 raises it, below 1 lowers it."""

    evidence: str
    outcome: str
    ratio: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """One cause of a complaint. `weight` is its share before anything is known, beside the others.

    `test` is the key of the evidence that settles it quickest, `part` what is replaced, `fix` the
    usual remedy in words.
    """

    key: str
    name: str
    weight: float
    bearings: tuple[Bearing, ...]
    test: str = ""
    part: str = ""
    fix: str = ""
    cost: CostClass = CostClass.LOW
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CauseBook:
    """The causes of one complaint with everything that bears on them.

    `other_weight` is the share of 'something else' beside the causes' weights. `note` says whose
    figures these are.
    """

    complaint: str
    causes: tuple[Cause, ...]
    evidence: tuple[Evidence, ...]
    other_weight: float = 1.0
    version: str = ""
    note: str = ""

    def find(self, key: str) -> Evidence:
        """The evidence of that key. Raises KeyError."""
        for one in self.evidence:
            if one.key == key:
                return one
        raise KeyError(key)

    def cause(self, key: str) -> Cause:
        """The cause of that key. Raises KeyError."""
        for one in self.causes:
            if one.key == key:
                return one
        raise KeyError(key)


def likelihoods(cause: Cause, evidence: Evidence) -> dict[str, float]:
    """P(outcome | cause) for every outcome of a piece of evidence; they add up to 1.

    A stated outcome has base times ratio; what is left goes to the others in proportion to their
    bases. Raises ValueError where the stated ones leave less than nothing, or a ratio or base
    cannot be.
    """
    stated = {b.outcome: b.ratio for b in cause.bearings if b.evidence == evidence.key}
    total = sum(outcome.base for outcome in evidence.outcomes)
    if any(not outcome.base > 0.0 for outcome in evidence.outcomes) or not isfinite(total):
        raise ValueError(f"'{evidence.key}': every share must be above zero")
    if any(not (ratio > 0.0 and isfinite(ratio)) for ratio in stated.values()):
        raise ValueError(f"'{cause.key}' on '{evidence.key}': a strength must be above zero")
    shares = {outcome.key: outcome.base / total for outcome in evidence.outcomes}
    taken = {key: shares[key] * ratio for key, ratio in stated.items()}
    left, free = 1.0 - sum(taken.values()), 1.0 - sum(shares[key] for key in stated)
    if len(stated) == len(shares):
        if abs(left) > 1e-6:
            raise ValueError(f"'{cause.key}' on '{evidence.key}': the shares do not add up to 1")
        scale = 1.0 / sum(taken.values())
        return {key: share * scale for key, share in taken.items()}
    if left <= 0.0:
        raise ValueError(f"'{cause.key}' on '{evidence.key}': too strong for its share")
    return {key: taken.get(key, share * left / free) for key, share in shares.items()}


def ratio(cause: Cause, evidence: Evidence, outcome: str) -> float:
    """How many times likelier an outcome is under this cause than under something else."""
    total = sum(one.base for one in evidence.outcomes)
    return likelihoods(cause, evidence)[outcome] / (evidence.outcome(outcome).base / total)
