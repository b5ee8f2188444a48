"""A machine's tag as it is scanned and as it is typed, with a character that catches mistyping.

The code typed is the tag, a dot and a check character: ISO/IEC 7064, MOD 37,36, over the tag's
letters and digits. It catches every single wrong character and nearly every swap of two neighbours.
"""

from dataclasses import dataclass
from typing import Final

_ALPHABET: Final = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_SIZE: Final = len(_ALPHABET)
_DOT: Final = "."


@dataclass(frozen=True, slots=True, kw_only=True)
class Tag:
    """What goes on one tag: what its square code holds, what a person types, what machine it is.

    Nothing of the customer is in it.
    """

    payload: str
    code: str
    words: str = ""


@dataclass(frozen=True, slots=True)
class TypedCode:
    """A text that has the shape of a tag's code, and whether its check character fits."""

    tag: str
    fits: bool


def check_character(tag: str) -> str:
    """The check character of a tag, 0-9 or A-Z; case and marks such as hyphens do not count.

    Source: ISO/IEC 7064, hybrid system MOD 37,36. A letter outside A-Z counts by its number in
    Unicode, which the standard does not have.
    """
    product = _SIZE
    for character in tag.upper():
        if not character.isalnum():
            continue
        at = _ALPHABET.find(character)
        total = (product + (at if at >= 0 else ord(character))) % _SIZE or _SIZE
        product = 2 * total % (_SIZE + 1)
    return _ALPHABET[(1 - product) % _SIZE]


def code_of(tag: str) -> str:
    """The code that is typed for a tag: 'M-014' is 'M-014.' and its check character."""
    return f"{tag}{_DOT}{check_character(tag)}"


def read_code(text: str) -> TypedCode | None:
    """The code that a text is, whatever its case; None where it has not the shape of one."""
    tag, dot, check = text.strip().rpartition(_DOT)
    if not (dot and len(check) == 1 and check.upper() in _ALPHABET):
        return None
    if not any(c.isalnum() for c in tag) or any(c.isspace() for c in tag):
        return None
    return TypedCode(tag, check.upper() == check_character(tag))
