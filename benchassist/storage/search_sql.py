"""What is asked of the search's tables, as statements of both databases.

Words are numbered as they were typed; the parameters of word 2 are `from2`, `to2`, `part2` and
`close2`. A statement's text hangs on the kinds of the words alone, so that there are few of them.
"""

from collections.abc import Iterable, Iterator
from enum import StrEnum
from functools import lru_cache
from typing import Final

from sqlalchemy import BindParameter, TextClause, bindparam, text

from benchassist.storage.query import MACHINE
from benchassist.storage.search_words import Field

INSIDE: Final = len(Field)
CLOSE: Final = 2 * len(Field)
"""What is added to a field's rank where the word stands inside another, or is only close to it."""

COLUMNS: Final = ", ".join(f"m.{column.name}" for column in MACHINE)


class Kind(StrEnum):
    """How a word is looked for."""

    START = "start"
    """Where words begin."""
    PART = "part"
    """Anywhere in them."""
    CLOSE = "close"
    """Anywhere in them, and certain other words are taken for it."""


def _arms(number: int, kind: Kind) -> Iterator[str]:
    """Statements of the places of a word, at most `most` of each sort: machine_id, rank."""
    yield f"""
        SELECT machine_id, field AS rank FROM search_place
        WHERE word >= :from{number} AND word < :to{number}
        ORDER BY word, field LIMIT :most"""  # noqa: S608 - our own words, here and below
    if kind is not Kind.START:
        yield f"""
        SELECT p.machine_id, {INSIDE} + p.field AS rank
        FROM search_tail t JOIN search_place p ON p.word = t.word
        WHERE t.tail >= :from{number} AND t.tail < :to{number} AND t.tail <> t.word
        ORDER BY t.tail, t.word LIMIT :most"""  # noqa: S608
    if kind is Kind.CLOSE:
        yield f"""
        SELECT machine_id, {CLOSE} + field AS rank FROM search_place
        WHERE word IN :close{number} AND field > {Field.TAG:d}
        ORDER BY word, field LIMIT :most"""  # noqa: S608


def _followed(number: int, kind: Kind) -> str:
    """At most `most` places in all, those where words begin before others."""
    arms = enumerate(_arms(number, kind))
    sorts = " UNION ALL ".join(f"SELECT * FROM ({arm}) AS sort{n}" for n, arm in arms)  # noqa: S608
    return f"{sorts} LIMIT :most"


def _held(number: int, kind: Kind, machine: str) -> str:
    """The best rank of a word in a machine, null where it is not there."""
    start = f"p.word >= :from{number} AND p.word < :to{number}"
    if kind is Kind.START:
        rank, held = "p.field", start
    else:
        part = held = f"p.word LIKE :part{number}"
        rank = f"CASE WHEN {start} THEN p.field WHEN {part} THEN {INSIDE} + p.field "
        rank += f"ELSE {CLOSE} + p.field END"
        if kind is Kind.CLOSE:
            held = f"({part} OR (p.word IN :close{number} AND p.field > {Field.TAG:d}))"
    return f"""(
            SELECT min({rank}) FROM search_place p WHERE p.machine_id = {machine} AND {held})"""  # noqa: S608


@lru_cache(maxsize=64)
def counted(kinds: tuple[Kind, ...]) -> TextClause:
    """How many places each word has, as far as they are followed: n0, n1..."""
    counts = (
        f"(SELECT count(*) FROM ({_followed(n, kind)}) AS w{n}) AS n{n}"  # noqa: S608
        for n, kind in enumerate(kinds)
    )
    return _statement(f"SELECT {', '.join(counts)}", kinds)


@lru_cache(maxsize=64)
def followed(kinds: tuple[Kind, ...]) -> TextClause:
    """The machines to which the places of the first word lead and that have the others, best first.

    Each with its rank, when it was seen, how many machines and places of that word there are.
    """
    first = f"""placed AS ({_followed(0, kinds[0])}),
        best AS (
            SELECT machine_id, min(rank) AS r0, count(*) AS places FROM placed GROUP BY machine_id
        )"""  # noqa: S608
    seen = f"""ranked AS MATERIALIZED (
            SELECT h.*, (
                SELECT max(v.opened_at) FROM visit v WHERE v.machine_id = h.machine_id
            ) AS seen
            FROM held h WHERE h.r{len(kinds) - 1} IS NOT NULL
        )"""  # noqa: S608
    return _best((first, *_sieves("best", kinds, start=1), seen), kinds)


@lru_cache(maxsize=64)
def lately(kinds: tuple[Kind, ...]) -> TextClause:
    """The machines of the last `recent` visits that have every word, as `followed`."""
    last = """last AS (
            SELECT machine_id, opened_at FROM visit ORDER BY opened_at DESC LIMIT :recent
        ),
        seen AS (
            SELECT machine_id, max(opened_at) AS seen, 0 AS places FROM last GROUP BY machine_id
        )"""
    ranked = f"""ranked AS MATERIALIZED (
            SELECT h.* FROM held h WHERE h.r{len(kinds) - 1} IS NOT NULL
        )"""  # noqa: S608
    return _best((last, *_sieves("seen", kinds, start=0), ranked), kinds)


def _sieves(source: str, kinds: tuple[Kind, ...], *, start: int) -> Iterator[str]:
    """Tables of the machines that have one word more each; the last is `held`."""
    before = source
    for n, kind in enumerate(kinds[start:], start):
        has = f"WHERE h.r{n - 1} IS NOT NULL" if n else ""
        yield f"""held{n} AS MATERIALIZED (
            SELECT h.*, {_held(n, kind, "h.machine_id")} AS r{n} FROM {before} h {has}
        )"""  # noqa: S608
        before = f"held{n}"
    yield f"held AS (SELECT * FROM {before})"  # noqa: S608


def _best(tables: Iterable[str], kinds: tuple[Kind, ...]) -> TextClause:
    """The best of the last table, `ranked`. The machines' own rows are looked up last."""
    rank = " + ".join(f"r{n}" for n in range(len(kinds)))
    return _statement(
        f"""
        WITH {", ".join(tables)},
        top AS MATERIALIZED (
            SELECT machine_id, {rank} AS rank, seen,
                count(*) OVER () AS machines, sum(places) OVER () AS places
            FROM ranked ORDER BY rank, seen DESC NULLS LAST, machine_id LIMIT :limit
        )
        SELECT {COLUMNS}, t.rank, t.seen, t.machines, t.places
        FROM top t JOIN machine m ON m.id = t.machine_id
        ORDER BY t.rank, t.seen DESC NULLS LAST, t.machine_id""",  # noqa: S608
        kinds,
    )


def _statement(words: str, kinds: tuple[Kind, ...]) -> TextClause:
    close = (f"close{n}" for n, kind in enumerate(kinds) if kind is Kind.CLOSE)
    lists: list[BindParameter[object]] = [bindparam(name, expanding=True) for name in close]
    return text(words).bindparams(*lists)
