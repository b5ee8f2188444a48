"""Single faults of a cable in valid blocks, and what a decoder makes of each."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from benchassist.core.reading import Reading
from benchassist.meters.roster import family
from tests.meters.sample import SAMPLES
from tests.meters.sender import SENDERS, display, with_parity

WITH_PARITY = " +parity"
"""Behind a family's name: its blocks with their parity bit, as an eight-bit adapter hands it on."""


@dataclass(frozen=True, slots=True)
class Share:
    """Of single faults of one kind: how many were read as something else than was sent."""

    faults: int
    wrong: int

    @property
    def wrong_share(self) -> float:
        """From 0 to 1."""
        return self.wrong / self.faults


def flips(block: bytes) -> Iterator[bytes]:
    """Each single bit the other way."""
    for at, byte in enumerate(block):
        for bit in range(8):
            yield block[:at] + bytes([byte ^ 1 << bit]) + block[at + 1 :]


def drops(block: bytes) -> Iterator[bytes]:
    """Each byte left out."""
    for at in range(len(block)):
        yield block[:at] + block[at + 1 :]


def inserts(block: bytes) -> Iterator[bytes]:
    """Any byte put in anywhere."""
    for at in range(len(block) + 1):
        for byte in range(256):
            yield block[:at] + bytes([byte]) + block[at:]


FAULTS: dict[str, Callable[[bytes], Iterator[bytes]]] = {
    "bit flipped": flips,
    "byte dropped": drops,
    "byte inserted": inserts,
}


def variants() -> tuple[str, ...]:
    """Every frame family, those with parity also with its bit kept."""
    return tuple(
        name + kept
        for name in SENDERS
        for kept in (("", WITH_PARITY) if name.startswith("nibble") else ("",))
    )


def blocks(variant: str) -> list[bytes]:
    """Valid blocks of a variant: its samples, and one resistance a range."""
    name = variant.removesuffix(WITH_PARITY)
    found = [sample.block for sample in SAMPLES[name]]
    found += [SENDERS[name](display(name, 1234 + 111 * code, code)) for code in range(6)]
    return [with_parity(block) for block in found] if variant.endswith(WITH_PARITY) else found


def share(variant: str, kind: str) -> Share:
    """Every fault of a kind in every block, each between two whole blocks."""
    count = wrong = 0
    name = variant.removesuffix(WITH_PARITY)
    known = blocks(variant)
    for at, block in enumerate(known):
        before, after = known[at - 1], known[at - 2]
        sent = {said(r) for whole in (before, block, after) for r in read(name, whole)}
        for hurt in FAULTS[kind](block):
            count += 1
            wrong += any(said(r) not in sent for r in read(name, before + hurt + after))
    return Share(count, wrong)


def read(name: str, data: bytes) -> list[Reading]:
    """Readings of a new decoder."""
    return family(name).make_decoder("A").feed(data, 0.0)


def said(reading: Reading) -> tuple[object, ...]:
    """What must not change unseen: the value, of what, how measured, and its count."""
    return (reading.value, reading.quantity, reading.mode, reading.resolution)
