"""Logging without a window, over a room of scripted links."""

import csv
import json
import threading
from collections import deque
from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, LinkChange, LinkItem, LinkState, Mode, Reading
from benchassist.errors import InputError
from benchassist.services.metering.meter_log import LogRequest, line, log
from benchassist.services.metering.port_list import port_list
from benchassist.services.needs import LinkRequest, PortInfo, ProtocolInfo

LIVE = LinkChange(t_s=0.0, channel="A", state=LinkState.LIVE)
LOST = LinkChange(t_s=0.0, channel="A", state=LinkState.LOST, detail="Port p went away")


def ohms(t_s: float, value: float | None = 3860.0, channel: str = "A") -> Reading:
    """A reading of a meter on 22 kohm."""
    return Reading(
        t_s=t_s,
        channel=channel,
        quantity=Quantity.RESISTANCE,
        value=value,
        overload=value is None,
        resolution=1.0,
        full_scale=22000.0,
        flags=frozenset({Flag.LOW_BATTERY, Flag.AUTO}),
    )


def celsius(t_s: float, value: float) -> Reading:
    """A reading of a thermometer."""
    return Reading(t_s=t_s, channel="B", quantity=Quantity.TEMPERATURE, value=value)


class StepClock:
    """A second passes at every look."""

    def __init__(self, step_s: float = 1.0) -> None:
        self._now = 0.0
        self._step_s = step_s

    def monotonic(self) -> float:
        """Seconds."""
        self._now += self._step_s
        return self._now

    def now(self) -> datetime:
        """Never asked."""
        return datetime(2025, 1, 1, tzinfo=UTC)


class ScriptedLink:
    """Hands out one batch of items a drain, then nothing."""

    def __init__(self, channel: str, batches: Iterable[Iterable[LinkItem]]) -> None:
        self.channel = channel
        self.closed = 0
        self._batches = deque(batches)

    def drain(self) -> tuple[LinkItem, ...]:
        """The next batch."""
        return tuple(self._batches.popleft()) if self._batches else ()

    def close(self) -> None:
        """Count."""
        self.closed += 1


class ScriptedRoom:
    """Opens links by port name."""

    def __init__(self, **links: ScriptedLink) -> None:
        self.links = links

    def ports(self) -> tuple[PortInfo, ...]:
        """One port."""
        return (PortInfo(port="p", description="a lead", vid=1, pid=2, serial="3"),)

    def protocols(self) -> tuple[ProtocolInfo, ...]:
        """One family."""
        return (ProtocolInfo(name="nibble-14", line="19200-7O1"),)

    def open(self, request: LinkRequest) -> ScriptedLink:
        """The link of that port."""
        return self.links[request.port]


class Run:
    """One log run over the meter's batches and, if any, the thermometer's."""

    def __init__(
        self,
        *batches: Iterable[LinkItem],
        warm: Iterable[Iterable[LinkItem]] | None = None,
        stop: threading.Event | None = None,
        **wanted: object,
    ) -> None:
        self.lines: list[str] = []
        self.told: list[str] = []
        links = {"p": ScriptedLink("A", batches)}
        thermometer = None
        if warm is not None:
            links["w"] = ScriptedLink("B", warm)
            thermometer = LinkRequest(port="w", protocol="text-line", channel="B")
        meter = LinkRequest(port="p", protocol="nibble-14")
        self.code = log(
            ScriptedRoom(**links),
            LogRequest(meter=meter, thermometer=thermometer, **wanted),  # type: ignore[arg-type]
            write=self.lines.append,
            tell=self.told.append,
            clock=StepClock(),
            stop=stop,
        )
        self.closed = all(link.closed for link in links.values())

    @property
    def values(self) -> list[float | None]:
        """Values of the lines."""
        return [json.loads(text)["value"] for text in self.lines]


