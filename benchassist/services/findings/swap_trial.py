"""The swap test of a part in a visit: its trials, what they come to, what they say as evidence."""

from benchassist.core.entry import SwapTried
from benchassist.core.swap import SwapFinding, SwapResult, judge_swap
from benchassist.core.visit import Visit


def trials_of(visit: Visit, part: str) -> tuple[SwapTried, ...]:
    """The trials of a swap test of a part, in order."""
    return tuple(e for e in visit.entries if isinstance(e, SwapTried) and e.part == part)


def swap_of(visit: Visit, part: str) -> SwapFinding | None:
    """What the swap test of a part has come to; None without a trial.

    The share of cycles that shows the fault is the last one stated; everything that was changed
    with the part in any trial is bundled.
    """
    tried = trials_of(visit, part)
    if not tried:
        return None
    shares = [one.share for one in tried if one.share is not None]
    bundled = dict.fromkeys(name for one in tried for name in one.bundled)
    return judge_swap(
        tuple(one.trial for one in tried),
        share=shares[-1] if shares else None,
        bundled=tuple(bundled),
    )


def swap_code(finding: SwapFinding) -> str:
    """The code of a swap as evidence, empty where it is none yet.

    With something bundled 'proved' is no more than likely, and 'likely' says nothing of the part.
    """
    if finding.result in {SwapResult.OPEN, SwapResult.NOT_SEEN}:
        return ""
    if finding.not_separated and finding.result is SwapResult.PROVED:
        return SwapResult.LIKELY.value
    if finding.not_separated and finding.result is SwapResult.LIKELY:
        return ""
    return finding.result.value
