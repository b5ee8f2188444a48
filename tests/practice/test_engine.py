"""The made-up engine: what it does with its throttle, its load, its tank, and when it gets hot."""

from collections.abc import Callable
from itertools import pairwise

import pytest

from benchassist.practice.engine import (
    DROOP,
    ENGINES,
    HIGH,
    LETS_GO,
    LOW,
    PSI,
    PULLS_IN,
    Engine,
    Load,
    Throttle,
)


class Running:
    """An engine at speed, and a clock."""

    def __init__(self, case: str = "sound") -> None:
        self.engine = Engine(case, seed=1)
        self.t_s = 0.0
        self.engine.advance(0.0)
        self.engine.start()
        self.last(4.0)

    def last(self, seconds: float) -> list[float]:
        """Its speeds over the next seconds, ten a second."""
        speeds = []
        for _beat in range(round(10.0 * seconds)):
            self.t_s += 0.1
            self.engine.advance(self.t_s)
            speeds.append(self.engine.rpm)
        return speeds

    def until(self, holds: Callable[[], bool], *, most: float) -> float:
        """Seconds until something holds; fails after `most`."""
        start = self.t_s
        while not holds():
            assert self.t_s - start < most
            self.last(0.1)
        return self.t_s - start


def test_a_sound_engine_keeps_both_speeds() -> None:
    """1750 and 3540 rpm, each within ten after two seconds, one pulse a turn at the clamp."""
    run = Running()
    assert run.engine.rpm == pytest.approx(HIGH, abs=10.0)
    assert run.engine.hertz() == pytest.approx(HIGH / 60.0, rel=0.005)
    run.engine.throttle = Throttle.LOW
    run.last(2.5)
    assert run.engine.rpm == pytest.approx(LOW, abs=10.0)
    run.engine.throttle = Throttle.HIGH
    assert max(run.last(2.5)) < 1.05 * HIGH
    assert run.engine.rpm == pytest.approx(HIGH, abs=10.0)


def test_it_stands_until_it_is_started_and_stops() -> None:
    """No hertz at rest, none a few seconds after the switch."""
    engine = Engine("sound", seed=1)
    engine.advance(10.0)
    assert (engine.rpm, engine.hertz(), engine.volts) == (0.0, 0.0, 0.0)
    run = Running()
    run.engine.stop()
    run.last(4.0)
    assert run.engine.rpm < 1.0


@pytest.mark.parametrize(("load", "share"), [(Load.NONE, 0.0), (Load.HALF, 0.5), (Load.FULL, 1.0)])
def test_it_droops_under_load(load: Load, share: float) -> None:
    """(no load - full load) / full load is 6 %; volts fall with the speed."""
    run = Running()
    free = run.engine.volts
    run.engine.load = load
    run.last(4.0)
    assert HIGH / run.engine.rpm - 1.0 == pytest.approx(DROOP * share, abs=0.002)
    assert (run.engine.volts < free - 0.5) is (share > 0.0)


def test_a_hunting_governor_swings() -> None:
    """90 rpm to both sides, over and over; at low speed not."""
    run = Running("hunts")
    speeds = run.last(7.2)
    assert max(speeds) - HIGH == pytest.approx(90.0, abs=10.0)
    assert HIGH - min(speeds) == pytest.approx(90.0, abs=10.0)
    ups = [a <= HIGH < b for a, b in pairwise(speeds)]
    assert sum(ups) == 3
    run.engine.throttle = Throttle.LOW
    run.last(3.0)
    assert max(run.last(3.0)) - min(run.last(3.0)) < 5.0


def test_every_other_idle_down_sticks_half_way() -> None:
    """The first comes late and swings below; the second hangs between the speeds."""
    run = Running("sticks")
    run.engine.throttle = Throttle.LOW
    speeds = run.last(4.0)
    assert speeds[8] > 0.97 * HIGH
    assert min(speeds) < LOW - 100.0
    run.engine.throttle = Throttle.HIGH
    run.last(3.0)
    run.engine.throttle = Throttle.LOW
    run.last(4.0)
    assert run.engine.rpm == pytest.approx(0.5 * (LOW + HIGH), abs=30.0)


def test_a_slow_engine_recovers_late() -> None:
    """More than twice as long as a sound one to nine tenths of the way."""

    def took(case: str) -> float:
        run = Running(case)
        run.last(4.0)
        run.engine.throttle = Throttle.LOW
        run.last(4.0)
        run.engine.throttle = Throttle.HIGH
        nearly = LOW + 0.9 * (HIGH - LOW)
        return run.until(lambda: run.engine.rpm >= nearly, most=10.0)

    assert took("slow") > 2.0 * took("sound")


def test_a_clamp_counts_double_or_rings() -> None:
    """Always twice as much, or in some readings."""
    double = Running("doubled").engine
    assert double.hertz() == pytest.approx(HIGH / 30.0, rel=0.005)
    rings = Running("rings").engine
    doubled = sum(rings.hertz() > 1.5 * HIGH / 60.0 for _look in range(500))
    assert 15 < doubled < 80


def test_the_tank_lets_the_throttle_go_and_pulls_it_in() -> None:
    """Filled to 125 psi it idles, bled to 95 it comes back; a quicker pace fills sooner."""
    run = Running()
    run.engine.pace = 20.0
    run.engine.throttle = Throttle.TANK
    run.until(lambda: run.engine.pascal >= LETS_GO, most=30.0)
    run.last(2.0)
    assert run.engine.rpm < 1.05 * LOW
    assert run.engine.pascal < 130.0 * PSI
    run.engine.bleeds = True
    run.until(lambda: run.engine.pascal <= PULLS_IN, most=15.0)
    run.last(2.5)
    assert run.engine.rpm > 0.97 * HIGH


def test_it_dies_hot_and_starts_again_cold() -> None:
    """In life after some sixteen minutes; hot the rope does nothing, cooled it runs."""
    run = Running("dies")
    run.engine.pace = 20.0
    died = run.until(lambda: run.engine.has_died, most=120.0)
    assert 10.0 < 20.0 * died / 60.0 < 25.0
    run.last(3.0)
    assert run.engine.rpm < 5.0
    assert not run.engine.start()
    run.until(lambda: run.engine.celsius <= 55.0, most=120.0)
    assert run.engine.start()
    run.last(4.0)
    assert run.engine.rpm == pytest.approx(HIGH, abs=10.0)


def test_no_other_engine_dies_by_itself() -> None:
    """However hot."""
    for case in set(ENGINES) - {"dies"}:
        run = Running(case)
        run.engine.pace = 50.0
        run.last(60.0)
        assert run.engine.runs, case
