"""What of a visit is evidence: which outcome was seen, where, and where it says yes and no.

What is struck does not count; of several readings the one that stands does. What was measured after
work was done there tells of the work, not of the fault, and counts as no evidence. The bench
counts before what was said, the later before the earlier, a person's word with its reason before
all; each time that overrides something it is kept as a conflict, to be said aloud.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from benchassist.core.cause import CauseBook, Evidence
from benchassist.core.entry import EvidenceSet
from benchassist.core.visit import Visit
from benchassist.services.findings.evidence_code import outcome_of
from benchassist.services.findings.evidence_sign import FINDERS, Origin, Sign

__all__ = ["Conflict", "Origin", "Sighting", "Sightings", "sightings"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sighting:
    """One way a piece of evidence was seen to turn out. `step` is the check's key, if any.

    `entry` is the id of what was written then, `code` what it said. `late`: a step of the drill
    answered after its evidence had gone cold.
    """

    evidence: str
    outcome: str
    origin: Origin
    step: str = ""
    entry: str = ""
    code: str = ""
    late: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Conflict:
    """Evidence that says yes and no: what counts, and what it counts before."""

    counted: Sighting | None
    other: Sighting


@dataclass(frozen=True, slots=True, kw_only=True)
class Sightings:
    """All evidence of a visit, by its key, in the order of the book.

    `by_hand` holds the words of a person that are in force. `unreadable` are those whose evidence
    or outcome the visit's book does not have; they are left out, the rest goes on.
    """

    counted: Mapping[str, Sighting] = field(default_factory=dict)
    by_hand: Mapping[str, EvidenceSet] = field(default_factory=dict)
    conflicts: tuple[Conflict, ...] = ()
    unreadable: tuple[EvidenceSet, ...] = ()

    @property
    def outcomes(self) -> dict[str, str]:
        """Evidence key to outcome key, as `core.ranking` takes it."""
        return {key: sighting.outcome for key, sighting in self.counted.items()}


def sightings(visit: Visit) -> Sightings:
    """The evidence of a visit; nothing where it has no causes."""
    book = visit.header.causes
    if book is None:
        return Sightings()
    words, unreadable = _words(visit, book)
    counted: dict[str, Sighting] = {}
    conflicts: list[Conflict] = []
    for evidence in book.evidence:
        found = _found(visit, evidence)
        holds = max(reversed(found), key=_rank, default=None)
        said = words.get(evidence.key)
        if said is not None:
            holds = _said(said)
        if holds is not None:
            counted[evidence.key] = holds
        against = {
            one.outcome: one for one in found if holds is None or one.outcome != holds.outcome
        }
        if holds is not None or said is not None:
            conflicts += [Conflict(counted=holds, other=one) for one in against.values()]
    return Sightings(
        counted=counted,
        by_hand=words,
        conflicts=tuple(conflicts),
        unreadable=unreadable,
    )


def _rank(sighting: Sighting) -> int:
    """The bench before what was said; among equals `max` takes the first, here the latest."""
    return 0 if sighting.origin is Origin.COMPLAINT else 1


def _words(visit: Visit, book: CauseBook) -> tuple[dict[str, EvidenceSet], tuple[EvidenceSet, ...]]:
    """The last word on each piece of evidence, unless it was lifted; and what cannot be read."""
    last = {e.evidence: e for e in visit.entries if isinstance(e, EvidenceSet)}
    known = {evidence.key: {o.key for o in evidence.outcomes} for evidence in book.evidence}
    standing = [word for word in last.values() if not word.lifted]

    def readable(word: EvidenceSet) -> bool:
        outcomes = known.get(word.evidence)
        return outcomes is not None and (word.outcome is None or word.outcome in outcomes)

    return (
        {word.evidence: word for word in standing if readable(word)},
        tuple(word for word in standing if not readable(word)),
    )


def _said(word: EvidenceSet) -> Sighting | None:
    if word.outcome is None:
        return None
    return Sighting(
        evidence=word.evidence, outcome=word.outcome, origin=Origin.HAND, entry=word.stamp.id
    )


def _found(visit: Visit, evidence: Evidence) -> list[Sighting]:
    """What answers it, source by source, what counts last; nothing where that fits no outcome."""
    found: list[Sighting] = []
    for source in evidence.source.split():
        kind, _, key = source.partition(":")
        finder = FINDERS.get(kind)
        signs = list(finder(visit, key)) if finder is not None else []
        seen = [(outcome_of(evidence, sign.codes), sign) for sign in signs]
        if seen and seen[-1][0] is not None:
            found += [_seen(evidence, key, sign) for key, sign in seen if key is not None]
    return found


def _seen(evidence: Evidence, outcome: str, sign: Sign) -> Sighting:
    return Sighting(
        evidence=evidence.key,
        outcome=outcome,
        origin=sign.origin,
        step=sign.step,
        entry=sign.entry,
        code=sign.codes[0],
        late=sign.late,
    )
