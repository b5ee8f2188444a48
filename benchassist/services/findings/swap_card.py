"""The swap test as a card: what the trials prove, what they leave open, what to do next."""

from collections.abc import Mapping
from math import floor
from types import MappingProxyType
from typing import Final

from benchassist.core.swap import (
    Fitted,
    SwapFinding,
    SwapResult,
    cycles_needed,
    hidden_chance,
)
from benchassist.core.visit import Visit
from benchassist.services.findings.cards import SwapCard, SwapRow
from benchassist.services.findings.swap_trial import swap_of, trials_of
from benchassist.services.settings import Settings
from benchassist.services.translation import _, ngettext

HEAD: Final[Mapping[SwapResult, str]] = MappingProxyType(
    {
        SwapResult.OPEN: _("Not enough runs yet"),
        SwapResult.PROVED: _("It is the {part}"),
        SwapResult.LIKELY: _("Likely the {part}"),
        SwapResult.NOT_THIS_PART: _("Not the {part} alone"),
        SwapResult.NOT_REPEATED: _("Not repeated"),
        SwapResult.NOT_SEEN: _("Fault not seen with the old part"),
    }
)
_PROVES: Final[Mapping[SwapResult, str]] = MappingProxyType(
    {
        SwapResult.OPEN: _("Nothing is proved yet."),
        SwapResult.PROVED: _("Fault with the old, none with the new, fault again with the old."),
        SwapResult.LIKELY: _(
            "Fault with the old, none with the new. A joint re-seated does the same: not proved."
        ),
        SwapResult.NOT_THIS_PART: _("The fault showed with the new part as well."),
        SwapResult.NOT_REPEATED: _(
            "The old part is back and the fault is not: a joint was re-seated, or it hides."
        ),
        SwapResult.NOT_SEEN: _("Without a fault to begin with, no clean run tells anything."),
    }
)
_NEXT: Final[Mapping[SwapResult, str]] = MappingProxyType(
    {
        SwapResult.OPEN: _("Old {part} in, run it hot till it quits; then the new one."),
        SwapResult.PROVED: "",
        SwapResult.LIKELY: _("Old {part} back, run it hot till it quits."),
        SwapResult.NOT_THIS_PART: "",
        SwapResult.NOT_REPEATED: _("Run the old {part} hot again, longer."),
        SwapResult.NOT_SEEN: _("Old {part} in, run it hot till it quits."),
    }
)


def swap_card(
    visit: Visit, part: str, settings: Settings, *, share: float | None, bundled: tuple[str, ...]
) -> SwapCard:
    """The card of a part. `share` and `bundled` are what will be written with the next trial."""
    finding = swap_of(visit, part) or SwapFinding(result=SwapResult.OPEN)
    tried = trials_of(visit, part)
    stated = share if share is not None else _stated(visit, part)
    return SwapCard(
        label=_("Swap test: old, new, old"),
        title=_(part),
        part=part,
        result=finding.result,
        head=HEAD[finding.result].format(part=_(part)),
        proves=proves_text(finding),
        next_text=_NEXT[finding.result].format(part=_(part)),
        rows=tuple(
            SwapRow(
                part_text=_("Old part") if one.trial.fitted is Fitted.OLD else _("New part"),
                result_text=_("fault") if one.trial.fault else _("clean"),
                cycles_text=cycles_text(one.trial.cycles),
                fault=one.trial.fault,
            )
            for one in tried
        ),
        not_separated=not_separated_text(finding.not_separated or bundled),
        odds=odds_text(visit, part, stated),
        cycles_needed=_needed_text(stated, settings),
    )


def proves_text(finding: SwapFinding) -> str:
    """What the trials prove, of the part or of all that was changed with it."""
    return _PROVES[finding.result]


def not_separated_text(bundled: tuple[str, ...]) -> str:
    """What a bundled change leaves unproved; empty where nothing was changed with the part."""
    if not bundled:
        return ""
    names = ", ".join(bundled)
    return _("Cause not separated: {names} changed with it.").format(names=names)


def cycles_text(cycles: int) -> str:
    """'3 hot runs'."""
    return ngettext("{n} hot run", "{n} hot runs", cycles).format(n=cycles)


def clean_cycles(visit: Visit, part: str) -> int:
    """Clean hot runs with the new part."""
    return sum(
        one.trial.cycles
        for one in trials_of(visit, part)
        if one.trial.fitted is Fitted.NEW and not one.trial.fault
    )


def odds_text(visit: Visit, part: str, share: float | None) -> str:
    """The odds that a fault merely hid, or that nobody stated how often it shows."""
    clean = clean_cycles(visit, part)
    if not clean:
        return ""
    if share is None:
        return _("How often a hot run shows the fault was not stated: no odds that it hid.")
    hidden = hidden_chance(share, clean)
    return _(
        "A fault on {share:.0f} of 100 hot runs (as stated) would hide through {cycles}"
        " {hidden} times in 100."
    ).format(share=100.0 * share, cycles=cycles_text(clean), hidden=_times(100.0 * hidden))


def _needed_text(share: float | None, settings: Settings) -> str:
    if share is None:
        return ""
    needed = cycles_needed(share, settings.hidden_level)
    text = _("{cycles} clean in a row bring that to the shop’s {level:g} in 100 or below.")
    return text.format(cycles=cycles_text(needed), level=100.0 * settings.hidden_level)


def _times(hundredths: float) -> str:
    """Whole numbers where they tell enough; 'less than 1' below."""
    if hundredths == 0.0:
        return _("0")
    return _("less than 1") if hundredths < 1.0 else str(floor(hundredths + 0.5))


def _stated(visit: Visit, part: str) -> float | None:
    shares = [one.share for one in trials_of(visit, part) if one.share is not None]
    return shares[-1] if shares else None
