"""Finding a meter: listening on every line of a simulated cable, asking only where allowed."""

import os
import pty
import socket
import threading
import tty
from collections.abc import Callable, Iterator

import pytest

from benchassist.core.link import ListeningEnd, ListeningItem, ListeningOn, Proposal, Surety
from benchassist.errors import InputError, PortError
from benchassist.meters.port import READ_S, LineSetting
from benchassist.meters.room import Room
from benchassist.meters.roster import FAMILIES, family
from benchassist.meters.scout import Scout
from benchassist.meters.search import SILENT_LINES, Search
from tests.meters.sender import SENDERS, display, text_line
from tests.meters.stage import FRAME, PATIENCE_S, StageTime
from tests.meters.uart import carried

SENDING = [name for name in SENDERS if family(name).poll is None]
Answer = Callable[[bytes], bytes]


class Meter:
    """What hangs on the cable: it sends by itself, or answers, on its own line and supply."""

    def __init__(
        self,
        line: str,
        *,
        sends: tuple[bytes, ...] = (),
        answers: Answer = lambda _asked: b"",
        every_s: float = 0.4,
        supply: tuple[bool, bool] | None = None,
    ) -> None:
        self.line = line
        self.sends = sends
        self.answers = answers
        self.every_s = every_s
        self.supply = supply


def sending(name: str, *, line: str = "", supply: tuple[bool, bool] | None = None) -> Meter:
    """A meter of a family whose reading moves."""
    blocks = tuple(SENDERS[name](display(name, 300 + 37 * n, n % 3)) for n in range(20))
    return Meter(line or family(name).line, sends=blocks, supply=supply)


class Cable:
    """Opens ports onto one meter; what comes is what a receiver on that line makes of it."""

    def __init__(self, time: StageTime, meter: Meter) -> None:
        self.time = time
        self.meter = meter
        self.opened: list[str] = []
        self.written: list[bytes] = []
        self.open_now = 0

    def open(self, _port: str, setting: LineSetting, *, dtr: bool, rts: bool) -> "CablePort":
        """One port at a time."""
        assert self.open_now == 0, "the port before was left open"
        self.open_now += 1
        self.opened.append(str(setting))
        fed = self.meter.supply in {None, (dtr, rts)}
        return CablePort(self, str(setting), fed=fed)


class CablePort:
    """An open end of it."""

    def __init__(self, cable: Cable, line: str, *, fed: bool) -> None:
        self._cable = cable
        self._line = line
        self._fed = fed
        self._sent = 0
        self._next_s = cable.time.monotonic() + 0.1
        self._answer = b""

    def read(self) -> bytes:
        """What came meanwhile."""
        cable, meter = self._cable, self._cable.meter
        cable.time.pass_by(READ_S)
        answer, self._answer = self._answer, b""
        if answer:
            return carried(answer, meter.line, self._line)
        if not self._fed or not meter.sends or cable.time.monotonic() < self._next_s:
            return b""
        self._next_s += meter.every_s
        self._sent += 1
        return carried(meter.sends[self._sent % len(meter.sends)], meter.line, self._line)

    def write(self, data: bytes) -> None:
        """Keep it; a meter on this line answers."""
        self._cable.written.append(data)
        if self._fed and self._line == self._cable.meter.line:
            self._answer = self._cable.meter.answers(data)

    def close(self) -> None:
        """Let go."""
        self._cable.open_now -= 1


def searched(
    meter: Meter, *, asks: bool = False, port: str = "/dev/x"
) -> tuple[tuple[Proposal, ...], Cable, Search]:
    """A search run to its end on a cable of its own."""
    time = StageTime()
    cable = Cable(time, meter)
    search = Search(port, threading.Event(), asks=asks, opener=cable.open, time=time)
    found = search.run()
    assert cable.open_now == 0
    return found, cable, search


