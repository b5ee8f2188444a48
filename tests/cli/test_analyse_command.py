"""`analyse heat` and `analyse speed`: the contract's keys, and bad input in plain lines."""

import math
from pathlib import Path

import pytest

from tests.cli.program import Program

HEAT_KEYS = {"reproduced", "departure_assessed", "rows", "events", "copper"}
EVENT_KEYS = {"kind", "start_s", "end_s", "from", "to", "temperature_c"}
SPEED_KEYS = {"levels", "cycles", "hunting", "rows"}
CYCLE_KEYS = {
    "fall_start_s",
    "fall_s",
    "recover_start_s",
    "recover_s",
    "overshoot_rpm",
    "completed",
}


def heating(*, opens: bool, with_temperature: bool = True) -> str:
    """A winding of 6,520 ohm at 20 celsius warmed 4 K a minute to 90, open from 80 s to 82.4 s."""
    extra = ",temperature_c" if with_temperature else ""
    rows = [f"t_s,value,unit{extra}"]
    for i in range(2600):
        t_s = 0.4 * i
        celsius = 20.0 + 4.0 * t_s / 60.0
        ohm = 6520.0 * (1.0 + 0.00393 * (celsius - 20.0))
        broken = opens and 800.0 <= t_s < 802.4
        value = "OL" if broken else f"{ohm / 1000.0:.2f}"
        rows.append(f"{t_s:.1f},{value},kohm" + (f",{celsius:.1f}" if with_temperature else ""))
    return "\n".join(rows)


def write(folder: Path, text: str) -> Path:
    """A log file."""
    path = folder / "log.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_break_is_found_with_its_time_and_temperature(program: Program, tmp_path: Path) -> None:
    """Opens at 800 s, recloses at 802.4 s, at 20 + 4 x 800 / 60 = 73.3 celsius."""
    done = program("analyse", "heat", write(tmp_path, heating(opens=True)), "--json")
    assert (done.code, done.err) == (0, "")
    found = done.json
    assert set(found) == HEAT_KEYS
    assert found["reproduced"] is True
    assert found["departure_assessed"] is True
    assert found["rows"] == {"used": 2600, "rejected": 0}
    (event,) = found["events"]
    assert set(event) == EVENT_KEYS
    assert event["kind"] == "open"
    assert event["start_s"] == pytest.approx(800.0, abs=0.5)
    assert event["end_s"] == pytest.approx(802.4, abs=0.5)
    assert event["to"] is None
    assert event["temperature_c"] == pytest.approx(73.3, abs=0.5)
    assert found["copper"]["r20_ohm"] == pytest.approx(6520.0, rel=2e-3)
    assert found["copper"]["largest_departure_percent"] < 2.0


def test_no_event_is_not_reproduced_and_never_good(program: Program, tmp_path: Path) -> None:
    """In words too."""
    path = write(tmp_path, heating(opens=False))
    found = program("analyse", "heat", path, "--json").json
    assert (found["reproduced"], found["events"]) == (False, [])
    said = program("analyse", "heat", path)
    assert said.code == 0
    assert "good" not in said.out.lower()
    assert "reproduced" in said.out


def test_without_a_temperature_nothing_is_said_of_copper(program: Program, tmp_path: Path) -> None:
    """Breaks are found, a slow departure is not assessed."""
    path = write(tmp_path, heating(opens=True, with_temperature=False))
    found = program("analyse", "heat", path, "--json").json
    assert found["copper"] is None
    assert found["departure_assessed"] is False
    assert [event["kind"] for event in found["events"]] == ["open"]
    assert found["events"][0]["temperature_c"] is None


def test_a_cap_is_no_copper(program: Program, tmp_path: Path) -> None:
    """A part that is not copper has no r20."""
    rows = [f"{0.4 * i:.1f},4.90,kohm,{20 + 0.02 * i:.1f}" for i in range(2000)]
    text = "\n".join(["t_s,value,unit,temperature_c", *rows])
    found = program("analyse", "heat", write(tmp_path, text), "--part", "cap", "--json").json
    assert found["copper"] is None
    assert found["events"] == []


def idling(*, hertz: bool) -> str:
    """Three idle-downs between 3,600 and 1,500 rpm at 5 readings a second, noise of one count."""
    rows = ["t_s,value,unit"]
    for i in range(450):
        t_s = 0.2 * i
        phase = t_s % 30.0
        if phase < 10.0:
            rpm = 3600.0
        elif phase < 12.5:
            rpm = 3600.0 - 2100.0 * (phase - 10.0) / 2.5
        elif phase < 20.0:
            rpm = 1500.0
        elif phase < 21.5:
            rpm = 1500.0 + 2100.0 * (phase - 20.0) / 1.5
        else:
            rpm = 3600.0
        rpm += 3.0 * math.sin(12.9 * i)
        rows.append(f"{t_s:.1f},{rpm / 60.0:.1f},Hz" if hertz else f"{t_s:.1f},{rpm:.0f},rpm")
    return "\n".join(rows)


