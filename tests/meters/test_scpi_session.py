"""A SCPI conversation on a stage, as pairs of what is sent and what comes back."""

import threading
from collections.abc import Callable, Mapping
from itertools import count

import pytest

from benchassist.core.quantity import Quantity
from benchassist.core.reading import LinkState, Mode
from benchassist.errors import PortError
from tests.meters.stage import (
    AnsweringPort,
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
IDENTITY = "GENERIC,DMM,1,1"
FULL = {
    "*IDN?": IDENTITY,
    "SYST:ERR?": '+0,"No error"',
    "CONF?": '"RES +1.0E+4,+3.0E-3"',
    "SENS:RES:RANG?": "+1.00000000E+04",
    "SENS:RES:RES?": "+1.00000000E-02",
    "READ?": "+3.86000000E+03",
}
MINIMAL = {"*IDN?": IDENTITY, "READ?": "+3.86000000E+03"}
Reply = tuple[float, bytes] | None


@pytest.fixture
def time() -> StageTime:
    """Stage time from 100 s on."""
    return StageTime()


class Instrument:
    """Answers from a table after a hundredth of a second; `then` may answer a line otherwise."""

    def __init__(
        self, table: Mapping[str, str], then: Callable[[str, int], Reply | str] | None = None
    ) -> None:
        self.reads = 0
        self.end = b"\n"
        self._table = table
        self._then = then

    def __call__(self, line: str) -> Reply:
        """The answer to a line, and when it comes."""
        if line == "READ?":
            self.reads += 1
        reply: Reply | str = self._table.get(line, "")
        if self._then is not None:
            reply = self._then(line, self.reads) or reply
        if isinstance(reply, tuple):
            return reply
        return (0.01, reply.encode() + self.end) if reply else None


def test_a_minimal_instrument_gives_numbers_without_a_name(time: StageTime) -> None:
    """Only *IDN? and READ?: values come; function, range and resolution are unknown."""
    port = AnsweringPort(time, Instrument(MINIMAL))
    link = Stage(port, time=time).link("scpi")
    items = drained(link, lambda seen: len(readings(seen)) >= 3)
    link.close()
    first = readings(items)[0]
    assert first.value == 3860.0
    assert (first.quantity, first.resolution, first.full_scale) == (None, None, None)
    assert changes(items)[2].identity == IDENTITY


def test_a_full_instrument_tells_range_and_resolution(time: StageTime) -> None:
    """What it answers about itself goes with the reading; RES? wins over CONF?."""
    port = AnsweringPort(time, Instrument(FULL))
    link = Stage(port, time=time).link("scpi")
    items = drained(link, lambda seen: len(readings(seen)) >= 3)
    link.close()
    first = readings(items)[0]
    assert first.quantity is Quantity.RESISTANCE
    assert (first.full_scale, first.resolution, first.exponent) == (10_000.0, 0.01, 3)
    assert states(items) == [S.OPENING, S.IDENTIFYING, S.LIVE]


def test_nothing_is_reconfigured_unasked(time: StageTime) -> None:
    """No *RST and no CONF: without a quantity asked for."""
    port = AnsweringPort(time, Instrument(FULL))
    link = Stage(port, time=time).link("scpi")
    drained(link, lambda seen: len(readings(seen)) >= 5)
    link.close()
    allowed = ("*IDN?", "*CLS", "SYST:ERR?", "CONF?", "FUNC?", "READ?", "SENS:")
    assert all(line.startswith(allowed) for line in port.lines)


def test_a_quantity_asked_for_is_set(time: StageTime) -> None:
    """CONF:RES once, before the first reading."""
    port = AnsweringPort(time, Instrument(MINIMAL))
    link = Stage(port, time=time).link("scpi", quantity=Quantity.RESISTANCE)
    items = drained(link, lambda seen: len(readings(seen)) >= 2)
    link.close()
    assert port.lines.count("CONF:RES") == 1
    assert port.lines.index("CONF:RES") < port.lines.index("READ?")
    assert readings(items)[0].quantity is Quantity.RESISTANCE


def test_a_refused_setting_is_told_and_not_believed(time: StageTime) -> None:
    """The error is in the line beside the link; readings keep the function the meter is on."""
    errors = iter(['-113,"Undefined header"'])

    def then(line: str, _reads: int) -> Reply | str:
        if line == "SYST:ERR?" and "CONF:TEMP" in port.lines:
            return next(errors, "")
        return None

    port = AnsweringPort(time, Instrument(FULL, then))
    link = Stage(port, time=time).link("scpi", quantity=Quantity.TEMPERATURE)
    items = drained(link, lambda seen: len(readings(seen)) >= 2)
    link.close()
    live = next(item for item in changes(items) if item.state is S.LIVE)
    assert "refuses CONF:TEMP: -113 Undefined header" in live.detail
    assert readings(items)[0].quantity is Quantity.RESISTANCE


def test_an_error_queue_without_end_is_left_after_fifty(time: StageTime) -> None:
    """-350 for ever does not hold the link up."""
    table = {**FULL, "SYST:ERR?": '-350,"Queue overflow"'}
    port = AnsweringPort(time, Instrument(table))
    link = Stage(port, time=time).link("scpi")
    drained(link, lambda seen: len(readings(seen)) >= 2)
    link.close()
    assert port.lines.count("SYST:ERR?") == 50


@pytest.mark.parametrize("text", ["+9.9E+37", "-9.90000000E+37", "9.91E37", "OVLOAD"])
def test_over_range_is_an_overload(time: StageTime, text: str) -> None:
    """Never a number, with the range it was on."""
    port = AnsweringPort(time, Instrument({**FULL, "READ?": text}))
    link = Stage(port, time=time).link("scpi")
    items = drained(link, lambda seen: len(readings(seen)) >= 2)
    link.close()
    assert all(r.overload and r.value is None for r in readings(items))
    assert readings(items)[0].full_scale == 10_000.0


@pytest.mark.parametrize("end", [b"\n", b"\r\n", b"\r"])
@pytest.mark.parametrize("stray", [b"", b"\x00", b"\xff"])
def test_any_line_end_and_stray_bytes_will_do(time: StageTime, end: bytes, stray: bytes) -> None:
    """LF, CR LF, CR; zero bytes and 0xFF are no part of an answer."""
    instrument = Instrument(FULL)
    instrument.end = stray + end
    link = Stage(AnsweringPort(time, instrument), time=time).link("scpi")
    items = drained(link, lambda seen: len(readings(seen)) >= 3)
    link.close()
    assert {r.value for r in readings(items)} == {3860.0}


def test_a_late_answer_is_never_the_next_ones(time: StageTime) -> None:
    """READ? times out once, its answer comes later: it is left behind and nothing slips by one."""
    sent = count(1)

    def then(line: str, reads: int) -> Reply | str:
        if line != "READ?":
            return None
        value = next(sent)
        return (3.0 if reads == 4 else 0.01), f"{value}.0\n".encode()

    port = AnsweringPort(time, Instrument(FULL, then))
    link = Stage(port, time=time).link("scpi")
    items = drained(link, lambda seen: len(readings(seen)) >= 8)
    link.close()
    values = [r.value for r in readings(items)]
    assert 4.0 not in values
    assert values[:6] == [1.0, 2.0, 3.0, 5.0, 6.0, 7.0]
    assert states(items)[2:5] == [S.LIVE, S.RESYNC, S.LIVE]
    assert [g.reason for g in gaps(items)] == ["resync"]


def test_a_slow_instrument_is_given_more_time(time: StageTime) -> None:
    """Each READ? takes three seconds: after one time-out it is waited for."""
    port = AnsweringPort(
        time,
        Instrument(FULL, lambda line, _reads: (3.0, b"7.0\n") if line == "READ?" else None),
    )
    link = Stage(port, time=time).link("scpi")
    items = drained(link, lambda seen: len(readings(seen)) >= 3)
    link.close()
    assert states(items).count(S.RESYNC) == 1
    assert {r.value for r in readings(items)} == {7.0}


def test_a_range_that_changes_meanwhile_takes_the_resolution_with_it(time: StageTime) -> None:
    """RANG? before and after differ: the value stays, range and count are unknown for once."""
    port = AnsweringPort(
        time,
        Instrument(
            FULL,
            lambda line, reads: "+1.0E+05" if line == "SENS:RES:RANG?" and reads >= 3 else None,
        ),
    )
    link = Stage(port, time=time).link("scpi")
    items = drained(link, lambda seen: len(readings(seen)) >= 5)
    link.close()
    assert [r.full_scale for r in readings(items)][:5] == [1e4, 1e4, None, 1e5, 1e5]
    assert [r.resolution for r in readings(items)][2] is None


def test_a_function_turned_meanwhile_gives_no_number(time: StageTime) -> None:
    """A value between ohms and volts is neither; then it is volts."""

    def then(line: str, reads: int) -> Reply | str:
        if reads < 3:
            return None
        return {"CONF?": '"VOLT +1.0E+1,+1.0E-5"', "READ?": "1.5", "SENS:RES:RES?": ""}.get(line)

    port = AnsweringPort(time, Instrument(FULL, then))
    link = Stage(port, time=time).link("scpi")
    items = drained(link, lambda seen: len(readings(seen)) >= 4)
    link.close()
    found = [(r.quantity, r.value) for r in readings(items)][:4]
    ohms, volts = (Quantity.RESISTANCE, 3860.0), (Quantity.VOLTAGE, 1.5)
    assert found == [ohms, ohms, volts, volts]


def test_diode_is_said_to_be_diode(time: StageTime) -> None:
    """Its number is no resistance."""
    port = AnsweringPort(time, Instrument({**FULL, "CONF?": '"DIOD"', "READ?": "0.6"}))
    link = Stage(port, time=time).link("scpi")
    items = drained(link, lambda seen: len(readings(seen)) >= 1)
    link.close()
    assert readings(items)[0].mode is Mode.DIODE


@pytest.mark.parametrize("text", ["3,86E+3", "hello", "1.0;2.0"])
def test_an_answer_that_is_no_number_is_told_and_left_behind(time: StageTime, text: str) -> None:
    """Commas for points, words: no reading, a line that says so, and *IDN? before the next one."""
    port = AnsweringPort(time, Instrument({**FULL, "READ?": text}))
    link = Stage(port, time=time).link("scpi")
    items = drained(link, lambda seen: any(text in item.detail for item in changes(seen)))
    link.close()
    assert readings(items) == []


def test_nan_is_no_value(time: StageTime) -> None:
    """The instrument lives and has nothing to say."""
    texts = iter(["nan", "NAN", "7.0"])
    port = AnsweringPort(
        time, Instrument(FULL, lambda line, _n: next(texts, "7.0") if line == "READ?" else None)
    )
    link = Stage(port, time=time).link("scpi")
    items = drained(link, lambda seen: len(readings(seen)) >= 2)
    link.close()
    assert {r.value for r in readings(items)} == {7.0}


def test_another_meter_after_a_reconnect_is_told(time: StageTime) -> None:
    """A different *IDN? is named, with the one before."""

    def lost(line: str, reads: int) -> Reply | str:
        if line == "READ?" and reads == 3:
            raise PortError("Port went away")
        return None

    first = AnsweringPort(time, Instrument(FULL, lost))
    second = AnsweringPort(time, Instrument({**FULL, "*IDN?": "OTHER,DMM,2,1"}))
    link = Stage(first, second, time=time).link("scpi")
    items = drained(link, lambda seen: len(readings(seen)) >= 4)
    link.close()
    live = [item for item in changes(items) if item.state is S.LIVE]
    assert [item.identity for item in live] == [IDENTITY, "OTHER,DMM,2,1"]
    assert "Another meter answers: OTHER,DMM,2,1" in live[1].detail
    assert [g.reason for g in gaps(items)] == ["lost"]


def test_an_instrument_that_does_not_answer_is_waited_for(time: StageTime) -> None:
    """Three questions, twice; then the port is closed and opened anew."""
    first = AnsweringPort(time, Instrument({}))
    second = AnsweringPort(time, Instrument(FULL))
    link = Stage(first, second, time=time).link("scpi")
    items = drained(link, lambda seen: len(readings(seen)) >= 1)
    link.close()
    assert first.lines.count("*IDN?") == 6
    assert S.WAITING in states(items)


def test_lost_while_writing_is_lost(time: StageTime) -> None:
    """A write that fails ends the connection as a read does."""
    first = AnsweringPort(time, Instrument(FULL))
    first.refuse_writes = PortError("Port went away")
    second = AnsweringPort(time, Instrument(FULL))
    link = Stage(first, second, time=time).link("scpi")
    items = drained(link, lambda seen: len(readings(seen)) >= 1)
    link.close()
    assert states(items)[:3] == [S.OPENING, S.IDENTIFYING, S.LOST]
    assert (first.closed, second.closed) == (1, 1)


def test_the_oldest_generation_is_put_to_remote_and_given_back(time: StageTime) -> None:
    """Error 550: SYST:REM before, SYST:LOC after."""
    errors = iter(['550,"Command not allowed in local"'])
    port = AnsweringPort(
        time,
        Instrument(FULL, lambda line, _n: next(errors, None) if line == "SYST:ERR?" else None),
    )
    link = Stage(port, time=time).link("scpi")
    drained(link, lambda seen: len(readings(seen)) >= 1)
    link.close()
    assert "SYST:REM" in port.lines
    assert port.lines[-1] == "SYST:LOC"


def test_a_fast_instrument_is_paced(time: StageTime) -> None:
    """At most fifty readings a second, however fast it answers."""
    port = AnsweringPort(
        time, Instrument(FULL, lambda line, _n: (0.0, FULL.get(line, "").encode() + b"\n"))
    )
    link = Stage(port, time=time).link("scpi")
    items = drained(link, lambda seen: len(readings(seen)) >= 20)
    link.close()
    stamps = [r.t_s for r in readings(items)]
    assert (stamps[-1] - stamps[0]) / (len(stamps) - 1) >= 0.0199


def test_closing_while_an_answer_is_awaited(time: StageTime) -> None:
    """The thread ends and the port is released once, whatever was under way."""
    asked = threading.Event()

    def then(line: str, reads: int) -> Reply | str:
        if line == "READ?" and reads == 2:
            asked.set()
            return 1e9, b""
        return None

    port = AnsweringPort(time, Instrument(FULL, then))
    items = played(Stage(port, time=time).link("scpi"), asked)
    assert states(items)[-1] is S.CLOSED
    assert port.closed == 1
