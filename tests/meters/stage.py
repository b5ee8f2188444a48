"""A stage for links: scripted ports and a time that passes only when a link waits."""

import threading
from collections import deque
from collections.abc import Callable, Iterable
from time import monotonic

from benchassist.core.link import LinkRequest, PortInfo
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Gap, LinkChange, LinkItem, LinkState, Reading
from benchassist.errors import PortError
from benchassist.meters.family import Family
from benchassist.meters.link import MeterLink
from benchassist.meters.port import READ_S, LineSetting
from benchassist.meters.roster import family

PATIENCE_S = 20.0
FRAME = bytes.fromhex("32 30 33 38 36 30 33 30 30 30 32 30 0D 0A")
"""nibble-14, 3.860 kohm."""


class StageTime:
    """Monotonic seconds that pass by waiting and by `pass_by`, never by themselves."""

    def __init__(self) -> None:
        self.now = 100.0
        self.waits: list[float] = []
        self._lock = threading.Lock()

    def monotonic(self) -> float:
        """Seconds, never going back."""
        with self._lock:
            return self.now

    def wait(self, stop: threading.Event, seconds: float) -> None:
        """Pass by without waiting."""
        self.waits.append(seconds)
        self.pass_by(seconds)
        stop.wait(0.0005)  # lets the test's own thread run

    def pass_by(self, seconds: float) -> None:
        """Let time pass."""
        with self._lock:
            self.now += seconds


Cue = bytes | float | Exception | Callable[[bytes], bytes]
"""What one read gives: bytes, silence for some seconds, a failure; or what answers a write."""


class ScriptedPort:
    """A port that plays cues in order; after the last one it is silent and time stands still."""

    def __init__(self, time: StageTime, cues: Iterable[Cue], *, gap_s: float = 0.25) -> None:
        self.written: list[bytes] = []
        self.played = threading.Event()
        self.closed = 0
        self.refuse_writes: Exception | None = None
        self._time = time
        self._gap_s = gap_s
        self._cues = deque(cues)
        self._silent_s = 0.0

    def read(self) -> bytes:
        """The next cue."""
        if self._silent_s > 0.0:
            self._time.pass_by(min(READ_S, self._silent_s))
            self._silent_s -= READ_S
            return b""
        if not self._cues:
            self.played.set()
            threading.Event().wait(0.001)
            return b""
        cue = self._cues.popleft()
        match cue:
            case float():
                self._silent_s = cue
                return b""
            case Exception():
                raise cue
            case bytes():
                self._time.pass_by(self._gap_s)
                return cue
        raise AssertionError(f"no cue for a port that only reads: {cue}")

    def write(self, data: bytes) -> None:
        """Keep what is sent."""
        if self.refuse_writes is not None:
            raise self.refuse_writes
        self.written.append(data)

    def close(self) -> None:
        """Count."""
        self.closed += 1


class AnsweringPort(ScriptedPort):
    """A port behind which something answers lines; every wait for an answer takes time.

    `answer` gives what comes back for a line, and after how many seconds; None is silence.
    """

    def __init__(
        self, time: StageTime, answer: Callable[[str], tuple[float, bytes] | None]
    ) -> None:
        super().__init__(time, ())
        self.lines: list[str] = []
        self._answer = answer
        self._due: deque[tuple[float, bytes]] = deque()
        self._written = b""

    def write(self, data: bytes) -> None:
        """Take lines and keep what answers them until it is due, in order."""
        super().write(data)
        *lines, self._written = (self._written + data).split(b"\n")
        for line in lines:
            self.lines.append(line.decode("latin-1"))
            reply = self._answer(self.lines[-1])
            if reply is not None:
                busy_until = self._due[-1][0] if self._due else self._time.monotonic()
                self._due.append((max(busy_until, self._time.monotonic()) + reply[0], reply[1]))

    def read(self) -> bytes:
        """What is due within a read's patience."""
        now = self._time.monotonic()
        if self._due and self._due[0][0] <= now + READ_S:
            due_s, data = self._due.popleft()
            self._time.pass_by(max(0.0, due_s - now))
            return data
        self._time.pass_by(READ_S)
        threading.Event().wait(0.0001)
        return b""


class Stage:
    """Opens scripted ports one after the other; a failure in their place is an open that failed."""

    def __init__(
        self,
        *openings: ScriptedPort | Exception,
        time: StageTime,
        lister: Callable[[], tuple[PortInfo, ...]] = lambda: (),
    ) -> None:
        self.time = time
        self.opened: list[str] = []
        self.spent = threading.Event()
        self._openings = deque(openings)
        self._lister = lister

    def open(
        self, port: str, setting: LineSetting, *, dtr: bool = True, rts: bool = False
    ) -> ScriptedPort:
        """The next opening; absent once there are no more."""
        assert setting.baud
        assert isinstance(dtr and rts, bool)
        self.opened.append(port)
        if not self._openings:
            self.spent.set()
            raise PortError(f"Port {port} is not there")
        opening = self._openings.popleft()
        if isinstance(opening, Exception):
            raise opening
        return opening

    def link(
        self,
        protocol: str | Family = "nibble-14",
        *,
        port: str = "no-such-port",
        quantity: Quantity | None = None,
        sink: Callable[[Reading], None] | None = None,
        jitter: Callable[[], float] = lambda: 0.0,
        capacity: int = 4096,
    ) -> MeterLink:
        """A link on this stage."""
        wanted = family(protocol) if isinstance(protocol, str) else protocol
        return MeterLink(
            LinkRequest(port=port, protocol=wanted.name, quantity=quantity),
            wanted,
            LineSetting.read(wanted.line),
            sink=sink,
            opener=self.open,
            lister=self._lister,
            time=self.time,
            jitter=jitter,
            capacity=capacity,
        )


def played(link: MeterLink, *until: threading.Event) -> list[LinkItem]:
    """Everything a link put into its inbox until the scripts were played and it was closed."""
    try:
        for event in until:
            assert event.wait(PATIENCE_S), "the script was not played to its end"
    finally:
        link.close()
    return list(link.drain())


def drained(link: MeterLink, enough: Callable[[list[LinkItem]], bool]) -> list[LinkItem]:
    """What a link says until it is enough; closes it if it never is."""
    items: list[LinkItem] = []
    end = monotonic() + PATIENCE_S
    while not enough(items):
        items += link.drain()
        if monotonic() > end:
            link.close()
            raise AssertionError(f"it never came; last: {items[-3:]}")
        threading.Event().wait(0.001)
    return items


def readings(items: Iterable[LinkItem]) -> list[Reading]:
    """The readings among items."""
    return [item for item in items if isinstance(item, Reading)]


def changes(items: Iterable[LinkItem]) -> list[LinkChange]:
    """The changes of state among items."""
    return [item for item in items if isinstance(item, LinkChange)]


def states(items: Iterable[LinkItem]) -> list[LinkState]:
    """The states gone through."""
    return [item.state for item in changes(items)]


def gaps(items: Iterable[LinkItem]) -> list[Gap]:
    """The gaps among items."""
    return [item for item in items if isinstance(item, Gap)]