@pytest.mark.parametrize("hertz", [True, False])
def test_levels_and_idle_downs(program: Program, tmp_path: Path, hertz: bool) -> None:
    """A fall of 2.5 s from 10 to 90 % takes 2.0 s, a rise of 1.5 s takes 1.2 s."""
    path = write(tmp_path, idling(hertz=hertz))
    done = program("analyse", "speed", path, "--pulses-per-rev", "1", "--json")
    assert (done.code, done.err) == (0, "")
    found = done.json
    assert set(found) == SPEED_KEYS
    assert found["levels"]["low"]["rpm"] == pytest.approx(1500.0, abs=10.0)
    assert found["levels"]["high"]["rpm"] == pytest.approx(3600.0, abs=10.0)
    assert len(found["cycles"]) == 3
    for i, cycle in enumerate(found["cycles"]):
        assert set(cycle) == CYCLE_KEYS
        assert cycle["completed"] is True
        assert cycle["fall_start_s"] == pytest.approx(30.0 * i + 10.25, abs=0.2)
        assert cycle["fall_s"] == pytest.approx(2.0, abs=0.2)
        assert cycle["recover_start_s"] == pytest.approx(30.0 * i + 20.15, abs=0.2)
        assert cycle["recover_s"] == pytest.approx(1.2, abs=0.2)
    assert found["hunting"]["present"] is False
    assert found["rows"] == {"used": 450, "rejected": 0}


def test_half_a_pulse_a_turn_doubles_the_speed(program: Program, tmp_path: Path) -> None:
    """An ignition that fires every other turn gives 30 Hz at 3,600 rpm."""
    rows = ["t_s,value,unit", *(f"{0.2 * i:.1f},30.0,Hz" for i in range(200))]
    path = write(tmp_path, "\n".join(rows))
    found = program("analyse", "speed", path, "--pulses-per-rev", "0.5", "--json").json
    levels = [level for level in found["levels"].values() if level is not None]
    assert [level["rpm"] for level in levels] == [pytest.approx(3600.0)]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("heat", "gone.csv"), ("gone.csv", "name a log file")),
        (("heat", "log.csv", "--part", "piston"), ("piston", "winding, cap, lead, path")),
        (("speed", "log.csv"), ("--pulses-per-rev",)),
        (("speed", "log.csv", "--pulses-per-rev", "0"), ("0", "above 0")),
        (
            ("speed", "log.csv", "--pulses-per-rev", "1", "--low", "3600", "--high", "1800"),
            ("3600", "1800"),
        ),
        (("speed", "log.csv", "--pulses-per-rev", "1"), ("log.csv", "resistance")),
        (("heat", "empty.csv"), ("empty.csv", "no rows")),
        (("burn", "log.csv"), ("heat", "speed")),
    ],
)
def test_what_cannot_be_is_one_line(
    program: Program, tmp_path: Path, arguments: tuple[str, ...], words: tuple[str, ...]
) -> None:
    """Exit 2; the line names the input and what would be right."""
    write(tmp_path, "t_s,value,unit\n0,5,ohm\n")
    (tmp_path / "empty.csv").write_text("t_s,value,unit\n", encoding="utf-8")
    program("analyse", *arguments).refused(*words)


def test_bad_rows_are_told_and_the_rest_is_used(program: Program, tmp_path: Path) -> None:
    """Every fault with its line on standard error, then what could be used; exit 0."""
    text = heating(opens=True).replace("\n0.4,", "\nsoon,", 1) + "\n0.1,6.5,kohm,20\n"
    done = program("analyse", "heat", write(tmp_path, text), "--json")
    assert done.code == 0
    assert done.json["rows"] == {"used": 2599, "rejected": 2}
    lines = done.err.splitlines()
    assert lines[0].startswith("log.csv:3: t_s 'soon'")
    assert lines[1].startswith("log.csv:2602: time goes back")
    assert lines[-1] == "2599 rows used, 2 left out"


def test_it_needs_neither_a_window_nor_a_shop(program: Program, tmp_path: Path) -> None:
    """Only `practice`, `slip` and the window import Qt."""
    done = program("analyse", "heat", write(tmp_path, heating(opens=False)), "--json")
    for package in ("PySide6", "sqlalchemy", "serial"):
        assert not done.has_loaded(package)


def test_whole_seconds_of_a_fast_meter_are_spread_and_told(
    program: Program, tmp_path: Path
) -> None:
    """Four rows a second with whole seconds: one line says so, and no step is made up."""
    rows = [f"{i // 4},{6500 + i // 20},ohm" for i in range(2000)]
    path = write(tmp_path, "\n".join(["t_s,value,unit", *rows]))
    done = program("analyse", "heat", path, "--json")
    assert done.code == 0
    assert done.err.splitlines() == [
        "1500 rows have the time of the row before: spread evenly up to the next time"
    ]
    assert done.json["rows"] == {"used": 2000, "rejected": 0}
    assert done.json["events"] == []
