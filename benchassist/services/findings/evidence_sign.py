"""What a visit says at the places where evidence is answered: questions, looks, readings, runs.

What is struck says nothing, nor does what was written after work was done there: it tells of the
work, not of the fault.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from benchassist.core.entry import Did, Looked, PartFitted, RunEnded, Taken
from benchassist.core.procedure import Check
from benchassist.core.run_log import plan_of
from benchassist.core.visit import Visit
from benchassist.services.findings.evidence_code import (
    NOTHING_FOUND,
    OUT,
    code_of_taken,
    codes_of_run,
)
from benchassist.services.findings.swap_trial import swap_code, swap_of


class Origin(StrEnum):
    """Where evidence came from; measured and seen counts before said."""

    COMPLAINT = "complaint"
    STEP = "step"
    SWAP = "swap"
    HAND = "hand"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sign:
    """Something a visit says at one place: its codes, the gravest first."""

    codes: tuple[str, ...]
    origin: Origin = Origin.STEP
    step: str = ""
    entry: str = ""
    late: bool = False


def _answers(visit: Visit, key: str) -> Iterator[Sign]:
    for question, answer in visit.header.interview.answers:
        if question == key:
            yield Sign(codes=(answer,), origin=Origin.COMPLAINT)


def _looks(visit: Visit, key: str) -> Iterator[Sign]:
    for entry in before_work(visit, key):
        if isinstance(entry, Looked):
            yield Sign(codes=(entry.answer_key,), step=key, entry=entry.stamp.id)


def _readings(visit: Visit, key: str) -> Iterator[Sign]:
    """The reading that stands is last; of both ways round it is the one out of band."""
    taken = [entry for entry in before_work(visit, key) if isinstance(entry, Taken)]
    if not taken:
        return
    polarities = visit.procedure.check(key).polarities
    ways = sorted(taken[-polarities:], key=lambda one: code_of_taken(one) in OUT)
    for one in (*taken[:-polarities], *ways):
        yield Sign(codes=(code_of_taken(one),), step=key, entry=one.stamp.id)


def _runs(visit: Visit, key: str) -> Iterator[Sign]:
    """A run that found something counts before a later one that did not: the fault may hide."""
    signs = []
    for entry in before_work(visit, key):
        if isinstance(entry, RunEnded):
            codes = codes_of_run(entry, plan_of(visit, entry), k=visit.header.k)
            signs += [Sign(codes=codes, step=key, entry=entry.stamp.id)] if codes else []
    yield from sorted(signs, key=lambda sign: sign.codes[0] not in NOTHING_FOUND)


def _drills(visit: Visit, step: str) -> Iterator[Sign]:
    for entry in visit.entries:
        if not isinstance(entry, RunEnded) or entry.drill is None or visit.is_struck(entry):
            continue
        for answer in entry.drill.answers:
            if answer.step == step:
                yield Sign(
                    codes=(answer.answer,),
                    step=entry.check_key,
                    entry=entry.stamp.id,
                    late=step in entry.drill.late,
                )


def _swaps(visit: Visit, part: str) -> Iterator[Sign]:
    finding = swap_of(visit, part)
    code = swap_code(finding) if finding is not None else ""
    if code:
        yield Sign(codes=(code,), origin=Origin.SWAP)


FINDERS: Final[Mapping[str, Callable[[Visit, str], Iterator[Sign]]]] = MappingProxyType(
    {
        "question": _answers,
        "look": _looks,
        "reading": _readings,
        "run": _runs,
        "drill": _drills,
        "swap": _swaps,
    }
)
"""By the kind of a source, what a visit says there, what stands last."""


def before_work(visit: Visit, check_key: str) -> list[Taken | Looked | RunEnded]:
    """What stands at a check and was written before work was done there, oldest first."""
    try:
        check = visit.procedure.check(check_key)
    except KeyError:
        return []
    until = worked_from(visit, check)
    return [
        entry
        for entry in visit.entries
        if isinstance(entry, Taken | Looked | RunEnded)
        and entry.check_key == check_key
        and not visit.is_struck(entry)
        and (until is None or entry.stamp.seq < until)
    ]


def worked_from(visit: Visit, check: Check) -> int | None:
    """When work was first done at a check, or a new part of its kind was fitted for good."""
    for entry in visit.entries:
        if isinstance(entry, Did) and entry.check_key == check.key:
            return entry.stamp.seq
        if isinstance(entry, PartFitted) and (
            entry.check_key == check.key or (check.part and entry.part == check.part)
        ):
            return entry.stamp.seq
    return None


def is_worked(visit: Visit, check: Check) -> bool:
    """Whether work was done at a check: what it shows from then on tells of the work."""
    return worked_from(visit, check) is not None
