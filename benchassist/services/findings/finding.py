"""Finding out how a meter speaks: what is remembered of its lead, then what is heard on its port.

Nothing is linked here. A proposal that is chosen fills port, family and line; the person links.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace

from benchassist.core.link import (
    ListeningEnd,
    ListeningOn,
    PortInfo,
    Proposal,
    ProtocolInfo,
    Surety,
)
from benchassist.errors import InputError
from benchassist.services.metering.meter_memory import KnownMeter
from benchassist.services.metering.meters_view import ProposalRow
from benchassist.services.metering.proposal_text import (
    asking_text,
    ended_text,
    listening_text,
    proposal_text,
    remembered_text,
    sure_text,
)
from benchassist.services.needs import Listening, MeterRoom
from benchassist.services.translation import _

Kept = Callable[[str, Sequence[PortInfo]], tuple[KnownMeter, ...]]
"""Every meter kept for the lead on a port."""


class Finding:
    """One page's search. `text` says how it stands; `rows` are the proposals, the surest first."""

    def __init__(self, room: MeterRoom, kept: Kept) -> None:
        self.text = ""
        self._room = room
        self._kept = kept
        self._families = room.protocols()
        self._ports: tuple[PortInfo, ...] = ()
        self._port = ""
        self._listening: Listening | None = None
        self._heard: tuple[Proposal, ...] = ()
        self._remembered: tuple[tuple[Proposal, KnownMeter], ...] = ()

    def look(self, ports: tuple[PortInfo, ...]) -> None:
        """These ports are there now: what is remembered of them is proposed before any listening.

        Once a port is listened to, only what concerns it is.
        """
        self._ports = ports
        names = (self._port,) if self._port else tuple(p.port for p in ports)
        self._remembered = tuple(kept for name in names for kept in self._known(name))

    def start(self, port: str) -> None:
        """Listen on a port, in a thread of its own. Raises InputError for what cannot be one."""
        self.stop()
        self._listening = self._room.scout(port)
        self._port, self._heard = port, ()
        self.text = listening_text(port)
        self.look(self._ports)

    def stop(self) -> None:
        """Listen no more; what was heard so far is forgotten."""
        if self._listening is None:
            return
        self._listening.close()
        self._listening = None
        self.text = _("Stopped listening")

    def clear(self) -> None:
        """A meter was linked: nothing is proposed any more."""
        self.stop()
        self.text, self._port, self._heard = "", "", ()
        self.look(self._ports)

    @property
    def is_listening(self) -> bool:
        """Whether a port is being listened to."""
        return self._listening is not None

    def take_in(self) -> None:
        """What the search said since the last look."""
        for item in self._listening.drain() if self._listening is not None else ():
            match item:
                case ListeningOn():
                    self.text = asking_text(item) if item.asks else listening_text(item.port, item)
                case ListeningEnd():
                    self._heard, self._listening = item.proposals, None
                    self.text = ended_text(item)

    def rows(self) -> tuple[ProposalRow, ...]:
        """What is remembered first, then what was heard besides."""
        heard = {(p.protocol, p.line) for p in self._heard}
        known = {(p.protocol, p.line) for p, _kept in self._remembered}
        return tuple(
            [
                self._row(p, remembered_text(kept, heard=(p.protocol, p.line) in heard))
                for p, kept in self._remembered
            ]
            + [self._row(p, sure_text(p)) for p in self._heard if (p.protocol, p.line) not in known]
        )

    def row(self, key: str) -> ProposalRow:
        """The proposal chosen. Raises InputError for one that is not there any more."""
        for row in self.rows():
            if row.key == key:
                return row
        raise InputError(_("that proposal is gone: listen again"))

    def supply(self, port: str, protocol: str) -> tuple[bool | None, bool | None]:
        """DTR and RTS under which this family was heard on this port, None as the family has it."""
        fitting = (p for p in self._heard if (p.port, p.protocol) == (port, protocol))
        return next(((p.dtr, p.rts) for p in fitting), (None, None))

    def _known(self, port: str) -> tuple[tuple[Proposal, KnownMeter], ...]:
        """What is kept for the lead on a port; of several read alike no match is told."""
        found: dict[Proposal, KnownMeter] = {}
        for known in self._kept(port, self._ports):
            if self._family(known.protocol) is not None:
                proposal = self._proposal(port, known)
                several = proposal in found
                found[proposal] = replace(known, matched_at="") if several else known
        return tuple(found.items())

    def _family(self, name: str) -> ProtocolInfo | None:
        return next((f for f in self._families if f.name == name), None)

    def _proposal(self, port: str, known: KnownMeter) -> Proposal:
        family = self._family(known.protocol)
        usual = family.line if family is not None else ""
        return Proposal(
            port=port,
            protocol=known.protocol,
            line=known.line or usual,
            surety=Surety.REMEMBERED,
            dtr=known.dtr,
            rts=known.rts,
        )

    def _row(self, proposal: Proposal, sure: str) -> ProposalRow:
        family = self._family(proposal.protocol)
        is_usual = family is not None and family.line == proposal.line
        return ProposalRow(
            key=f"{proposal.port} {proposal.protocol} {proposal.line}",
            port=proposal.port,
            protocol=proposal.protocol,
            line="" if is_usual else proposal.line,
            text=proposal_text(proposal),
            sure_text=sure,
        )
