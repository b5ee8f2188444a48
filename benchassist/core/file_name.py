"""Names of files that come from elsewhere: what may be one, and a part of one made of any text."""

from typing import Final

LONGEST_NAME: Final = 255
LONGEST_PATH: Final = 4095
"""Bytes, on the file systems of today; a longer one is refused before anybody looks for it."""

MOST_NAMED: Final = 60
"""Characters of a file's name that come from elsewhere."""


def is_named(path: str) -> bool:
    """Return whether a file can have this path at all."""
    try:
        # As a file's name that is no text comes out of the system and goes back into it.
        whole = path.encode("utf-8", "surrogateescape")
    except UnicodeEncodeError:  # half of a character
        return False
    longest = max(map(len, whole.replace(b"\\", b"/").split(b"/")))
    return longest <= LONGEST_NAME and len(whole) <= LONGEST_PATH and b"\x00" not in whole


def file_part(text: str) -> str:
    """Return the text as a part of a file's name: letters, digits, - and _, and not many."""
    return "".join(c if c.isalnum() or c in "-_" else "_" for c in text[:MOST_NAMED])
