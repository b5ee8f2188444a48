"""Each fault of the practice bench through its real ports: the services find it as what it is."""

from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from benchassist.core.entry import RunEnded
from benchassist.core.run_finding import HeatEvent, HeatEventKind, Level
from benchassist.practice.engine import HIGH, PSI, Throttle
from tests.practice.run_bench import RunBench, run_bench

pytestmark = pytest.mark.usefixtures("qapp")
WITHIN_K = 3.0


def only(bench: RunBench, kind: HeatEventKind) -> HeatEvent:
    """The longest event of a kind."""
    found = [event for event in bench.heat.events if event.kind is kind]
    return max(found, key=lambda event: (event.end_s or bench.bench.run.now_s) - event.start_s)


def is_cooler(bench: RunBench) -> bool:
    """Whether the break's own temperature for closing lies behind."""
    return bench.practice.sight.celsius < 53.0


def test_a_clean_break_is_found_and_so_is_where_it_recloses(tmp_path: Path, qtbot: QtBot) -> None:
    """Opens at 68 and closes at 55: an alarm at once, both within 3 K of the thermometer."""
    with run_bench(tmp_path, qtbot, case="coil-opens-hot") as bench:
        bench.start("heat_run", "coil_secondary", celsius=54.0)
        bench.last(2.0)
        bench.practice.heat()
        bench.wait(lambda: bench.has(HeatEventKind.OPEN))
        assert bench.view.alarms >= 1
        assert "Open" in bench.view.alarm
        bench.bench.act("run_turn")
        bench.practice.heat(on=False)
        bench.wait(lambda: bench.has(HeatEventKind.OPEN, ended=True) and is_cooler(bench))
        bench.bench.act("run_end")
        opened = only(bench, HeatEventKind.OPEN)
        assert opened.end_s is not None
        assert opened.celsius == pytest.approx(bench.thermometer_at(opened.start_s), abs=WITHIN_K)
        assert opened.end_celsius == pytest.approx(bench.thermometer_at(opened.end_s), abs=WITHIN_K)
        assert opened.celsius == pytest.approx(68.0, abs=WITHIN_K)
        assert opened.end_celsius == pytest.approx(55.0, abs=WITHIN_K)
        ended = bench.bench.visit.latest("heat_run")
        assert isinstance(ended, RunEnded)
        assert ended.heat is not None
        assert ended.heat.reproduced


def test_a_slow_joint_is_a_departure(tmp_path: Path, qtbot: QtBot) -> None:
    """It leaves the copper line above 50 celsius without a jump."""
    with run_bench(tmp_path, qtbot, case="coil-joint") as bench:
        bench.start("heat_run", "coil_secondary")
        bench.practice.heat()
        bench.wait(lambda: bench.has(HeatEventKind.DEPARTURE))
        departure = only(bench, HeatEventKind.DEPARTURE)
        assert departure.celsius is not None
        assert 45.0 < departure.celsius < 75.0
        assert departure.largest is not None
        assert departure.largest > 0.0
        kinds = {event.kind for event in bench.heat.events}
        assert kinds == {HeatEventKind.DEPARTURE}


def test_shorting_turns_are_a_step_down(tmp_path: Path, qtbot: QtBot) -> None:
    """Five percent fewer ohms at 60 celsius."""
    with run_bench(tmp_path, qtbot, case="coil-turns") as bench:
        bench.start("heat_run", "coil_secondary", celsius=45.0)
        bench.last(2.0)
        bench.practice.heat()
        bench.wait(lambda: bench.practice.sight.celsius > 64.0)
        step = only(bench, HeatEventKind.STEP_DOWN)
        assert step.largest == pytest.approx(-0.05, abs=0.012)
        assert step.celsius == pytest.approx(60.0, abs=WITHIN_K)
        assert bench.heat.reproduced


@pytest.mark.parametrize("case", ["sound", pytest.param("clip-loose", marks=pytest.mark.long)])
def test_a_sound_coil_is_not_reproduced(tmp_path: Path, qtbot: QtBot, case: str) -> None:
    """Warmed and cooled it shows nothing; a loose clip leaves spikes, which are no finding."""
    with run_bench(tmp_path, qtbot, case=case) as bench:
        bench.start("heat_run", "coil_secondary", celsius=50.0)
        bench.last(2.0)
        bench.practice.heat()
        bench.wait(lambda: bench.practice.sight.celsius > 70.0)
        bench.practice.heat(on=False)
        bench.last(3.0)
        assert not bench.heat.reproduced
        assert bench.view.alarms == 0
        spikes = [e for e in bench.heat.events if e.kind is HeatEventKind.SPIKE]
        assert len(spikes) == len(bench.heat.events)
        assert bool(spikes) is (case == "clip-loose")
        bench.bench.act("run_end")
        assert "eproduced" in bench.view.verdict_text