# --- listening ------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SENDING)
def test_a_meter_that_sends_is_found_on_its_line(name: str) -> None:
    """Its family first and likely, after three blocks, without a byte sent to it."""
    found, cable, _search = searched(sending(name), asks=True)
    first = found[0]
    assert (first.protocol, first.line, first.surety) == (name, family(name).line, Surety.LIKELY)
    assert first.frames >= 3
    assert (first.dtr, first.rts) == (None, None)
    assert [p.protocol for p in found if p.surety is Surety.LIKELY] == [name]
    assert cable.opened[-1] == family(name).line
    assert cable.written == []


@pytest.mark.parametrize("name", SENDING)
def test_a_meter_that_sends_is_heard_on_the_first_lines(name: str) -> None:
    """If only as junk: silence there is silence everywhere, which the search counts on."""
    lines = [known.line for known in FAMILIES if known.name in SENDING]
    first = list(dict.fromkeys(lines))[:SILENT_LINES]
    for line in first:
        assert carried(SENDERS[name](display(name, 1234, 1)), family(name).line, line)


def test_another_speed_than_usual_is_possible_only() -> None:
    """A text meter that sends at 9600: its line is told, and nothing is sure."""
    (found,), _cable, _search = searched(sending("text-line", line="9600-8N1"))
    assert (found.protocol, found.line) == ("text-line", "9600-8N1")
    assert found.surety is Surety.POSSIBLE


def test_junk_is_proposed_as_nothing() -> None:
    """A device that sends something else, in text and in bytes: heard, and nothing fits."""
    lines = (b"$GPGGA,123519,4807.038,N,01131.000,E,1,08*47\r\n", b"temp: warm\r\n")
    for sends in (lines, (bytes(range(0x80, 0xC0)),)):
        found, cable, search = searched(Meter("19200-8N1", sends=sends))
        assert found == ()
        assert search.heard > 0
        assert len(cable.opened) == len(set(cable.opened)) == 5


def test_a_chance_block_in_junk_is_proposed_as_nothing() -> None:
    """More junk than blocks fits no family."""
    junk = bytes(range(0x80, 0xC0)) + b"\r\n"
    found, _cable, _search = searched(Meter("19200-7O1", sends=(junk, junk, FRAME)))
    assert found == ()


def test_two_blocks_are_possible_three_are_likely() -> None:
    """A meter that sends every other second is not heard often enough to be sure of."""
    slow = sending("nibble-14")
    slow.every_s = 1.4
    (found,), _cable, _search = searched(slow)
    assert (found.surety, found.frames) == (Surety.POSSIBLE, 2)


def test_a_lead_that_is_fed_the_other_way_round_is_found() -> None:
    """Nothing comes with DTR: RTS is tried, and the proposal says so."""
    (found,), cable, _search = searched(sending("nibble-14", supply=(False, True)))
    assert (found.protocol, found.surety) == ("nibble-14", Surety.LIKELY)
    assert (found.dtr, found.rts) == (False, True)
    assert cable.opened == ["19200-8N1", "19200-7O1"] * 2


def test_silence_is_left_soon() -> None:
    """Two lines a supply; nothing is sent, as nobody asked for that."""
    found, cable, search = searched(Meter("9600-8N1"))
    assert found == ()
    assert search.heard == 0
    assert cable.opened == ["19200-8N1", "19200-7O1"] * 2
    assert cable.written == []
    assert cable.time.monotonic() - 100.0 < 4 * 3.5


# --- asking ---------------------------------------------------------------------------------------


def test_an_instrument_is_asked_for_its_name() -> None:
    """Only after listening, only *IDN?, and only where asking is allowed."""
    meter = Meter(
        "9600-8N1",
        answers=lambda asked: b"ACORN,BENCH 6,77,1.0\r\n" if asked == b"*IDN?\n" else b"",
    )
    (found,), cable, _search = searched(meter, asks=True)
    assert (found.protocol, found.line, found.surety) == ("scpi", "9600-8N1", Surety.LIKELY)
    assert found.identity == "ACORN,BENCH 6,77,1.0"
    assert cable.written == [b"*IDN?\n"]
    assert searched(meter)[0] == ()
    assert searched(meter)[1].written == []


