"""What a book of causes must hold: causes told apart, with evidence that somebody can answer."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import isfinite

from benchassist.core.plain_text import brief
from benchassist.specbook.bearing_audit import faults_of_bearings
from benchassist.specbook.cause_binding import pool
from benchassist.specbook.cause_sheet import (
    CauseBookSheet,
    CauseSheet,
    EvidenceSheet,
    Weight,
    figure,
)
from benchassist.specbook.evidence_audit import faults_of_evidence
from benchassist.specbook.evidence_source import Sources, source_of
from benchassist.specbook.fault import Fault, Where, _, unknown
from benchassist.specbook.shelf import Filed, Shelf


def faults_of_causes(filed: Filed[CauseBookSheet], shelf: Shelf) -> Iterator[Fault]:
    """Every fault of a complaint's causes and of the evidence that stands with them."""
    book = filed.sheet
    if book.key not in shelf.complaints:
        yield filed.fault(unknown(_("complaint"), book.key, shelf.complaints), "key")
    if not book.note.strip():
        message = _('say whose figures these are: note = "shop judgement"')
        yield filed.fault(message, "note")
    if not (isfinite(book.other_weight) and book.other_weight > 0.0):
        yield filed.fault(_("'something else' needs a weight above zero"), "other_weight")
    if not book.cause:
        yield filed.fault(_("a book of causes needs at least one [[cause]]"), "cause")
    evidence = pool(book, shelf)
    yield from _faults_of_own_evidence(filed, shelf)
    yield from _faults_of_names(filed, book.cause)
    for number, cause in enumerate(book.cause):
        yield from _faults_of_cause(filed, ("cause", number), cause, evidence, shelf)
    yield from _faults_of_answering(filed, evidence, shelf)
    yield from _faults_of_waiting(filed, evidence)


def _faults_of_own_evidence(filed: Filed[CauseBookSheet], shelf: Shelf) -> Iterator[Fault]:
    keys = [one.key for one in filed.sheet.evidence]
    for number, one in enumerate(filed.sheet.evidence):
        if one.key in keys[:number]:
            message = _("the evidence '{key}' stands here twice").format(key=brief(one.key))
            yield filed.fault(message, "evidence", number, "key")
        yield from faults_of_evidence(filed, ("evidence", number), one, shelf)


def _faults_of_names(filed: Filed[CauseBookSheet], causes: Sequence[CauseSheet]) -> Iterator[Fault]:
    """Two causes of one key, or of one name to whoever reads it."""
    for what in ("key", "name"):
        seen: set[str] = set()
        for number, cause in enumerate(causes):
            word = " ".join(getattr(cause, what).casefold().split())
            if word in seen:
                message = _("two causes have the {what} '{word}'")
                yield filed.fault(
                    message.format(what=what, word=brief(getattr(cause, what))),
                    "cause",
                    number,
                    what,
                )
            seen.add(word)


def _faults_of_cause(
    filed: Filed[CauseBookSheet],
    where: Where,
    cause: CauseSheet,
    evidence: Mapping[str, EvidenceSheet],
    shelf: Shelf,
) -> Iterator[Fault]:
    weights: dict[Where, Weight] = {("weight",): cause.weight}
    weights |= {("class_weight", key): weight for key, weight in cause.class_weight.items()}
    for at, weight in weights.items():
        if not (isfinite(figure(weight)) and figure(weight) > 0.0):
            yield filed.fault(_("a weight is above zero and finite"), *where, *at)
    named: list[tuple[Where, str, str, Iterable[str]]] = [
        *(
            (("cautions", n), _("caution"), key, shelf.cautions)
            for n, key in enumerate(cause.cautions)
        ),
        *(
            (("not_for", n), _("engine class"), key, shelf.engines)
            for n, key in enumerate(cause.not_for)
        ),
        *(
            (("class_weight", key), _("engine class"), key, shelf.engines)
            for key in cause.class_weight
        ),
    ]
    for place, what, key, known in named:
        if key not in known:
            yield filed.fault(unknown(what, key, known), *where, *place)
    if not cause.fix.strip():
        yield filed.fault(_("say what the usual fix is: fix"), *where, "fix")
    borne = {bearing.evidence for bearing in cause.bearings}
    if cause.test not in borne:
        message = unknown(_("evidence of this cause"), cause.test, sorted(borne))
        yield filed.fault(message, *where, "test")
    yield from faults_of_bearings(filed, where, cause, evidence, shelf)


