"""What can be told of a meter by listening: on which lines, for which families, and how surely.

Nothing is claimed: blocks that fit a family are counted, and whoever asked decides.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from benchassist.core.link import Proposal, Surety
from benchassist.meters.family import Family
from benchassist.meters.listener import ENOUGH_BLOCKS

SURETIES: Final = tuple(Surety)


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One opening of a port: the families looked for on it, its line and its supply.

    `asks` says that the meter is spoken to. `is_network` is an address where a line means nothing.
    """

    families: tuple[Family, ...]
    line: str
    dtr: bool
    rts: bool
    asks: bool = False
    is_network: bool = False

    def swapped(self) -> "Step":
        """The same under the other supply: some leads draw their power the other way round."""
        return replace(self, dtr=not self.dtr, rts=not self.rts)

    def is_usual_for(self, family: Family) -> bool:
        """Whether this is the family's own line."""
        return self.is_network or self.line == family.line

    def proposal(
        self, port: str, family: Family, surety: Surety, *, frames: int, identity: str = ""
    ) -> Proposal:
        """A family on this line, with the supply where it is not the family's own."""
        return Proposal(
            port=port,
            protocol=family.name,
            line=family.line if self.is_network else self.line,
            surety=surety,
            frames=frames,
            identity=identity,
            dtr=None if self.dtr is family.dtr else self.dtr,
            rts=None if self.rts is family.rts else self.rts,
        )


class Ear:
    """Hears one family in what comes on a line."""

    def __init__(self, family: Family) -> None:
        self.family = family
        self._decoder = family.make_decoder("")

    def feed(self, data: bytes, t_s: float) -> None:
        """Take in what came."""
        self._decoder.feed(data, t_s)

    @property
    def frames(self) -> int:
        """Blocks of the family so far; none where there was more junk than blocks."""
        counted = self._decoder
        return counted.blocks if counted.bad_bytes <= counted.good_bytes else 0

    @property
    def is_sure(self) -> bool:
        """Whether a link would believe that this is a meter of the family."""
        return self.frames >= ENOUGH_BLOCKS


def listening_steps(families: Iterable[Family], *, is_network: bool) -> tuple[Step, ...]:
    """The usual lines of the families that send by themselves, one after the other.

    On each of them every family is heard that has the same bits, for some meters send faster or
    slower than their kind. On a network all of them are heard at once.
    """
    sending = [known for known in families if known.make_splitter is not None and not known.poll]
    if is_network:
        return _network_step(sending)
    lines = {known.line: known for known in sending}
    return tuple(
        Step(
            families=tuple(known for known in sending if _bits(known.line) == _bits(line)),
            line=line,
            dtr=first.dtr,
            rts=first.rts,
        )
        for line, first in lines.items()
    )


def asking_steps(families: Iterable[Family], *, is_network: bool) -> tuple[Step, ...]:
    """The lines of the families that answer, an instrument's question before a poll.

    A poll sent first would stand before the question in an instrument's buffer.
    """
    asked = [known for known in families if known.make_splitter is None or known.poll]
    asked.sort(key=lambda known: known.poll is not None)
    return tuple(
        Step(
            families=(known,),
            line=known.line,
            dtr=known.dtr,
            rts=known.rts,
            asks=True,
            is_network=is_network,
        )
        for known in asked
    )


def proposals(port: str, step: Step, ears: Iterable[Ear]) -> tuple[Proposal, ...]:
    """What was heard in a step. Likely is one family alone, on its usual line, often enough."""
    fitting = [ear for ear in ears if ear.frames]
    return tuple(
        step.proposal(
            port,
            ear.family,
            Surety.LIKELY
            if ear.is_sure and len(fitting) == 1 and step.is_usual_for(ear.family)
            else Surety.POSSIBLE,
            frames=ear.frames,
        )
        for ear in fitting
    )


def ranked(found: Iterable[Proposal]) -> tuple[Proposal, ...]:
    """The best proposal of each family, the surest first."""
    best: dict[str, Proposal] = {}
    for proposal in sorted(found, key=_rank):
        best.setdefault(proposal.protocol, proposal)
    return tuple(best.values())


def _rank(proposal: Proposal) -> tuple[int, int]:
    return SURETIES.index(proposal.surety), -proposal.frames


def _network_step(sending: list[Family]) -> tuple[Step, ...]:
    first = sending[:1]
    return tuple(
        Step(
            families=tuple(sending),
            line=known.line,
            dtr=known.dtr,
            rts=known.rts,
            is_network=True,
        )
        for known in first
    )


def _bits(line: str) -> str:
    return line.partition("-")[2]
