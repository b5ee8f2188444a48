"""What the findings add to the slip: claims, parts, service, swap, choice, acceptance.

Short sentences: the slip stays one page. What is confirmed stands under Proved; what is probable or
precautionary under Not proved, with what it lacks.
"""

from collections.abc import Iterable, Iterator
from typing import Final

from benchassist.core.claim import Claim
from benchassist.core.entry import Decided, PartFitted, Proved, Serviced, SwapTried
from benchassist.core.path import Closure
from benchassist.core.slip import Pair
from benchassist.core.swap import SwapResult
from benchassist.core.visit import Visit
from benchassist.errors import InputError
from benchassist.services.findings.cards import ClaimRow
from benchassist.services.findings.case import Case, case_of
from benchassist.services.findings.claims import claims_of
from benchassist.services.findings.repair import (
    acceptance_of,
    fitted_text,
    minutes_text,
    missing_texts,
    service_text,
)
from benchassist.services.findings.series_check import series_of, series_sentence
from benchassist.services.findings.stake_card import choice_text
from benchassist.services.findings.swap_card import not_separated_text, odds_text, proves_text
from benchassist.services.findings.swap_trial import swap_of, trials_of
from benchassist.services.translation import _, ngettext
from benchassist.units import UnitChoice

_BEGUN: Final = frozenset({SwapResult.OPEN, SwapResult.NOT_SEEN})
_DECIDED: Final = frozenset({Closure.CLOSES, Closure.HIDDEN_JOINT, Closure.PARALLEL_PATH})


def case_or_none(visit: Visit) -> Case | None:
    """The case; None as well where its figures cannot be: the slip goes on with the rest."""
    try:
        return case_of(visit)
    except InputError:
        return None


def did_pairs(visit: Visit, units: UnitChoice) -> Iterator[Pair]:
    """Parts fitted, service done and choices made, in order."""
    for entry in visit.entries:
        match entry:
            case PartFitted():
                name, _sep, kept = fitted_text(entry).partition("; ")
                yield Pair(name=_("Fitted: {part}").format(part=name), words=kept)
            case Serviced():
                yield Pair(name=service_text(entry, units), words=_("done"))
    for part in _decided_parts(visit):
        name = _("Replace or keep: {part}").format(part=_(part))
        yield Pair(name=name, words=choice_text(visit, part))


def _decided_parts(visit: Visit) -> Iterable[str]:
    return dict.fromkeys(e.part for e in visit.entries if isinstance(e, Decided))


def proved_lines(visit: Visit, case: Case | None, units: UnitChoice) -> Iterator[str]:
    """What is confirmed, a series that closes, what the acceptance run showed."""
    for row in claims_of(visit, case, units):
        if row.claim is Claim.CONFIRMED:
            yield claim_line(row)
    series = series_of(visit)
    if series is not None and series.check.closure in _DECIDED:
        yield series_sentence(visit, units)
    found = acceptance_of(visit)
    if found.repaired and found.longest and not found.came_back:
        text = ngettext(
            "Ran {minutes} under load without the fault, {n} restart after a soak.",
            "Ran {minutes} under load without the fault, {n} restarts after a soak.",
            found.soaks,
        )
        yield text.format(minutes=minutes_text(found.longest), n=found.soaks)


def not_proved_lines(visit: Visit, case: Case | None, units: UnitChoice) -> Iterator[str]:
    """What is no more than probable, what was not separated, what the acceptance run lacks."""
    rows = claims_of(visit, case, units)
    confirmed = any(row.claim is Claim.CONFIRMED for row in rows)
    yield from (claim_line(row) for row in rows if row.claim is not Claim.CONFIRMED)
    for part in dict.fromkeys(swapped_parts(visit)):
        yield from _swap_lines(visit, part, confirmed=confirmed)
    fitted = dict.fromkeys(e.name or _(e.part) for e in visit.entries if isinstance(e, PartFitted))
    if len(fitted) > 1 and not confirmed:
        yield _("Cause not separated: {names} fitted in one visit.").format(names=", ".join(fitted))
    if fitted or any(isinstance(entry, Proved) for entry in visit.entries):
        yield from missing_texts(visit, acceptance_of(visit))


def swapped_parts(visit: Visit) -> list[str]:
    """Parts of which a swap test was begun, in order."""
    return [entry.part for entry in visit.entries if isinstance(entry, SwapTried)]


def _swap_lines(visit: Visit, part: str, *, confirmed: bool) -> Iterator[str]:
    """A swap test that tells nothing yet, what it left bundled, the odds that a fault hid.

    A claim that is not confirmed has said itself what it lacks.
    """
    finding = swap_of(visit, part)
    if finding is None:
        return
    if finding.result in _BEGUN:
        yield _("Swap of the {part}: {proves}").format(part=_(part), proves=proves_text(finding))
    if confirmed and finding.not_separated:
        yield not_separated_text(finding.not_separated)
    share = _share(visit, part)
    odds = odds_text(visit, part, share)
    if odds and (share is not None or finding.result is SwapResult.LIKELY):
        yield odds


def _share(visit: Visit, part: str) -> float | None:
    shares = [one.share for one in trials_of(visit, part) if one.share is not None]
    return shares[-1] if shares else None


def claim_line(row: ClaimRow) -> str:
    """'Confirmed: coil. Swap test: fault with the old, ...'."""
    return " ".join(
        text
        for text in (
            _("{claim}: {name}.").format(claim=row.claim_text, name=row.name),
            row.grounds,
            row.limit,
        )
        if text
    )


def in_short(visit: Visit, case: Case | None, units: UnitChoice) -> list[str]:
    """What may be said of the cause, in a few words each: 'probable: coil'."""
    rows = claims_of(visit, case, units)
    return [
        _("{claim}: {name}").format(claim=row.claim_text.lower(), name=row.name)
        for row in rows
        if row.claim is not Claim.PRECAUTIONARY
    ]


def return_text(visit: Visit) -> str:
    """What to do if it returns, where something was repaired."""
    found = acceptance_of(visit)
    if not found.repaired:
        return ""
    kept = any(isinstance(e, PartFitted) and e.old_kept for e in visit.entries)
    if kept:
        return _("If it returns: note the minutes, call us; the old part is kept to swap back.")
    return _("If it returns: note the minutes, let it cool, call us.")