def _faults_of_answering(
    filed: Filed[CauseBookSheet], evidence: Mapping[str, EvidenceSheet], shelf: Shelf
) -> Iterator[Fault]:
    """Evidence that nobody answers, and by hand what a step or a question answers.

    Where the shop has put its own complaint or procedure below a shipped book, what that does not
    answer is stated by hand: no fault of either.
    """
    book, of_one_layer = filed.sheet, _of_one_layer(filed, shelf)
    sources = Sources(shelf)
    places = _places(book)
    for number, key in enumerate(book.by_hand):
        if key not in places:
            message = unknown(_("evidence of these causes"), key, sorted(places))
            yield filed.fault(message, "by_hand", number)
    for number, one in enumerate(book.evidence):
        if one.key not in places:
            message = _("'{key}' bears on no cause").format(key=brief(one.key))
            yield filed.fault(message, "evidence", number, "key")
    for key, place in places.items():
        if key not in evidence:
            continue
        source = source_of(evidence[key].source)
        answered = source is not None and sources.answers(source, book.key)
        if not of_one_layer:
            continue
        if answered and key in book.by_hand:
            message = _("'{key}' is answered by this complaint: it is not by hand")
            yield filed.fault(message.format(key=brief(key)), "by_hand", book.by_hand.index(key))
        if not answered and key not in book.by_hand:
            message = _("'{key}' is never answered here: name it in by_hand, or leave it out")
            yield filed.fault(message.format(key=brief(key)), *place)


def _of_one_layer(filed: Filed[CauseBookSheet], shelf: Shelf) -> bool:
    """Whether book, complaint and procedure are all the shop's own, or all shipped."""
    complaint = shelf.complaints.get(filed.sheet.key)
    procedure = shelf.procedures.get(complaint.sheet.procedure) if complaint is not None else None
    below = [one.own for one in (complaint, procedure) if one is not None]
    return filed.own or not any(below)


def _faults_of_waiting(
    filed: Filed[CauseBookSheet], evidence: Mapping[str, EvidenceSheet]
) -> Iterator[Fault]:
    """Evidence that waits for what is not there, or for itself."""
    places = _places(filed.sheet)
    own = [one.key for one in filed.sheet.evidence]
    for key, place in places.items():
        for number, word in enumerate(evidence[key].after if key in evidence else ()):
            at = ("evidence", own.index(key), "after", number) if key in own else place
            before, _colon, outcome = word.partition(":")
            outcomes = [o.key for o in evidence[before].outcomes] if before in evidence else []
            if before not in places:
                yield filed.fault(
                    unknown(_("evidence of these causes"), before, sorted(places)), *at
                )
            elif outcome not in outcomes:
                yield filed.fault(unknown(_("outcome"), outcome, outcomes), *at)
            elif _waits_for_itself(key, evidence):
                yield filed.fault(_("'{key}' waits for itself").format(key=brief(key)), *at)


def _places(book: CauseBookSheet) -> dict[str, Where]:
    """Where each piece of evidence is first named by a cause."""
    found: dict[str, Where] = {}
    for number, cause in enumerate(book.cause):
        for place, bearing in enumerate(cause.bearings):
            found.setdefault(bearing.evidence, ("cause", number, "bearings", place, "evidence"))
    return found


def _waits_for_itself(key: str, evidence: Mapping[str, EvidenceSheet]) -> bool:
    """Whether what must come before a piece of evidence leads back to it."""
    seen: set[str] = set()
    ahead = [key]
    while ahead:
        one = evidence.get(ahead.pop())
        for before in () if one is None else (word.partition(":")[0] for word in one.after):
            if before == key:
                return True
            if before not in seen:
                seen.add(before)
                ahead.append(before)
    return False
