"""What cables, ports and people do to a link, where no other test of this folder has it."""

import os
import pty
import threading
import tty
from collections.abc import Callable, Iterator
from itertools import pairwise

import pytest

from benchassist.core.link import LinkRequest, PortInfo
from benchassist.core.quantity import Quantity
from benchassist.core.reading import LinkState, Reading
from benchassist.core.steady import Phase, SteadyDetector
from benchassist.errors import PortError
from benchassist.meters.decoder import Decoder
from benchassist.meters.family import Family
from benchassist.meters.port import LineSetting, open_port
from benchassist.meters.room import Room
from benchassist.meters.roster import FAMILIES, family
from tests.meters.sender import SENDERS, display
from tests.meters.stage import (
    FRAME,
    AnsweringPort,
    Cue,
    ScriptedPort,
    Stage,
    StageTime,
    changes,
    drained,
    gaps,
    played,
    readings,
    states,
)
from tests.meters.test_scpi_session import FULL, Instrument

S = LinkState
SETTLE: Cue = 0.2
OTHER = SENDERS["nibble-14"](display("nibble-14", 110, 0))
"""nibble-14, 1.10 ohm; FRAME is 3.860 kohm."""


@pytest.fixture
def time() -> StageTime:
    """Stage time from 100 s on."""
    return StageTime()


@pytest.fixture
def pair() -> Iterator[tuple[int, str]]:
    """A raw pty: its master and the path to open."""
    master, meter_side = pty.openpty()
    tty.setraw(meter_side)
    yield master, os.ttyname(meter_side)
    os.close(master)
    os.close(meter_side)


def test_two_leads_that_look_the_same_are_not_chosen_between(time: StageTime) -> None:
    """Lost, and two with the same number are there: the technician is asked, none is opened."""
    mine = PortInfo(port="/dev/a", vid=1, pid=2, serial="0001")
    twin = PortInfo(port="/dev/b", vid=1, pid=2, serial="0001")
    now: list[tuple[PortInfo, ...]] = [(mine,)]
    first = ScriptedPort(time, [SETTLE, *[FRAME] * 3, PortError("went away")])
    stage = Stage(first, time=time, lister=lambda: now[0])
    link = stage.link(port="/dev/a", sink=lambda _reading: now.__setitem__(0, (mine, twin)))
    items = drained(link, lambda seen: any("two look the same" in c.detail for c in changes(seen)))
    link.close()
    assert states(items)[-1] is S.LOST
    assert stage.opened == ["/dev/a"]


@pytest.mark.parametrize("name", SENDERS)
def test_a_hundred_blocks_in_one_read(name: str) -> None:
    """All come out, in order."""
    sent = [display(name, 400 + 30 * number, number % 6) for number in range(100)]
    data = b"".join(SENDERS[name](shown) for shown in sent)
    found = family(name).make_decoder("A").feed(data, 0.0)
    assert [r.value for r in found] == [float(shown.value) for shown in sent]


@pytest.mark.parametrize("name", SENDERS)
def test_a_doubled_byte_never_makes_another_number(name: str) -> None:
    """Any byte of a block said twice: the block is lost or read as it was."""
    shown = display(name, 1234, 1)
    block = SENDERS[name](shown)
    for at in range(len(block)):
        data = block[: at + 1] + block[at:]
        found = {r.value for r in family(name).make_decoder("A").feed(data, 0.0)}
        allowed = {float(shown.value)}
        if name == "text-line":  # digits of no fixed number: one more digit is one more digit
            assert len(found) <= 1
        else:
            assert found <= allowed


def test_hunting_between_two_ranges_is_never_steady() -> None:
    """A display that jumps from 3.999 k to 04.00 k and back comes to rest on neither."""
    decoder: Decoder = family("ascii-14").make_decoder("A")
    detector = SteadyDetector(Quantity.RESISTANCE)
    fine, coarse = display("ascii-14", 3999, 1), display("ascii-14", 400, 2)
    phases = []
    for number in range(40):
        block = SENDERS["ascii-14"](fine if number % 2 else coarse)
        phases += [detector.feed(r).phase for r in decoder.feed(block, 0.4 * number)]
    assert len(phases) == 40
    assert Phase.STEADY not in phases
    assert Phase.STEADYING not in phases


@pytest.mark.parametrize(
    "answer", [b"#247-4.98", b"#247-4.98,3.01\n", b"#9\n", b"#0\n", b"#3\n-4.98\n"]
)
def test_a_torn_block_is_no_number(time: StageTime, answer: bytes) -> None:
    """A definite block where one number was asked: no reading; what follows is its own answer."""

    def then(line: str, reads: int) -> tuple[float, bytes] | None:
        return (0.01, answer) if line == "READ?" and reads == 2 else None

    port = AnsweringPort(time, Instrument(FULL, then))
    link = Stage(port, time=time).link("scpi")
    items = drained(link, lambda seen: len(readings(seen)) >= 4)
    link.close()
    assert {r.value for r in readings(items)} == {3860.0}


