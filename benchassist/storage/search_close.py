"""Words on file that are close to one that was typed.

An error is a letter wrong, missing or too many, or two neighbours swapped. One is allowed from four
letters on, two from eight; a word with digits in it needs six for the first, since a number that is
nearly right is another number. A word counts as close where one of its beginnings does, for it may
not be typed to its end yet; one with digits, where a part of it does.

What is looked at comes from the pigeonhole principle: so many errors leave one of as many pieces
and one more as it was typed, unless two neighbours were swapped across a seam, and those are
swapped back first.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Final

from sqlalchemy import Connection, TextClause, text

from benchassist.storage.search_words import LAST

FIRST_ERROR: Final = 4
FIRST_ERROR_IN_NUMBER: Final = 6
SECOND_ERROR: Final = 8

MOST_LOOKED_AT: Final = 400
"""Words on file that are compared for one piece."""

MOST_CLOSE: Final = 40
"""Words on file that are taken for one that was typed."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A run of letters that stands as typed in a close word, up to `errors` from `at`."""

    letters: str
    at: int
    errors: int


def tolerance(word: str) -> int:
    """How many errors a typed word may have."""
    first = FIRST_ERROR if word.isalpha() else FIRST_ERROR_IN_NUMBER
    return (len(word) >= first) + (len(word) >= SECOND_ERROR)


def pieces_of(word: str, errors: int) -> set[Piece]:
    """The pieces of which a word with at most so many errors leaves at least one as it was."""
    return set(_pieces(word, errors, errors))


def _pieces(word: str, errors: int, slack: int) -> Iterator[Piece]:
    seams = [round(len(word) * n / (errors + 1)) for n in range(errors + 2)]
    for start, end in pairwise(seams):
        yield Piece(word[start:end], start, slack)
    for seam in seams[1:-1]:
        swapped = word[: seam - 1] + word[seam] + word[seam - 1] + word[seam + 1 :]
        yield from _pieces(swapped, errors - 1, slack)


def close_words(connection: Connection, word: str, errors: int) -> tuple[str, ...]:
    """Words on file within so many errors of a typed one, or fewer where it tolerates no more.

    Those that are closest and of about its length come first.
    """
    allowed = min(errors, tolerance(word))
    if not allowed:
        return ()
    from rapidfuzz.distance import OSA

    anywhere = not word.isalpha()
    pieces = sorted(pieces_of(word, allowed), key=lambda piece: (piece.at, piece.letters))
    asked = _looked_at(len(pieces), anywhere=anywhere)
    given: dict[str, object] = {"most": MOST_LOOKED_AT, "least": len(word) - allowed}
    for n, piece in enumerate(pieces):
        given |= {f"from{n}": piece.letters, f"to{n}": piece.letters + LAST}
        given |= {f"at{n}": piece.at}
        if not anywhere:
            given |= {f"low{n}": piece.at - piece.errors, f"high{n}": piece.at + piece.errors}
    near = dict[str, int]()
    for other, start in connection.execute(asked, given):
        starts = range(max(0, start - allowed), start + allowed + 1) if anywhere else (0,)
        for begin in starts:
            for end in range(begin + len(word) - allowed, begin + len(word) + allowed + 1):
                errors_here = OSA.distance(word, other[begin:end], score_cutoff=allowed)
                if errors_here <= allowed:
                    near[other] = min(errors_here, near.get(other, allowed))
    order = sorted(near, key=lambda other: (near[other], abs(len(other) - len(word)), other))
    return tuple(order[:MOST_CLOSE])


@lru_cache(maxsize=32)
def _looked_at(pieces: int, *, anywhere: bool) -> TextClause:
    """Words with one of the pieces about where it was typed, and where in them that would begin."""
    arms = (
        f"""SELECT * FROM (
            SELECT word, length(word) - length(tail) - :at{n} AS start FROM search_tail
            WHERE tail >= :from{n} AND tail < :to{n} AND length(word) >= :least
            {"" if anywhere else f"AND length(word) - length(tail) BETWEEN :low{n} AND :high{n}"}
            LIMIT :most) AS arm{n}"""  # noqa: S608 - our own words
        for n in range(pieces)
    )
    return text(" UNION ".join(arms))
