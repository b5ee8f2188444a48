"""The life of a link on a stage: scripted ports, and time that passes only by waiting."""

import threading
from collections.abc import Sequence
from functools import partial
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.link import PortInfo
from benchassist.core.reading import LinkItem, LinkState, Reading
from benchassist.errors import PortError
from benchassist.meters.family import Family, Poll
from benchassist.meters.roster import family
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

S = LinkState
OTHER = bytes.fromhex("30 30 30 31 31 30 33 30 30 30 32 30 0D 0A")
"""nibble-14, 1.10 ohm."""
LOST = PortError("Port went away")
SETTLE: Cue = 0.2
SLOW: list[Cue] = [1.6, FRAME]


@pytest.fixture
def time() -> StageTime:
    """Stage time from 100 s on."""
    return StageTime()


def test_a_meter_is_found_and_read(time: StageTime) -> None:
    """Opening, finding, living; the three blocks it was found by are readings too."""
    port = ScriptedPort(time, [SETTLE, FRAME, FRAME, OTHER, FRAME])
    items = played(Stage(port, time=time).link(), port.played)
    assert states(items) == [S.OPENING, S.IDENTIFYING, S.LIVE, S.CLOSED]
    assert [r.value for r in readings(items)] == [3860.0, 3860.0, 1.1, 3860.0]
    assert port.closed == 1


def test_time_runs_on_from_the_start_of_the_link(time: StageTime) -> None:
    """Readings are stamped with seconds since the channel opened, and items come in order."""
    port = ScriptedPort(time, [SETTLE, *[FRAME] * 6])
    items = played(Stage(port, time=time).link(), port.played)
    stamps = [change.t_s for change in changes(items)] + [r.t_s for r in readings(items)]
    assert 0.0 <= min(stamps) < max(stamps) < 3.0
    in_order = [item.t_s for item in items if isinstance(item, Reading)]
    assert in_order == sorted(in_order)


def test_what_came_before_the_line_settled_is_no_reading(time: StageTime) -> None:
    """Bytes of the first 200 ms are thrown away."""
    port = ScriptedPort(time, [OTHER, FRAME, FRAME, FRAME])
    items = played(Stage(port, time=time).link(), port.played)
    assert [r.value for r in readings(items)] == [3860.0] * 3


def test_one_clean_block_is_a_meter_after_five_seconds(time: StageTime) -> None:
    """A slow meter whose every byte fits is believed when the time is up."""
    port = ScriptedPort(time, [SETTLE, FRAME, 5.0])
    items = played(Stage(port, time=time).link(), port.played)
    assert [r.value for r in readings(items)] == [3860.0]
    assert S.LIVE in states(items)


def test_a_clean_block_is_not_lost_by_closing_early(time: StageTime) -> None:
    """What was held back while finding is handed on when the link is closed."""
    port = ScriptedPort(time, [SETTLE, FRAME, FRAME])
    items = played(Stage(port, time=time).link(), port.played)
    assert [r.value for r in readings(items)] == [3860.0] * 2
    assert S.LIVE not in states(items)


def test_a_chance_block_in_garbage_is_never_a_reading(time: StageTime) -> None:
    """Steady garbage with one valid block in it: named as garbage, nothing read."""
    junk = bytes(range(0x80, 0xC0))
    port = ScriptedPort(time, [SETTLE, junk, junk + b"\r\n" + FRAME, *[junk] * 30])
    items = played(Stage(port, time=time).link(), port.played)
    assert readings(items) == []
    assert S.LIVE not in states(items)
    garbage = next(item for item in changes(items) if item.state is S.GARBAGE)
    assert "nibble-14 19200-7O1" in garbage.detail


def test_garbage_in_the_middle_ends_the_readings(time: StageTime) -> None:
    """Over half of five seconds junk: garbage, until clean blocks come again."""
    junk = bytes(range(0x80, 0xC0)) + b"\r\n"
    mixed = [b for _ in range(14) for b in (junk, FRAME)]
    port = ScriptedPort(time, [SETTLE, *[FRAME] * 4, *mixed, *[OTHER] * 60])
    items = played(Stage(port, time=time).link(), port.played)
    assert S.GARBAGE in states(items)
    after = items[states_at(items, S.GARBAGE) :]
    assert [g.reason for g in gaps(after)] == ["garbage"]
    assert {r.value for r in readings(after)} == {1.1}


def states_at(items: Sequence[LinkItem], state: LinkState) -> int:
    """Where among items a state is first told."""
    return next(i for i, item in enumerate(items) if getattr(item, "state", None) is state)


