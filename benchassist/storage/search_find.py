"""Machines found by words while they are typed, best first.

Every word typed is found somewhere in the machine or in what was said at its visits. Where the
words stand decides the order: at the beginning of a word before inside one, the tag before the
owner before the machine before what was said, then the machine seen last.

No question grows with the shop. A word that stands at more places than `Limits.most` is not
followed to all of them: what is at the first of them and what was seen lately is ranked, and it is
said that there is more. With several words the rarest is followed, and the others are looked up in
the machines it leads to.

Where nothing has the words as they were typed, words close to them are tried: `search_close`.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from sqlalchemy import Connection, Row, TextClause

from benchassist.core.record import Found
from benchassist.storage.query import machine_of
from benchassist.storage.search_close import close_words
from benchassist.storage.search_sql import Kind, counted, followed, lately
from benchassist.storage.search_words import LAST, LONGEST, SHORTEST, folded, parts_of

ERRORS: Final = 2
MOST_TYPED: Final = 8
"""Words typed that count."""

ALL: Final = 1_000_000_000


@dataclass(frozen=True, slots=True)
class Limits:
    """How many places of a word are followed, how many visits count as lately."""

    most: int = 300
    recent: int = 150


@dataclass(frozen=True, slots=True)
class Typed:
    """A word that was typed, and the words on file that are taken for it."""

    word: str
    close: tuple[str, ...] = ()

    @property
    def kind(self) -> Kind:
        """How it is looked for."""
        if self.close:
            return Kind.CLOSE
        return Kind.PART if len(self.word) >= SHORTEST else Kind.START


def find(connection: Connection, words: str, *, limit: int, limits: Limits | None = None) -> Found:
    """Machines that have every word, at most `limit` of them; none where there is no word.

    What was typed without a blank is one word first, as on a tag, then the parts of it are words.
    """
    search = _Search(connection, limit, limits or Limits())
    chunks = [parts_of(chunk) for chunk in folded(words).split()]
    joined = ["".join(parts)[:LONGEST] for parts in chunks if parts]
    parted = [part[:LONGEST] for parts in chunks for part in parts]
    ways = dict.fromkeys(tuple(dict.fromkeys(way))[:MOST_TYPED] for way in (joined, parted) if way)
    for errors in range(ERRORS + 1):
        for way in ways:
            typed = tuple(
                Typed(word, close_words(connection, word, errors) if errors else ()) for word in way
            )
            if errors and not any(word.close for word in typed):
                continue
            found = search.all_of(typed)
            if found.count:
                return replace(found, close=errors > 0)
    return Found()


@dataclass(frozen=True, slots=True)
class _Search:
    connection: Connection
    limit: int
    limits: Limits

    def all_of(self, typed: tuple[Typed, ...]) -> Found:
        if len(typed) == 1:
            return self._one(_Question(typed, self))
        counts = tuple(_Question(typed, self).ask(counted)[0])
        places = min(counts)
        if not places:
            return Found()
        rarest_first = sorted(range(len(typed)), key=counts.__getitem__)
        question = _Question(tuple(typed[n] for n in rarest_first), self)
        if places <= self.limits.most:
            return _found(question.ask(followed))
        recent = question.ask(lately)
        if len(recent) == self.limit:
            return replace(_found(recent), more=True)
        rows = question.ask(followed)
        if rows or recent:
            return self._either(rows, recent)
        return _found(question.ask(followed, most=ALL))

    def _one(self, question: "_Question") -> Found:
        rows = question.ask(followed)
        if not rows or rows[0].places <= self.limits.most:
            return _found(rows)
        return self._either(rows, question.ask(lately))

    def _either(self, rows: Sequence[Row[Any]], recent: Sequence[Row[Any]]) -> Found:
        """The best of both."""
        each = {row.id: row for row in (*rows, *recent)}
        best = sorted(each.values(), key=lambda row: row.id)
        best.sort(key=lambda row: (row.seen is not None, row.seen), reverse=True)
        best.sort(key=lambda row: row.rank)
        count = max(rows[0].machines if rows else 0, recent[0].machines if recent else 0)
        return replace(_found(best[: self.limit]), count=int(count), more=True)


class _Question:
    """Words in an order, and what is asked of them."""

    def __init__(self, typed: tuple[Typed, ...], search: _Search) -> None:
        self._connection = search.connection
        self._kinds = tuple(word.kind for word in typed)
        self._given: dict[str, Any] = {
            "most": search.limits.most + 1,
            "limit": search.limit,
            "recent": search.limits.recent,
        }
        for n, word in enumerate(typed):
            self._given |= {f"from{n}": word.word, f"to{n}": word.word + LAST}
            if word.kind is not Kind.START:
                self._given[f"part{n}"] = f"%{word.word}%"
            if word.close:
                self._given[f"close{n}"] = word.close

    def ask(
        self, statement: Callable[[tuple[Kind, ...]], TextClause], **other: int
    ) -> Sequence[Row[Any]]:
        """The rows of a statement on these words."""
        return self._connection.execute(statement(self._kinds), self._given | other).fetchall()


def _found(rows: Sequence[Row[Any]]) -> Found:
    machines = tuple(machine_of(row) for row in rows)
    return Found(machines=machines, count=int(rows[0].machines) if rows else 0)