@pytest.mark.parametrize("answer", [b"*IDN?\r\n", b"+3.86E+03\r\n", b"what?\r\n", b"1,2,3,4\r\n"])
def test_an_answer_that_is_no_name_is_none(answer: bytes) -> None:
    """An echo, a number, words: not an instrument."""
    found, _cable, search = searched(Meter("9600-8N1", answers=lambda _asked: answer), asks=True)
    assert found == ()
    assert search.heard > 0


def test_a_polled_meter_is_asked_for_three_displays() -> None:
    """After the instrument's question went unanswered."""
    block = SENDERS["poll-14"](display("poll-14", 386, 1))
    meter = Meter("1200-7N2", answers=lambda asked: block if asked == b"D" else b"")
    (found,), cable, _search = searched(meter, asks=True)
    assert (found.protocol, found.surety, found.frames) == ("poll-14", Surety.LIKELY, 3)
    assert cable.written == [b"*IDN?\n"] * 2 + [b"D"] * 3


def test_nobody_answers() -> None:
    """Two questions and one poll, then it is given up."""
    found, cable, search = searched(Meter("300-8N1"), asks=True)
    assert (found, search.heard) == ((), 0)
    assert cable.written == [b"*IDN?\n", b"*IDN?\n", b"D"]


# --- its end --------------------------------------------------------------------------------------


def test_stopped_it_keeps_what_it_heard() -> None:
    """At once, with the port closed."""
    time, stop = StageTime(), threading.Event()
    cable = Cable(time, sending("nibble-14", line="2400-7O1"))
    steps: list[ListeningOn] = []

    def tell(step: ListeningOn) -> None:
        steps.append(step)
        if len(steps) == 3:
            stop.set()

    search = Search("/dev/x", stop, opener=cable.open, time=time, tell=tell)
    search.run()
    assert cable.open_now == 0
    assert [(s.line, s.number, s.of) for s in steps] == [
        ("19200-8N1", 1, 5),
        ("19200-7O1", 2, 5),
        ("2400-7O1", 3, 5),
    ]


def test_a_port_that_goes_away_meanwhile_is_told() -> None:
    """It raises, and nothing stays open."""
    time = StageTime()
    cable = Cable(time, sending("stx-16"))

    class Cut(CablePort):
        def read(self) -> bytes:
            raise PortError("Port /dev/x went away")

    def opener(_port: str, setting: LineSetting, *, dtr: bool, rts: bool) -> CablePort:
        assert isinstance(dtr and rts, bool)
        cable.open_now += 1
        return Cut(cable, str(setting), fed=True)

    with pytest.raises(PortError, match="went away"):
        Search("/dev/x", threading.Event(), opener=opener, time=time).run()
    assert cable.open_now == 0


# --- on real ports --------------------------------------------------------------------------------


class Terminal:
    """A pty that sends a block again and again."""

    def __init__(self, block: bytes) -> None:
        self.block = block
        self.master, self._meter_side = pty.openpty()
        tty.setraw(self._meter_side)
        os.set_blocking(self.master, False)
        self.path = os.ttyname(self._meter_side)
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._send, name="terminal")
        self._thread.start()

    def _send(self) -> None:
        while not self._stop.wait(0.05):
            try:
                os.write(self.master, self.block)
            except BlockingIOError:
                continue

    def close(self) -> None:
        """Hang up."""
        self._stop.set()
        self._thread.join()
        os.close(self.master)
        os.close(self._meter_side)


@pytest.fixture
def terminal() -> Iterator[Terminal]:
    """A text meter on a pty."""
    made = Terminal(text_line(display("text-line", 386, 1)))
    yield made
    made.close()


