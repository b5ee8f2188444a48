"""What bears on a cause must be there, must be possible, and must give no false comfort.

A resistance in band or a run that did not reproduce a fault never clears a part: no cause may be
lowered by it below half.
"""

from collections.abc import Iterator, Mapping
from math import isfinite
from typing import Final

from benchassist.core.cause import Cause, Evidence, likelihoods
from benchassist.core.plain_text import brief
from benchassist.specbook.cause_binding import CauseBinder
from benchassist.specbook.cause_sheet import CauseBookSheet, CauseSheet, EvidenceSheet
from benchassist.specbook.evidence_source import CLEARS_NOTHING, SourceKind, source_of
from benchassist.specbook.fault import Fault, Where, _, unknown
from benchassist.specbook.shelf import Filed, Shelf

LEAST_RATIO: Final = 0.5
"""What a reading in band, or a run that reproduced nothing, leaves of a cause's odds at least."""


def faults_of_bearings(
    filed: Filed[CauseBookSheet],
    where: Where,
    cause: CauseSheet,
    evidence: Mapping[str, EvidenceSheet],
    shelf: Shelf,
) -> Iterator[Fault]:
    """Every fault of a cause's bearings; strengths are weighed once the names are right."""
    if not cause.bearings:
        yield filed.fault(_("a cause without evidence: bearings"), *where)
    faults = [*_faults_of_names(filed, where, cause, evidence)]
    yield from faults
    if not faults:
        yield from _faults_of_strength(filed, where, cause, evidence, shelf)


def _faults_of_names(
    filed: Filed[CauseBookSheet],
    where: Where,
    cause: CauseSheet,
    evidence: Mapping[str, EvidenceSheet],
) -> Iterator[Fault]:
    seen: set[tuple[str, str]] = set()
    for number, one in enumerate(cause.bearings):
        here = (*where, "bearings", number)
        if not (isfinite(one.strength) and one.strength > 0.0):
            message = _("a strength is above zero and finite, not {strength:g}")
            yield filed.fault(message.format(strength=one.strength), *here, "strength")
        elif one.strength == 1.0:
            yield filed.fault(_("a strength of 1 says nothing: leave it out"), *here, "strength")
        sheet = evidence.get(one.evidence)
        if sheet is None:
            yield filed.fault(unknown(_("evidence"), one.evidence, evidence), *here, "evidence")
            continue
        outcomes = [outcome.key for outcome in sheet.outcomes]
        if one.outcome not in outcomes:
            yield filed.fault(unknown(_("outcome"), one.outcome, outcomes), *here, "outcome")
        if (one.evidence, one.outcome) in seen:
            message = _("'{evidence}', '{outcome}' stands here twice")
            yield filed.fault(
                message.format(evidence=brief(one.evidence), outcome=brief(one.outcome)),
                *here,
                "outcome",
            )
        seen.add((one.evidence, one.outcome))


def _faults_of_strength(
    filed: Filed[CauseBookSheet],
    where: Where,
    cause: CauseSheet,
    evidence: Mapping[str, EvidenceSheet],
    shelf: Shelf,
) -> Iterator[Fault]:
    """Strengths that their shares cannot bear, and readings that would clear a part."""
    binder = CauseBinder(shelf, str)
    bound = binder.cause(cause)
    for key in dict.fromkeys(bearing.evidence for bearing in cause.bearings):
        number = next(n for n, one in enumerate(cause.bearings) if one.evidence == key)
        here = (*where, "bearings", number, "strength")
        one = binder.evidence(evidence[key])
        try:
            shares = likelihoods(bound, one)
        except ValueError:
            yield filed.fault(_too_strong(bound, one), *here)
            continue
        source = source_of(one.source)
        if source is None or source.kind not in {SourceKind.READING, SourceKind.RUN}:
            continue
        total = sum(outcome.base for outcome in one.outcomes)
        for outcome in one.outcomes:
            ratio = shares[outcome.key] * total / outcome.base
            if CLEARS_NOTHING & {*outcome.when} and ratio < LEAST_RATIO:
                message = _("'{outcome}' of '{evidence}' would lower this cause to {ratio:.2g}")
                rule = _("what was not found clears nothing: {least:g} at least")
                said = message.format(outcome=brief(outcome.key), evidence=brief(key), ratio=ratio)
                yield filed.fault(f"{said}; {rule.format(least=LEAST_RATIO)}", *here)


def _too_strong(cause: Cause, evidence: Evidence) -> str:
    """How much of an outcome's share the strengths may take together."""
    stated = [b for b in cause.bearings if b.evidence == evidence.key]
    shares = {outcome.key: outcome.base for outcome in evidence.outcomes}
    if not all(share > 0.0 for share in shares.values()):
        return _("the shares of '{evidence}' cannot be").format(evidence=brief(evidence.key))
    taken = sum(shares[b.outcome] * b.ratio for b in stated)
    message = _(
        "too strong for its share: '{evidence}' comes to {taken:.3g}, and must stay below 1"
    )
    if len(stated) == len(shares):
        message = _("'{evidence}' comes to {taken:.3g}, and must be 1 with every outcome stated")
    return message.format(evidence=brief(evidence.key), taken=taken)