def test_silence_stalls_and_a_new_start_is_found_again(time: StageTime) -> None:
    """Nothing for two seconds: stalled; blocks again: live, with the gap told."""
    port = ScriptedPort(time, [SETTLE, *[FRAME] * 4, 3.0, *[OTHER] * 4])
    items = played(Stage(port, time=time).link(), port.played)
    assert states(items) == [S.OPENING, S.IDENTIFYING, S.LIVE, S.STALLED, S.LIVE, S.CLOSED]
    (gap,) = gaps(items)
    assert gap.reason == "stalled"
    assert gap.end_s - gap.start_s > 2.0
    assert [r.value for r in readings(items)] == [3860.0] * 4 + [1.1] * 4


def test_a_slow_meter_does_not_stall_between_its_readings(time: StageTime) -> None:
    """The limit is three measured periods where that is longer than two seconds."""
    port = ScriptedPort(time, [SETTLE, *[FRAME] * 3, *SLOW * 5, 2.6, FRAME])
    items = played(Stage(port, time=time).link(), port.played)
    assert states(items).count(S.STALLED) == 0


def test_a_silent_meter_is_waited_for(time: StageTime) -> None:
    """Two failures to find it: the port is closed, and opened again after a pause."""
    first, second = ScriptedPort(time, [11.0]), ScriptedPort(time, [SETTLE, *[FRAME] * 3])
    items = played(Stage(first, second, time=time).link(), second.played)
    told = states(items)
    assert told == [S.OPENING, S.IDENTIFYING, S.RESYNC, S.WAITING, S.LIVE, S.CLOSED]
    waiting = next(item for item in changes(items) if item.state is S.WAITING)
    assert "turn the meter on" in waiting.detail
    assert first.closed == 1


def test_a_meter_off_after_a_stall_is_waited_for(time: StageTime) -> None:
    """Stalled, asked anew, then waited for: the meter switched itself off."""
    first = ScriptedPort(time, [SETTLE, *[FRAME] * 3, 14.0])
    second = ScriptedPort(time, [SETTLE, *[FRAME] * 3])
    items = played(Stage(first, second, time=time).link(), second.played)
    told = states(items)
    assert told[2:] == [S.LIVE, S.STALLED, S.RESYNC, S.WAITING, S.LIVE, S.CLOSED]


@pytest.mark.parametrize(
    "cues",
    [
        [LOST],
        [SETTLE, LOST],
        [SETTLE, FRAME, FRAME, FRAME, LOST],
        [SETTLE, FRAME, FRAME, FRAME, FRAME[:7], LOST],
        [SETTLE, FRAME, FRAME, FRAME, 3.0, LOST],
    ],
    ids=["at once", "while finding", "idle", "mid-frame", "while stalled"],
)
def test_an_unplugged_lead_comes_back(time: StageTime, cues: list[Cue]) -> None:
    """Lost at any moment: closed, opened again, found again, and nothing put together across."""
    first = ScriptedPort(time, cues)
    second = ScriptedPort(time, [SETTLE, FRAME[7:], *[OTHER] * 3])
    items = played(Stage(first, second, time=time).link(), second.played)
    lost = states_at(items, S.LOST)
    assert states(items[lost:]) == [S.LOST, S.IDENTIFYING, S.LIVE, S.CLOSED]
    assert [r.value for r in readings(items[lost:])] == [1.1] * 3
    assert (first.closed, second.closed) == (1, 1)
    had_readings = bool(readings(items[:lost]))
    assert [g.reason for g in gaps(items)] == ["lost"] * had_readings


@pytest.mark.parametrize("error", [PortError("absent"), PortError("busy"), PortError("forbidden")])
def test_a_port_that_does_not_open_says_why_and_is_tried_again(
    time: StageTime, error: PortError
) -> None:
    """The line goes to the screen; the port opens as soon as it can."""
    port = ScriptedPort(time, [SETTLE, *[FRAME] * 3])
    items = played(Stage(error, error, port, time=time).link(), port.played)
    lost = [item for item in changes(items) if item.state is S.LOST]
    assert [item.detail for item in lost] == [str(error)]  # told once, not at every try
    assert len(readings(items)) == 3


