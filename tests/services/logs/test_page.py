"""Open a log, without a window: asked, read in a thread, shown, looked into."""

import threading
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from benchassist.core.band import Verdict
from benchassist.errors import InputError, NotFoundError
from benchassist.services.logs import reader as log_reader
from benchassist.services.logs.page import LogPage
from benchassist.services.logs.view import LogStage, LogView
from benchassist.services.runs.file import RunReading
from benchassist.units import TemperatureUnit, UnitChoice

HEADER = "t_s,value,unit,temperature_c"


@pytest.fixture
def desk() -> Iterator[LogPage]:
    """A desk; its thread is waited for."""
    page = LogPage(UnitChoice())
    yield page
    page.close()


def shown(desk: LogPage, **answers: str) -> LogView:
    """Open, and tick until it is read."""
    desk.open(answers)
    end = time.monotonic() + 30.0
    while desk.view().stage is LogStage.READING:
        assert time.monotonic() < end
        desk.tick()
        threading.Event().wait(0.005)
    return desk.view()


def coil(folder: Path, *, opens: bool = True, warm: bool = True, bad: tuple[str, ...] = ()) -> str:
    """A winding of 6,520 ohm at 20 celsius, 4 K a minute to 60, open from 300 s to 302.4 s."""
    rows = [HEADER if warm else "t_s,value,unit"]
    for i in range(1500):
        t_s = 0.4 * i
        celsius = 20.0 + 4.0 * t_s / 60.0
        ohm = 6520.0 * (1.0 + 0.00393 * (celsius - 20.0))
        value = "OL" if opens and 300.0 <= t_s < 302.4 else f"{ohm / 1000.0:.2f}"
        rows.append(f"{t_s:.1f},{value},kohm" + (f",{celsius:.1f}" if warm else ""))
    path = folder / "coil.csv"
    path.write_text("\n".join((*rows, *bad)), encoding="utf-8")
    return str(path)


def idling(folder: Path) -> str:
    """Three idle-downs between 3,600 and 1,500 rpm, as hertz at one pulse a revolution."""
    rows = ["t_s,value,unit"]
    for i in range(450):
        t_s = 0.2 * i
        corners = [0, 10, 12.5, 20, 21.5, 30]
        rpm = float(np.interp(t_s % 30.0, corners, [3600, 3600, 1500, 1500, 3600, 3600]))
        rows.append(f"{t_s:.1f},{rpm / 60.0:.2f},Hz")
    path = folder / "idle.csv"
    path.write_text("\n".join(rows), encoding="utf-8")
    return str(path)


def test_a_break_is_told_with_what_was_read_and_what_was_left_out(
    desk: LogPage, tmp_path: Path
) -> None:
    """Verdict, event, rows, faults with their lines, plot and its words."""
    view = shown(desk, path=coil(tmp_path, bad=("601,x,kohm,", "602,6.9", "603,6.92,kohm,60")))
    assert view.stage is LogStage.SHOWN
    assert view.verdict is Verdict.OUT_OF_BAND
    assert view.verdict_text.startswith("Break found at 40 °C, reclosed at 40 °C")
    assert view.rows_text == "1,501 rows used, 2 left out"
    assert [(f.line, f.text.partition(":")[0]) for f in view.faults] == [
        ("1502", "value 'x' cannot be read"),
        ("1503", "the row ends early"),
    ]
    (event,) = view.events
    assert (event.title, event.detail, event.number) == ("Open 2.4 s", "at 40 °C", 1)
    assert event.t_s == pytest.approx(300.0, abs=0.5)
    assert dict(view.pairs)["Read as"] == "Winding"
    assert dict(view.pairs)["Temperature"] == "20 °C to 60 °C"
    assert view.plot is not None
    assert [track.title for track in view.plot.tracks] == ["Resistance", "Temperature"]
    assert view.plot.tracks[0].ribbon is not None
    assert [flag.number for flag in view.plot.flags] == [1]
    assert view.verdict_text in view.plot.summary


def test_no_event_is_not_reproduced_and_never_good(desk: LogPage, tmp_path: Path) -> None:
    """It says how far it was warmed, that it rules nothing out, and gives no verdict."""
    view = shown(desk, path=coil(tmp_path, opens=False))
    said = " ".join((view.verdict_text, *view.notes))
    assert view.verdict is None
    assert view.verdict_text == "Not reproduced, warmed to 60 °C only"
    assert "That does not rule the fault out." in view.notes
    assert "good" not in said.lower()
    assert view.events == ()


def test_without_a_temperature_a_slow_departure_is_not_assessed(
    desk: LogPage, tmp_path: Path
) -> None:
    """One track, and it says so once."""
    view = shown(desk, path=coil(tmp_path, warm=False))
    assert view.plot is not None
    assert len(view.plot.tracks) == 1
    assert [note for note in view.notes if "departure" in note] == [
        "Slow departure not assessed: no thermometer."
    ]
    assert dict(view.pairs)["Temperature"] == "none"


