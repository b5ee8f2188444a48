"""Cause sheets to core values: the causes of a complaint with the evidence that bears on them."""

from collections.abc import Callable, Iterator
from dataclasses import replace

from benchassist.core.cause import Bearing, Cause, CauseBook, Evidence, Outcome
from benchassist.specbook.cause_sheet import (
    CauseBookSheet,
    CauseSheet,
    EvidenceSheet,
    figure,
)
from benchassist.specbook.evidence_source import Source, Sources, source_of
from benchassist.specbook.fitting import fitted
from benchassist.specbook.sheet import CheckSheet, EngineSheet
from benchassist.specbook.shelf import Shelf


def pool(book: CauseBookSheet, shelf: Shelf) -> dict[str, EvidenceSheet]:
    """All evidence that the causes of a book may name: the book's own before what is shared."""
    shared = {key: filed.sheet for key, filed in shelf.evidence.items()}
    return {one.key: one for one in book.evidence} | {
        key: sheet for key, sheet in shared.items() if key not in {one.key for one in book.evidence}
    }


class CauseBinder:
    """Makes cause books in the language of `translate` from one shelf."""

    def __init__(self, shelf: Shelf, translate: Callable[[str], str]) -> None:
        self._shelf = shelf
        self._sources = Sources(shelf)
        self._translate = translate

    def book(self, sheet: CauseBookSheet, engine: EngineSheet | None = None) -> CauseBook:
        """The causes that a class can have, and what bears on them and can be made with it."""
        evidence = {
            one.key: self.evidence(one, by_hand=self._is_by_hand(one, sheet), engine=engine)
            for one in self._borne_on(sheet, engine)
        }
        causes = (
            self.cause(one, engine)
            for one in sheet.cause
            if engine is None or engine.key not in one.not_for
        )
        return CauseBook(
            complaint=sheet.key,
            causes=tuple(_within(cause, evidence) for cause in causes),
            evidence=tuple(evidence.values()),
            other_weight=sheet.other_weight,
            version=sheet.version,
            note=self._(sheet.note),
        )

    def _is_by_hand(self, evidence: EvidenceSheet, book: CauseBookSheet) -> bool:
        """Whether nothing in the complaint's procedure answers it, whoever wrote that."""
        source = source_of(evidence.source)
        return source is None or not self._sources.answers(source, book.key)

    def cause(self, sheet: CauseSheet, engine: EngineSheet | None = None) -> Cause:
        """A cause with all its bearings, in the weight that a class has it."""
        weight = sheet.weight if engine is None else sheet.class_weight.get(engine.key)
        return Cause(
            key=sheet.key,
            name=self._(sheet.name),
            weight=figure(sheet.weight if weight is None else weight),
            bearings=tuple(
                Bearing(evidence=one.evidence, outcome=one.outcome, ratio=one.strength)
                for one in sheet.bearings
            ),
            test=sheet.test,
            part=sheet.part,
            fix=self._(sheet.fix),
            cost=sheet.cost,
            cautions=sheet.cautions,
        )

    def evidence(
        self, sheet: EvidenceSheet, *, by_hand: bool = False, engine: EngineSheet | None = None
    ) -> Evidence:
        """A piece of evidence, with what the check that answers it says where it is silent."""
        source = source_of(sheet.source)
        check = None if source is None else self._sources.check(source)
        if check is not None and engine is not None:
            check = fitted([check], engine).get(check.key, check)
        words = {} if source is None else self._sources.codes(source) or {}
        minutes = sheet.minutes
        if minutes is None:
            minutes = 0.0 if check is None else check.minutes
        return Evidence(
            key=sheet.key,
            name=self._(sheet.name),
            outcomes=tuple(
                Outcome(
                    key=one.key,
                    text=self._(one.text or words.get(one.key, "")),
                    base=one.share,
                    when=_when(one.when, one.key, source),
                )
                for one in sheet.outcomes
            ),
            source=sheet.source,
            minutes=minutes,
            by_hand=by_hand,
            after=sheet.after,
            cautions=_cautions(sheet, check),
        )

    def _borne_on(
        self, sheet: CauseBookSheet, engine: EngineSheet | None
    ) -> Iterator[EvidenceSheet]:
        """Evidence that a cause of the class stands on and that the class's checks can answer."""
        used = {
            bearing.evidence
            for cause in sheet.cause
            if engine is None or engine.key not in cause.not_for
            for bearing in cause.bearings
        }
        for one in pool(sheet, self._shelf).values():
            if one.key in used and not self._is_omitted(one, engine):
                yield one

    def _is_omitted(self, sheet: EvidenceSheet, engine: EngineSheet | None) -> bool:
        source = source_of(sheet.source)
        check = None if source is None else self._sources.check(source)
        return check is not None and engine is not None and not fitted([check], engine)

    def _(self, text: str) -> str:
        # A catalogue answers the empty text with its own header.
        return self._translate(text) if text else ""


def _within(cause: Cause, evidence: dict[str, Evidence]) -> Cause:
    """The cause with what bears on it of the evidence that is there."""
    return replace(
        cause,
        bearings=tuple(one for one in cause.bearings if one.evidence in evidence),
        test=cause.test if cause.test in evidence else "",
    )


def _when(when: tuple[str, ...], key: str, source: Source | None) -> tuple[str, ...]:
    return when or ((key,) if source is not None else ())


def _cautions(sheet: EvidenceSheet, check: CheckSheet | None) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*sheet.cautions, *(check.cautions if check else ()))))
