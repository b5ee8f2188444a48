"""Pulled out and pushed in again, over and over: nothing is left and nothing old is shown."""

import gc
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from time import monotonic

import pytest

from benchassist.core.link import LinkRequest
from benchassist.core.reading import LinkItem, LinkState
from benchassist.meters.link import MeterLink
from benchassist.meters.port import LineSetting
from benchassist.meters.roster import family
from benchassist.meters.session import SystemTime, Time
from tests.meters.plug import Plug, QuickTime, SocketPlug, TerminalPlug
from tests.meters.sender import display, nibble_14
from tests.meters.stage import PATIENCE_S, gaps, readings, states

FASTER = 20.0
WARM_UP = 50
"""Cycles after which a link has everything it keeps for good."""
READINGS = 2
PLUGS = pytest.mark.parametrize("kind", ["pty", "tcp"])


@contextmanager
def plugged(kind: str, folder: Path) -> Iterator[Plug]:
    """A cable that is not plugged in yet."""
    made = TerminalPlug(folder / "meter") if kind == "pty" else SocketPlug()
    yield made
    made.put_away()


def block(cycle: int) -> bytes:
    """What the meter sends in this cycle: a resistance that no other cycle shows."""
    return nibble_14(display("nibble-14", cycle + 1, 0))


def value(cycle: int) -> float:
    """And what is to be read."""
    return float(display("nibble-14", cycle + 1, 0).value)


def until(
    link: MeterLink, enough: Callable[[list[LinkItem]], bool], say: Callable[[], None]
) -> list[LinkItem]:
    """Keep the meter talking until what the link said is enough."""
    items: list[LinkItem] = []
    end = monotonic() + PATIENCE_S
    while not enough(items):
        assert monotonic() < end, f"it never came; last: {items[-3:]}"
        say()
        threading.Event().wait(0.002)
        items += link.drain()
    return items


def held() -> tuple[int, int]:
    """Descriptors and threads of this process."""
    return sum(1 for _file in Path("/proc/self/fd").iterdir()), threading.active_count()


def replug(plug: Plug, time: Time, cycles: int) -> int:
    """Plug in, read, pull out, so many times. Returns memory blocks grown since warm."""
    known = family("nibble-14")
    before = held()
    request = LinkRequest(port=plug.address, protocol=known.name)
    link = MeterLink(request, known, LineSetting.read(known.line), time=time)
    warm = 0
    try:
        for cycle in range(cycles):
            plug.push_in()
            sent = block(cycle)
            items = until(
                link, lambda seen: len(readings(seen)) >= READINGS, partial(plug.say, sent)
            )
            assert {r.value for r in readings(items)} == {value(cycle)}
            assert [g.reason for g in gaps(items)] == (["lost"] if cycle else [])
            if cycle % 3 == 1:
                plug.say(sent[: 1 + cycle % 12])
            plug.pull_out()
            items = until(link, lambda seen: LinkState.LOST in states(seen), lambda: None)
            assert {r.value for r in readings(items)} <= {value(cycle)}
            if cycle == min(WARM_UP, cycles - 1):
                del items
                gc.collect()
                warm = sys.getallocatedblocks()
    finally:
        link.close()
    assert not link._thread.is_alive()
    link.drain()
    assert held() == before
    gc.collect()
    return sys.getallocatedblocks() - warm


@PLUGS
def test_a_few_times(kind: str, tmp_path: Path) -> None:
    """Twenty cycles: every value is its own cycle's, no thread and no descriptor is left."""
    with plugged(kind, tmp_path) as plug:
        replug(plug, QuickTime(FASTER), 20)


@pytest.mark.long
@pytest.mark.timeout(600)
@PLUGS
def test_a_thousand_times(kind: str, tmp_path: Path) -> None:
    """A thousand cycles on a quick clock: less than one block of memory kept a cycle."""
    with plugged(kind, tmp_path) as plug:
        assert replug(plug, QuickTime(FASTER), 1000) < 900


@pytest.mark.long
@pytest.mark.timeout(300)
@PLUGS
def test_twenty_times_at_real_speed(kind: str, tmp_path: Path) -> None:
    """With the computer's own clock and all waits as they are."""
    with plugged(kind, tmp_path) as plug:
        replug(plug, SystemTime(), 20)
