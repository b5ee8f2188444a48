"""Where a piece of evidence is answered: a question, a look, a reading, a run, a drill, a swap."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from itertools import chain, pairwise
from math import inf
from types import MappingProxyType
from typing import Final

from benchassist.core.procedure import CheckKind
from benchassist.core.quantity import Quantity
from benchassist.core.run import RunKind
from benchassist.specbook.fitting import picked
from benchassist.specbook.sheet import CheckSheet, DrillStepSheet, QuestionSheet
from benchassist.specbook.shelf import Shelf


class SourceKind(StrEnum):
    """What answers evidence; the word before the colon."""

    QUESTION = "question"
    LOOK = "look"
    READING = "reading"
    RUN = "run"
    DRILL = "drill"
    SWAP = "swap"


READING_CODES: Final = ("in_band", "low", "high", "open", "undecided", "recorded")
RUN_CODES: Final[Mapping[RunKind, tuple[str, ...]]] = MappingProxyType(
    {
        RunKind.HEAT: (
            *("open", "step_up", "step_down", "departure"),
            *("not_reproduced", "inconclusive"),
        ),
        RunKind.ENGINE: (
            *("in_band", "low_out", "high_out", "hunting"),
            *("fails_to_fall", "fails_to_recover"),
        ),
        RunKind.TANK: ("slow", "as_before", "recorded"),
        RunKind.DRILL: (),
    }
)
SWAP_CODES: Final = ("proved", "likely", "not_this_part", "not_repeated")

CLEARS_NOTHING: Final = frozenset({"in_band", "not_reproduced"})
"""Codes of readings and runs that speak for no part: few volts prove nothing of thousands."""

_BIN: Final = re.compile(r"(?:from:(\d+(?:\.\d+)?))? ?(?:under:(\d+(?:\.\d+)?))?")


@dataclass(frozen=True, slots=True)
class Source:
    """What answers evidence, and its key: a question, a check, a step of a drill, a part."""

    kind: SourceKind
    key: str


def source_of(text: str) -> Source | None:
    """What 'kind:key' names; None where it is written otherwise."""
    kind, colon, key = text.partition(":")
    return Source(SourceKind(kind), key) if colon and key and kind in [*SourceKind] else None


class Sources:
    """What the questions and checks of one shelf can answer."""

    def __init__(self, shelf: Shelf) -> None:
        self._shelf = shelf
        own = (check for filed in shelf.procedures.values() for check in filed.sheet.check)
        self._checks = {check.key: check for check in chain(own, shelf.library().values())}

    def keys(self, kind: SourceKind) -> list[str]:
        """Every key that a source of that kind may name."""
        match kind:
            case SourceKind.QUESTION:
                return [*self._shelf.questions]
            case SourceKind.DRILL:
                return [step.key for check in self._drills() for step in _steps(check)]
            case SourceKind.SWAP:
                books = (filed.sheet for filed in self._shelf.causes.values())
                return [cause.part for book in books for cause in book.cause if cause.part]
            case _:
                return [check.key for check in self._checks.values() if _kind(check) is kind]

    def question(self, source: Source) -> QuestionSheet | None:
        """The question that answers it, if one does."""
        filed = self._shelf.questions.get(source.key)
        return filed.sheet if filed is not None and source.kind is SourceKind.QUESTION else None

    def check(self, source: Source) -> CheckSheet | None:
        """The check that answers it, if one does; for a step of a drill the drill."""
        if source.kind is SourceKind.DRILL:
            return next(
                (c for c in self._drills() if any(s.key == source.key for s in _steps(c))), None
            )
        check = self._checks.get(source.key)
        return check if check is not None and _kind(check) is source.kind else None

    def codes(self, source: Source) -> Mapping[str, str] | None:
        """Every answer or code it can have, with its words; None for a time in seconds."""
        if (question := self.question(source)) is not None:
            if question.quantity is Quantity.DURATION:
                return None
            return {answer.key: answer.text for answer in question.answers}
        if source.kind is SourceKind.SWAP:
            return dict.fromkeys(SWAP_CODES, "")
        check = self.check(source)
        if check is None:
            return {}
        if source.kind is SourceKind.DRILL:
            step = next(step for step in _steps(check) if step.key == source.key)
            return {answer.key: answer.text for answer in step.answers}
        if check.run is not None:
            return dict.fromkeys(RUN_CODES[check.run.kind], "")
        if check.kind is CheckKind.LOOK:
            return {answer.key: answer.text for answer in check.answers}
        return dict.fromkeys(READING_CODES, "")

    def answers(self, source: Source, complaint: str) -> bool:
        """Whether the interview or the procedure of a complaint answers it; a swap always can."""
        filed = self._shelf.complaints.get(complaint)
        if source.kind is SourceKind.SWAP or filed is None:
            return source.kind is SourceKind.SWAP
        if source.kind is SourceKind.QUESTION:
            return source.key in filed.sheet.questions
        procedure = self._shelf.procedures.get(filed.sheet.procedure)
        check = self.check(source)
        if procedure is None or check is None:
            return False
        worked = picked(procedure.sheet, self._shelf.library())
        return check.key in {one.key for one in worked}

    def _drills(self) -> Iterator[CheckSheet]:
        return (check for check in self._checks.values() if _steps(check))


def _steps(check: CheckSheet) -> tuple[DrillStepSheet, ...]:
    return () if check.run is None else check.run.drill


def _kind(check: CheckSheet) -> SourceKind | None:
    """What answers by this check is called; None for a drill, whose steps answer one by one."""
    if check.kind is CheckKind.LOOK:
        return SourceKind.LOOK
    if check.kind is CheckKind.RUN:
        return None if check.run is None or check.run.kind is RunKind.DRILL else SourceKind.RUN
    return SourceKind.READING


def span_of(text: str) -> tuple[float, float] | None:
    """Seconds from and below: 'under:600', 'from:600', 'from:600 under:1800'; None for no span."""
    found = _BIN.fullmatch(text)
    if found is None or not text.strip():
        return None
    span = float(found[1] or 0.0), float(found[2] or inf)
    return span if span[0] < span[1] else None


def overlaps(spans: list[tuple[float, float]]) -> bool:
    """Whether a time could lie in two of the spans."""
    return any(one[1] > other[0] for one, other in pairwise(sorted(spans)))
