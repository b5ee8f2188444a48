"""A cause's weight in one word. The limits are shop judgement, as the weights are.

A share is never printed bare; the word says what it stands on: whether anything on the bench bears
on the cause at all, whether it may be named, whether it is a fault that merely adds to another.
"""

from enum import StrEnum
from typing import Final

from benchassist.core.cause import CauseBook
from benchassist.core.ranking import Argument, Ranked, Ranking

FAIR_SHARE: Final = 0.25
ADDS_BITS: Final = 1.0
"""Evidence from the bench that at least doubles a cause's odds shows a fault of its own.

What speaks for the first cause as well is explained by it, and shows none.
"""
SAID: Final = "question:"


class Strength(StrEnum):
    """How a cause stands."""

    STRONG = "strong"
    """It may be named first."""
    FAIR = "fair"
    """A good part of what remains, and something on the bench bears on it."""
    WEAK = "weak"
    NOT_TESTED = "not_tested"
    """Nothing but what the customer said bears on it."""
    ADDS = "adds"
    """Seen on the bench, yet another cause explains the complaint better."""


def strength(book: CauseBook, ranking: Ranking, ranked: Ranked) -> Strength:
    """The word for one cause of a ranking."""
    bench = [argument for argument in ranked.arguments if _from_bench(book, argument)]
    if not bench:
        return Strength.NOT_TESTED
    if ranking.named is ranked:
        return Strength.STRONG
    if ranked.share >= FAIR_SHARE:
        return Strength.FAIR
    first = ranking.ranked[0]
    explained = {argument.evidence for argument in first.speaking_for}
    own = sum(argument.bits for argument in bench if argument.evidence not in explained)
    return Strength.ADDS if own >= ADDS_BITS and first is not ranked else Strength.WEAK


def _from_bench(book: CauseBook, argument: Argument) -> bool:
    return not book.find(argument.evidence).source.startswith(SAID)
