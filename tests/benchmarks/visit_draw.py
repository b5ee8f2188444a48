"""Visits drawn from a book of causes, and how long an order of tests takes to settle them.

A cause is drawn by its weight, something else among them; every outcome is drawn from the book's
own likelihoods. So what is found holds for the book, not for the trade: it is judged elsewhere.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchassist.core.cause import CauseBook, Evidence, likelihoods
from benchassist.core.ranking import OTHER

Shares = NDArray[np.float64]

SETTLED = 0.9


@dataclass(frozen=True, slots=True)
class Table:
    """A book as arrays: prior shares, and per evidence the likelihoods, outcomes by causes.

    The last cause is something else.
    """

    book: CauseBook
    causes: tuple[str, ...]
    prior: Shares
    likelihood: Mapping[str, Shares]

    @classmethod
    def of(cls, book: CauseBook) -> "Table":
        """The arrays of a book."""
        weights = np.array([*(cause.weight for cause in book.causes), book.other_weight])
        return cls(
            book=book,
            causes=(*(cause.key for cause in book.causes), OTHER),
            prior=weights / weights.sum(),
            likelihood={one.key: _likelihood(book, one) for one in book.evidence},
        )

    def posterior(self, shares: Shares, key: str, outcome: int) -> Shares:
        """Shares after one more outcome."""
        after = shares * self.likelihood[key][outcome]
        return np.asarray(after / after.sum())

    def bits(self, shares: Shares, key: str) -> float:
        """What a test is expected to tell: the mutual information of cause and outcome, in bits."""
        joint = self.likelihood[key] * shares
        chance = joint.sum(axis=1, keepdims=True)
        return float((joint * np.log2(self.likelihood[key] / chance)).sum())


def _likelihood(book: CauseBook, evidence: Evidence) -> Shares:
    keys = [outcome.key for outcome in evidence.outcomes]
    rows = [[likelihoods(cause, evidence)[key] for cause in book.causes] for key in keys]
    total = sum(outcome.base for outcome in evidence.outcomes)
    return np.array(
        [[*row, o.base / total] for row, o in zip(rows, evidence.outcomes, strict=True)]
    )


@dataclass(frozen=True, slots=True)
class Drawn:
    """A visit as drawn: the cause at work and how every piece of evidence would turn out."""

    cause: int
    outcomes: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Worked:
    """How a visit went: minutes until a share stood high enough, or until nothing was left."""

    minutes: float
    settled: bool
    right: bool
    share: float
    tests: int


Order = Callable[[Table, Shares, Mapping[str, str], list[Evidence]], Evidence]
"""Picks the next of the tests that can be made now."""


def draw(table: Table, rng: np.random.Generator) -> Drawn:
    """One visit."""
    cause = int(rng.choice(table.prior.size, p=table.prior))
    return Drawn(
        cause=cause,
        outcomes={
            key: int(rng.choice(chances.shape[0], p=chances[:, cause]))
            for key, chances in table.likelihood.items()
        },
    )


def work(table: Table, drawn: Drawn, order: Order) -> Worked:
    """The interview first, which is free; then test by test, until one cause has 90 %."""
    shares, seen, minutes, tests = table.prior, dict[str, str](), 0.0, 0
    for one in table.book.evidence:
        if one.minutes == 0.0:
            shares = table.posterior(shares, one.key, drawn.outcomes[one.key])
            seen[one.key] = one.outcomes[drawn.outcomes[one.key]].key
    while shares.max() < SETTLED:
        left = [one for one in table.book.evidence if one.key not in seen and one.is_due(seen)]
        if not left:
            break
        test = order(table, shares, seen, left)
        shares = table.posterior(shares, test.key, drawn.outcomes[test.key])
        seen[test.key] = test.outcomes[drawn.outcomes[test.key]].key
        minutes, tests = minutes + test.minutes, tests + 1
    return Worked(
        minutes=minutes,
        settled=bool(shares.max() >= SETTLED),
        right=int(shares.argmax()) == drawn.cause,
        share=float(shares.max()),
        tests=tests,
    )


def next_best(
    table: Table, shares: Shares, _seen: Mapping[str, str], left: list[Evidence]
) -> Evidence:
    """The most telling per minute, as `core.ranking.next_tests` orders them."""
    return min(left, key=lambda one: (-table.bits(shares, one.key) / one.minutes, one.key))


def fixed(order: list[str]) -> Order:
    """A checklist worked from the top; what it does not name comes after, in the book's order."""
    place = {key: number for number, key in enumerate(order)}

    def first(
        _table: Table, _shares: Shares, _seen: Mapping[str, str], left: list[Evidence]
    ) -> Evidence:
        return min(left, key=lambda one: place.get(one.key, len(place)))

    return first
