"""The practice bench from outside: its process, its port, its hands, read by a link."""

import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from benchassist.core.link import LinkRequest
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, LinkState, Mode, Reading
from benchassist.errors import LinkError
from benchassist.meters.link import MeterLink
from benchassist.meters.room import Room
from benchassist.practice.bench import PracticeBench
from benchassist.practice.engine import Load, Throttle
from tests.meters.stage import changes, drained, gaps, readings, states

FAST_HZ = 25.0


def test_the_server_says_where_it_is_and_ends_with_its_input() -> None:
    """One line of JSON first; every line given gets one back; the port is gone afterwards."""
    done = subprocess.run(
        [sys.executable, "-m", "benchassist.practice.server", "--tcp"],
        input='"lift"\n{"touch": "cap"}\n{"touch": "moon"}\n{"jump": 1}\n[]\nnonsense\n',
        capture_output=True,
        text=True,
        check=True,
    )
    about, *answers = map(json.loads, done.stdout.splitlines())
    assert about["protocol"] == "nibble-14"
    assert about["tcp"].startswith("socket://127.0.0.1:")
    assert about["thermometer"]["protocol"] == "text-line"
    assert not Path(about["port"]).exists()
    assert answers[:2] == [{"ok": True}] * 2
    assert ["error" in answer for answer in answers[2:]] == [True] * 4
    assert done.stderr == ""


def test_a_server_that_cannot_be_says_why() -> None:
    """Exit 2 there, one line here."""
    with pytest.raises(LinkError, match="there are nibble-14"):
        PracticeBench(protocol="morse")


@pytest.fixture(params=["nibble-14", "text-line", "scpi"])
def bench(request: pytest.FixtureRequest) -> Iterator[PracticeBench]:
    """A running bench of every protocol."""
    with PracticeBench(protocol=request.param, rate_hz=FAST_HZ, tcp=True) as running:
        yield running


@pytest.fixture
def quick() -> Iterator[PracticeBench]:
    """A running bench of one protocol."""
    with PracticeBench(rate_hz=FAST_HZ) as running:
        yield running


@pytest.fixture
def link(bench: PracticeBench) -> Iterator[MeterLink]:
    """A link to it."""
    opened = Room().open(LinkRequest(port=bench.port, protocol=bench.protocol))
    yield opened
    opened.close()


def steady(link: MeterLink, quantity: Quantity, value: float, spread: float) -> Reading:
    """Wait for a reading near a value."""
    items = drained(
        link,
        lambda seen: any(
            r.quantity is quantity and r.value is not None and abs(r.value / value - 1) < spread
            for r in readings(seen)[-1:]
        ),
    )
    return readings(items)[-1]


def test_the_probes_touch_what_they_are_told(bench: PracticeBench, link: MeterLink) -> None:
    """Cap, winding, leads, known resistor and engine speed are read as what they are."""
    bench.touch("cap")
    steady(link, Quantity.RESISTANCE, 4900.0, 0.02)
    bench.touch("self_check")
    steady(link, Quantity.RESISTANCE, 10_000.0, 0.02)
    bench.touch("idle_high")
    steady(link, Quantity.FREQUENCY, 59.0, 0.02)
    bench.touch("coil_primary")
    steady(link, Quantity.RESISTANCE, 1.02, 0.12)
    bench.short()
    steady(link, Quantity.RESISTANCE, 0.12, 0.99)
    bench.lift()
    drained(link, lambda seen: any(r.overload for r in readings(seen)))
    bench.touch("air_gap")
    drained(link, lambda seen: any(r.overload for r in readings(seen)))


def test_a_hot_coil_opens(bench: PracticeBench, link: MeterLink) -> None:
    """Cold it is a winding, hot it is above range, cooled down it is a winding again."""
    bench.touch("coil_secondary")
    steady(link, Quantity.RESISTANCE, 9136.0, 0.01)
    bench.temperature(75.0)
    drained(link, lambda seen: any(r.overload for r in readings(seen)))
    bench.temperature(20.0)
    steady(link, Quantity.RESISTANCE, 9100.0, 0.01)


def test_the_thermometer_has_a_port_of_its_own() -> None:
    """In celsius; it goes on while the meter's lead is out, and its own can be out too."""
    with PracticeBench(rate_hz=FAST_HZ, pace=20.0) as running:
        request = LinkRequest(port=running.thermometer_port, protocol=running.thermometer_protocol)
        opened = Room().open(request)
        try:
            steady(opened, Quantity.TEMPERATURE, 21.0, 0.03)
            running.unplug()
            running.heat()
            drained(opened, lambda seen: any(is_above(r, 23.0) for r in readings(seen)))
            running.unplug_thermometer()
            drained(opened, lambda seen: LinkState.LOST in states(seen))
            running.plug_thermometer()
            drained(opened, lambda seen: any(is_above(r, 23.0) for r in readings(seen)))
        finally:
            opened.close()


