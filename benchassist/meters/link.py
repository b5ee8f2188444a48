"""A meter on a port, read by a thread of its own, for as long as it takes.

    CLOSED > OPENING > settle > IDENTIFYING > LIVE
    LIVE > STALLED (nothing valid in max(3 periods, 2 s)) > RESYNC > LIVE, or WAITING
    anything > LOST when the port fails; GARBAGE while most of what comes fits no frame
    LOST, WAITING, GARBAGE > close, back off 0.5, 1, 2, 4, 5, 5 ... s, try again for ever

No reading crosses a reconnect: the port, the decoder and what it had begun are made anew.
"""

import logging
import random
import threading
from collections.abc import Callable, Iterator
from itertools import chain, repeat
from typing import Final

from benchassist.core.link import LinkRequest, PortInfo
from benchassist.core.reading import Gap, LinkChange, LinkItem, LinkState, Reading
from benchassist.errors import PortError, PortRefusedError
from benchassist.meters.family import Family
from benchassist.meters.inbox import CAPACITY, Inbox
from benchassist.meters.lead import Lead
from benchassist.meters.listener import Listener
from benchassist.meters.port import LineSetting, Port, open_port, ports
from benchassist.meters.pulse import Pulse
from benchassist.meters.scpi_session import ScpiSession
from benchassist.meters.session import (
    Found,
    Missed,
    Session,
    Stopped,
    SystemTime,
    Time,
    Wire,
)
from benchassist.meters.translation import _

BACK_OFF_S: Final = (0.5, 1.0, 2.0, 4.0, 5.0)
JITTER: Final = 0.2
LOOK_AGAIN_S: Final = 1.0
LEAST_WAIT_S: Final = 1e-3
TRIES: Final = 2
JOIN_S: Final = 8.0
"""Longer than the longest wait of a reader: five seconds for a connection."""

LOG: Final = logging.getLogger(__name__)
STRONG_CUTS: Final = frozenset({LinkState.LOST, LinkState.GARBAGE})
WEAK_CUTS: Final = frozenset({LinkState.STALLED, LinkState.RESYNC})
"""What interrupts readings; the reason of a gap is its first, unless a stronger one follows."""

Opener = Callable[..., Port]


