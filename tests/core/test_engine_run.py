"""An engine run: the same live and from a file, and what it finds."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchassist.core.band import Band
from benchassist.core.engine_run import EngineRun, analyse_speed
from benchassist.core.pulse_check import PulseDoubt
from benchassist.core.quantity import Quantity
from benchassist.core.run import MarkKind, RunGap, SpeedLimits
from benchassist.core.run_finding import Doubt, EngineFinding, Load, LoadPoint, PressurePoint
from benchassist.core.samples import Samples
from tests.benchmarks.engine_log import Engine, Meter, Shape, engine_log
from tests.core.speeds import IDLE_DOWN, drawn


def analysed(
    samples: Samples, low: float | None = 1800.0, high: float | None = 3600.0
) -> EngineFinding:
    """A whole log at once."""
    return analyse_speed(samples.t_s, samples.value, samples.resolution, low, high)


def fed(run: EngineRun, samples: Samples) -> EngineRun:
    """A whole log, reading by reading."""
    for row in zip(
        samples.t_s.tolist(), samples.value.tolist(), samples.resolution.tolist(), strict=True
    ):
        run.feed(*row)
    return run


LOGS = [
    engine_log(Engine(cycles=3), Meter(hertz=2.5, lost=0.02, doubled=0.02), 1).samples,
    engine_log(Engine(cycles=4, shape=Shape.LAG, overshoot=120.0), Meter(hertz=10.0), 2).samples,
    engine_log(Engine(cycles=0, period_s=1.1, amplitude=90.0), Meter(hertz=5.0), 3).samples,
]


@pytest.mark.parametrize("samples", LOGS)
@pytest.mark.parametrize("hints", [(1800.0, 3600.0), (None, None)])
def test_one_by_one_in_blocks_and_at_once_are_the_same(
    samples: Samples, hints: tuple[float | None, float | None]
) -> None:
    """A finding is a function of the readings, however they came."""
    low, high = hints
    at_once = analysed(samples, low, high)
    assert fed(EngineRun(low=low, high=high), samples).finding() == at_once
    run = EngineRun(low=low, high=high)
    for start in range(0, len(samples), 77):
        part = slice(start, start + 77)
        run.feed_block(Samples(samples.t_s[part], samples.value[part], samples.resolution[part]))
    assert run.finding() == at_once


@pytest.mark.parametrize("hints", [(1800.0, 3600.0), (None, None)])
def test_a_long_run_lets_readings_go_and_keeps_what_they_said(
    hints: tuple[float | None, float | None],
) -> None:
    """Memory is bounded; cycles, levels and hunting are those of the whole log."""
    low, high = hints
    log = engine_log(Engine(cycles=60, period_s=1.3, amplitude=60.0), Meter(hertz=10.0), 4)
    run = fed(EngineRun(low=low, high=high, keep=1024), log.samples)
    assert len(run._t) <= 2048
    live, whole = run.finding(), analysed(log.samples, low, high)
    assert (live.used, live.rejected) == (whole.used, whole.rejected)
    assert len(live.cycles) == len(whole.cycles) == 60
    assert all(cycle.completed for cycle in live.cycles)
    for a, b in zip(live.cycles, whole.cycles, strict=True):
        assert a.fall_s == pytest.approx(b.fall_s, abs=0.1)
        assert a.recover_start_s == pytest.approx(b.recover_start_s, abs=0.1)
    assert live.low is not None
    assert whole.low is not None
    assert live.low.rpm == pytest.approx(whole.low.rpm, abs=3.0)
    assert live.hunting.period_s == pytest.approx(1.3, rel=0.02)
    block = EngineRun(low=low, high=high, keep=1024)
    block.feed_block(log.samples)
    assert block.finding() == live


@given(
    st.lists(
        st.tuples(
            st.floats(-5.0, 100.0) | st.just(float("nan")),
            st.floats(-10.0, 1e5) | st.sampled_from([0.0, float("nan"), float("inf")]),
        ),
        max_size=60,
    )
)
@settings(max_examples=60, deadline=None)
def test_whatever_comes_there_is_a_finding_and_nothing_is_lost(
    rows: list[tuple[float, float]],
) -> None:
    """Junk is counted as rejected; one by one and in a block agree."""
    t, rpm = np.array([r[0] for r in rows]), np.array([r[1] for r in rows])
    found = analyse_speed(t, rpm)
    assert found.used + found.rejected == len(rows)
    run = EngineRun()
    for when, speed in rows:
        run.feed(when, speed)
    assert run.finding() == found


def test_levels_are_means_over_the_stays() -> None:
    """With their spread and how long they were held."""
    found = analysed(drawn(*IDLE_DOWN, (50.0, 3600.0)))
    assert found.low is not None
    assert found.high is not None
    assert found.low.rpm == pytest.approx(1800.0, abs=4.0)
    assert found.high.rpm == pytest.approx(3600.0, abs=4.0)
    assert found.high.spread_rpm == pytest.approx(6.2, abs=1.0)
    assert found.high.seconds == pytest.approx(36.0, abs=3.0)


def test_levels_are_found_where_none_are_stated() -> None:
    """And where the engine runs elsewhere than stated, they are where it runs."""
    samples = drawn((0, 3450), (20, 3450), (21, 1950), (40, 1950), (41, 3450), (60, 3450))
    for low, high in ((None, None), (1800.0, 3600.0), (None, 3600.0), (1800.0, None)):
        found = analysed(samples, low, high)
        assert found.low is not None
        assert found.high is not None
        assert found.low.rpm == pytest.approx(1950.0, abs=5.0)
        assert found.high.rpm == pytest.approx(3450.0, abs=5.0)
        assert found.cycles[0].fall_s == pytest.approx(0.8, abs=0.1)


@pytest.mark.parametrize("hertz", [2.0, 10.0])
@pytest.mark.parametrize("stated", [True, False])
def test_a_level_that_never_occurred_is_none(hertz: float, stated: bool) -> None:
    """Neither a start nor a stop is a level or a cycle."""
    samples = drawn(
        (0, 0), (2, 0), (3, 3600), (20, 3600), (23, 0), (30, 0), (31, 3600), (50, 3600), hertz=hertz
    )
    found = analysed(samples, 1800.0 if stated else None, 3600.0 if stated else None)
    assert found.low is None
    assert found.high is not None
    assert found.cycles == ()
    assert (found.failed_falls, found.failed_recoveries) == (0, 0)


def test_a_run_at_idle_has_a_low_level_only() -> None:
    """Stated or not."""
    samples = drawn((0, 1800), (30, 1800))
    for low, high in ((None, None), (1800.0, 3600.0)):
        found = analysed(samples, low, high)
        assert found.high is None
        assert found.low is not None


def test_a_cycle_that_does_not_come_back_is_not_completed() -> None:
    """The log ends at idle."""
    found = analysed(drawn((0, 3600), (10, 3600), (11.5, 1800), (25, 1800)))
    (cycle,) = found.cycles
    assert (cycle.completed, cycle.recover_start_s, cycle.recover_s) == (False, None, None)
    assert found.failed_recoveries == 0


def test_a_sticky_throttle_fails_to_fall() -> None:
    """To 2600 and back, then a good one."""
    found = analysed(
        drawn(
            (0, 3600), (10, 3600), (11, 2600), (18, 2600), (19, 3600), (30, 3600), (31.5, 1800),
            (40, 1800), (41, 3600), (50, 3600),
        )
    )  # fmt: skip
    assert (found.failed_falls, len(found.cycles)) == (1, 1)
    assert found.high is not None
    assert found.high.rpm == pytest.approx(3600.0, abs=3.0)


def test_a_fall_inside_a_gap_is_not_timed_and_doubted() -> None:
    """Readings are missing from mid-fall on."""
    samples = drawn(*IDLE_DOWN, (50.0, 3600.0))
    kept = (samples.t_s < 20.5) | (samples.t_s > 24.0)
    run = EngineRun(low=1800.0, high=3600.0)
    run.feed_block(Samples(samples.t_s[kept], samples.value[kept], samples.resolution[kept]))
    gap = RunGap(channel="A", start_s=20.5, end_s=24.0, reason="lost")
    run.gap(gap)
    found = run.finding()
    assert found.cycles == ()
    assert found.gaps == (gap,)
    assert Doubt.GAP in found.doubts


def test_lost_readings_at_idle_cost_nothing() -> None:
    """The edges were seen."""
    samples = drawn(*IDLE_DOWN, (50.0, 3600.0))
    samples.value[(samples.t_s > 24.0) & (samples.t_s < 27.0)] = 0.0
    found = analysed(samples)
    assert [cycle.completed for cycle in found.cycles] == [True]
    assert found.rejected == 29


def test_asked_for_more_cycles_than_seen_is_a_doubt() -> None:
    """Three asked for, one seen."""
    run = EngineRun(low=1800.0, high=3600.0, cycles=3)
    run.feed_block(drawn(*IDLE_DOWN, (50.0, 3600.0)))
    assert run.finding().doubts == (Doubt.ONE_CYCLE,)


def test_bands_say_where_the_levels_are_and_rated_warns_of_overspeed() -> None:
    """At +10 % of rated, two readings in a row; a doubled pulse is no overspeed."""
    limits = SpeedLimits(
        low=Band(quantity=Quantity.SPEED, low=1650.0, high=1950.0),
        high=Band(quantity=Quantity.SPEED, low=3450.0, high=3750.0),
        rated=3600.0,
    )
    samples = drawn((0, 3600), (10, 3600), (11, 4100), (15, 4100), (16, 3600), (30, 3600))
    samples.value[250] = 7200.0
    run = EngineRun(limits)
    over = []
    for t, rpm in zip(samples.t_s.tolist(), samples.value.tolist(), strict=True):
        run.feed(t, rpm, 6.0)
        if run.is_over:
            over.append(t)
    assert run.finding().overspeed_rpm == pytest.approx(4110.0, abs=20.0)
    assert over[0] == pytest.approx(10.9, abs=0.2)
    assert over[-1] == pytest.approx(15.2, abs=0.2)
    calm = analyse_speed(samples.t_s[:90], samples.value[:90], limits=limits)
    assert calm.overspeed_rpm is None


def test_loads_give_droop_hertz_and_volts() -> None:
    """Means at speed after each load mark; typed hertz and volts beside them."""
    run = EngineRun(SpeedLimits(rated=3600.0), pulses_per_rev=1.0)
    run.mark(MarkKind.LOAD, 1.0, text="none")
    run.mark(MarkKind.HERTZ, 8.0, value=62.4)
    run.mark(MarkKind.VOLTS, 9.0, value=126.0)
    run.mark(MarkKind.LOAD, 20.0, text="half")
    run.mark(MarkKind.LOAD, 40.0, text="full")
    run.mark(MarkKind.VOLTS, 45.0, value=118.0)
    run.feed_block(drawn((0, 3750), (20, 3750), (20.5, 3680), (40, 3680), (40.5, 3600), (60, 3600)))
    found = run.finding()
    none, half, full = found.loads
    assert none == LoadPoint(load=Load.NONE, rpm=none.rpm, hertz=62.4, volts=126.0)
    assert [p.rpm for p in (none, half, full)] == pytest.approx([3750.0, 3680.0, 3600.0], abs=3.0)
    assert full.volts == 118.0
    assert found.droop == pytest.approx((3750.0 - 3600.0) / 3600.0, abs=0.002)
    assert found.pulses_per_rev == 1.0


def test_typed_speeds_make_levels_loads_and_droop() -> None:
    """A tachometer and no meter."""
    run = EngineRun(low=1800.0, high=3700.0)
    for t, load, rpm in ((0.0, "none", 3690.0), (60.0, "full", 3510.0)):
        run.mark(MarkKind.LOAD, t, text=load)
        run.mark(MarkKind.SPEED, t + 5.0, value=rpm)
    found = run.finding()
    assert found.droop == pytest.approx(0.0513, abs=1e-4)
    assert found.high is not None
    assert found.high.rpm == pytest.approx(3600.0)
    assert Doubt.SHORT in found.doubts


def test_tank_pressure_at_which_the_throttle_falls_and_comes_back() -> None:
    """Gauge pressure, lag from its mark, the speed reached."""
    run = EngineRun(low=1800.0, high=3600.0)
    run.feed_block(drawn(*IDLE_DOWN, (60.0, 3600.0)))
    run.mark(MarkKind.PRESSURE, 19.0, value=1.21e6)
    run.mark(MarkKind.FALL, 21.0)
    run.mark(MarkKind.PRESSURE, 29.5, value=0.97e6)
    run.mark(MarkKind.RECOVER, 31.0)
    found = run.finding()
    fall, recovery = found.pressures
    assert (fall.falls, fall.pascal, recovery.falls, recovery.pascal) == (
        True,
        1.21e6,
        False,
        0.97e6,
    )
    assert fall.lag_s == pytest.approx(1.15, abs=0.1)
    assert fall.rpm == pytest.approx(1800.0, abs=25.0)
    assert recovery.lag_s == pytest.approx(0.6, abs=0.1)
    assert recovery.rpm == pytest.approx(3600.0, abs=4.0)
    assert (found.failed_falls, found.failed_recoveries) == (0, 0)


def test_a_fall_marked_that_the_speed_does_not_show_failed() -> None:
    """Counted ten seconds later, and not before."""
    run = EngineRun(low=1800.0, high=3600.0)
    samples = drawn((0, 3600), (40, 3600))
    run.mark(MarkKind.FALL, 20.0, value=1.2e6)
    run.feed_block(Samples(samples.t_s[:250], samples.value[:250], samples.resolution[:250]))
    assert run.finding().failed_falls == 0
    run.feed_block(Samples(samples.t_s[250:], samples.value[250:], samples.resolution[250:]))
    found = run.finding()
    assert found.failed_falls == 1
    assert found.pressures == (PressurePoint(falls=True, pascal=1.2e6),)


def test_pulse_doubt_of_the_last_readings() -> None:
    """Twice the band, while it runs."""
    run = fed(EngineRun(low=1800.0, high=3600.0), drawn((0, 7200), (10, 7200)))
    assert run.pulse_doubt() is PulseDoubt.DOUBLE
    assert run.speed == pytest.approx(7200.0, abs=30.0)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"pulses_per_rev": 0.0}, "pulses per revolution must be above zero"),
        ({"pulses_per_rev": float("nan")}, "pulses per revolution must be above zero"),
        ({"low": 3600.0, "high": 1800.0}, "low speed must be below the high speed"),
        ({"low": 0.0}, "speed must be above zero"),
    ],
)
def test_what_cannot_be_is_refused_in_plain_words(given: dict[str, float], words: str) -> None:
    """Before any reading."""
    with pytest.raises(ValueError, match=words):
        EngineRun(**given)


def test_no_reading_is_a_finding_too() -> None:
    """Nothing known, and said so."""
    found = EngineRun().finding()
    assert (found.low, found.high, found.hunting.present) == (None, None, None)
    assert found.doubts == (Doubt.SHORT,)
    assert found.duration_s == 0.0
