"""Links on real ports of this computer: pseudo-terminals and TCP."""

import os
import pty
import socket
import threading
import time
import tty
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest

from benchassist.core.link import LinkRequest
from benchassist.core.reading import LinkState
from benchassist.errors import InputError
from benchassist.meters.link import MeterLink
from benchassist.meters.port import LineSetting
from benchassist.meters.room import Room
from benchassist.meters.roster import family
from tests.meters.stage import FRAME, changes, drained, gaps, readings, states

S = LinkState
OTHER = bytes.fromhex("30 30 30 31 31 30 33 30 30 30 32 30 0D 0A")
"""nibble-14, 1.10 ohm."""


class QuickTime:
    """Real time, but no waiting between two tries."""

    def monotonic(self) -> float:
        """Seconds, never going back."""
        return time.monotonic()

    def wait(self, stop: threading.Event, seconds: float) -> None:
        """Return almost at once."""
        stop.wait(min(seconds, 0.005))


class Terminal:
    """A pty under a link, sending a block again and again, until it is unplugged."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.block = FRAME
        self._ends: tuple[int, int] | None = None
        self._goes_on = False
        self._thread = threading.Thread()

    def plug(self) -> None:
        """Make it and start to send."""
        self._ends = pty.openpty()
        tty.setraw(self._ends[1])
        os.set_blocking(self._ends[0], False)
        self.path.unlink(missing_ok=True)
        self.path.symlink_to(os.ttyname(self._ends[1]))
        self._goes_on = True
        self._thread = threading.Thread(target=self._send, name="terminal")
        self._thread.start()

    def hush(self) -> None:
        """Stop sending, still plugged in."""
        self._goes_on = False
        if self._thread.ident is not None:
            self._thread.join()

    def say(self, data: bytes) -> None:
        """Send once."""
        assert self._ends
        os.write(self._ends[0], data)

    def unplug(self) -> None:
        """Hang up."""
        self.hush()
        self.path.unlink(missing_ok=True)
        for end in self._ends or ():
            os.close(end)
        self._ends = None

    def _send(self) -> None:
        while self._goes_on and self._ends:
            with suppress(BlockingIOError):
                os.write(self._ends[0], self.block)
            threading.Event().wait(0.02)


@pytest.fixture
def terminal(tmp_path: Path) -> Iterator[Terminal]:
    """A plugged-in terminal."""
    made = Terminal(tmp_path / "meter")
    made.plug()
    yield made
    made.unplug()


@contextmanager
def linked(port: str, protocol: str = "nibble-14") -> Iterator[MeterLink]:
    """A link that does not wait between two tries."""
    known = family(protocol)
    request = LinkRequest(port=port, protocol=protocol)
    link = MeterLink(request, known, LineSetting.read(known.line), time=QuickTime())
    try:
        yield link
    finally:
        link.close()


def values(link: MeterLink, count: int) -> list[float | None]:
    """The next readings' values."""
    return [r.value for r in readings(drained(link, lambda seen: len(readings(seen)) >= count))][
        :count
    ]


@contextmanager
def sending(peer: socket.socket) -> Iterator[None]:
    """A block every hundredth of a second, until left."""
    enough = threading.Event()

    def send() -> None:
        while not enough.wait(0.01):
            peer.sendall(FRAME)

    thread = threading.Thread(target=send, name="sender")
    thread.start()
    try:
        yield
    finally:
        enough.set()
        thread.join()


def address(server: socket.socket) -> str:
    """Where a listening socket is opened from."""
    return f"socket://127.0.0.1:{server.getsockname()[1]}"


def descriptors() -> int:
    """How many files this process has open."""
    return sum(1 for _file in Path("/proc/self/fd").iterdir())


def reached(link: MeterLink, state: LinkState) -> None:
    """Wait for a state."""
    drained(link, lambda seen: state in states(seen))


def test_a_room_reads_a_pty(terminal: Terminal) -> None:
    """From the port's bytes to readings in the inbox, with the program's own time."""
    link = Room().open(LinkRequest(port=str(terminal.path), protocol="nibble-14", channel="B"))
    try:
        items = drained(link, lambda seen: len(readings(seen)) >= 5)
    finally:
        link.close()
    assert link.channel == "B"
    assert {(r.channel, r.value) for r in readings(items)} == {("B", 3860.0)}


def test_a_room_reads_a_socket() -> None:
    """The same over TCP."""
    with socket.create_server(("127.0.0.1", 0)) as server, linked(address(server)) as link:
        peer, _address = server.accept()
        with peer, sending(peer):
            assert values(link, 3) == [3860.0] * 3


@pytest.mark.parametrize(
    ("protocol", "line", "port", "said"),
    [
        ("nibble-99", None, "/dev/x", "Protocol nibble-99: there are .*nibble-14"),
        ("nibble-14", "fast", "/dev/x", "Line setting 'fast'"),
        ("nibble-14", None, "http://x", "http://x: an address starts with one of"),
        ("nibble-14", None, "", "port is empty"),
    ],
)
def test_a_room_refuses_what_cannot_be(
    protocol: str, line: str | None, port: str, said: str
) -> None:
    """Before any thread starts, with what would be right."""
    with pytest.raises(InputError, match=said):
        Room().open(LinkRequest(port=port, protocol=protocol, line=line))


