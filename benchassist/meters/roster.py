"""Every frame family this program reads, in the order in which they are offered."""

from typing import Final

from benchassist.errors import InputError
from benchassist.meters import (
    ascii_14,
    nibble_11,
    nibble_14,
    poll_14,
    scpi,
    segment_14,
    stx_16,
    text_line,
)
from benchassist.meters.family import Family
from benchassist.meters.translation import _

FAMILIES: Final[tuple[Family, ...]] = (
    scpi.FAMILY,
    text_line.FAMILY,
    nibble_14.FAMILY,
    nibble_11.FAMILY,
    ascii_14.FAMILY,
    segment_14.FAMILY,
    stx_16.FAMILY,
    poll_14.FAMILY,
)


def family(name: str) -> Family:
    """The family of that name. Raises InputError naming those there are."""
    for known in FAMILIES:
        if known.name == name:
            return known
    names = ", ".join(known.name for known in FAMILIES)
    raise InputError(_("Protocol {name}: there are {names}").format(name=name, names=names))
