"""Which causes remain, in which order, and what the next test would tell.

One cause or something else is at work; evidence is independent given the cause (naive Bayes). The
posterior share of a cause is proportional to its weight times the likelihoods of what was seen;
log-odds are natural. Information is Shannon's, in bits.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import exp, inf, log, log2

from benchassist.core.cause import CauseBook, Evidence, likelihoods, ratio

OTHER = ""
"""The key of 'something else'."""

NAMED_SHARE = 0.5
NAMED_LEAD = 2.0
NAMED_BITS = 2.0
NAMED_PIECES = 2
"""A cause is named first only with at least this share, this many times the share of the next,
this much evidence for it, from so many pieces: shop judgement."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Argument:
    """What one piece of evidence says of a cause: `bits` above zero speak for it, below against."""

    evidence: str
    outcome: str
    bits: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranked:
    """A cause with its share of what remains, log-odds and arguments, the strongest first."""

    cause: str
    share: float
    log_odds: float
    arguments: tuple[Argument, ...] = ()

    @property
    def speaking_for(self) -> tuple[Argument, ...]:
        """What raises it."""
        return tuple(one for one in self.arguments if one.bits > 0.0)

    @property
    def speaking_against(self) -> tuple[Argument, ...]:
        """What lowers it."""
        return tuple(one for one in self.arguments if one.bits < 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranking:
    """Causes by share, largest first, and what is left for something else."""

    ranked: tuple[Ranked, ...]
    other: float

    @property
    def named(self) -> Ranked | None:
        """The cause that may be named first; None while the evidence does not carry that."""
        if not self.ranked:
            return None
        first = self.ranked[0]
        next_share = max(self.other, self.ranked[1].share if len(self.ranked) > 1 else 0.0)
        speaking = first.speaking_for
        enough = (
            first.share >= NAMED_SHARE
            and first.share >= NAMED_LEAD * next_share
            and len(speaking) >= NAMED_PIECES
            and sum(one.bits for one in speaking) >= NAMED_BITS
        )
        return first if enough else None

    def of(self, cause: str) -> Ranked:
        """A cause's place. Raises KeyError."""
        for one in self.ranked:
            if one.cause == cause:
                return one
        raise KeyError(cause)

    @property
    def entropy(self) -> float:
        """What is not known, in bits."""
        return entropy([*(one.share for one in self.ranked), self.other])


def entropy(shares: list[float]) -> float:
    """Shannon entropy in bits of shares that add up to 1."""
    return -sum(p * log2(p) for p in shares if p > 0.0)


def rank(book: CauseBook, seen: Mapping[str, str]) -> Ranking:
    """Rank the causes by what was seen: evidence key to outcome key; unknown keys are left out.

    Raises ValueError where the book's figures cannot be.
    """
    known = [(book.find(key), outcome) for key, outcome in seen.items() if _known(book, key)]
    logs = {OTHER: log(book.other_weight) if book.other_weight > 0.0 else -inf}
    arguments: dict[str, list[Argument]] = {cause.key: [] for cause in book.causes}
    for cause in book.causes:
        logs[cause.key] = log(cause.weight)
        for evidence, outcome in known:
            found = ratio(cause, evidence, outcome)
            logs[cause.key] += log(found)
            if abs(log2(found)) > 1e-9:
                argument = Argument(evidence=evidence.key, outcome=outcome, bits=log2(found))
                arguments[cause.key].append(argument)
    top = max(logs.values())
    weights = {key: exp(value - top) for key, value in logs.items()}
    total = sum(weights.values())
    shares = {key: weight / total for key, weight in weights.items()}
    return _ranking(shares, arguments)


def _ranking(shares: Mapping[str, float], arguments: Mapping[str, list[Argument]]) -> Ranking:
    """Causes in the order of their shares; `shares` holds something else too."""
    ranked = [
        Ranked(
            cause=key,
            share=share,
            log_odds=_log_odds(share),
            arguments=tuple(sorted(arguments.get(key, ()), key=lambda a: -abs(a.bits))),
        )
        for key, share in shares.items()
        if key != OTHER
    ]
    ranked.sort(key=lambda one: (-one.share, one.cause))
    return Ranking(ranked=tuple(ranked), other=shares[OTHER])


def _known(book: CauseBook, key: str) -> bool:
    return any(evidence.key == key for evidence in book.evidence)


def _log_odds(share: float) -> float:
    if share >= 1.0:
        return inf
    return log(share / (1.0 - share)) if share > 0.0 else -inf


@dataclass(frozen=True, slots=True, kw_only=True)
class Prospect:
    """One way a test may turn out: how likely, and the ranking after it, without arguments."""

    outcome: str
    probability: float
    ranking: Ranking


@dataclass(frozen=True, slots=True, kw_only=True)
class NextTest:
    """A test that has not been made: what it is expected to tell, in bits, and per minute."""

    evidence: str
    bits: float
    minutes: float
    prospects: tuple[Prospect, ...]

    @property
    def bits_per_minute(self) -> float:
        """Expected information per minute; a test of no minutes counts as half a minute."""
        return self.bits / max(self.minutes, 0.5)


def next_test(book: CauseBook, seen: Mapping[str, str], evidence: Evidence) -> NextTest:
    """What a test would tell from where things stand: entropy now less its expectation after."""
    return _test_from(book, rank(book, seen), evidence)


def _test_from(book: CauseBook, now: Ranking, evidence: Evidence) -> NextTest:
    """By Bayes' rule from the shares as they are: each times the likelihood of what may come."""
    total = sum(outcome.base for outcome in evidence.outcomes)
    shares = {OTHER: now.other, **{one.cause: one.share for one in now.ranked}}
    likely = {cause.key: likelihoods(cause, evidence) for cause in book.causes}
    prospects = []
    for outcome in evidence.outcomes:
        joint = {OTHER: shares[OTHER] * outcome.base / total}
        joint |= {key: shares[key] * table[outcome.key] for key, table in likely.items()}
        chance = sum(joint.values())
        after = {key: part / chance for key, part in joint.items()} if chance > 0.0 else shares
        prospects.append(
            Prospect(outcome=outcome.key, probability=chance, ranking=_ranking(after, {}))
        )
    left = sum(one.probability * one.ranking.entropy for one in prospects)
    return NextTest(
        evidence=evidence.key,
        bits=max(0.0, now.entropy - left),
        minutes=evidence.minutes,
        prospects=tuple(prospects),
    )


def next_tests(
    book: CauseBook, seen: Mapping[str, str], *, barred: frozenset[str] = frozenset()
) -> tuple[NextTest, ...]:
    """Tests not made yet, the most telling per minute first; `barred` ones cannot be made now."""
    now = rank(book, seen)
    tests = [
        _test_from(book, now, evidence)
        for evidence in book.evidence
        if evidence.key not in seen and evidence.key not in barred and evidence.minutes > 0.0
    ]
    tests.sort(key=lambda test: (-test.bits_per_minute, test.evidence))
    return tuple(tests)
