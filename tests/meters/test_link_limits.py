"""A link at its limits: sleep, flood, half-open connections, and leads fed in another way."""

import gc
import socket
import sys
import tracemalloc
from collections.abc import Iterator
from itertools import pairwise

import pytest

from benchassist.core.link import LinkRequest, PortInfo
from benchassist.core.reading import LinkState, Reading
from benchassist.meters.link import MeterLink
from benchassist.meters.port import LineSetting
from benchassist.meters.roster import family
from benchassist.meters.session import ASLEEP_S, SystemTime
from tests.meters.plug import QuickTime
from tests.meters.sender import SENDERS, display
from tests.meters.stage import (
    FRAME,
    AnsweringPort,
    Cue,
    ScriptedPort,
    Stage,
    StageTime,
    drained,
    gaps,
    played,
    readings,
    states,
)
from tests.meters.test_link_wire import sending
from tests.meters.test_scpi_session import FULL, Instrument

S = LinkState
SETTLE: Cue = 0.2
OTHER = SENDERS["nibble-14"](display("nibble-14", 110, 0))
"""1.10 ohm; FRAME is 3.860 kohm."""


@pytest.fixture
def time() -> StageTime:
    """Stage time from 100 s on."""
    return StageTime()


# --- sleep ----------------------------------------------------------------------------------------


class Slept(ScriptedPort):
    """A port whose computer sleeps for two hours; what waited in its buffer comes right after."""

    def __init__(self, time: StageTime, cues: list[Cue], *, waiting: list[bytes]) -> None:
        super().__init__(time, cues)
        self._waiting = waiting
        self._at = len(cues)

    def read(self) -> bytes:
        """The cues, half of them before the sleep."""
        if len(self._cues) == self._at // 2 and self._waiting:
            if len(self._waiting) == 2:
                self._time.pass_by(7200.0)
            self._time.pass_by(0.001)
            return self._waiting.pop(0)
        return super().read()


def test_what_was_said_before_the_sleep_is_not_read_after_it(time: StageTime) -> None:
    """Frames that waited in the port's buffer are two hours old: none becomes a reading."""
    cues: list[Cue] = [SETTLE, *[FRAME] * 5, *[FRAME] * 5]
    port = Slept(time, cues, waiting=[OTHER[:1], OTHER[1:] + OTHER])
    items = played(Stage(port, time=time).link(), port.played)
    assert {r.value for r in readings(items)} == {3860.0}
    (gap,) = gaps(items)
    assert gap.reason == "stalled"
    assert gap.end_s - gap.start_s > 7200.0
    assert states(items)[2:] == [S.LIVE, S.STALLED, S.LIVE, S.CLOSED]


def test_an_answer_from_before_the_sleep_is_not_taken(time: StageTime) -> None:
    """The instrument is asked anew: a number from two hours ago answers nothing."""

    class SleptOnce(AnsweringPort):
        has_slept = False

        def read(self) -> bytes:
            if not self.has_slept and self.lines.count("READ?") == 4 and self._due:
                self.has_slept = True
                time.pass_by(7200.0)
                _due, _data = self._due.popleft()
                return b"+9.99000000E+03\n"
            return super().read()

    port = SleptOnce(time, Instrument(FULL))
    link = Stage(port, time=time).link("scpi")
    items = drained(link, lambda seen: len(readings(seen)) >= 8)
    link.close()
    assert port.has_slept
    assert {r.value for r in readings(items)} == {3860.0}
    assert len(gaps(items)) == 1


def test_a_pause_that_is_no_sleep_loses_nothing(time: StageTime) -> None:
    """A reader held up for less than that reads on."""

    class HeldUp(ScriptedPort):
        def read(self) -> bytes:
            data = super().read()
            if data == OTHER:
                time.pass_by(ASLEEP_S - 2.0)
            return data

    port = HeldUp(time, [SETTLE, *[FRAME] * 4, OTHER, *[FRAME] * 4])
    items = played(Stage(port, time=time).link(), port.played)
    assert [r.value for r in readings(items)] == [3860.0] * 4 + [1.1] + [3860.0] * 4


def test_the_clock_of_a_link_goes_on_while_the_computer_sleeps() -> None:
    """Where the system has such a clock it is that one; it never goes back."""
    clock = SystemTime()
    moments = [clock.monotonic() for _look in range(100)]
    assert all(b >= a for a, b in pairwise(moments))


# --- flood ----------------------------------------------------------------------------------------


