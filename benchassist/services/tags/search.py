"""What was scanned or typed at the counter: a tag's machine before any other, then words."""

from dataclasses import replace

from benchassist.core.entry import Machine
from benchassist.core.record import Found
from benchassist.core.tag import read_code
from benchassist.services.needs import Store
from benchassist.services.translation import _


def find_machines(store: Store, query: str, limit: int) -> tuple[Found, str]:
    """The machines that fit, the one with this very tag first, and what is wrong with the code.

    A scanner types the tag, a person the tag with its check character, or any words. The line is
    empty unless the text is a code that was mistyped or whose machine is not on file.
    """
    text = query.strip()
    if not text:
        return Found(), ""
    found = _tag_first(store.find(text, limit), store.machines_of_tag(text), limit)
    code = read_code(text)
    if code is None or any(_stands_in(text, machine) for machine in found.machines):
        return found, ""
    if not code.fits:
        return Found(), _("{code}: the last character does not fit the tag. Read it again.").format(
            code=text.upper()
        )
    if own := store.machines_of_tag(code.tag):
        return Found(machines=own[:limit], count=len(own)), ""
    return Found(), _("{code}: no machine on file has this tag.").format(code=text.upper())


def _tag_first(found: Found, tagged: tuple[Machine, ...], limit: int) -> Found:
    others = tuple(machine for machine in found.machines if machine not in tagged)
    machines = (*tagged, *others)[:limit]
    return replace(found, machines=machines, count=max(found.count, len(machines)))


def _stands_in(text: str, machine: Machine) -> bool:
    """Whether a text that looks like a code is a piece of what is written of a machine."""
    told = (machine.customer, machine.unit, machine.engine, machine.serial, machine.tag)
    return any(text.casefold() in part.casefold() for part in told)
