"""Text that somebody else wrote, made fit for one line of ours: on screen, on paper, in a terminal.

Nothing in it steers what shows it: no control character, no order of reading forced on what stands
beside it, no pile of marks that leaves its line. What is kept on file is not changed by this.
"""

import re
from functools import lru_cache
from typing import Final
from unicodedata import category

MOST_SHOWN: Final = 2000
"""Characters; more do not fit on any screen or slip of ours."""

MOST_QUOTED: Final = 60
"""Characters of a text that a line quotes: what the line says after it stays in sight."""

MOST_MARKS: Final = 4
"""Combining marks over one letter; no spelling has more."""

JOINERS: Final = "\u200c\u200d"
"""Needed inside words of some scripts, and in signs made of several."""

BLANK: Final = re.compile("[\t\n\v\f\r\x1c-\x1f\x85\u2028\u2029]")
UNKEPT: Final = re.compile("[\x00\ud800-\udfff]")
UNSEEN: Final = ("Cc", "Cf", "Cs")
MARKS: Final = ("Mn", "Me", "Mc")


def plain(text: str, most: int = MOST_SHOWN) -> str:
    """Return the text as it may be shown, on one line, ended with an ellipsis after `most`."""
    if len(text) > most:
        return plain(text[:most], most) + "…"
    if text.isascii() and text.isprintable():
        return text
    return _plain(text)


@lru_cache(maxsize=1024)
def _plain(text: str) -> str:
    kept, marks = list[str](), 0
    for letter in BLANK.sub(" ", text):
        kind = category(letter)
        if kind in UNSEEN and letter not in JOINERS:
            continue
        marks = marks + 1 if kind in MARKS else 0
        if marks <= MOST_MARKS:
            kept.append(letter)
    return "".join(kept)


def brief(text: str) -> str:
    """Return a text as a line quotes it: on one line, what cannot be printed as ?, not long."""
    line = " ".join(text.split())
    cut = line[:MOST_QUOTED]
    if not cut.isprintable():
        cut = "".join(letter if letter.isprintable() else "?" for letter in cut)
    return f"{cut}…" if len(line) > MOST_QUOTED else cut


def typed(text: str) -> str:
    """Return what a person typed or pasted without what cannot be seen, on one line, whole."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        letter
        for letter in BLANK.sub(" ", text)
        if letter in JOINERS or category(letter) not in UNSEEN
    )


def is_kept(text: str) -> bool:
    """Whether every database, file and document can hold it: no NUL, no half of a character."""
    if text.isascii():
        return "\x00" not in text
    return UNKEPT.search(text) is None


def capital(text: str) -> str:
    """Return words that begin in the middle of a line as they begin one."""
    return text[:1].upper() + text[1:]