def test_a_leap_in_time_joins_nothing(time: StageTime) -> None:
    """Asleep for an hour in the middle of a frame: the halves stay apart, the gap is told."""

    class Sleeper(ScriptedPort):
        def read(self) -> bytes:
            data = super().read()
            if data == OTHER[7:]:
                time.pass_by(3600.0)
            return data

    port = Sleeper(time, [SETTLE, *[FRAME] * 4, FRAME[:7], OTHER[7:], *[OTHER] * 4])
    items = played(Stage(port, time=time).link(), port.played)
    assert [r.value for r in readings(items)] == [3860.0] * 4 + [1.1] * 4
    (gap,) = gaps(items)
    assert gap.end_s - gap.start_s > 3600.0


def test_a_clock_that_is_set_back_is_not_looked_at(
    pair: tuple[int, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The wall clock goes back an hour at every look: stamps rise, nothing stalls."""
    master, path = pair
    wall = iter(range(10**9, 0, -3600))
    monkeypatch.setattr("time.time", lambda: float(next(wall)))
    link = Room().open(LinkRequest(port=path, protocol="nibble-14"))
    try:
        items = talked(master, link.drain, 8)
    finally:
        link.close()
    stamps = [r.t_s for r in readings(items)]
    assert stamps == sorted(stamps)
    assert S.STALLED not in states(items)
    assert max(b - a for a, b in pairwise(stamps)) < 2.0


def talked(master: int, drain: Callable[[], tuple[object, ...]], count: int) -> list[Reading]:
    """What a link says while the meter talks, until there are so many readings."""
    items: list[Reading] = []
    for _block in range(2000):
        os.write(master, FRAME)
        threading.Event().wait(0.01)
        items += drain()  # type: ignore[arg-type]
        if len(readings(items)) >= count:
            return items
    raise AssertionError("they never came")


def test_a_second_program_on_the_port_is_named(pair: tuple[int, str]) -> None:
    """The port is held: the line says so; once it is free the link goes on by itself."""
    master, path = pair
    other = open_port(path, LineSetting.read("19200-7O1"))
    link = Room().open(LinkRequest(port=path, protocol="nibble-14"))
    try:
        items = drained(link, lambda seen: S.LOST in states(seen))
        assert f"{path} is in use" in changes(items)[-1].detail
        other.close()
        assert talked(master, link.drain, 3)
    finally:
        link.close()


@pytest.mark.parametrize("known", FAMILIES, ids=lambda known: known.name)
def test_a_port_without_modem_lines_will_do(known: Family, pair: tuple[int, str]) -> None:
    """Every family's line and power profile opens on a pty, which has none to set."""
    opened = open_port(pair[1], LineSetting.read(known.line), dtr=known.dtr, rts=known.rts)
    os.write(pair[0], b"x")
    assert opened.read() == b"x"
    opened.close()


def test_a_key_pressed_on_the_meter_is_no_junk() -> None:
    """A line that begins with 1 tells of a key; its display is read like any other."""
    decoder = family("text-line").make_decoder("A")
    found = decoder.feed(b"2 OHM 3.86 kOhm\r\n1 OHM 3.87 kOhm\r\n1 DCV 0.00 V\r\n", 0.0)
    assert [(r.value, r.quantity) for r in found] == [
        (3860.0, Quantity.RESISTANCE),
        (3870.0, Quantity.RESISTANCE),
        (0.0, Quantity.VOLTAGE),
    ]
    assert decoder.bad_bytes == 0


@pytest.mark.parametrize(
    ("name", "block"),
    [
        ("text-line", b"DIO 0.612 V\r\n"),
        ("text-line", b"BEP 0.3 Ohm\r\n"),
        ("text-line", b"DCV 3.86 V\r\n"),
        ("nibble-11", bytes.fromhex("30 31 32 33 34 35 30 30 30 0D 0A")),
        ("nibble-11", bytes.fromhex("30 34 30 30 30 31 31 30 38 0D 0A")),
        ("nibble-14", bytes.fromhex("30 30 30 36 31 32 31 30 30 30 38 30 0D 0A")),
        ("nibble-14", bytes.fromhex("30 30 30 36 31 32 35 30 30 30 30 30 0D 0A")),
        ("ascii-14", bytes.fromhex("2B 30 36 31 32 20 31 00 00 04 80 00 0D 0A")),
        ("ascii-14", bytes.fromhex("2B 30 30 30 33 20 34 00 00 08 20 00 0D 0A")),
        ("segment-14", bytes.fromhex("11 27 3D 47 5D 60 75 88 95 A0 B1 C4 D0 E0")),
        ("stx-16", b"\x0241460300000612\r"),
        ("poll-14", b"DI  0.612   V\r"),
    ],
)
def test_diode_beeper_and_volts_are_refused_as_ohms(name: str, block: bytes) -> None:
    """However still they stand, where ohms are wanted they are barred."""
    detector, decoder = SteadyDetector(Quantity.RESISTANCE), family(name).make_decoder("A")
    said = [
        detector.feed(reading)
        for number in range(6)
        for reading in decoder.feed(block, 0.4 * number)
    ]
    assert len(said) == 6
    assert {status.phase for status in said} == {Phase.BARRED}
    assert all(status.wrong_function for status in said)