@pytest.mark.long
def test_a_cap_that_opens_hot_is_found(tmp_path: Path, qtbot: QtBot) -> None:
    """A cap does not follow copper; its open is one all the same."""
    with run_bench(tmp_path, qtbot, case="cap-opens", complaint="misfires_under_load") as bench:
        bench.start("heat_run_cap", "cap", celsius=45.0)
        bench.last(3.0)
        bench.practice.heat()
        bench.wait(lambda: bench.has(HeatEventKind.OPEN))
        assert only(bench, HeatEventKind.OPEN).celsius == pytest.approx(60.0, abs=WITHIN_K)


def at_speed(bench: RunBench) -> None:
    """Start the engine and the run, the clamp on."""
    bench.practice.throttle(Throttle.HIGH)
    bench.practice.start()
    bench.wait(lambda: bench.practice.sight.rpm > 0.95 * HIGH)
    bench.start("engine_run", "clamp")


def test_a_hunting_governor_is_found_with_its_period(tmp_path: Path, qtbot: QtBot) -> None:
    """2.4 s and 90 rpm at high speed."""
    with run_bench(tmp_path, qtbot, engine="hunts") as bench:
        at_speed(bench)
        bench.wait(lambda: bench.engine.hunting.present is True)
        hunting = bench.engine.hunting
        assert hunting.level is Level.HIGH
        assert hunting.period_s == pytest.approx(2.4, rel=0.05)
        assert hunting.amplitude_rpm == pytest.approx(90.0, rel=0.15)


def test_a_sticking_idle_down_is_counted(tmp_path: Path, qtbot: QtBot) -> None:
    """The first comes, late and with an undershoot; the second hangs half way and is no cycle."""
    with run_bench(tmp_path, qtbot, engine="sticks") as bench:
        at_speed(bench)
        for _turn in range(2):
            bench.last(2.5)
            bench.practice.throttle(Throttle.LOW)
            bench.last(3.5)
            bench.practice.throttle(Throttle.HIGH)
        bench.last(2.5)
        found = bench.engine
        assert [cycle.completed for cycle in found.cycles] == [True]
        assert found.failed_falls == 1
        assert found.cycles[0].lowest_rpm < 1650.0


def test_doubled_pulses_are_asked_about(tmp_path: Path, qtbot: QtBot) -> None:
    """It reads twice the speed; the answer brings the true one."""
    with run_bench(tmp_path, qtbot, engine="doubled") as bench:
        at_speed(bench)
        bench.wait(lambda: bool(bench.view.question))
        assert "twice" in bench.view.question
        bench.bench.act("choose", "2")
        bench.last(1.0)
        assert bench.view.question == ""
        assert bench.engine.pulses_per_rev == 2.0
        assert bench.engine.high is not None
        assert bench.engine.high.rpm == pytest.approx(HIGH, rel=0.01)


def test_a_ringing_clamp_is_warned_of(tmp_path: Path, qtbot: QtBot) -> None:
    """Readings that double for a moment are left out, and said."""
    with run_bench(tmp_path, qtbot, engine="rings") as bench:
        at_speed(bench)
        bench.wait(lambda: bool(bench.view.warning))
        assert "clamp" in bench.view.warning
        assert bench.engine.high is not None
        assert bench.engine.high.rpm == pytest.approx(HIGH, rel=0.01)


def test_the_tank_idles_the_engine_down_and_brings_it_back(tmp_path: Path, qtbot: QtBot) -> None:
    """Falls at 125 psi, comes back at 95 as it is bled: a cycle, with its pressures typed."""
    with run_bench(tmp_path, qtbot, complaint="no_idle_down") as bench:
        practice, act = bench.practice, bench.bench.act
        practice.throttle(Throttle.TANK)
        bench.start("idle_down_run", "clamp")
        practice.start()
        bench.wait(lambda: practice.sight.pascal >= 125.0 * PSI)
        act("take")
        act("submit", "125 psi")
        bench.wait(lambda: practice.sight.rpm < 0.6 * HIGH)
        bench.last(1.5)
        practice.bleed()
        bench.wait(lambda: practice.sight.pascal <= 97.0 * PSI)
        act("take")
        act("submit", "95 psi")
        bench.wait(lambda: practice.sight.rpm > 0.95 * HIGH)
        practice.bleed(on=False)
        bench.last(1.0)
        found = bench.engine
        assert [cycle.completed for cycle in found.cycles] == [True]
        assert [(p.falls, round(p.pascal / PSI)) for p in found.pressures] == [
            (True, 125),
            (False, 95),
        ]
        assert all(p.lag_s is not None and p.lag_s < 3.0 for p in found.pressures)