def test_a_room_lists_families() -> None:
    """With their default lines; every family has a setting that can be read."""
    listed = {info.name: info.line for info in Room().protocols()}
    assert listed["nibble-14"] == "19200-7O1"
    assert listed["text-line"] == "19200-8N1"
    assert listed["scpi"] == "9600-8N1"
    assert all(LineSetting.read(line) for line in listed.values())
    assert isinstance(Room().ports(), tuple)


def test_unplugged_while_idle_and_plugged_in_again(terminal: Terminal) -> None:
    """Lost at once, found again on the same path, no value from before shown after."""
    with linked(str(terminal.path)) as link:
        assert values(link, 3) == [3860.0] * 3
        terminal.unplug()
        reached(link, S.LOST)
        terminal.block = OTHER
        terminal.plug()
        items = drained(link, lambda seen: len(readings(seen)) >= 3)
    assert {r.value for r in readings(items)} == {1.1}
    assert [g.reason for g in gaps(items)] == ["lost"]


def test_unplugged_in_the_middle_of_a_frame(terminal: Terminal) -> None:
    """The half that came is forgotten with its connection."""
    with linked(str(terminal.path)) as link:
        assert values(link, 3) == [3860.0] * 3
        terminal.hush()
        terminal.say(FRAME[:7])
        terminal.unplug()
        reached(link, S.LOST)
        terminal.block = FRAME[7:] + OTHER
        terminal.plug()
        assert values(link, 3) == [1.1] * 3


def test_unplugged_between_looking_and_opening(tmp_path: Path) -> None:
    """A path that leads nowhere any more is a port that is not there, and is tried again."""
    terminal = Terminal(tmp_path / "meter")
    terminal.path.symlink_to("/dev/pts/999999")
    with linked(str(terminal.path)) as link:
        items = drained(link, lambda seen: S.LOST in states(seen))
        assert "is not there" in changes(items)[-1].detail
        terminal.plug()
        try:
            assert values(link, 3) == [3860.0] * 3
        finally:
            terminal.unplug()


def test_unplugged_while_asked(tmp_path: Path) -> None:
    """A SCPI meter whose port goes while a question is on its way."""
    terminal = Terminal(tmp_path / "meter")
    terminal.plug()
    with linked(str(terminal.path), "scpi") as link:
        reached(link, S.IDENTIFYING)
        terminal.unplug()
        reached(link, S.LOST)


def test_the_wrong_family_is_named_garbage(terminal: Terminal) -> None:
    """Frames of one family read as another give no reading and a line that says so."""
    terminal.block = b"OHM 3.86 kOhm\r\n"
    with linked(str(terminal.path)) as link:
        items = drained(link, lambda seen: S.GARBAGE in states(seen))
    assert readings(items) == []


def test_silence_on_an_open_socket_is_a_stall() -> None:
    """A peer that is gone without a word cannot be seen: the stall timer sees it."""
    with socket.create_server(("127.0.0.1", 0)) as server, linked(address(server)) as link:
        peer, _address = server.accept()
        with peer:
            with sending(peer):
                assert values(link, 3) == [3860.0] * 3
            reached(link, S.STALLED)


@pytest.mark.parametrize("cut", ["fin", "rst"])
def test_a_peer_that_ends_the_connection_is_lost(cut: str) -> None:
    """Politely or not, and a new connection is made."""
    with socket.create_server(("127.0.0.1", 0)) as server, linked(address(server)) as link:
        peer, _address = server.accept()
        if cut == "rst":
            peer.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, b"\1\0\0\0\0\0\0\0")
        peer.close()
        reached(link, S.LOST)
        again, _address = server.accept()
        again.close()


def test_a_flood_is_bounded() -> None:
    """A meter sending as fast as a pty takes it: the inbox keeps its size and tells the gap."""
    master, meter_side = pty.openpty()
    tty.setraw(meter_side)
    goes_on = threading.Event()

    def flood() -> None:
        os.set_blocking(master, False)
        while not goes_on.is_set():
            try:
                os.write(master, FRAME * 50)
            except BlockingIOError:
                goes_on.wait(0.0005)

    thread = threading.Thread(target=flood, name="flood")
    with linked(os.ttyname(meter_side)) as link:
        thread.start()
        while link._inbox._lost is None:
            threading.Event().wait(0.01)
        items = link.drain()
        goes_on.set()
        thread.join()
    for end in (master, meter_side):
        os.close(end)
    assert len(items) <= 4096 + 2
    assert gaps(items)[0].reason == "overflow"


@pytest.mark.parametrize("close", [lambda _t: None, lambda t: t.hush(), lambda t: t.unplug()])
def test_nothing_is_left_behind(tmp_path: Path, close: Callable[[Terminal], None]) -> None:
    """Twenty links opened and closed, live, silent or unplugged: no descriptor, no thread."""
    terminal = Terminal(tmp_path / "meter")
    before = descriptors(), threading.active_count()
    for _link in range(20):
        terminal.plug()
        with linked(str(terminal.path)) as link:
            reached(link, S.IDENTIFYING)
            close(terminal)
        terminal.unplug()
    assert (descriptors(), threading.active_count()) == before


def test_quitting_while_a_connection_is_being_made() -> None:
    """A peer that accepts nothing does not hold the program for ever."""
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        listening.listen(0)
        with linked(address(listening)) as link:
            reached(link, S.OPENING)
        assert not link._thread.is_alive()