def ended(scout: Scout) -> list[ListeningItem]:
    """Everything a search says until its end."""
    items: list[ListeningItem] = []
    enough = threading.Event()
    for _look in range(int(PATIENCE_S / 0.01)):
        items += scout.drain()
        if items and isinstance(items[-1], ListeningEnd):
            scout.close()
            return items
        enough.wait(0.01)
    scout.close()
    raise AssertionError(f"it never ended; last: {items[-3:]}")


def test_a_room_listens_on_a_pty(terminal: Terminal) -> None:
    """In the caller's thread, with the port free again afterwards."""
    found = Room().listen(terminal.path, threading.Event())
    assert [(p.port, p.protocol, p.surety) for p in found] == [
        (terminal.path, "text-line", Surety.LIKELY)
    ]
    again = Room().listen(terminal.path, threading.Event())
    assert again[0].protocol == "text-line"


def test_a_scout_listens_beside_everything_else(terminal: Terminal) -> None:
    """Where it stands, then its end with what was found."""
    scout = Room().scout(terminal.path)
    first, *_more, last = ended(scout)
    assert first == ListeningOn(port=terminal.path, line="19200-8N1", number=1, of=5)
    assert isinstance(last, ListeningEnd)
    assert last.proposals[0].protocol == "text-line"
    assert last.heard
    assert not scout._thread.is_alive()


def test_a_scout_that_is_closed_lets_go_of_its_port(terminal: Terminal) -> None:
    """The port can be opened for us alone right away."""
    terminal.block = b""
    scout = Room().scout(terminal.path)
    while not scout._items:
        threading.Event().wait(0.001)
    scout.close()
    assert not scout._thread.is_alive()
    terminal.block = text_line(display("text-line", 386, 1))
    assert Room().listen(terminal.path, threading.Event())


def test_a_port_that_does_not_open_is_the_end_with_its_reason() -> None:
    """Absent, and one line says so."""
    (_on, end) = ended(Room().scout("/dev/no-such-port"))
    assert isinstance(end, ListeningEnd)
    assert "is not there: plug" in end.detail
    assert end.proposals == ()


def test_what_cannot_be_a_port_is_refused_at_once() -> None:
    """Before any thread starts."""
    with pytest.raises(InputError, match="starts with one of"):
        Room().scout("http://here")
    with pytest.raises(InputError, match="port is empty"):
        Room().listen("", threading.Event())


def test_a_fault_of_our_own_is_an_end_in_words(caplog: pytest.LogCaptureFixture) -> None:
    """It goes to the log."""

    def opener(*_arguments: object, **_named: object) -> CablePort:
        raise RuntimeError("boom")

    scout = Scout("/dev/x", lambda stop, tell: Search("/dev/x", stop, opener=opener, tell=tell))
    end = ended(scout)[-1]
    assert isinstance(end, ListeningEnd)
    assert "failed" in end.detail
    assert "boom" in caplog.text


def test_a_meter_behind_a_network_port_is_heard_whatever_its_line() -> None:
    """One opening, all families at once; its proposal has the family's own line."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        address = f"socket://127.0.0.1:{server.getsockname()[1]}"
        scout = Room().scout(address)
        peer, _address = server.accept()
        with peer:
            for _block in range(400):
                try:
                    peer.sendall(FRAME)
                except OSError:
                    break
                threading.Event().wait(0.01)
            end = ended(scout)[-1]
    assert isinstance(end, ListeningEnd)
    assert [(p.protocol, p.line, p.surety) for p in end.proposals] == [
        ("nibble-14", "19200-7O1", Surety.LIKELY)
    ]


def test_an_instrument_on_usb_is_only_asked() -> None:
    """It sends nothing by itself: an absent one ends as not there, without listening before."""
    (on, end) = ended(Room().scout("/dev/usbtmc999"))
    assert isinstance(on, ListeningOn)
    assert on.asks
    assert isinstance(end, ListeningEnd)
    assert "plug the instrument in" in end.detail
