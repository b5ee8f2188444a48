"""What a link and the way a meter is spoken to have to say to each other."""

import contextlib
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, NamedTuple, Protocol

from benchassist.core.reading import LinkState, Reading
from benchassist.errors import PortError
from benchassist.meters.port import Port

SLEEP_CLOCK: Final[int | None] = getattr(time, "CLOCK_BOOTTIME", None)
ASLEEP_S: Final = 10.0
"""No read and nothing between two of them takes so long: the computer slept, or we were halted."""
WAKING_S: Final = 0.2


class Stopped(Exception):  # noqa: N818 - it ends the reader thread and is no error
    """The link was closed; raised where the reader waits, caught at the end of its thread."""


class Time(Protocol):
    """Monotonic seconds and a wait that a stop cuts short."""

    def monotonic(self) -> float:
        """Seconds, never going back."""
        ...

    def wait(self, stop: threading.Event, seconds: float) -> None:
        """Return after `seconds`, or at once when `stop` is set."""
        ...


class SystemTime:
    """The computer's own, on the clock that goes on while it sleeps, where there is one.

    On a clock that stands still meanwhile, a reading from before would look fresh after it.
    """

    def monotonic(self) -> float:
        """Seconds, never going back."""
        return time.monotonic() if SLEEP_CLOCK is None else time.clock_gettime(SLEEP_CLOCK)

    def wait(self, stop: threading.Event, seconds: float) -> None:
        """Return after `seconds`, or at once when `stop` is set."""
        stop.wait(seconds)


@dataclass(frozen=True, slots=True)
class Found:
    """A meter answers; readings that came while it was being found belong to it."""

    identity: str = ""
    notice: str = ""
    readings: tuple[Reading, ...] = ()


@dataclass(frozen=True, slots=True)
class Missed:
    """No meter that is understood: the state that says so, and one plain line."""

    state: LinkState
    detail: str = ""


class Heard(NamedTuple):
    """What one step brought. `alive` if the meter said anything valid, a reading or not."""

    readings: tuple[Reading, ...] = ()
    alive: bool = False
    notice: str = ""


class Session(Protocol):
    """One way to talk with a meter on an open port. Every wait ends with Stopped when closed.

    `listens` is True where a meter sends by itself, so that silence alone tells that it is gone.
    """

    listens: bool

    def identify(self) -> Found | Missed:
        """Find out that the right meter is there, after opening or after silence."""
        ...

    def step(self) -> Heard | Missed:
        """The next readings, or nothing after a short wait."""
        ...

    def leftover(self) -> tuple[Reading, ...]:
        """Valid readings still held back for want of more, when the link is closed."""
        ...

    def leave(self) -> None:
        """Give the meter back before the port closes."""
        ...


class Wire:
    """An open port with the link's time. `tick` runs before every wait and may raise Stopped.

    `read_s` is when the last read returned.
    """

    def __init__(
        self,
        port: Port,
        *,
        now: Callable[[], float],
        pause: Callable[[float], None],
        tick: Callable[[], None],
    ) -> None:
        self.now = now
        self.pause = pause
        self._port = port
        self._tick = tick
        self.read_s = now()
        self._woke_s: float | None = None

    def read(self) -> bytes:
        """What has come, after a short wait at most. Raises PortError, Stopped.

        What comes right after the computer slept was said before it did, and is thrown away.
        """
        self._tick()
        data = self._port.read()
        before, self.read_s = self.read_s, self.now()
        if self.read_s - before > ASLEEP_S:
            self._woke_s = self.read_s
        if self._woke_s is not None:
            if self.read_s - self._woke_s < WAKING_S:
                return b""
            self._woke_s = None
        return data

    def write(self, data: bytes) -> None:
        """Send. Raises PortError, Stopped."""
        self._tick()
        self._port.write(data)

    def part(self, data: bytes) -> None:
        """Send a last word, whether anyone hears it or not; never waits for a stop."""
        with contextlib.suppress(PortError):
            self._port.write(data)

    def drain(self, seconds: float) -> None:
        """Throw away what comes for that long."""
        end = self.now() + seconds
        while self.now() < end:
            self.read()

    def drain_to_silence(self, silence_s: float, limit_s: float) -> None:
        """Throw away what comes until nothing came for `silence_s`, for `limit_s` at most."""
        start = last = self.now()
        while self.now() - last < silence_s and self.now() - start < limit_s:
            if self.read():
                last = self.now()
