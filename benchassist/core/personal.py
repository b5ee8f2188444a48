"""Which words of a visit people typed, and a visit without what tells who its customer is."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any, Final

from benchassist.core.entry import (
    Closed,
    Decided,
    Did,
    Entry,
    EvidenceSet,
    Machine,
    Noted,
    PartFitted,
    PartMarked,
    PhotoAdded,
    PhotoRemoved,
    RunMarked,
    Serviced,
    Skipped,
    SwapTried,
)
from benchassist.core.run import MarkKind
from benchassist.core.trace import ERASED, Traces
from benchassist.core.visit import VisitHeader

WORDS_OF: Final[Mapping[type, tuple[str, ...]]] = MappingProxyType(
    {
        Noted: ("text",),
        Did: ("text",),
        Skipped: ("reason",),
        EvidenceSet: ("reason",),
        SwapTried: ("bundled",),
        PartFitted: ("name",),
        PartMarked: ("reason",),
        PhotoAdded: ("caption",),
        PhotoRemoved: ("reason",),
        RunMarked: ("text",),
        Serviced: ("text",),
        Decided: ("reason",),
        Closed: ("summary",),
    }
)
"""The fields of entries that hold words as they were typed; of a run's mark only of a moment's."""


def traces_of(machines: Iterable[Machine]) -> Traces:
    """Return what tells who these machines' customers are."""
    known = tuple(machines)
    return Traces((m.customer for m in known), (m.phone for m in known))


def words_in(entry: Entry) -> tuple[str, ...]:
    """Return the names of an entry's fields that hold words as they were typed."""
    if isinstance(entry, RunMarked) and entry.kind is not MarkKind.MOMENT:
        return ()
    return WORDS_OF.get(type(entry), ())


def word_answers(header: VisitHeader) -> frozenset[str]:
    """Return the keys of the interview's questions that are answered in words."""
    questions = header.procedure.questions
    return frozenset(q.key for q in questions if not q.answers and q.quantity is None)


def blotted_header(header: VisitHeader, traces: Traces) -> VisitHeader:
    """Return a visit's header that tells nobody: its customer and phone are blank."""
    machine = replace(header.machine, customer="", phone="", unit=traces.blot(header.machine.unit))
    return blotted_words(replace(header, machine=machine), traces)


def blotted_words(header: VisitHeader, traces: Traces, *, whole: bool = False) -> VisitHeader:
    """Return a header with the words of its interview blotted; its machine is as it was."""
    spoken, worded = header.interview, word_answers(header)
    interview = replace(
        spoken,
        words=traces.blot(spoken.words, whole=whole),
        answers=tuple(
            (key, traces.blot(answer, whole=whole) if key in worded else answer)
            for key, answer in spoken.answers
        ),
    )
    return replace(header, interview=interview)


def blotted_entry(entry: Entry, traces: Traces, *, whole: bool = False) -> Entry:
    """Return an entry whose words tell nobody; everything measured and judged is as it was."""
    changed: dict[str, Any] = {}
    for name in words_in(entry):
        said = getattr(entry, name)
        if (kept := traces.blot_all(said, whole=whole)) != said:
            changed[name] = kept
    return replace(entry, **changed) if changed else entry


def wordless(entry: Entry) -> Entry:
    """Return an entry without the words that were typed: what no erasure touches."""
    blank: dict[str, Any] = {
        name: "" if isinstance(getattr(entry, name), str) else () for name in words_in(entry)
    }
    return replace(entry, **blank) if blank else entry


def nameless(header: VisitHeader) -> VisitHeader:
    """Return a header without personal data and words: what no erasure touches."""
    worded = word_answers(header)
    answers = tuple((k, "" if k in worded else a) for k, a in header.interview.answers)
    return replace(
        header,
        machine=replace(header.machine, customer="", phone="", unit=""),
        interview=replace(header.interview, words="", answers=answers),
    )


def is_same_header(here: VisitHeader, told: VisitHeader, *, erased: bool) -> bool:
    """Whether two headers are of one visit, whatever was erased of either.

    `erased`: the personal data of its machine was; else only words that were blotted may differ.
    """
    if here == told:
        return True
    if nameless(here) != nameless(told):
        return False
    mine, theirs = here.interview, told.interview
    pairs = zip(mine.answers, theirs.answers, strict=True)
    return erased or (
        here.machine == told.machine
        and _is_blotted_alike(mine.words, theirs.words)
        and all(_is_blotted_alike(ours[1], other[1]) for ours, other in pairs)
    )


def is_same_entry(here: Entry, told: Entry, *, erased: bool) -> bool:
    """Whether two entries are one, whatever was erased of either; as `is_same_header`."""
    if here == told:
        return True
    if wordless(here) != wordless(told):
        return False
    return erased or all(
        _is_blotted_alike(str(getattr(here, name)), str(getattr(told, name)))
        for name in words_in(here)
    )


def names_nobody(header: VisitHeader) -> bool:
    """Whether a visit says no customer and no number."""
    return not header.machine.customer and not header.machine.phone


def _is_blotted_alike(mine: str, theirs: str) -> bool:
    return mine == theirs or ERASED in mine or ERASED in theirs