class MeterLink:
    """A link to one meter. Its thread starts when it is made; `close` joins it.

    `sink` is called in the reader's thread with every reading as it comes; it must not block.
    """

    def __init__(
        self,
        request: LinkRequest,
        family: Family,
        setting: LineSetting,
        *,
        sink: Callable[[Reading], None] | None = None,
        opener: Opener = open_port,
        lister: Callable[[], tuple[PortInfo, ...]] = ports,
        time: Time | None = None,
        jitter: Callable[[], float] = lambda: random.uniform(-1.0, 1.0),
        capacity: int = CAPACITY,
    ) -> None:
        self._request = request
        self._family = family
        self._setting = setting
        self._dtr = family.dtr if request.dtr is None else request.dtr
        self._rts = family.rts if request.rts is None else request.rts
        self._sink = sink
        self._opener = opener
        self._time = time or SystemTime()
        self._jitter = jitter
        self._inbox = Inbox(request.channel, capacity)
        self._stop = threading.Event()
        self._origin_s = self._time.monotonic()
        self._state = LinkState.CLOSED
        self._detail = ""
        self._identity = ""
        self._notice = ""
        self._lead = Lead(request.port, lister)
        self._delays = _delays()
        self._pulse = Pulse()
        self._reading_s: float | None = None
        self._cut = ""
        self._thread = threading.Thread(
            target=self._run, name=f"meter {request.channel}", daemon=True
        )
        self._thread.start()

    @property
    def channel(self) -> str:
        """The channel's letter."""
        return self._request.channel

    def drain(self) -> tuple[LinkItem, ...]:
        """Everything that came since the last call, in order; never blocks."""
        return self._inbox.drain()

    def close(self) -> None:
        """Stop reading, join the thread, release the port."""
        self._stop.set()
        self._thread.join(JOIN_S)

    # --- the reader's thread --------------------------------------------------------------------

    def _run(self) -> None:
        detail = ""
        try:
            self._change(LinkState.OPENING)
            while True:
                self._connect()
                self._back_off()
        except Stopped:
            pass
        except Exception:
            LOG.exception("reader of channel %s", self.channel)
            detail = _("The reader of this meter failed: close the link and open it anew")
        self._change(LinkState.CLOSED, detail)

    def _connect(self) -> None:
        """One connection, from opening to its loss."""
        try:
            address = self._lead.address()
            port = self._opener(address, self._setting, dtr=self._dtr, rts=self._rts)
        except PortError as error:
            refused = isinstance(error, PortRefusedError)
            self._change(LinkState.LOST, str(error), refused=refused)
            return
        try:
            self._lead.was_opened(address)
            self._serve(port)
        except PortError as error:
            self._change(LinkState.LOST, str(error))
        finally:
            port.close()

    def _serve(self, port: Port) -> None:
        """Find the meter and read it, until it answers no more. Raises PortError, Stopped."""
        if self._state in {LinkState.OPENING, LinkState.LOST}:
            self._change(LinkState.IDENTIFYING)
        self._pulse.cut()
        wire = Wire(port, now=self._now, pause=self._pause, tick=self._tick)
        session = self._session(wire)
        try:
            wire.drain(self._family.settle_s)
            self._converse(session)
        except Stopped:
            self._take(session.leftover())
            raise
        finally:
            session.leave()

    def _converse(self, session: Session) -> None:
        missed = 0
        while missed < TRIES:
            answer = session.identify()
            if isinstance(answer, Found):
                missed = 0
                self._met(answer)
                self._stream(session)
            else:
                missed += 1
                if missed == TRIES or answer.state is LinkState.GARBAGE:
                    self._change(answer.state, answer.detail)
                elif self._state not in {LinkState.WAITING, LinkState.GARBAGE}:
                    self._change(LinkState.RESYNC)

    def _stream(self, session: Session) -> None:
        """Readings until they stop or stop making sense."""
        while True:
            heard = session.step()
            if isinstance(heard, Missed):
                self._change(heard.state, heard.detail)
                return
            if heard.alive:
                self._go_live(heard.readings, heard.notice)
                self._pulse.beat(self._now())
            elif self._state is LinkState.STALLED and session.listens:
                return
            elif heard.notice:
                self._change(self._state, heard.notice)

    def _met(self, found: Found) -> None:
        """A meter answers: say if it is another one than before."""
        self._notice = found.notice
        if self._identity and found.identity != self._identity:
            self._notice = _("Another meter answers: {now}, before it was {before}").format(
                now=found.identity, before=self._identity
            )
        self._identity = found.identity
        self._delays = _delays()
        for reading in found.readings:
            self._pulse.beat(reading.t_s)
        self._pulse.beat(self._now())
        self._go_live(found.readings)

    def _go_live(self, readings: tuple[Reading, ...], notice: str = "") -> None:
        """Say that the link lives, after the gap that went before, then hand on its readings."""
        detail = notice or self._notice
        if self._state is LinkState.LIVE and self._detail == detail:
            self._take(readings)
            return
        since = readings[0].t_s if readings else self._now()
        if self._cut and self._reading_s is not None:
            self._inbox.put(
                Gap(channel=self.channel, start_s=self._reading_s, end_s=since, reason=self._cut)
            )
        self._cut = ""
        self._change(LinkState.LIVE, detail, t_s=since)
        self._take(readings)

    def _take(self, readings: tuple[Reading, ...]) -> None:
        self._inbox.put(*readings)
        for reading in readings:
            self._reading_s = reading.t_s
            if self._sink is not None:
                self._sink(reading)

    def _change(
        self,
        state: LinkState,
        detail: str = "",
        *,
        t_s: float | None = None,
        refused: bool = False,
    ) -> None:
        if state in STRONG_CUTS or (state in WEAK_CUTS and not self._cut):
            self._cut = state.value
        if (state, detail) == (self._state, self._detail):
            return
        self._state, self._detail = state, detail
        self._inbox.put(
            LinkChange(
                t_s=self._now() if t_s is None else t_s,
                channel=self.channel,
                state=state,
                detail=detail,
                identity=self._identity if state is LinkState.LIVE else "",
                refused=refused,
            )
        )

    def _tick(self) -> None:
        """Before every wait of the reader: stop when told to, notice when nothing comes."""
        if self._stop.is_set():
            raise Stopped
        if self._state is LinkState.LIVE and self._pulse.is_overdue(self._now()):
            self._change(LinkState.STALLED)

    def _session(self, wire: Wire) -> Session:
        family, channel = self._family, self.channel
        if family.make_splitter is None:
            return ScpiSession(wire, channel=channel, quantity=self._request.quantity)
        said_as = f"{family.name} {self._setting}"
        return Listener(wire, family.make_decoder(channel), said_as=said_as, poll=family.poll)

    # --- time and place -------------------------------------------------------------------------

    def _now(self) -> float:
        return self._time.monotonic() - self._origin_s

    def _pause(self, seconds: float) -> None:
        self._tick()
        self._time.wait(self._stop, seconds)
        self._tick()

    def _back_off(self) -> None:
        """Wait before the next try; shorter when the port comes back meanwhile."""
        was_there = self._lead.is_there()
        end = self._now() + next(self._delays) * (1.0 + JITTER * self._jitter())
        while (left := end - self._now()) > LEAST_WAIT_S:
            self._pause(min(left, LOOK_AGAIN_S))
            if not was_there and self._lead.is_there():
                return


def _delays() -> Iterator[float]:
    return chain(BACK_OFF_S, repeat(BACK_OFF_S[-1]))