def test_back_off_grows_to_five_seconds_and_goes_on(time: StageTime) -> None:
    """0.5, 1, 2, 4, 5, 5 ... seconds, in waits of a second at most."""
    stage = Stage(*[LOST] * 8, time=time)
    played(stage.link(), stage.spent)
    assert max(time.waits) <= 1.0
    assert time.waits[:1] == [0.5]
    assert time.waits[1:8] == pytest.approx([1.0] * 7)  # 1, then 2, then 4 seconds


def test_back_off_is_spread_by_a_fifth(time: StageTime) -> None:
    """Many links do not try at the same moment."""
    for jitter, first in ((1.0, 0.6), (-1.0, 0.4)):
        time.waits.clear()
        stage = Stage(LOST, LOST, time=time)
        played(stage.link(jitter=partial(float, jitter)), stage.spent)
        assert time.waits[0] == pytest.approx(first)


def test_back_off_starts_anew_once_a_meter_was_found(time: StageTime) -> None:
    """A long absence does not slow the next return."""
    port = ScriptedPort(time, [SETTLE, *[FRAME] * 3, LOST])
    stage = Stage(*[LOST] * 6, port, time=time)
    played(stage.link(), stage.spent)
    assert 0.5 in time.waits[1:]


def test_a_lead_that_returns_is_opened_at_once(time: StageTime) -> None:
    """The ports are looked at each second; one that was gone and is back ends the wait."""
    ports: list[tuple[PortInfo, ...]] = [()] * 9
    here = (PortInfo(port="p"),)
    port = ScriptedPort(time, [SETTLE, *[FRAME] * 3])
    stage = Stage(*[LOST] * 4, port, time=time, lister=lambda: ports.pop() if ports else here)
    items = played(stage.link(port="p"), port.played)
    live = next(item for item in changes(items) if item.state is S.LIVE)
    assert live.t_s < 0.5 + 1.0 + 2.0 + 4.0


def test_the_same_lead_on_another_name_is_followed(time: StageTime) -> None:
    """It is known by its number, and the name it had before may belong to another by now."""
    mine = PortInfo(port="/dev/a", vid=1, pid=2, serial="mine")
    moved = PortInfo(port="/dev/b", vid=1, pid=2, serial="mine")
    other = PortInfo(port="/dev/a", vid=1, pid=2, serial="other")
    now: list[tuple[PortInfo, ...]] = [(mine,)]
    first = ScriptedPort(time, [SETTLE, *[FRAME] * 3, LOST])
    second = ScriptedPort(time, [SETTLE, *[FRAME] * 3])
    stage = Stage(first, second, time=time, lister=lambda: now[0])
    link = stage.link(port="/dev/a", sink=lambda _reading: now.__setitem__(0, (other, moved)))
    played(link, second.played)
    assert stage.opened == ["/dev/a", "/dev/b"]


def test_another_lead_in_its_place_is_not_opened(time: StageTime) -> None:
    """The name alone is not enough."""
    mine = PortInfo(port="/dev/a", vid=1, pid=2, serial="mine")
    other = PortInfo(port="/dev/a", vid=1, pid=2, serial="other")
    now: list[tuple[PortInfo, ...]] = [(mine,)]
    first = ScriptedPort(time, [SETTLE, *[FRAME] * 3, LOST])
    stage = Stage(first, time=time, lister=lambda: now[0])
    link = stage.link(port="/dev/a", sink=lambda _reading: now.__setitem__(0, (other,)))
    items = drained(link, lambda seen: any("is not there" in c.detail for c in changes(seen)))
    link.close()
    assert states(items)[-1] is S.LOST
    assert stage.opened == ["/dev/a"]


def test_a_full_inbox_tells_what_is_missing(time: StageTime) -> None:
    """The oldest go; one gap stands for them, and the newest readings are all there."""
    port = ScriptedPort(time, [SETTLE, *[FRAME] * 30, *[OTHER] * 3])
    items = played(Stage(port, time=time).link(capacity=5), port.played)
    assert gaps(items)[0].reason == "overflow"
    assert len(items) <= 5 + 2
    assert [r.value for r in readings(items)][-3:] == [1.1] * 3
    assert gaps(items)[0].end_s <= readings(items)[0].t_s


def test_every_reading_goes_to_the_sink_as_it_comes(time: StageTime) -> None:
    """Also those that the inbox had to drop."""
    seen: list[float | None] = []
    port = ScriptedPort(time, [SETTLE, *[FRAME] * 30])
    played(
        Stage(port, time=time).link(capacity=5, sink=lambda r: seen.append(r.value)), port.played
    )
    assert seen == [3860.0] * 30