def test_the_part_decides_what_is_copper(desk: LogPage, tmp_path: Path) -> None:
    """A lead has no copper line."""
    view = shown(desk, path=coil(tmp_path, opens=False), part="lead")
    assert view.plot is not None
    assert view.plot.tracks[0].ribbon is None
    assert dict(view.pairs)["Read as"] == "Lead"


def test_an_engine_run_tells_levels_and_idle_downs(desk: LogPage, tmp_path: Path) -> None:
    """Speeds from hertz, each idle-down with its times, a flag and a row."""
    view = shown(desk, path=idling(tmp_path), kind="speed", pulses="1", low="1500", high="3600 rpm")
    assert "3600 rpm" in view.verdict_text
    assert view.verdict is Verdict.RECORDED
    assert any(note.startswith("Recorded only") for note in view.notes)
    assert [event.title for event in view.events] == [f"Idle-down {n}" for n in (1, 2, 3)]
    assert view.events[0].detail == "fell in 2.0 s, back in 1.2 s"
    assert view.plot is not None
    assert view.plot.tracks[0].high.max() == pytest.approx(3600.0, abs=1.0)
    assert [flag.number for flag in view.plot.flags] == [1, 2, 3]
    assert dict(view.pairs)["Read as"] == "pulses per revolution 1, low 1500 rpm, high 3600 rpm"


def test_two_pulses_a_revolution_halve_the_speed(desk: LogPage, tmp_path: Path) -> None:
    """60 Hz is 1,800 rpm then."""
    view = shown(desk, path=idling(tmp_path), kind="speed", pulses="2")
    assert view.plot is not None
    assert view.plot.tracks[0].high.max() == pytest.approx(1800.0, abs=1.0)


@pytest.mark.parametrize(
    ("answers", "told"),
    [
        ({}, "Log file: type its path"),
        ({"path": "  "}, "Log file: type its path"),
        ({"path": "/"}, "/: a folder; name a log file"),
        ({"path": "a.csv", "kind": "speed", "pulses": ""}, "Pulses per revolution ''"),
        ({"path": "a.csv", "kind": "speed", "pulses": "0"}, "Pulses per revolution 0: above 0"),
        ({"path": "a.csv", "kind": "speed", "pulses": "1", "low": "fast"}, "Low speed: "),
        (
            {"path": "a.csv", "kind": "speed", "pulses": "1", "low": "3600", "high": "1800"},
            "Low speed 3600 is not below high speed 1800",
        ),
        ({"path": "a.csv", "part": "magneto"}, "Part 'magneto'"),
    ],
)
def test_a_wrong_answer_is_named_and_nothing_is_read(
    desk: LogPage, answers: dict[str, str], told: str
) -> None:
    """One line; the form stays."""
    with pytest.raises(InputError) as caught:
        desk.open(answers)
    assert str(caught.value).startswith(told)
    assert desk.view().stage is LogStage.ASK


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (None, "No such file or directory; name a log file"),
        ("", "log.csv: the file holds no rows"),
        ("time,ohms\n0,1\n", "log.csv:1: no column t_s, value, unit"),
        ("t_s,value,unit\n0,60,Hz\n", "this is frequency, and resistance would be right"),
    ],
)
def test_a_log_that_cannot_be_used_is_one_line_over_the_form(
    desk: LogPage, tmp_path: Path, text: str | None, told: str
) -> None:
    """The form comes back with what was answered."""
    path = tmp_path / "log.csv"
    if text is not None:
        path.write_text(text, encoding="utf-8")
    view = shown(desk, path=str(path))
    assert view.stage is LogStage.ASK
    assert told in view.error
    assert desk.form({})[0].value == str(path)


def test_the_form_asks_by_what_the_log_holds(desk: LogPage) -> None:
    """A part for ohms; pulses and levels for speeds; earlier answers stand in it."""
    assert [field.key for field in desk.form({})] == ["path", "kind", "part"]
    keys = [field.key for field in desk.form({"kind": "speed", "low": "1800"})]
    assert keys == ["path", "kind", "pulses", "low", "high"]
    assert desk.form({"kind": "speed", "low": "1800"})[3].value == "1800"


def test_a_closer_look_is_as_fine_as_the_log(desk: LogPage, tmp_path: Path) -> None:
    """Ten seconds of it come sample by sample; another log's plot is refused."""
    view = shown(desk, path=coil(tmp_path))
    near = desk.window(view.log_id, 100.0, 110.0, 1000)
    inside = [t for t in near.tracks[0].t_s if 100.0 <= t <= 110.0]
    assert len(inside) == 26
    whole = desk.window(view.log_id, 0.0, 600.0, 100)
    assert len(whole.tracks[0].t_s) < 210
    with pytest.raises(NotFoundError):
        desk.window("another", 0.0, 1.0, 10)
    desk.leave()
    with pytest.raises(NotFoundError):
        desk.window(view.log_id, 0.0, 1.0, 10)
    assert desk.view().stage is LogStage.ASK


