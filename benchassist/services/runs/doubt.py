"""Why a run cannot say all it was made for, in words."""

from collections.abc import Iterable
from types import MappingProxyType
from typing import Final

from benchassist.core.run import RunGap
from benchassist.core.run_finding import Doubt
from benchassist.services.runs.clock import clock_text
from benchassist.services.translation import _

_GAP: Final = MappingProxyType(
    {
        "lost": _("meter lost"),
        "stalled": _("meter silent"),
        "garbage": _("not understood"),
        "overflow": _("not kept in time"),
        "hold": _("meter on hold"),
        "function": _("meter on another function"),
        "closed": _("link closed"),
    }
)

_DOUBT: Final = MappingProxyType(
    {
        Doubt.GAP: _("Readings are missing where they matter."),
        Doubt.SHORT: _("Too few readings to say more."),
        Doubt.NOT_HOT: _("It never came near the ceiling."),
        Doubt.ONE_CYCLE: _("Fewer cycles than asked for."),
        Doubt.OUT_OF_ORDER: _("Gauge marks fell or came out of order; the rise is used."),
        Doubt.CUT: _("The program ended in mid-run; this is from what was on disk."),
    }
)


def gap_text(reason: str) -> str:
    """Why samples are missing: 'meter lost'."""
    return _GAP.get(reason, _("no readings"))


def doubt_sentences(doubts: Iterable[Doubt], gaps: Iterable[RunGap]) -> tuple[str, ...]:
    """One sentence a doubt; one about gaps names the longest."""
    longest = max(gaps, key=lambda gap: gap.end_s - gap.start_s, default=None)
    said: list[str] = []
    for doubt in doubts:
        if doubt is Doubt.GAP and longest is not None:
            text = _("No readings from {start} to {end}: {why}.")
            said.append(
                text.format(
                    start=clock_text(longest.start_s),
                    end=clock_text(longest.end_s),
                    why=gap_text(longest.reason),
                )
            )
        else:
            said.append(_DOUBT[doubt])
    return tuple(said)
