"""A fault in a profile, and where in the file it stands."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from gettext import dgettext
from pathlib import Path

from benchassist.core.plain_text import brief

Where = tuple[str | int, ...]
"""The way from the top of a file to a value: keys and places in lists."""


def _(text: str) -> str:
    return dgettext("benchassist", text)


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong and what would be right.

    `where` is the way from the top of the file to the value: keys and places in lists. `line` is
    given instead where the file is no TOML at all.
    """

    path: Path
    where: Where
    message: str
    line: int | None = None


def told(faults: Iterable[Fault], texts: Mapping[Path, str]) -> tuple[str, ...]:
    """Every fault as `file:line: message`, in the order of files and lines, each once."""
    from benchassist.specbook.position import Lines  # tomlkit: only where there is a fault

    kept = tuple(faults)
    lines = {path: Lines(texts.get(path, "")) for path in {fault.path for fault in kept}}
    placed = {(str(f.path), f.line or lines[f.path].of(f.where), f.message) for f in kept}
    return tuple(f"{path}:{line}: {message}" for path, line, message in sorted(placed))


def unknown(what: str, given: str, known: Iterable[str]) -> str:
    """The message for a word that names nothing, with the nearest that does."""
    message = _("unknown {what} '{given}'").format(what=what, given=brief(given))
    near = get_close_matches(given, tuple(known), n=1)
    return message + (_(": did you mean '{near}'?").format(near=brief(near[0])) if near else "")
