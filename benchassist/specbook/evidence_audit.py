"""What evidence must hold: a source that answers it, outcomes that are told apart and add up."""

from collections.abc import Iterator, Mapping, Sequence
from math import isfinite
from typing import Final

from benchassist.core.plain_text import brief
from benchassist.specbook.cause_sheet import EvidenceSheet, OutcomeSheet
from benchassist.specbook.evidence_source import (
    Source,
    SourceKind,
    Sources,
    overlaps,
    source_of,
    span_of,
)
from benchassist.specbook.fault import Fault, Where, _, unknown
from benchassist.specbook.shelf import Filed, SheetT, Shelf

ROUNDING: Final = 1e-3
"""How far shares may be from adding up to 1."""


def faults_of_evidence(
    filed: Filed[SheetT], where: Where, evidence: EvidenceSheet, shelf: Shelf
) -> Iterator[Fault]:
    """Every fault of one piece of evidence that can be seen without the causes it bears on."""
    sources = Sources(shelf)
    source = source_of(evidence.source)
    if source is None and evidence.source:
        message = _("'{source}' is no source: write one of {words}, a colon and a key")
        words = ", ".join(SourceKind)
        yield filed.fault(
            message.format(source=brief(evidence.source), words=words), *where, "source"
        )
    elif source is not None and source.key not in sources.keys(source.kind):
        message = unknown(_of(source.kind), source.key, sources.keys(source.kind))
        yield filed.fault(message, *where, "source")
    else:
        yield from _faults_of_answering(filed, where, evidence, source, sources)
    yield from _faults_of_shares(filed, where, evidence.outcomes)
    yield from _faults_of_work(filed, where, evidence, source, sources)
    for number, key in enumerate(evidence.cautions):
        if key not in shelf.cautions:
            message = unknown(_("caution"), key, shelf.cautions)
            yield filed.fault(message, *where, "cautions", number)


def _of(kind: SourceKind) -> str:
    """What a fault calls the key of a source of that kind."""
    match kind:
        case SourceKind.QUESTION:
            return _("question")
        case SourceKind.LOOK:
            return _("look")
        case SourceKind.READING:
            return _("check with a reading")
        case SourceKind.RUN:
            return _("run")
        case SourceKind.DRILL:
            return _("step of a drill")
        case SourceKind.SWAP:
            return _("part of a cause")


def _faults_of_shares(
    filed: Filed[SheetT], where: Where, outcomes: Sequence[OutcomeSheet]
) -> Iterator[Fault]:
    if len(outcomes) < 2:
        yield filed.fault(_("evidence needs two outcomes or more"), *where, "outcomes")
    keys = [outcome.key for outcome in outcomes]
    sound = True
    for number, outcome in enumerate(outcomes):
        here = (*where, "outcomes", number)
        if outcome.key in keys[:number]:
            message = _("the outcome '{key}' stands here twice").format(key=brief(outcome.key))
            yield filed.fault(message, *here, "key")
        if not 0.0 < outcome.share < 1.0:
            sound = False
            yield filed.fault(_("a share lies above 0 and below 1"), *here, "share")
    total = sum(outcome.share for outcome in outcomes)
    if sound and len(outcomes) > 1 and not abs(total - 1.0) <= ROUNDING:
        message = _("the shares must add up to 1, not {total:g}").format(total=total)
        yield filed.fault(message, *where, "outcomes")


def _faults_of_answering(
    filed: Filed[SheetT],
    where: Where,
    evidence: EvidenceSheet,
    source: Source | None,
    sources: Sources,
) -> Iterator[Fault]:
    """Outcomes that no answer makes so, that two answers share, or that have no words."""
    codes = {} if source is None else sources.codes(source)
    for number, outcome in enumerate(evidence.outcomes):
        here = (*where, "outcomes", number)
        if not outcome.text and not (codes or {}).get(outcome.key):
            yield filed.fault(_("an outcome without words: text"), *here)
        if source is None and outcome.when:
            message = _("evidence without a source is stated by hand: no 'when'")
            yield filed.fault(message, *here, "when")
    if source is not None and codes is not None:
        yield from _faults_of_codes(filed, where, evidence, codes)
    if codes is None:
        yield from _faults_of_spans(filed, where, evidence)


def _reasons(where: Where, evidence: EvidenceSheet) -> Iterator[tuple[Where, str]]:
    """Every answer or span that makes an outcome so, and where it is written."""
    for number, outcome in enumerate(evidence.outcomes):
        here = (*where, "outcomes", number)
        for place, code in enumerate(outcome.when):
            yield (*here, "when", place), code
        if not outcome.when:
            yield (*here, "key"), outcome.key


def _faults_of_codes(
    filed: Filed[SheetT], where: Where, evidence: EvidenceSheet, codes: Mapping[str, str]
) -> Iterator[Fault]:
    taken: set[str] = set()
    for at, code in _reasons(where, evidence):
        if code not in codes:
            yield filed.fault(unknown(_("answer"), code, codes), *at)
        elif code in taken:
            message = _("'{code}' already makes another outcome so").format(code=brief(code))
            yield filed.fault(message, *at)
        taken.add(code)


def _faults_of_spans(
    filed: Filed[SheetT], where: Where, evidence: EvidenceSheet
) -> Iterator[Fault]:
    spans: list[tuple[float, float]] = []
    for at, code in _reasons(where, evidence):
        if (span := span_of(code)) is None:
            message = _("'{code}' is no time: write 'from:600 under:1800', in seconds")
            yield filed.fault(message.format(code=brief(code)), *at)
        else:
            spans.append(span)
    if overlaps(spans):
        yield filed.fault(_("a time could lie in two of these outcomes"), *where, "outcomes")


def _faults_of_work(
    filed: Filed[SheetT],
    where: Where,
    evidence: EvidenceSheet,
    source: Source | None,
    sources: Sources,
) -> Iterator[Fault]:
    """Minutes that cannot be or are missing, and work without a caution."""
    minutes = evidence.minutes
    said = source is not None and source.kind is SourceKind.QUESTION
    if said:
        if minutes:
            yield filed.fault(_("a question takes no minutes on the bench"), *where, "minutes")
        return
    if minutes is not None and not (isfinite(minutes) and minutes > 0.0):
        yield filed.fault(_("minutes must be above zero"), *where, "minutes")
    if source is not None and sources.check(source) is not None:
        return
    if minutes is None:
        yield filed.fault(_("no check says how long it takes: add minutes"), *where)
    if not evidence.cautions:
        yield filed.fault(_("no check says what can hurt here: add cautions"), *where)
