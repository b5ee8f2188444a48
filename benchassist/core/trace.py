"""What tells who a customer is, and how it is taken out of a text.

A name is looked for as it was written, whatever its case and accents, in whole words; a phone
number in any spacing.
"""

import re
import unicodedata
from collections.abc import Iterable
from types import MappingProxyType
from typing import Any, Final, TypeVar

ERASED: Final = "[erased]"
"""Stands where personal data stood."""

LEAST_LETTERS: Final = 3
"""Of a part of a name that is looked for by itself."""

LEAST_DIGITS: Final = 5
"""Of a phone number: fewer may be anything."""

NUMBER_TAIL: Final = 7
"""Digits at a number's end that are it, whatever codes stand before them or do not."""

COMMON: Final = frozenset(
    {
        *("and", "the", "for", "mrs", "miss", "sir", "family", "son", "sons", "ltd", "inc"),
        *("und", "von", "van", "der", "den", "del", "las", "los", "les", "gmbh"),
    }
)
"""Parts of names that tell nobody by themselves."""

TWO_LETTERS: Final = MappingProxyType({"ä": "ae", "ö": "oe", "ü": "ue", "å": "aa", "ø": "oe"})
ONE_LETTER: Final = MappingProxyType({"ø": "o", "ł": "l", "đ": "d", "ð": "d", "æ": "ae", "œ": "oe"})

_ONE_LETTER: Final = str.maketrans(dict(ONE_LETTER))
_WORD: Final = re.compile(r"[^\W_]+")
_PIECES: Final = re.compile(r"[,;|]|\s/\s")
_NUMBERS: Final = re.compile(rf"{_PIECES.pattern}|[^\W\d_]+")
_BETWEEN: Final = r"[\s.\-–/()]{0,3}"
_NO_SPACE: Final = str.maketrans(
    "", "", ".-–/()" + "".join(filter(str.isspace, map(chr, range(0x3001))))
)
_START, _END = r"(?<![^\W_])", r"(?:['’]?s)?(?![^\W_])"
_CROWDED: Final = "\u2e80"
"""From here on scripts put no space between words."""

Words = TypeVar("Words", str, tuple[str, ...])


def fold(text: str) -> str:
    """Return a text as names are compared: no case, no accents."""
    if text.isascii():
        return text.lower()
    plain = unicodedata.normalize("NFKD", text.casefold())
    return "".join(c for c in plain if not unicodedata.combining(c)).translate(_ONE_LETTER)


def digits_of(text: str) -> str:
    """Return the digits of a text, however they are spaced."""
    return "".join(c for c in text if c in "0123456789")


class Traces:
    """A customer's names and phone numbers, and where a text holds them."""

    def __init__(self, names: Iterable[str], phones: Iterable[str]) -> None:
        names, phones = tuple(names), tuple(phones)
        spelled = [name for text in names for name in _spellings(text)]
        pieces = (piece for text in phones for piece in _PIECES.split(text))
        spoken = [*spelled, *(p for p in pieces if any(map(str.isalpha, p)))]
        numbers = [number for text in phones for number in _numbers_in(text)]
        whole = [*map(_phrase, spoken), *map(_number, numbers)]
        parts = {
            word
            for name in spelled
            for word in _WORD.findall(fold(name))
            if sum(map(str.isalpha, word)) >= LEAST_LETTERS and word not in COMMON
        }
        self._whole = _any_of(whole)
        self._all = _any_of([*whole, *(_bounded(re.escape(p), p) for p in sorted(parts))])
        # What a text has to have, looked for before anything that takes longer.
        needed = {max(_WORD.findall(fold(name)), key=len, default="") for name in spoken}
        self._needed_whole = tuple(sorted(needed - {""}))
        self._needed = tuple(sorted((needed | parts) - {""}))
        self._tails = tuple({number[-NUMBER_TAIL:] for number in numbers})

    def holds(self, text: str, *, whole: bool = False) -> bool:
        """Whether a text tells who it is; `whole`: only by the whole name, or a number."""
        folded = fold(text)
        pattern = self._whole if whole else self._all
        return (
            pattern is not None
            and self._may_hold(folded, whole=whole)
            and pattern.search(folded) is not None
        )

    def _may_hold(self, folded: str, *, whole: bool) -> bool:
        if any(word in folded for word in (self._needed_whole if whole else self._needed)):
            return True
        bare = folded.translate(_NO_SPACE) if self._tails else ""
        return any(tail in bare for tail in self._tails)

    def blot(self, text: str, *, whole: bool = False) -> str:
        """Return a text with `ERASED` in the place of everything that `holds` finds."""
        pattern = self._whole if whole else self._all
        if pattern is None or not text:
            return text
        folded, places = _folded(text)
        kept, end = list[str](), 0
        for found in pattern.finditer(folded):
            first, last = places[found.start()], places[found.end() - 1]
            # Accents that follow a letter are its own.
            after = last + 1
            while after < len(text) and unicodedata.combining(text[after]):
                after += 1
            if first >= end:
                kept += (text[end:first], ERASED)
                end = after
        return "".join(kept) + text[end:]

    def blot_all(self, words: Words, *, whole: bool = False) -> Words:
        """The same of a text, or of each of several."""
        if isinstance(words, str):
            return self.blot(words, whole=whole)
        return tuple(self.blot(text, whole=whole) for text in words)


def _folded(text: str) -> tuple[str, Any]:
    """A text as it is compared, and of each letter of it where it stands in the text."""
    if text.isascii():
        return text.lower(), range(len(text))
    letters, places = list[str](), list[int]()
    for place, letter in enumerate(text):
        for plain in unicodedata.normalize("NFKD", letter.casefold()):
            if not unicodedata.combining(plain):
                for one in ONE_LETTER.get(plain, plain):
                    letters.append(one)
                    places.append(place)
    return "".join(letters), places


def _spellings(name: str) -> tuple[str, ...]:
    """A name, and as it is written where the letters are lacking."""
    composed = unicodedata.normalize("NFC", name).casefold()
    plain = "".join(TWO_LETTERS.get(c, c) for c in composed)
    return (name,) if plain == composed else (name, plain)


def _phrase(text: str) -> str:
    """All the words of a name in their order, whatever stands between them."""
    words = _WORD.findall(fold(text))
    if sum(len(word) for word in words) < (2 if _is_crowded(text) else LEAST_LETTERS):
        return ""
    return _bounded(r"[\W_]+".join(map(re.escape, words)), text)


def _bounded(pattern: str, text: str) -> str:
    return pattern if _is_crowded(text) else f"{_START}{pattern}{_END}"


def _is_crowded(text: str) -> bool:
    return any(c >= _CROWDED and c.isalpha() for c in text)


def _numbers_in(phone: str) -> list[str]:
    found = (digits_of(piece).lstrip("0") for piece in _NUMBERS.split(phone))
    return [number for number in found if len(number) >= LEAST_DIGITS]


def _number(digits: str) -> str:
    """A number's last digits in any spacing, with those of its codes that stand before them."""
    head, tail = digits[:-NUMBER_TAIL], digits[-NUMBER_TAIL:]
    before = ""
    for digit in head:
        before = f"(?:{before}{digit}{_BETWEEN})?"
    return rf"(?<!\d)\+?\d{{0,8}}?{before}{_BETWEEN.join(tail)}(?!\d)"


def _any_of(patterns: Iterable[str]) -> re.Pattern[str] | None:
    """Any of them, the longer the sooner."""
    known = sorted({p for p in patterns if p}, key=len, reverse=True)
    return re.compile("|".join(known)) if known else None
