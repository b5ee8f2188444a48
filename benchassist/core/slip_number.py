"""A slip's number: four digits or more, on a bench that has a letter after it and a hyphen."""

import re
from typing import Final

PLAIN: Final = re.compile(r"(?:([A-Z])-)?([0-9]{1,9})", re.ASCII)
"""What a shop counts by; a number of another make counts for nothing."""


def number_of(letter: str, serial: int) -> str:
    """The number of a bench's slip: '0412', or 'B-0412' where it has a letter."""
    return f"{letter}-{serial:04d}" if letter else f"{serial:04d}"


def letter_of(number: str) -> str:
    """The letter of the bench that gave a number, empty for none."""
    found = PLAIN.match(number)
    return (found[1] or "") if found else ""


def following(number: str) -> str:
    """The number after one that `number_of` made."""
    found = PLAIN.fullmatch(number)
    if found is None:
        raise ValueError(number)
    return number_of(found[1] or "", int(found[2]) + 1)


def before_apart(number: str) -> str:
    """The number a visit had before it was given another beside it: 'B-0412' of 'B-0412-2'."""
    found = PLAIN.match(number)
    return found[0] if found else number


def is_letter(text: str) -> bool:
    """Whether a bench may have it: nothing, or one of A to Z."""
    return text == "" or (len(text) == 1 and "A" <= text <= "Z")
