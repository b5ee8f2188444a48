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
from benchassist.services.bench.lead_zero import held_together, judged_zero
from benchassist.services.bench.taking import MeterSetup
from benchassist.services.metering.acquaintance import NO, Acquaintance
from benchassist.services.metering.channel import Channel
from benchassist.services.metering.link_text import link_trouble
from benchassist.services.metering.meter_memory import KnownMeter, MeterMemory
from benchassist.services.metering.meter_record import matched_of, record_of, setup_of
from benchassist.services.needs import Clock, LinkRequest, MeterRoom
from benchassist.services.runs.tap import Tap
from benchassist.services.translation import _

NO_METER = frozenset({LinkState.LOST, LinkState.WAITING})


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
        tap: Tap | None = None,
        meant_for: Quantity = Quantity.RESISTANCE,
    ) -> None:
        """`meant_for` is what a statement of accuracy without a unit is of."""
        self._room = room
        self._tap = tap or Tap()
        self._clock = clock
        self._memory = memory
        self._name = name
        self._meant_for = meant_for
        self.acquaintance = Acquaintance(memory, cards)
        self._set_aside: tuple[MeterSetup, datetime | None, Zeroed | None] | None = None
        """What held for the meter before a stranger came back in its place."""
        self._settled = ""
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
        known = self.acquaintance.plugged(request, self._room.ports())
        request = replace(request, channel=self._name)
        if known is not None and (request.dtr, request.rts) == (None, None):
            request = replace(request, dtr=known.dtr, rts=known.rts)
        self._tap.opened(self._name, self._clock.monotonic())
        link = self._room.open(request)
        self.request = request
        self.channel = Channel(link, replace(self.setup, name=self.setup.name or request.protocol))
        self.touch = ProbeTouch()
        self._use(known)

    def disconnect(self) -> None:
        """Close the link and forget what it showed."""
        if self.channel is not None:
            self.channel.link.close()
        self.channel, self.request, self.matched_at = None, None, None
        self.zeroed = self._set_aside = None
        self._settled = ""
        self.acquaintance.forget()
        self.steady.reset()
        self.now_steady = Steadiness(phase=Phase.EMPTY)

    # --- what is known of it ---------------------------------------------------------------------

    def _use(self, known: KnownMeter | None) -> None:
        """Take what is kept of this meter; nothing of another one holds for it."""
        self.matched_at = None
        if known is None:
            return
        self.matched_at = matched_of(known)
        setup = setup_of(known, self.cards)
        if setup is not None:
            self.wear(setup)

    def _meet(self, change: LinkChange) -> None:
        """The link came up: what is known of the meter that says who it is."""
        known = self.acquaintance
        was_asked = known.is_stranger
        if known.named(change.identity):
            if was_asked and self._set_aside is not None:  # the one before is back
                setup, self.matched_at, self.zeroed = self._set_aside
                self.wear(setup)
            elif self._memory is not None:
                self._use(known.known())
            self._set_aside = None
        elif known.is_stranger:
            if not was_asked:
                self._set_aside = (self.setup, self.matched_at, self.zeroed)
            self.matched_at = self.zeroed = None
            self.wear(MeterSetup(name=self.request.protocol if self.request else ""))
        known.note(self._as_known())

    def answer(self, key: str) -> None:
        """What the person says to the question asked. Raises StepError where none is."""
        known = self.acquaintance
        if known.question is None:
            raise StepError(_("nothing is asked of this meter"))
        if key == NO:
            self.disconnect()
            return
        known.answer(key)
        self._agreed()
        self._use(known.known())
        known.keep(self._as_known())

    def _agreed(self) -> None:
        """Whoever answers now is the meter; what its link said of a change is settled."""
        self._set_aside = None
        self._settled = self.detail

    def _as_known(self) -> KnownMeter:
        return record_of(self.request, self.setup, self.matched_at)

    @property
    def key(self) -> str:
        """What this meter is known by while it is linked: its identity, else its port."""
        if self.request is None:
            return ""
        return self.acquaintance.key or f"port:{self.request.port}"

    @property
    def may_take_by_itself(self) -> bool:
        """Whether its display was matched: without that a key takes."""
        return self.matched_at is not None

    def keep_match(self, at: datetime) -> None:
        """Its display and its link agree: kept with the meter, whoever was asked for."""
        self.acquaintance.settle()
        self._agreed()
        self.matched_at = at
        self.acquaintance.keep(self._as_known())

    def choose_card(self, card: MeterCard | None) -> None:
        """Take a card of the spec book; a statement typed before gives way to it."""
        self._set_up(MeterSetup(name=card.name if card else "", card=card))

    def set_accuracy(self, text: str) -> None:
        """Statements typed in; empty goes back to the card. Raises InputError."""
        self._set_up(self.setup.stating(text, bare=self._meant_for))

    def _set_up(self, setup: MeterSetup) -> None:
        self.wear(setup)
        if self.channel is not None:
            self.acquaintance.keep(self._as_known())

    def wear(self, setup: MeterSetup) -> None:
        """What is known of the meter from now on."""
        self.setup = setup
        if self.channel is not None:
            self.channel.setup = replace(setup, name=setup.name or self.channel.setup.name)

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
            if isinstance(item, LinkChange) and item.state is LinkState.LIVE:
                self._meet(item)
            self.touch.feed(item)
        self.now_steady = self.steady.feed_all(items) or self.now_steady
        if self.channel.is_stale(self._clock.monotonic()):
            self.steady.reset()
            self.now_steady = Steadiness(phase=Phase.EMPTY)
        self._tap.drained(self._name, items)
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
    def offered(self) -> Reading | None:
        """What would be taken now: of a steady window its middle reading, else the newest."""
        live, steady = self.live, self.now_steady
        if live is not None and steady.phase is Phase.STEADY and steady.reading is not None:
            return steady.reading
        return live

    @property
    def link_state(self) -> LinkState:
        """Where the link stands; stalled as soon as its newest reading is too old to be live."""
        channel = self.channel
        if channel is None:
            return LinkState.CLOSED
        if channel.state is LinkState.LIVE and channel.is_stale(self._clock.monotonic()):
            return LinkState.STALLED
        return channel.state

    @property
    def age(self) -> float | None:
        """Seconds since the newest reading of this link, whatever was cut meanwhile."""
        return self.channel.silence(self._clock.monotonic()) if self.channel is not None else None

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

        A stranger in the meter's place comes first. A port that never brought a reading, or that
        stays shut, says why; a meter that was lost, what to do; one that is read, what is odd.
        """
        known, channel = self.acquaintance, self.channel
        if known.question is not None and known.is_stranger:
            return known.question.text
        if channel is None:
            return known.trouble
        state, detail = channel.state, channel.detail
        if state is LinkState.LIVE and detail:
            return detail if detail != self._settled else known.trouble
        shut = state in NO_METER and (channel.refused or not channel.has_lived)
        if detail and (shut or state is LinkState.CLOSED):
            return detail
        return link_trouble(self.link_state, detail) or known.trouble

    def leads_proved(self) -> bool:
        """Whether the probes were seen together within the last minute."""
        last = self.channel.last if self.channel is not None else None
        if self.channel is None or last is None:
            return False
        return self.touch.proved(self.channel.name, last.reading.t_s)

    def zero_leads(self) -> LeadZero:
        """Keep what the probes held together show now. Raises StepError saying what to do."""
        held = held_together(self.offered, self.now_steady)
        zero = self.judge_zero(held, self.channel.setup if self.channel else self.setup)
        self.zeroed = Zeroed(zero, self._clock.now())
        return zero

    def judge_zero(self, reading: Reading, setup: MeterSetup) -> LeadZero:
        """A lead zero from a reading. Raises StepError for worn leads or something between."""
        return judged_zero(reading, setup)