def test_a_fault_of_our_own_ends_the_link_in_words(
    time: StageTime, caplog: pytest.LogCaptureFixture
) -> None:
    """A sink that fails is a bug: it goes to the log, and the link says that it ended."""

    def broken(_reading: Reading) -> None:
        raise RuntimeError("boom")

    port = ScriptedPort(time, [SETTLE, *[FRAME] * 5])
    link = Stage(port, time=time).link(sink=broken)
    link._thread.join(5.0)
    items = played(link)
    assert states(items)[-1] is S.CLOSED
    assert "failed" in changes(items)[-1].detail
    assert "boom" in caplog.text
    assert port.closed == 1


def test_closing_twice_is_closing(time: StageTime) -> None:
    """And draining after it gives what was left."""
    port = ScriptedPort(time, [SETTLE, *[FRAME] * 3])
    link = Stage(port, time=time).link()
    assert port.played.wait(5.0)
    link.close()
    link.close()
    assert len(readings(link.drain())) == 3
    assert link.drain() == ()


def test_a_function_that_is_not_read_is_told(time: StageTime) -> None:
    """The dial on temperature: the link lives, says so, and gives no number."""
    celsius = bytearray(FRAME)
    celsius[6] = 0x34
    port = ScriptedPort(time, [SETTLE, *[FRAME] * 3, *[bytes(celsius)] * 20, OTHER])
    items = played(Stage(port, time=time).link(), port.played)
    live = [item for item in changes(items) if item.state is S.LIVE]
    assert ["function" in item.detail for item in live] == [False, True, False]
    assert len(readings(items)) == 4


POLLED = Family(
    name="polled",
    line="1200-7N2",
    make_splitter=family("text-line").make_splitter,
    parse=family("text-line").parse,
    poll=Poll(ask=b"D", every_s=1.0, patience_s=1.0),
)


def test_a_polled_meter_is_asked_once_a_second(time: StageTime) -> None:
    """Never a second time while an answer may still come."""
    asked: list[float] = []

    class Polled(AnsweringPort):
        def write(self, data: bytes) -> None:
            assert data == b"D"
            asked.append(time.monotonic())
            super().write(data + b"\n")

    enough = threading.Event()
    count = iter(range(100))

    def answer(_line: str) -> tuple[float, bytes] | None:
        if next(count) == 10:
            enough.set()
        return 0.117, b"OHM 3.86 kOhm\r\n"

    items = played(Stage(Polled(time, answer), time=time).link(POLLED), enough)
    assert len(readings(items)) >= 9
    assert min(b - a for a, b in pairwise(asked)) >= 1.0


def test_a_late_answer_to_a_poll_is_not_the_next_one(time: StageTime) -> None:
    """After its patience the line is emptied before it is asked again."""
    enough = threading.Event()
    count = iter(range(1000))

    def answer(_line: str) -> tuple[float, bytes] | None:
        number = next(count)
        if number == 12:
            enough.set()
        late = 1.2 if number == 6 else 0.1
        return late, f"OHM {number}.0 Ohm\r\n".encode()

    class Polled(AnsweringPort):
        def write(self, data: bytes) -> None:
            super().write(data + b"\n")

    items = played(Stage(Polled(time, answer), time=time).link(POLLED), enough)
    values = [r.value for r in readings(items)]
    assert 6.0 not in values
    assert values == sorted(values)  # type: ignore[type-var]


@given(
    cuts=st.lists(
        st.one_of(
            st.binary(min_size=1, max_size=40),
            st.just(FRAME),
            st.floats(min_value=0.1, max_value=8.0),
            st.just(LOST),
        ),
        max_size=30,
    )
)
def test_whatever_a_cable_does_the_link_lives_on(cuts: list[Cue]) -> None:
    """Frames, junk, silences and unplugging in any order: no other value, every port closed."""
    time = StageTime()
    ports: list[ScriptedPort] = []
    rest: list[Cue] = [SETTLE, *cuts]
    while LOST in rest:
        at = rest.index(LOST)
        ports.append(ScriptedPort(time, [*rest[:at], LOST]))
        rest = [SETTLE, *rest[at + 1 :]]
    ports.append(ScriptedPort(time, [*rest, 60.0]))
    stage = Stage(*ports, time=time)
    items = played(stage.link(), stage.spent)
    assert {r.value for r in readings(items)} <= {3860.0}
    stamps = [r.t_s for r in readings(items)]
    assert stamps == sorted(stamps)
    assert [port.closed for port in ports] == [1] * len(ports)
