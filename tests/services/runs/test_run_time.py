"""Times that stand still: a fast meter printed with whole seconds."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.run import HeatedPart
from benchassist.core.run_finding import HeatEventKind
from benchassist.services.runs.analysis import SpeedRequest, heat_finding, read_heat, read_speed
from benchassist.services.runs.run_time import even_times


def column(*seconds: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Times."""
    return np.array(seconds, dtype=np.float64)


@pytest.mark.parametrize(
    ("given_s", "spread_s"),
    [
        ((0, 0, 0, 0, 1, 1, 2), (0, 0.25, 0.5, 0.75, 1, 1.5, 2)),
        ((0, 1, 1), (0, 1, 1.5)),
        ((0, 1, 2, 2, 900, 901), (0, 1, 2, 2.5, 900, 901)),
    ],
)
def test_rows_of_one_time_stand_evenly_up_to_the_next(
    given_s: tuple[float, ...], spread_s: tuple[float, ...]
) -> None:
    """The last ones take the usual step; over a hole they are not stretched."""
    assert even_times(column(*given_s)).tolist() == pytest.approx(spread_s)


@pytest.mark.parametrize("seconds", [(), (3,), (3, 3, 3), (0, 0.5, 1)])
def test_what_needs_no_spreading_or_has_one_time_stays(seconds: tuple[float, ...]) -> None:
    """The very same column."""
    given_s = column(*seconds)
    assert even_times(given_s) is given_s


@given(st.lists(st.integers(0, 3), min_size=2, max_size=60))
def test_spread_times_rise_and_keep_their_second(steps: list[int]) -> None:
    """Always later than the row before, never before the printed time, never past the next one."""
    printed = np.cumsum(np.array(steps, dtype=np.float64))
    spread = even_times(printed)
    if len(set(printed.tolist())) > 1:
        assert (np.diff(spread) > 0.0).all()
    assert (spread >= printed).all()
    for later in np.unique(printed):
        assert (spread[printed < later] < later).all()


def log_of(folder: Path, rows: list[str]) -> Path:
    """A table."""
    path = folder / "log.csv"
    path.write_text("\n".join(["t_s,value,unit", *rows]), encoding="utf-8")
    return path


def test_a_break_is_found_in_whole_seconds_and_no_step_besides(tmp_path: Path) -> None:
    """Eight rows a second of a winding that warms: one open, at its second."""
    rows = []
    for i in range(8 * 600):
        t_s, value = i // 8, 6500.0 + 0.5 * (i / 8.0)
        rows.append(f"{t_s},{'OL' if 3200 <= i < 3224 else f'{value:.0f}'},ohm")
    log = read_heat(log_of(tmp_path, rows))
    assert log.spread == len(rows) - 600
    finding = heat_finding(log, HeatedPart.WINDING)
    assert [event.kind for event in finding.events] == [HeatEventKind.OPEN]
    assert finding.events[0].start_s == pytest.approx(400.0, abs=0.2)
    assert finding.events[0].end_s == pytest.approx(403.0, abs=0.2)


def test_an_idle_down_is_timed_in_whole_seconds(tmp_path: Path) -> None:
    """Four rows a second: the fall of 2.5 s takes 2.0 s from 10 to 90 %, as with exact times."""
    rows = []
    for i in range(4 * 90):
        phase = (i / 4.0) % 30.0
        rpm = np.interp(phase, [0, 10, 12.5, 20, 21.5, 30], [3600, 3600, 1500, 1500, 3600, 3600])
        rows.append(f"{i // 4},{rpm:.0f},rpm")
    request = SpeedRequest(pulses_per_rev=1.0)
    log, finding = read_speed(log_of(tmp_path, rows), request)
    assert (len(log.samples), log.rejected) == (360, 0)
    assert len(finding.cycles) == 3
    assert finding.cycles[0].fall_s == pytest.approx(2.0, abs=0.05)
    assert finding.cycles[0].recover_s == pytest.approx(1.2, abs=0.05)


@pytest.mark.parametrize("unit", ["ohm", "rpm"])
def test_a_log_of_one_moment_is_no_fault(tmp_path: Path, unit: str) -> None:
    """All rows at second 5: looked through without a word of program trouble."""
    path = log_of(tmp_path, [f"5,{3000 + i % 7},{unit}" for i in range(200)])
    if unit == "ohm":
        log = read_heat(path)
        assert heat_finding(log, HeatedPart.WINDING).duration_s == 0.0
    else:
        log, finding = read_speed(path, SpeedRequest(pulses_per_rev=1.0))
        assert finding.cycles == ()
    assert log.spread == 0


def test_an_overload_is_a_fault_of_a_speed(tmp_path: Path) -> None:
    """It is told with its line and left out; of a resistance it is a sample."""
    path = log_of(tmp_path, ["0,60.0,Hz", "1,OL,Hz", "2,60.1,Hz"])
    log, _finding = read_speed(path, SpeedRequest(pulses_per_rev=1.0))
    assert (len(log.samples), log.rejected) == (2, 1)
    assert log.faults == ("log.csv:3: OL is no frequency: a number would be right",)