def test_a_line_has_all_that_is_known() -> None:
    """Every key, in base units, flags in a fixed order."""
    assert json.loads(line(ohms(1.25))) == {
        "t_s": 1.25,
        "channel": "A",
        "function": "resistance",
        "value": 3860.0,
        "unit": "ohm",
        "resolution": 1.0,
        "range": 22000.0,
        "overload": False,
        "flags": ["auto", "low_battery"],
    }
    over = json.loads(line(ohms(1.25, None)))
    assert (over["value"], over["overload"], over["range"]) == (None, True, 22000.0)


def test_what_is_unknown_is_null() -> None:
    """No function, no unit, no resolution, no range."""
    found = json.loads(line(Reading(t_s=0.0, channel="A", quantity=None, value=1.0)))
    nulls = ("function", "unit", "resolution", "range")
    assert [found[key] for key in nulls] == [None] * 4


@pytest.mark.parametrize("mode", [Mode.DIODE, Mode.CONTINUITY])
def test_diode_and_continuity_are_no_function(mode: Mode) -> None:
    """Their numbers look like ohms or volts and are not."""
    shown = Reading(t_s=0.0, channel="A", quantity=Quantity.RESISTANCE, value=1.0, mode=mode)
    assert json.loads(line(shown))["function"] is None


def test_it_ends_at_the_count() -> None:
    """Not one line more, exit 0, every link closed."""
    run = Run([LIVE, ohms(0.1), ohms(0.2)], [ohms(0.3), ohms(0.4)], count=3)
    assert run.code == 0
    assert len(run.lines) == 3
    assert run.closed


def test_equal_readings_are_all_kept() -> None:
    """A steady meter is not a doubled one."""
    assert len(Run([LIVE, *[ohms(i / 10) for i in range(5)]], seconds=3.0).lines) == 5


def test_it_ends_at_the_seconds() -> None:
    """With a reading 0, without one 1 and a line that says so."""
    assert Run([LIVE, ohms(0.1)], seconds=5.0).code == 0
    empty = Run([LIVE], seconds=5.0)
    assert empty.code == 1
    assert "No reading came from p" in empty.told[-1]


def test_a_count_not_reached_in_time_is_not_done() -> None:
    """What came is printed all the same."""
    run = Run([LIVE, ohms(0.1)], count=2, seconds=5.0)
    assert run.code == 1
    assert run.values == [3860.0]


def test_what_came_while_closing_is_printed() -> None:
    """The last batch of a link belongs to the log."""
    stop = threading.Event()
    stop.set()
    run = Run([LIVE, ohms(0.1), ohms(0.2)], stop=stop)
    assert (run.code, len(run.lines)) == (0, 2)


class Interrupted(threading.Event):
    """The person presses Ctrl-C while it waits."""

    def wait(self, timeout: float | None = None) -> bool:
        raise KeyboardInterrupt(timeout)


def test_an_interrupt_ends_it_in_order() -> None:
    """Ctrl-C: what was printed stays, exit 0, links closed."""
    run = Run([LIVE, ohms(0.1)], stop=Interrupted())
    assert (run.code, len(run.lines), run.closed) == (0, 1, True)


def test_a_port_that_does_not_open_ends_it_at_once() -> None:
    """Exit 1 and the line of the port."""
    run = Run([LOST])
    assert (run.code, run.told) == (1, ["Port p went away"])


def test_a_lost_port_is_waited_for_ten_seconds() -> None:
    """Back within ten seconds it goes on; after that exit 1."""
    back = LinkChange(t_s=0.0, channel="A", state=LinkState.IDENTIFYING)
    nothing: list[LinkItem] = []
    assert Run([LIVE, ohms(0.1)], [LOST], *[nothing] * 5, [back, ohms(9.0)], count=2).code == 0
    run = Run([LIVE, ohms(0.1)], [LOST], *[nothing] * 20, [back, ohms(9.0)], count=2)
    assert run.code == 1
    assert run.told[-1] == "Port p did not come back"
    assert run.values == [3860.0]