class FloodingPort(ScriptedPort):
    """A port that brings the same chunk at every read, ten of them a second, for a minute.

    What is allocated is noted a quarter of the way and at the end: objects, and bytes if traced.
    """

    def __init__(self, time: StageTime, chunk: bytes) -> None:
        super().__init__(time, [])
        self.held: list[tuple[int, int]] = []
        self._chunk = chunk
        self._left = 600

    def read(self) -> bytes:
        """The chunk, until the minute is over."""
        if self._left in {450, 1}:
            gc.collect()
            self.held.append((sys.getallocatedblocks(), tracemalloc.get_traced_memory()[0]))
        if self._left == 0:
            return super().read()
        self._left -= 1
        self._time.pass_by(0.1)
        return self._chunk


def bytes_a_second(name: str) -> int:
    """What the line of a family carries."""
    line = LineSetting.read(family(name).line)
    return line.baud // (1 + line.bits + (line.parity != "N") + round(line.stop))


@pytest.mark.parametrize("kind", ["frames", "junk without end", "junk with ends"])
@pytest.mark.parametrize("name", ["nibble-11", "ascii-14"])
def test_a_flood_leaves_memory_flat(time: StageTime, name: str, kind: str) -> None:
    """A hundred times what the line carries, for a minute: what a link holds does not grow.

    Nobody drains it meanwhile: what does not fit is one gap.
    """
    much = 100 * bytes_a_second(name) // 10
    block = SENDERS[name](display(name, 1234, 1))
    unit = {"frames": block, "junk without end": b"\x80\x81", "junk with ends": b"\x80\r\n"}[kind]
    port = FloodingPort(time, (unit * (much // len(unit) + 1))[:much])
    known = family(name)
    if kind == "junk without end":  # no objects there, only a buffer that could grow
        tracemalloc.start()
    link = MeterLink(
        LinkRequest(port="x", protocol=name),
        known,
        LineSetting.read(known.line),
        opener=lambda *_where, **_lines: port,
        lister=tuple[PortInfo, ...],
        time=time,
        capacity=256,
    )
    try:
        assert port.played.wait(60.0)
    finally:
        link.close()
        tracemalloc.stop()
    (objects, traced), (objects_late, traced_late) = port.held
    assert objects_late - objects < 200
    assert traced_late - traced < 16_384
    items = link.drain()
    assert len(items) <= 256 + 2
    if kind == "frames":
        assert gaps(items)[0].reason == "overflow"
    else:
        assert readings(items) == []
        assert S.GARBAGE in states(items)


# --- half-open ------------------------------------------------------------------------------------


@pytest.fixture
def server() -> Iterator[socket.socket]:
    """A listening socket on this machine."""
    with socket.create_server(("127.0.0.1", 0)) as made:
        made.settimeout(20.0)
        yield made


@pytest.mark.parametrize("protocol", ["nibble-14", "scpi"])
def test_a_half_open_connection_is_left_and_made_anew(server: socket.socket, protocol: str) -> None:
    """The peer is gone without a word: stalled or asked in vain, waited for, connected again."""
    known = family(protocol)
    address = f"socket://127.0.0.1:{server.getsockname()[1]}"
    request = LinkRequest(port=address, protocol=protocol)
    link = MeterLink(request, known, LineSetting.read(known.line), time=QuickTime(40.0))
    try:
        silent, _address = server.accept()
        with silent:
            if protocol == "nibble-14":
                with sending(silent):
                    drained(link, lambda seen: S.LIVE in states(seen))
            items = drained(link, lambda seen: S.WAITING in states(seen))
            assert [s for s in states(items) if s is not S.STALLED][-2:] == [S.RESYNC, S.WAITING]
            again, _address = server.accept()
        if protocol == "nibble-14":
            with again, sending(again):
                assert drained(link, lambda seen: len(readings(seen)) >= 2)
        again.close()
    finally:
        link.close()


# --- supply ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("dtr", "rts", "given"),
    [(None, None, (True, False)), (False, True, (False, True)), (None, True, (True, True))],
)
def test_the_lines_a_lead_lives_on_are_the_familys_or_those_asked_for(
    time: StageTime, *, dtr: bool | None, rts: bool | None, given: tuple[bool, bool]
) -> None:
    """Set before the port opens, at every opening."""
    port = ScriptedPort(time, [SETTLE])
    seen: list[tuple[bool, bool]] = []

    def opener(_port: str, _setting: LineSetting, *, dtr: bool, rts: bool) -> ScriptedPort:
        seen.append((dtr, rts))
        return port

    known = family("nibble-14")
    link = MeterLink(
        LinkRequest(port="x", protocol=known.name, dtr=dtr, rts=rts),
        known,
        LineSetting.read(known.line),
        opener=opener,
        lister=tuple[PortInfo, ...],
        time=time,
    )
    played(link, port.played)
    assert seen[0] == given
    assert not any(isinstance(item, Reading) for item in link.drain())
