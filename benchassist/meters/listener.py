"""A meter that sends frames, by itself or when polled."""

from collections import deque
from dataclasses import dataclass
from math import inf
from typing import Final

from benchassist.core.reading import LinkState, Reading
from benchassist.meters.decoder import Decoder
from benchassist.meters.family import Poll
from benchassist.meters.session import Found, Heard, Missed, Wire
from benchassist.meters.translation import _

IDENTIFY_S: Final = 5.0
ENOUGH_BLOCKS: Final = 3
WINDOW_S: Final = 5.0
MARK_S: Final = 0.25
LEAST_JUNK: Final = 16
"""Bytes of junk below which nothing is called garbage."""


@dataclass(frozen=True, slots=True)
class Tally:
    """How many blocks, good bytes and bad bytes a decoder had counted at a moment."""

    t_s: float
    blocks: int
    good: int
    bad: int

    def since(self, then: "Tally") -> "Tally":
        """What was counted after `then`."""
        return Tally(
            self.t_s - then.t_s,
            self.blocks - then.blocks,
            self.good - then.good,
            self.bad - then.bad,
        )

    @property
    def is_clean(self) -> bool:
        """At least one block, and not more junk than blocks: it is a meter of this family."""
        return self.blocks > 0 and self.bad <= self.good

    @property
    def is_garbage(self) -> bool:
        """More than half of it fits no block."""
        return self.bad >= LEAST_JUNK and self.bad > self.good


class Listener:
    """Hears a frame family. Readings are held back until it is sure that this is one."""

    listens = True

    def __init__(self, wire: Wire, decoder: Decoder, *, said_as: str, poll: Poll | None) -> None:
        self._wire = wire
        self._decoder = decoder
        self._said_as = said_as
        self._poll = poll
        self._asked_s: float | None = None
        self._answered = True
        self._held: list[Reading] = []
        self._from = self._tally()
        self._marks: deque[Tally] = deque()
        self._next_mark_s = -inf

    def identify(self) -> Found | Missed:
        """Three valid blocks within five seconds, or fewer and no more junk than blocks."""
        self._decoder.reset()
        self._held.clear()
        self._from = self._tally()
        while True:
            self._held += self._hear()
            heard = self._tally().since(self._from)
            late = heard.t_s >= IDENTIFY_S
            if heard.is_clean and (late or heard.blocks >= ENOUGH_BLOCKS):
                self._marks.clear()
                self._next_mark_s = -inf
                return Found(readings=self.leftover(), notice=self._notice())
            if late:
                return self._missed(heard)

    def step(self) -> Heard | Missed:
        """Readings of what came within a short wait; garbage if most of five seconds was junk."""
        decoder = self._decoder
        before = decoder.blocks
        readings = self._hear()
        if self._wire.read_s >= self._next_mark_s and (garbage := self._garbage()):
            return garbage
        return Heard(
            tuple(readings), decoder.blocks > before, self._notice() if decoder.unread else ""
        )

    def leftover(self) -> tuple[Reading, ...]:
        """Readings held back, once there is no more junk than blocks."""
        held, self._held = tuple(self._held), []
        return held if self._tally().since(self._from).is_clean else ()

    def leave(self) -> None:
        """Nothing was asked of the meter that would have to be taken back."""

    def _hear(self) -> list[Reading]:
        if self._poll is None:
            data = self._wire.read()
            return self._decoder.feed(data, self._wire.read_s) if data else []
        self._ask(self._poll)
        before = self._decoder.blocks + self._decoder.bad_bytes
        readings = self._decoder.feed(self._wire.read(), self._wire.read_s)
        if self._decoder.blocks + self._decoder.bad_bytes > before:
            self._answered = True
        return readings

    def _ask(self, poll: Poll) -> None:
        """Poll when it is time; never a second time while an answer may still come."""
        now = self._wire.now()
        waited = None if self._asked_s is None else now - self._asked_s
        if not self._answered and waited is not None:
            if waited < poll.patience_s:
                return
            self._decoder.reset()
            self._wire.drain_to_silence(poll.patience_s, poll.patience_s)
        if waited is None or waited >= poll.every_s:
            self._wire.write(poll.ask)
            self._asked_s, self._answered = self._wire.now(), False

    def _tally(self) -> Tally:
        counted = self._decoder
        return Tally(self._wire.now(), counted.blocks, counted.good_bytes, counted.bad_bytes)

    def _garbage(self) -> Missed | None:
        now = self._tally()
        self._next_mark_s = now.t_s + MARK_S
        self._marks.append(now)
        while len(self._marks) > 1 and now.t_s - self._marks[1].t_s >= WINDOW_S:
            self._marks.popleft()
        heard = now.since(self._marks[0])
        return self._missed(heard) if heard.t_s >= WINDOW_S and heard.is_garbage else None

    def _missed(self, heard: Tally) -> Missed:
        if heard.is_garbage:
            return Missed(
                LinkState.GARBAGE,
                _("What comes is not {family}: check the meter chosen and its line").format(
                    family=self._said_as
                ),
            )
        return Missed(
            LinkState.WAITING,
            _("Nothing comes: turn the meter on, and its data output with it"),
        )

    def _notice(self) -> str:
        if self._decoder.unread:
            return _("The meter stands on a function that is not read here: turn its dial")
        return ""