def test_a_csv_has_the_columns_of_a_log_file(tmp_path: Path) -> None:
    """t_s, value, unit, resolution; OL for an overload."""
    out = tmp_path / "x.CSV"
    Run([LIVE, ohms(0.1), ohms(0.2, None)], seconds=3.0, out=out)
    rows = list(csv.reader(out.read_text("utf-8").splitlines()))
    assert rows == [
        ["t_s", "value", "unit", "resolution"],
        ["0.100000", "3860.0", "ohm", "1.0"],
        ["0.200000", "OL", "ohm", "1.0"],
    ]


def test_a_thermometer_stands_beside_the_readings(tmp_path: Path) -> None:
    """The latest temperature goes with a reading, an old one does not; both are printed."""
    out = tmp_path / "x.csv"
    run = Run(
        [LIVE, ohms(0.1)],
        [ohms(1.1)],
        [ohms(9.0)],
        warm=[[], [celsius(1.0, 45.5)]],
        count=3,
        out=out,
    )
    rows = list(csv.DictReader(out.read_text("utf-8").splitlines()))
    assert [row["temperature_c"] for row in rows] == ["", "45.5", ""]
    assert [json.loads(text)["channel"] for text in run.lines] == ["A", "B", "A", "A"]
    assert run.code == 0


def test_another_name_gets_the_printed_lines(tmp_path: Path) -> None:
    """JSON lines, as on standard output."""
    out = tmp_path / "x.log"
    run = Run([LIVE, ohms(0.1), ohms(0.2)], seconds=3.0, out=out)
    assert out.read_text("utf-8").splitlines() == run.lines


def test_a_file_that_cannot_be_written_is_refused(tmp_path: Path) -> None:
    """Before any port is opened."""
    with pytest.raises(InputError, match="cannot be written"):
        Run([LIVE], out=tmp_path / "missing" / "x.csv")


@pytest.mark.parametrize("wanted", [{"count": 0}, {"seconds": 0.0}, {"seconds": float("nan")}])
def test_how_much_must_be_more_than_nothing(wanted: dict[str, float]) -> None:
    """Zero readings or no time is refused."""
    with pytest.raises(InputError, match="would be right"):
        LogRequest(meter=LinkRequest(port="p", protocol="x"), **wanted)  # type: ignore[arg-type]


def test_a_reader_of_our_lines_that_leaves_ends_it() -> None:
    """A closed pipe is no fault."""
    room = ScriptedRoom(p=ScriptedLink("A", [[LIVE, ohms(0.1), ohms(0.2)]]))
    printed: list[str] = []

    def write(text: str) -> None:
        if printed:
            raise BrokenPipeError
        printed.append(text)

    request = LogRequest(meter=LinkRequest(port="p", protocol="x"))
    assert log(room, request, write=write, tell=printed.append, clock=StepClock()) == 0
    assert room.links["p"].closed


def test_ports_and_families_are_listed() -> None:
    """As `meters --json` prints them."""
    assert port_list(ScriptedRoom()) == {
        "ports": [{"port": "p", "description": "a lead", "vid": 1, "pid": 2, "serial": "3"}],
        "protocols": [{"name": "nibble-14", "line": "19200-7O1", "doubled": False}],
    }


@pytest.mark.parametrize(
    ("wanted", "warned"),
    [({}, True), ({"seconds": 3600.0}, True), ({"seconds": 60.0}, False), ({"count": 1}, False)],
)
def test_a_long_log_of_a_hand_held_warns_of_its_timer(
    wanted: dict[str, float], *, warned: bool
) -> None:
    """Once, when the first reading is there; a short log or a counted one says nothing."""
    run = Run([LIVE, ohms(0.1)], stop=Interrupted(), **wanted)
    said = [text for text in run.told if "switch itself off" in text]
    assert len(said) == warned
