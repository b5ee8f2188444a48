"""Words as the counter's search compares them.

Case, accents and what is neither a letter nor a digit do not count. What was written with marks in
it, such as C-210, counts in its parts and as one word. A part of a word is the beginning of one of
its ends.
"""

import unicodedata
from enum import IntEnum
from typing import Final

from benchassist.core.entry import Machine

SHORTEST: Final = 2
"""Letters of a part that is looked for inside words; fewer are looked for where words begin."""

LONGEST: Final = 40
"""Letters of a word that count."""

MOST_WORDS: Final = 64
"""Words of one text that count."""

MOST_TEXT: Final = 20_000
"""Characters of one text that are looked at."""

LAST: Final = "\U0010ffff"
"""Comes after every letter: all that begins with a word is below the word and this."""

LETTERS: Final = str.maketrans(
    {"ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe", "\u0131": "i"}
)
"""Letters that are not made of a plain one and an accent."""


class Field(IntEnum):
    """Where a word stands. The lower, the sooner its machine is shown."""

    TAG = 0
    OWNER = 1
    """Customer, phone and serial number."""
    MACHINE = 2
    """Unit and engine."""
    SAID = 3
    """The complaint of a visit, and what the customer said."""


def folded(text: str) -> str:
    """The text without case and accents."""
    text = text[:MOST_TEXT]
    if text.isascii():
        return text.lower()
    plain = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
    return "".join(c for c in plain if unicodedata.category(c)[0] != "M").translate(LETTERS)


def parts_of(chunk: str) -> tuple[str, ...]:
    """The runs of letters and digits in a folded text."""
    return tuple("".join(c if c.isalnum() else " " for c in chunk).split())


def words_of(text: str) -> set[str]:
    """The words of a text: its parts, and what is written without a blank as one word too."""
    words = set[str]()
    for chunk in folded(text).split():
        parts = parts_of(chunk)
        words.update((*parts[:MOST_WORDS], "".join(parts)))
        if len(words) > MOST_WORDS:
            break
    return {word[:LONGEST] for word in words if word}


def number_word(text: str) -> str:
    """All of a tag or a serial number as one word, empty where it has no letter and no digit."""
    return "".join(parts_of(folded(text)))[:LONGEST]


def number_words(text: str) -> set[str]:
    """The words of a tag or a serial number, and all of it as one."""
    return words_of(text) | {word for word in (number_word(text),) if word}


def phone_words(phone: str) -> set[str]:
    """The digits of a phone number as one word, so that its tail is an end of it; names in it."""
    digits = "".join(c for c in folded(phone) if c.isdecimal())[:LONGEST]
    names = {word for word in words_of(phone) if word.isalpha()}
    return names | {digits} if digits else names


def places_of(machine: Machine) -> set[tuple[str, Field]]:
    """Every word of a machine, and where it stands."""
    texts = (
        (Field.TAG, number_words(machine.tag)),
        (Field.OWNER, words_of(machine.customer)),
        (Field.OWNER, phone_words(machine.phone)),
        (Field.OWNER, number_words(machine.serial)),
        (Field.MACHINE, words_of(machine.unit)),
        (Field.MACHINE, words_of(machine.engine)),
    )
    return {(word, field) for field, words in texts for word in words}


def ends_of(word: str) -> list[str]:
    """Every end of a word from `SHORTEST` letters on, the word itself first."""
    return [word, *(word[i:] for i in range(1, len(word) - SHORTEST + 1))]
