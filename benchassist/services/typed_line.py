"""How long what a person types may be, and what in it cannot be kept: said before it is written."""

from contextlib import suppress
from dataclasses import fields
from pathlib import Path
from typing import Final

from benchassist.core.entry import Entry
from benchassist.core.file_name import is_named
from benchassist.core.plain_text import brief, is_kept
from benchassist.errors import InputError
from benchassist.services.translation import _

LONGEST_LINE: Final = 120
"""Characters of a name, a number, a caption."""
LONGEST_WORDS: Final = 2000
"""Characters of a note, of what the customer said, of a reason."""


def line_of(text: str, label: str, most: int = LONGEST_LINE) -> str:
    """A field's text without blanks around it. Raises InputError where it cannot be kept."""
    given = text.strip()
    if len(given) > most:
        raise InputError(
            _("{label}: {n} signs are too many, up to {most} would be right").format(
                label=label, n=len(given), most=most
            )
        )
    if not is_kept(given):
        raise InputError(
            _("{label}: a sign in it cannot be kept: type it again").format(label=label)
        )
    return given


def path_of(text: str, lacking: str) -> Path:
    """The path that was typed or dropped, ~ for the person's own folder.

    Raises InputError with `lacking` where there is none, or where no file can have such a name.
    """
    bare = text.strip().strip("\"'")
    if not bare:
        raise InputError(lacking)
    path = Path(bare)
    with suppress(RuntimeError):  # '~' and the name of nobody here is a name like any other
        path = path.expanduser()
    if not is_named(str(path)):
        raise InputError(
            _("{path}: no file can have such a name, type a shorter one").format(path=brief(bare))
        )
    return path


def refuse_misfit(entry: Entry) -> None:
    """Raise InputError where words of an entry cannot be kept: it would wait for ever."""
    for field in fields(entry):
        value = getattr(entry, field.name)
        for text in value if isinstance(value, tuple) else (value,):
            if type(text) is str:
                line_of(text, _("What was typed"), LONGEST_WORDS)
