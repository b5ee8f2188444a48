"""The shop's meter: one link, its set-up and its lead zero, whatever page is in front."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from benchassist.core.accuracy import LeadZero
from benchassist.core.procedure import MeterCard
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Gap, LinkChange, LinkState, Reading
from benchassist.core.steady import Phase, ProbeTouch, Steadiness, SteadyDetector
from benchassist.errors import StepError
from benchassist.services.channel import Channel
from benchassist.services.link_text import link_trouble
from benchassist.services.meter_memory import KnownMeter, MeterMemory, key_of
from benchassist.services.needs import Clock, LinkRequest, MeterRoom
from benchassist.services.taking import MeterSetup
from benchassist.services.translation import _
from benchassist.units import read_accuracy

NO_METER = frozenset({LinkState.LOST, LinkState.WAITING})
WORN_LEADS = 0.5
"""Ohm. Leads above it are to be renewed (common practice)."""


@dataclass(frozen=True, slots=True)
class Zeroed:
    """A lead zero and when it was made."""

    zero: LeadZero
    at: datetime


class Meter:
    """Opens and closes the link, drains it once a tick for whoever is in front."""

    def __init__(
        self,
        room: MeterRoom,
        clock: Clock,
        cards: Sequence[MeterCard],
        setup: MeterSetup,
        *,
        memory: MeterMemory | None = None,
        name: str = "A",
    ) -> None:
        self._room = room
        self._clock = clock
        self._memory = memory
        self._name = name
        self._key = ""
        self.matched_at: datetime | None = None
        """When its display was last matched; a meter that never was is taken from by key only."""
        self.cards = tuple(cards)
        self.setup = setup
        self.channel: Channel | None = None
        self.request: LinkRequest | None = None
        self._wanted: Quantity | None = None
        self.steady = SteadyDetector()
        self.touch = ProbeTouch()
        self.now_steady = Steadiness(phase=Phase.EMPTY)
        self.zeroed: Zeroed | None = None

    def connect(self, request: LinkRequest) -> None:
        """Open a link; the one before is closed. Raises InputError for a line that is not one."""
        self.disconnect()
        request = replace(request, channel=self._name)
        link = self._room.open(request)
        self.request = request
        self.channel = Channel(link, replace(self.setup, name=self.setup.name or request.protocol))
        self.touch = ProbeTouch()
        self._recall("")

    def disconnect(self) -> None:
        """Close the link and forget what it showed."""
        if self.channel is not None:
            self.channel.link.close()
        self.channel, self.request, self.matched_at, self._key = None, None, None, ""
        self.zeroed = None
        self.steady.reset()
        self.now_steady = Steadiness(phase=Phase.EMPTY)

    # --- what is known of it ---------------------------------------------------------------------

    def _recall(self, identity: str) -> None:
        """What the shop knows of this meter; a SCPI instrument is known once it has said who."""
        if self._memory is None or self.request is None:
            return
        self._key = key_of(self.request, self._room.ports(), identity)
        self.matched_at = None
        known = self._memory.recall(self._key)
        if known is None or known.protocol != self.request.protocol:
            return
        self.matched_at = datetime.fromisoformat(known.matched_at) if known.matched_at else None
        card = next((c for c in self.cards if c.key == known.card), None)
        if card is not None or known.accuracy:
            accuracy = read_accuracy(known.accuracy) if known.accuracy else None
            name = card.name if card is not None else ""
            self._set_up(
                MeterSetup(name=name, card=card, accuracy=accuracy, accuracy_note=known.accuracy)
            )

    def _remember(self) -> None:
        if self._memory is None or self.request is None:
            return
        card = self.setup.card
        self._memory.keep(
            self._key,
            KnownMeter(
                protocol=self.request.protocol,
                line=self.request.line or "",
                card=card.key if card is not None else "",
                accuracy=self.setup.accuracy_note,
                matched_at=self.matched_at.isoformat() if self.matched_at is not None else "",
            ),
        )

    @property
    def key(self) -> str:
        """What this meter is known by while it is linked: its identity, else its port."""
        if self.request is None:
            return ""
        return self._key or f"port:{self.request.port}"

    @property
    def may_take_by_itself(self) -> bool:
        """Whether its display was matched: without that a key takes."""
        return self.matched_at is not None

    def keep_match(self, at: datetime) -> None:
        """Its display and its link agree: kept with the meter."""
        self.matched_at = at
        self._remember()

    def choose_card(self, card: MeterCard | None) -> None:
        """Take a card of the spec book; a statement typed before gives way to it."""
        self._set_up(MeterSetup(name=card.name if card else "", card=card))

    def set_accuracy(self, text: str) -> None:
        """A statement for ohms typed in; empty goes back to the card. Raises InputError."""
        accuracy = read_accuracy(text) if text.strip() else None
        self._set_up(replace(self.setup, accuracy=accuracy, accuracy_note=text.strip()))

    def _set_up(self, setup: MeterSetup) -> None:
        self.setup = setup
        if self.channel is not None:
            name = setup.name or self.channel.setup.name
            self.channel.setup = replace(setup, name=name)
            self._remember()

    def expect(self, quantity: Quantity | None) -> None:
        """What the page in front wants to take."""
        self._wanted = quantity
        self.steady.expect(quantity)

    def attend(self, quantity: Quantity | None) -> None:
        """What the page in front wants, said at every tick: another may have wanted something else.

        Nothing happens where it is expected already.
        """
        if quantity is not self._wanted:
            self.expect(quantity)

    def used_up(self, reading: Reading) -> None:
        """A touch was taken: the probes must be lifted before the next."""
        self.steady.taken(reading)
        self.now_steady = Steadiness(phase=Phase.LIFT, reading=reading)

    def take_in(self) -> tuple[Reading | Gap | LinkChange, ...]:
        """Everything new, fed to the steady detector and the watch on the probes."""
        if self.channel is None:
            return ()
        items = self.channel.drain(self._clock.monotonic())
        for item in items:
            if isinstance(item, LinkChange) and item.identity and not self._key.startswith("id:"):
                self._recall(item.identity)
            self.touch.feed(item)
            self.now_steady = self.steady.feed(item)
        if self.channel.is_stale(self._clock.monotonic()):
            self.steady.reset()
            self.now_steady = Steadiness(phase=Phase.EMPTY)
        return items

    @property
    def linked(self) -> bool:
        """Whether a link is open, live or not."""
        return self.channel is not None

    @property
    def live(self) -> Reading | None:
        """The newest reading while it is live."""
        return self.channel.live(self._clock.monotonic()) if self.channel is not None else None

    @property
    def link_state(self) -> LinkState:
        """Where the link stands."""
        return self.channel.state if self.channel is not None else LinkState.CLOSED

    @property
    def age(self) -> float | None:
        """Seconds since the newest reading."""
        return self.channel.age(self._clock.monotonic()) if self.channel is not None else None

    @property
    def period(self) -> float | None:
        """Seconds between the meter's readings."""
        return self.channel.period() if self.channel is not None else None

    @property
    def detail(self) -> str:
        """What the link says of its state, in one line."""
        return self.channel.detail if self.channel is not None else ""

    @property
    def trouble(self) -> str:
        """What is wrong with the link, in one line; empty while nothing is.

        A port that never brought a reading says why; a meter that was lost, what to do.
        """
        state, detail, channel = self.link_state, self.detail, self.channel
        unheard = channel is not None and not channel.has_lived and state in NO_METER
        if detail and (unheard or state is LinkState.CLOSED):
            return detail
        return link_trouble(state, detail)

    def leads_proved(self) -> bool:
        """Whether the probes were seen together within the last minute."""
        last = self.channel.last if self.channel is not None else None
        if self.channel is None or last is None:
            return False
        return self.touch.proved(self.channel.name, last.reading.t_s)

    def zero_leads(self) -> LeadZero:
        """Keep what the probes held together show now. Raises StepError saying what to do."""
        reading, steady = self.live, self.now_steady
        if reading is None:
            raise StepError(_("no live reading: check the link, or type what the meter shows"))
        if reading.quantity is not Quantity.RESISTANCE or steady.wrong_function:
            raise StepError(_("set the meter to ohms to zero the leads"))
        if reading.value is None:
            raise StepError(_("the probes are apart: touch them together, then press Z"))
        if steady.phase not in (Phase.STEADY, Phase.LIFT):
            raise StepError(_("not steady yet: hold the probes together, then press Z"))
        zero = self.judge_zero(reading, self.channel.setup if self.channel else self.setup)
        self.zeroed = Zeroed(zero, self._clock.now())
        return zero

    def judge_zero(self, reading: Reading, setup: MeterSetup) -> LeadZero:
        """A lead zero from a reading, refused where worn leads or something else is between."""
        if reading.value is None:
            raise StepError(_("above range: the probes are not together"))
        allowed = max(WORN_LEADS, 2.0 * (reading.resolution or 0.0))
        if abs(reading.value) > allowed:
            raise StepError(
                _("{value:.2f} Ω is too much for leads (up to {most:g} Ω): renew them").format(
                    value=reading.value, most=allowed
                )
            )
        return LeadZero(
            value=reading.value,
            resolution=reading.resolution,
            accuracy=setup.accuracy_of(reading),
            full_scale=reading.full_scale,
        )
