"""Invented case histories of demo_data: what was known at each stage, and what was expected of it.

What is expected was written down before any weight was set.
"""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from benchassist.core.cause import CauseBook, Evidence
from benchassist.core.ranking import NextTest, next_tests
from benchassist.specbook.book import Book
from benchassist.specbook.evidence_source import SourceKind, span_of

FOLDER = Path(__file__).resolve().parents[2] / "demo_data" / "cases"
NOBODY = "nobody"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """What is known by now, as 'kind:key' to the answer or code, and what is expected.

    `within`: each true cause stands among the first so many; 0 expects nothing. `named`: the cause
    that may be named first, 'nobody', or empty. `next`: one of these sources is tested next.
    """

    told: str
    known: Mapping[str, str]
    within: int
    named: str
    next: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One case history; `causes` are the true ones, empty where nobody ever found out."""

    key: str
    title: str
    complaint: str
    engine_class: str
    causes: tuple[str, ...]
    stages: tuple[Stage, ...]


@cache
def cases() -> tuple[Case, ...]:
    """Every case history, by the name of its file."""
    return tuple(_case(path) for path in sorted(FOLDER.glob("*.toml")))


@cache
def cause_book(complaint: str, engine_class: str = "") -> CauseBook:
    """The shipped causes of a complaint, bound once."""
    return _book().causes(complaint, engine_class)


@cache
def _book() -> Book:
    return Book()


def _case(path: Path) -> Case:
    read = tomllib.loads(path.read_text(encoding="utf-8"))
    return Case(
        key=read["key"],
        title=read["title"],
        complaint=read["complaint"],
        engine_class=read["engine_class"],
        causes=tuple(read["causes"]),
        stages=tuple(_stages(read["stage"])),
    )


def _stages(tables: list[dict[str, Any]]) -> Iterator[Stage]:
    known: dict[str, str] = {}
    for table in tables:
        for kind in SourceKind:
            known |= {f"{kind}:{key}": code for key, code in table.get(kind.value, {}).items()}
        yield Stage(
            told=table["told"],
            known=dict(known),
            within=table.get("within", 0),
            named=table.get("named", ""),
            next=tuple(table.get("next", ())),
        )


def seen(book: CauseBook, known: Mapping[str, str]) -> dict[str, str]:
    """Evidence to outcome, for all that the book takes from what is known."""
    found: dict[str, str] = {}
    for evidence in book.evidence:
        code = known.get(evidence.source)
        if evidence.source and code is not None and (key := outcome_of(evidence, code)):
            found[evidence.key] = key
    return found


def outcome_of(evidence: Evidence, code: str) -> str:
    """The outcome that an answer or code makes so; empty for one that says nothing."""
    for outcome in evidence.outcomes:
        if code in outcome.when:
            return outcome.key
        for span in map(span_of, outcome.when):
            if span is not None and span[0] <= float(code) < span[1]:
                return outcome.key
    return ""


def what_next(book: CauseBook, so_far: Mapping[str, str]) -> tuple[NextTest, ...]:
    """Tests that can be made now, the most telling per minute first."""
    barred = frozenset(one.key for one in book.evidence if not one.is_due(so_far))
    return next_tests(book, so_far, barred=barred)