def test_what_hands_did_is_seen_at_once() -> None:
    """Heat, pace, throttle, load, drain and the engine stand in the next look."""
    with PracticeBench(rate_hz=FAST_HZ) as running:
        assert not running.sight.runs
        running.heat()
        running.hurry(10.0)
        running.throttle(Throttle.TANK)
        running.load(Load.HALF)
        running.bleed()
        running.start()
        seen = running.sight
        assert (seen.on_heat, seen.pace, seen.runs, seen.bleeds) == (True, 10.0, True, True)
        assert (seen.throttle, seen.load) == ("tank", "half")
        running.stop()
        assert not running.sight.runs
        for wrong in ({"throttle": "up"}, {"load": "double"}, {"pace": 900}, {"engine": "flies"}):
            with pytest.raises(LinkError, match=r"there are|would be right"):
                running.send(**wrong)


def test_unplugged_and_plugged_in_again(bench: PracticeBench, link: MeterLink) -> None:
    """On the same path; the gap is told."""
    bench.touch("cap")
    steady(link, Quantity.RESISTANCE, 4900.0, 0.02)
    bench.unplug()
    assert not Path(bench.port).exists()
    drained(link, lambda seen: LinkState.LOST in states(seen))
    bench.touch("self_check")
    bench.plug()
    items = drained(link, lambda seen: bool(readings(seen)))
    assert [g.reason for g in gaps(items)] == ["lost"]
    steady(link, Quantity.RESISTANCE, 10_000.0, 0.02)


def test_it_is_heard_over_tcp(bench: PracticeBench) -> None:
    """The same bytes at an address."""
    assert bench.tcp is not None
    opened = Room().open(LinkRequest(port=bench.tcp, protocol=bench.protocol))
    try:
        bench.touch("cap")
        steady(opened, Quantity.RESISTANCE, 4900.0, 0.02)
    finally:
        opened.close()


def test_a_slow_warming_is_followed() -> None:
    """The winding climbs with its temperature, reading by reading."""
    with PracticeBench(case="sound", rate_hz=FAST_HZ) as running:
        opened = Room().open(LinkRequest(port=running.port, protocol=running.protocol))
        try:
            running.touch("coil_secondary")
            steady(opened, Quantity.RESISTANCE, 9136.0, 0.01)
            running.temperature(90.0, over_s=1.0)
            items = drained(opened, lambda seen: any(is_above(r, 11_500.0) for r in readings(seen)))
        finally:
            opened.close()
    assert any(9_500.0 < (r.value or 0.0) < 11_000.0 for r in readings(items))


def is_above(reading: Reading, least: float) -> bool:
    """Whether a reading has a value above a limit."""
    return reading.value is not None and reading.value > least


def test_flags_modes_ranges_and_faults_can_be_set(quick: PracticeBench) -> None:
    """HOLD, diode, a range by hand, a stall and garbage reach the link as what they are."""
    opened = Room().open(LinkRequest(port=quick.port, protocol=quick.protocol))
    try:
        quick.touch("cap")
        quick.hold()
        drained(opened, lambda seen: any(Flag.HOLD in r.flags for r in readings(seen)))
        quick.send(hold=False, mode="diode")
        drained(opened, lambda seen: any(r.mode is Mode.DIODE for r in readings(seen)))
        quick.send(mode="plain", range=220e3)
        drained(opened, lambda seen: any(r.full_scale == 220e3 for r in readings(seen)))
        quick.send(garbage=100)
        quick.send(stall=True)
        items = drained(opened, lambda seen: LinkState.STALLED in states(seen))
        quick.send(stall=False)
        items = drained(opened, lambda seen: LinkState.LIVE in states(seen))
        assert changes(items)[-1].state is LinkState.LIVE
    finally:
        opened.close()


def test_a_refused_hand_is_told(quick: PracticeBench) -> None:
    """And the bench goes on."""
    with pytest.raises(LinkError, match="moon"):
        quick.send(touch="moon")
    with pytest.raises(LinkError, match="celsius"):
        quick.temperature(1e9)
    quick.touch("cap")


def test_a_bench_that_has_ended_says_so(quick: PracticeBench) -> None:
    """Every call after its end, and closing twice is closing."""
    quick.close()
    with pytest.raises(LinkError, match="has ended"):
        quick.lift()
