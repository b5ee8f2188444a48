"""The search over again, by looking at every word of every machine: what it must find."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime

from benchassist.core.entry import Machine
from benchassist.storage.search_words import Field, folded, parts_of, places_of, words_of

NEVER = datetime.min.replace(tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Said:
    """A visit: of which machine, when, what was said."""

    machine_id: str
    at: datetime
    text: str


def edits(one: str, other: str) -> int:
    """Letters wrong, missing, too many and neighbours swapped, by the textbook's table."""
    rows = [[i + j if not i * j else 0 for j in range(len(other) + 1)] for i in range(len(one) + 1)]
    for i in range(1, len(one) + 1):
        for j in range(1, len(other) + 1):
            rows[i][j] = min(
                rows[i - 1][j] + 1,
                rows[i][j - 1] + 1,
                rows[i - 1][j - 1] + (one[i - 1] != other[j - 1]),
            )
            if i > 1 and j > 1 and one[i - 2 : i] == other[j - 2 : j][::-1]:
                rows[i][j] = min(rows[i][j], rows[i - 2][j - 2] + 1)
    return rows[-1][-1]


def allowed(typed: str, errors: int) -> int:
    """How many errors a word may have."""
    first = 4 if typed.isalpha() else 6
    return min(errors, (len(typed) >= first) + (len(typed) >= 8))


def is_close(typed: str, word: str, errors: int) -> bool:
    """Whether a beginning of a word, or a part of one with digits, is so close."""
    starts = [0] if typed.isalpha() else range(len(word))
    return errors > 0 and any(
        edits(typed, word[start:end]) <= errors
        for start in starts
        for end in range(start, min(len(word), start + len(typed) + errors) + 1)
    )


def rank(typed: str, places: Iterable[tuple[str, Field]], errors: int) -> int | None:
    """The best place of a typed word, None where it stands nowhere."""
    ranks = []
    for word, field in places:
        if word.startswith(typed):
            ranks.append(int(field))
        elif len(typed) >= 2 and typed in word:
            ranks.append(4 + field)
        elif field != Field.TAG and is_close(typed, word, allowed(typed, errors)):
            ranks.append(8 + field)
    return min(ranks, default=None)


def found_by_looking(
    machines: Mapping[str, Machine], visits: Iterable[Said], words: str
) -> tuple[list[str], bool]:
    """The ids of the machines that fit, best first, and whether they are only close."""
    places = {m.id: places_of(m) for m in machines.values()}
    seen: dict[str, datetime] = {}
    for visit in visits:
        places[visit.machine_id] |= {(word, Field.SAID) for word in words_of(visit.text)}
        seen[visit.machine_id] = max(visit.at, seen.get(visit.machine_id, visit.at))
    chunks = [parts_of(chunk) for chunk in folded(words).split()]
    ways = [["".join(parts) for parts in chunks if parts], [p for parts in chunks for p in parts]]
    for errors in range(3):
        for way in ways:
            ranks = {m: [rank(t, places[m], errors) for t in set(way)] for m in places}
            sums = {m: sum(r for r in each if r is not None) for m, each in ranks.items()}
            fit = sorted(m for m, each in ranks.items() if each and None not in each)
            fit.sort(key=lambda m: (m in seen, seen.get(m, NEVER)), reverse=True)
            fit.sort(key=sums.__getitem__)
            if fit:
                return fit, errors > 0
    return [], False
