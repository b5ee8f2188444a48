"""Whether the shop knows the meter on a link: by its lead, by its name, or by being told.

A meter is never taken for another one: where two leads look the same the person says which it is,
and a name that changes while a link lives has to be agreed to.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from benchassist.core.link import LinkRequest, PortInfo
from benchassist.core.procedure import MeterCard
from benchassist.errors import BenchError
from benchassist.services.front.counter_view import FieldChoice
from benchassist.services.metering.meter_memory import (
    KnownMeter,
    MeterMemory,
    is_lasting,
    key_of,
    lead_key,
    twins_of,
)
from benchassist.services.metering.proposal_text import match_text
from benchassist.services.translation import _

YES = "yes"
NO = "no"
NEW = "new"


@dataclass(frozen=True, slots=True)
class Question:
    """Something only the person at the bench can say, with what they may answer."""

    text: str
    answers: tuple[FieldChoice, ...]


class Acquaintance:
    """One link's meter in the shop's memory.

    `key` is what it is remembered by, empty where nothing tells it from another. `question` waits
    for an answer; while it does, nothing kept of any meter is used. `trouble` is what is wrong with
    the memory itself, in one line.
    """

    def __init__(self, memory: MeterMemory | None, cards: Sequence[MeterCard]) -> None:
        self._memory = memory
        self._card_names = {card.key: card.name for card in cards}
        self.forget()

    def forget(self) -> None:
        """The link is closed."""
        self.key = ""
        self.question: Question | None = None
        self.trouble = ""
        self._lead = ""
        self._request: LinkRequest | None = None
        self._identity = ""
        self._stranger = ""

    # --- who it is --------------------------------------------------------------------------------

    def plugged(self, request: LinkRequest, ports: Sequence[PortInfo]) -> KnownMeter | None:
        """What is known by the lead of a link to be opened; asks where leads look the same."""
        self.forget()
        self._request = request
        self.key = key_of(request, ports)
        alike = self._alike(request.port, ports)
        twins = twins_of(request.port, ports)
        if alike and (twins or len(alike) > 1):
            self.key = ""
            self._lead = lead_key(request.port, ports)
            self.question = self._which(request.port, alike)
            return None
        if twins:
            self.key = self._fresh(lead_key(request.port, ports))
        self._lead = self.key
        return self._recall()

    def named(self, identity: str) -> bool:
        """An instrument says who it is. True where what is known of it is to be used from now on.

        A name other than the one before is a stranger: it is asked about and not used.
        """
        if not identity or identity == (self._stranger or self._identity):
            return False
        if self._identity and identity != self._identity:
            self._stranger = identity
            self.key = f"id:{identity}"
            self.question = _stranger(identity, self._identity)
            return False
        self._agree(identity)
        return True

    @property
    def is_stranger(self) -> bool:
        """Whether another instrument than before answers, and nobody has agreed to it."""
        return bool(self._stranger)

    def answer(self, key: str) -> None:
        """The person says who it is: yes to a stranger, else the key of one of those alike."""
        if self._stranger:
            self._agree(self._stranger)
        elif self.question is not None:
            self.question = None
            self.key = self._fresh(self._lead) if key == NEW else key
            self._lead = self.key

    def settle(self) -> None:
        """Its display was matched: that is an answer to whatever is asked."""
        if self.question is not None:
            self.answer(YES if self._stranger else NEW)

    def _agree(self, identity: str) -> None:
        self._identity, self._stranger, self.question = identity, "", None
        self.key = f"id:{identity}"

    def _which(self, port: str, alike: dict[str, KnownMeter]) -> Question:
        answers = [FieldChoice(key=key, text=self._kept(known)) for key, known in alike.items()]
        return Question(
            _("Leads that look the same: which meter hangs on {port}?").format(port=port),
            (*answers, FieldChoice(key=NEW, text=_("Another one"))),
        )

    def _kept(self, known: KnownMeter) -> str:
        card = self._card_names.get(known.card, "")
        parts = [known.protocol, known.line, card, known.accuracy, match_text(known)]
        return ", ".join(part for part in parts if part)

    # --- what is kept of it -----------------------------------------------------------------------

    def known(self) -> KnownMeter | None:
        """What is kept of it; None while something is asked, or for a new one."""
        return None if self.question is not None else self._recall()

    def at(self, port: str, ports: Sequence[PortInfo]) -> tuple[KnownMeter, ...]:
        """Every meter that was read through the lead on a port, or through one like it."""
        if self._memory is None:
            return ()
        try:
            alike = self._memory.alike(lead_key(port, ports))
        except BenchError as error:
            self.trouble = str(error)
            return ()
        return tuple(alike.values())

    def keep(self, meter: KnownMeter) -> None:
        """Remember it. Raises StoreError, InputError."""
        if self._memory is None or self.question is not None:
            return
        self._memory.keep(self.key, meter)
        if self.key.startswith("id:") and is_lasting(self._lead):
            how = KnownMeter(protocol=meter.protocol, line=meter.line, dtr=meter.dtr, rts=meter.rts)
            self._memory.keep(self._lead, how)

    def note(self, meter: KnownMeter) -> None:
        """Remember how it is read, where it is new and will be known again; never raises."""
        if self.question is not None or not is_lasting(self.key) or self._recall() is not None:
            return
        try:
            self.keep(replace(meter, matched_at=""))
        except BenchError as error:
            self.trouble = str(error)

    def _recall(self) -> KnownMeter | None:
        if self._memory is None or self._request is None:
            return None
        try:
            known = self._memory.recall(self.key)
        except BenchError as error:
            self.trouble = str(error)
            return None
        return known if known is not None and known.protocol == self._request.protocol else None

    def _alike(self, port: str, ports: Sequence[PortInfo]) -> dict[str, KnownMeter]:
        if self._memory is None or self._request is None:
            return {}
        try:
            alike = self._memory.alike(lead_key(port, ports))
        except BenchError as error:
            self.trouble = str(error)
            return {}
        return {k: m for k, m in alike.items() if m.protocol == self._request.protocol}

    def _fresh(self, lead: str) -> str:
        if self._memory is None:
            return ""
        try:
            return self._memory.fresh(lead)
        except BenchError as error:
            self.trouble = str(error)
            return ""


def _stranger(now: str, before: str) -> Question:
    return Question(
        _("Another meter came back: {now}, before it was {before}. Go on with it?").format(
            now=now, before=before
        ),
        (
            FieldChoice(key=YES, text=_("Yes, go on with it")),
            FieldChoice(key=NO, text=_("No, unlink it")),
        ),
    )
