"""The swap test, old part, new part, old part again; and the odds that a fault merely hid.

Only the fault's return with the old part ties it to the part: a re-seated joint cures as well.
"""

from dataclasses import dataclass
from enum import StrEnum
from math import ceil, log


class Fitted(StrEnum):
    """Which part is in."""

    OLD = "old"
    NEW = "new"


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """A run with one of the parts: whether the fault showed, in how many cycles of it."""

    fitted: Fitted
    fault: bool
    cycles: int = 1


class SwapResult(StrEnum):
    """What the trials come to."""

    OPEN = "open"
    """Not enough trials yet."""
    PROVED = "proved"
    """Fault with the old, none with the new, fault again with the old."""
    LIKELY = "likely"
    """Fault with the old, none with the new; not gone back."""
    NOT_THIS_PART = "not_this_part"
    """The fault showed with the new part."""
    NOT_REPEATED = "not_repeated"
    """The fault did not come back with the old part: a joint re-seated, or it hid."""
    NOT_SEEN = "not_seen"
    """The fault was not seen with the old part to begin with."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapFinding:
    """What a swap test proves; `not_separated` names what else was changed with the part."""

    result: SwapResult
    hidden: float | None = None
    """The chance that a fault of the stated share hid in the clean cycles; None: not known."""
    not_separated: tuple[str, ...] = ()


def judge_swap(
    trials: tuple[Trial, ...], *, share: float | None = None, bundled: tuple[str, ...] = ()
) -> SwapFinding:
    """What the trials prove. `share` is how often a cycle shows the fault, None where unknown.

    With anything bundled the result stands for the bundle: the cause is not separated.
    """
    result = _result(trials)
    clean = [t.cycles for t in trials if t.fitted is Fitted.NEW and not t.fault]
    hidden = None
    if share is not None and clean and result in {SwapResult.PROVED, SwapResult.LIKELY}:
        hidden = hidden_chance(share, sum(clean))
    return SwapFinding(result=result, hidden=hidden, not_separated=bundled)


def _result(trials: tuple[Trial, ...]) -> SwapResult:
    if any(t.fitted is Fitted.NEW and t.fault for t in trials):
        return SwapResult.NOT_THIS_PART
    news = [i for i, t in enumerate(trials) if t.fitted is Fitted.NEW]
    if not news:
        return SwapResult.OPEN
    before = [t for t in trials[: news[0]] if t.fitted is Fitted.OLD]
    after = [t for t in trials[news[0] :] if t.fitted is Fitted.OLD]
    if not any(t.fault for t in before):
        return SwapResult.NOT_SEEN
    if not after:
        return SwapResult.LIKELY
    return SwapResult.PROVED if any(t.fault for t in after) else SwapResult.NOT_REPEATED


def hidden_chance(share: float, cycles: int) -> float:
    """The chance that a fault which shows on `share` of the cycles stays hidden in so many.

    (1 - p)^n for independent cycles. Raises ValueError outside 0 < p <= 1 or below no cycles.
    """
    if not 0.0 < share <= 1.0 or cycles < 0:
        raise ValueError("the share lies above 0 and up to 1, the cycles at 0 or more")
    return (1.0 - share) ** cycles


def cycles_needed(share: float, level: float) -> int:
    """Clean cycles that bring the chance of a hidden fault to `level` or below.

    Raises ValueError outside 0 < p <= 1 and 0 < level < 1.
    """
    if not 0.0 < share <= 1.0 or not 0.0 < level < 1.0:
        raise ValueError("share and level lie between 0 and 1")
    if share == 1.0:
        return 1
    return max(1, ceil(log(level) / log(1.0 - share) - 1e-12))
