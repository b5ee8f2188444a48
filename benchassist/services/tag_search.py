"""A tag that was scanned or typed at the counter: the machine it is on, before any other."""

from benchassist.core.entry import Machine
from benchassist.core.tag import read_code
from benchassist.services.needs import Store
from benchassist.services.translation import _


def find_machines(store: Store, query: str) -> tuple[tuple[Machine, ...], str]:
    """The machines that fit, the one with this very tag first, and what is wrong with the code.

    A scanner types the tag, a person the tag with its check character, or any words. The line is
    empty unless the text is a code that was mistyped or whose machine is not on file.
    """
    text = query.strip()
    if not text:
        return (), ""
    found = _tag_first(store.machines(text), text)
    code = read_code(text)
    if found or code is None:
        return found, ""
    if not code.fits:
        return (), _("{code}: the last character does not fit the tag. Read it again.").format(
            code=text.upper()
        )
    own = tuple(m for m in store.machines(code.tag) if _same(m.tag, code.tag))
    if own:
        return own, ""
    return (), _("{code}: no machine on file has this tag.").format(code=text.upper())


def _tag_first(machines: tuple[Machine, ...], tag: str) -> tuple[Machine, ...]:
    return tuple(sorted(machines, key=lambda machine: not _same(machine.tag, tag)))


def _same(tag: str, other: str) -> bool:
    return tag.casefold() == other.casefold()
