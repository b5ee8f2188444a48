"""A meter's channel on the bench: its link, its live reading and how old that is."""

from collections import deque
from itertools import islice, pairwise
from statistics import median
from typing import NamedTuple

from benchassist.core.reading import Gap, LinkChange, LinkState, Reading
from benchassist.services.bench.taking import MeterSetup
from benchassist.services.needs import Link

STRIP_SECONDS = 60.0
LEAST_STALE = 2.0


class Arrival(NamedTuple):
    """A reading and the bench's monotonic second at which it was taken in."""

    at: float
    reading: Reading


class Channel:
    """Drains a link and keeps the last minute. Knows when its reading is too old to be live."""

    def __init__(self, link: Link, setup: MeterSetup) -> None:
        self.link = link
        self.setup = setup
        self.state = LinkState.OPENING
        self.detail = ""
        self.identity = ""
        self.has_lived = False
        """Whether the meter was ever heard on this link."""
        self.refused = False
        """Whether the port is there and stays shut until a person does what `detail` says."""
        self._heard_at: float | None = None
        self._recent: deque[Arrival] = deque(maxlen=4096)

    @property
    def name(self) -> str:
        """The channel's letter."""
        return self.link.channel

    def drain(self, now: float) -> tuple[Reading | Gap | LinkChange, ...]:
        """Take in what came since the last call, in order; a reading is completed from the card."""
        taken_in: list[Reading | Gap | LinkChange] = []
        for item in self.link.drain():
            match item:
                case Reading():
                    reading = self.setup.complete(item)
                    self._recent.append(Arrival(now, reading))
                    self._heard_at = now
                    taken_in.append(reading)
                case LinkChange():
                    self.state, self.detail = item.state, item.detail
                    self.refused = item.refused
                    self.identity = item.identity or self.identity
                    self.has_lived = self.has_lived or item.state is LinkState.LIVE
                    if item.state not in (LinkState.LIVE, LinkState.STALLED):
                        self._recent.clear()
                    taken_in.append(item)
                case Gap():
                    taken_in.append(item)
        return tuple(taken_in)

    @property
    def last(self) -> Arrival | None:
        """The newest reading since the link last came up."""
        return self._recent[-1] if self._recent else None

    def age(self, now: float) -> float | None:
        """Seconds since the newest reading, None where there is none."""
        return None if self.last is None else max(0.0, now - self.last.at)

    def silence(self, now: float) -> float | None:
        """Seconds since a reading came on this link, cut or not; None where none ever did."""
        return None if self._heard_at is None else max(0.0, now - self._heard_at)

    def period(self) -> float | None:
        """The meter's own seconds between readings, from its last eight; None before the second."""
        times = [a.reading.t_s for a in islice(reversed(self._recent), 8)]
        steps = [a - b for a, b in pairwise(times)]
        return median(steps) if steps else None

    def is_stale(self, now: float) -> bool:
        """Whether the newest reading is older than max(3 periods, 2 s) or its link is down."""
        age = self.age(now)
        if age is None:
            return False
        if self.state is LinkState.STALLED:
            return True
        return age > max(3.0 * (self.period() or 0.0), LEAST_STALE)

    def live(self, now: float) -> Reading | None:
        """The newest reading while it is live, else None."""
        return None if self.last is None or self.is_stale(now) else self.last.reading

    def strip(self, now: float) -> tuple[tuple[float, Reading], ...]:
        """The last minute: seconds before now (negative) and readings."""
        return tuple((a.at - now, a.reading) for a in self._recent if now - a.at <= STRIP_SECONDS)