def test_a_hole_breaks_the_line_and_is_told(desk: LogPage, tmp_path: Path) -> None:
    """Three minutes without a row: nothing is drawn over them."""
    rows = [f"{t},6.52,kohm" for t in [*range(100), *range(280, 400)]]
    path = tmp_path / "log.csv"
    path.write_text("\n".join(["t_s,value,unit", *rows]), encoding="utf-8")
    view = shown(desk, path=str(path))
    assert view.plot is not None
    assert [(gap.start_s, gap.end_s) for gap in view.plot.gaps] == [(99.0, 280.0)]
    assert np.isnan(view.plot.tracks[0].high).any()
    assert [event.title for event in view.events] == ["No rows 3 min 1 s"]


@pytest.mark.parametrize("rows", [["0,5,ohm"], ["0,OL,ohm", "1,OL,ohm"], ["7,5,ohm", "7,6,ohm"]])
def test_next_to_nothing_is_inconclusive(desk: LogPage, tmp_path: Path, rows: list[str]) -> None:
    """One row, overloads only, one moment only: shown, and nothing claimed."""
    path = tmp_path / "log.csv"
    path.write_text("\n".join(["t_s,value,unit", *rows]), encoding="utf-8")
    view = shown(desk, path=str(path))
    assert view.stage is LogStage.SHOWN
    assert view.plot is not None
    assert view.plot.end_s > view.plot.start_s
    assert "good" not in " ".join((view.verdict_text, *view.notes)).lower()


def test_units_of_the_shop_are_taken_up_at_once(desk: LogPage, tmp_path: Path) -> None:
    """A log that is open is told in fahrenheit from then on."""
    shown(desk, path=coil(tmp_path))
    desk.speak(UnitChoice(temperature=TemperatureUnit.FAHRENHEIT))
    view = desk.view()
    assert view.verdict_text.startswith("Break found at 104 °F")
    assert view.plot is not None
    assert view.plot.tracks[1].unit == "°F"


class Gate:
    """A reading that waits between two parts until it is let go."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.reached, self.open = threading.Event(), threading.Event()
        self.parts = 0
        gate = self

        class Slow(RunReading):
            def parts(self) -> Iterator[float]:
                for share in super().parts():
                    gate.parts += 1
                    gate.reached.set()
                    assert gate.open.wait(20.0)
                    yield share

        monkeypatch.setattr(log_reader, "RunReading", Slow)
        monkeypatch.setattr("benchassist.services.runs.file.BLOCK", 2000)


def test_reading_goes_on_beside_the_window_and_can_be_stopped(
    desk: LogPage, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """View and tick come back at once meanwhile; once stopped, nothing of it shows."""
    gate = Gate(monkeypatch)
    desk.open({"path": coil(tmp_path)})
    assert gate.reached.wait(20.0)
    desk.tick()
    view = desk.view()
    assert (view.stage, view.name) == (LogStage.READING, "coil.csv")
    assert "rows used" in view.rows_text
    thread = next(t for t in threading.enumerate() if t.name == "log reader")
    desk.leave()
    assert desk.view().stage is LogStage.ASK
    gate.open.set()
    thread.join(20.0)
    assert not thread.is_alive()
    assert gate.parts < 10
    desk.tick()
    assert desk.view() == LogView()


def test_opening_another_log_drops_the_one_on_its_way(
    desk: LogPage, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What the first comes to is never shown."""
    gate = Gate(monkeypatch)
    first = coil(tmp_path)
    desk.open({"path": first})
    assert gate.reached.wait(20.0)
    gate.open.set()
    view = shown(desk, path=idling(tmp_path), kind="speed", pulses="1")
    assert view.name == "idle.csv"


def test_a_fault_of_the_program_is_raised_where_it_is_fetched(
    desk: LogPage, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No line of the technician's: it reaches whoever logs the program's own faults."""

    def broken(*_given: object) -> object:
        raise ZeroDivisionError

    monkeypatch.setattr(log_reader, "heat_finding", broken)
    with pytest.raises(ZeroDivisionError):
        shown(desk, path=coil(tmp_path))
    assert desk.view().stage is LogStage.ASK


def test_closing_waits_for_the_thread(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No reader is left behind when the shop closes."""
    gate = Gate(monkeypatch)
    page = LogPage(UnitChoice())
    page.open({"path": coil(tmp_path)})
    assert gate.reached.wait(20.0)
    gate.open.set()
    page.close()
    assert "log reader" not in [thread.name for thread in threading.enumerate()]
