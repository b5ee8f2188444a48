from collections.abc import Iterator
from dataclasses import replace
from math import nan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchassist.core.accuracy import Accuracy
from benchassist.core.band import Band, BandSource, Side, Verdict
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.core.run import MarkKind, RunGap, RunKind, RunPlan, SpeedLimits
from benchassist.core.run_finding import EngineFinding, IdleCycle, Load, SpeedLevel
from benchassist.core.samples import Samples
from benchassist.errors import InputError, StepError
from benchassist.services.desk import Action
from benchassist.services.runs.engine_text import engine_words
from benchassist.services.runs.engine_work import EngineWork
from benchassist.services.runs.view import RunStage
from benchassist.units import PressureUnit, UnitChoice
from tests.services.run_bench import RunBench, setting_of

LOW = Band(quantity=Quantity.SPEED, low=1350.0, high=1650.0)
HIGH = Band(quantity=Quantity.SPEED, low=3450.0, high=3750.0)
LIMITS = SpeedLimits(
    low=LOW,
    high=HIGH,
    fall=Band(quantity=Quantity.DURATION, high=4.0),
    recover=Band(quantity=Quantity.DURATION, high=2.0),
    droop=Band(quantity=Quantity.SPEED, low=0.03, high=0.08),
    rated=3600.0,
)
IDLE_DOWN = RunPlan(kind=RunKind.ENGINE, cycles=3, pulses_per_rev=1.0, limits=LIMITS)
STEADY = replace(IDLE_DOWN, cycles=0)
LOADS = replace(IDLE_DOWN, cycles=0, loads=True)
BY_PRESSURE = replace(IDLE_DOWN, cycles=0, tank_pressure=True)
COUNTER = Accuracy(percent=0.1, counts=1.0)
PERIOD = 0.2
PSI = UnitChoice(pressure=PressureUnit.PSI)


def hertz(t_s: float, value: float, *, count: float = 0.1) -> Reading:
    """A reading of a meter on hertz, with its display's digits."""
    shown = round(round(value / count) * count, 6)
    return Reading(t_s=t_s, channel="A", quantity=Quantity.FREQUENCY, value=shown, resolution=count)


def speed_at(t_s: float, *, low: float = 1500.0, high: float = 3610.0) -> float:
    """An engine that idles down every 30 s: 3 s down, 7 s at idle, 1.5 s up."""
    phase = t_s % 30.0
    if phase < 12.0 or phase >= 23.5:
        return high
    if phase < 15.0:
        return high - (phase - 12.0) / 3.0 * (high - low)
    return low if phase < 22.0 else low + (phase - 22.0) / 1.5 * (high - low)


def readings(
    until_s: float, *, start_s: float = 0.0, pulses: float = 1.0, low: float = 1500.0
) -> Iterator[Reading]:
    """What a meter with a clamp shows of that engine, five times a second, with a little noise."""
    noise = np.random.default_rng(7)
    for i in range(round(start_s / PERIOD), round(until_s / PERIOD)):
        rpm = speed_at(i * PERIOD, low=low) + float(noise.normal(0.0, 4.0))
        yield hertz(i * PERIOD, rpm * pulses / 60.0)


def held(
    rpm: float, *, start_s: float = 0.0, until_s: float, pulses: float = 1.0
) -> Iterator[Reading]:
    """An engine at one speed."""
    for i in range(round(start_s / PERIOD), round(until_s / PERIOD)):
        yield hertz(i * PERIOD, rpm * pulses / 60.0)


def engine(
    plan: RunPlan = IDLE_DOWN,
    *,
    accuracy: Accuracy | None = COUNTER,
    units: UnitChoice | None = None,
) -> RunBench:
    """A run of a plan with a counter on the clamp."""
    return RunBench(EngineWork, setting_of(plan, accuracy=accuracy, units=units))


def found(bench: RunBench) -> EngineFinding:
    """The finding, which is an engine's."""
    finding = bench.finding
    assert isinstance(finding, EngineFinding)
    return finding


def test_shows_the_speed_in_the_steps_the_meter_has() -> None:
    """0.1 Hz is 6 rpm: the figure is a multiple of it, its label says so."""
    bench = engine()
    bench.take(held(3612.0, until_s=4.0))
    figure = bench.view.figures[0]
    assert (figure.digits, figure.unit) == ("3612", "rpm")
    assert "6 rpm" in figure.label


def test_a_coarse_count_shows_no_more_digits_than_it_has() -> None:
    """At 1 Hz a step is 60 rpm: the figure ends in tens."""
    bench = engine()
    bench.take(hertz(i * 0.5, 60.4, count=1.0) for i in range(8))
    assert bench.view.figures[0].digits == "3600"


def test_level_now_is_judged_so_far() -> None:
    """A steady speed in the high band is in band so far, with the band and where it comes from."""
    bench = engine()
    bench.take(held(3612.0, until_s=4.0))
    view = bench.view
    assert (view.verdict, view.so_far) == (Verdict.IN_BAND, True)
    assert view.band_text == "high band 3450–3750, common practice"


def test_out_of_band_and_too_close_follow_the_doubt() -> None:
    """Well above is out, high; just inside the edge is too close to call."""
    for rpm, verdict, side in (
        (3840.0, Verdict.OUT_OF_BAND, Side.HIGH),
        (3744.0, Verdict.TOO_CLOSE, None),
        (1410.0, Verdict.IN_BAND, None),
    ):
        bench = engine()
        bench.take(held(rpm, until_s=4.0))
        assert (bench.view.verdict, bench.view.side) == (verdict, side), rpm


def test_without_an_accuracy_statement_the_worst_case_is_assumed() -> None:
    """2 % and five counts make of 3500 rpm a reading too close to call."""
    bench = engine(accuracy=None)
    bench.take(held(3498.0, until_s=4.0))
    assert bench.view.verdict is Verdict.TOO_CLOSE


def test_no_verdict_while_it_moves_or_is_old() -> None:
    """On the way down nothing is judged; after two seconds without news the figure is struck."""
    bench = engine()
    bench.take(readings(13.6))
    assert (bench.view.verdict, bench.view.band_text) == (None, "Moving")
    bench.now_s += 6.5
    figure = bench.view.figures[0]
    assert figure.old
    assert "6 s" in figure.label
    assert bench.view.verdict is None


def test_idle_downs_are_counted_timed_and_judged() -> None:
    """Each has its row with rulers; what is out of band in a cycle is marked there."""
    bench = engine()
    bench.take(readings(90.0, low=1470.0))
    view = bench.view
    assert view.tally is not None
    assert (view.tally.done, view.tally.of, view.tally.text) == (3, 3, "3 of 3 done")
    assert view.table.headings[0] == "Fall, band under 4 s"
    label, cells = view.table.rows[1]
    assert label == "2"
    assert [cell.verdict for cell in cells] == [Verdict.IN_BAND] * 3
    assert all(cell.ruler is not None for cell in cells)
    fall = found(bench).cycles[1].fall_s
    assert fall == pytest.approx(0.8 * 3.0, abs=PERIOD)


def test_a_cycle_below_its_band_is_out_in_its_cell() -> None:
    """1290 rpm against 1350 to 1650: out of band, low, and the plot's flag is severe."""
    bench = engine()
    bench.take(readings(60.0, low=1290.0))
    cell = bench.view.table.rows[0][1][1]
    assert (cell.verdict, cell.side) == (Verdict.OUT_OF_BAND, Side.LOW)
    plot = bench.ended.plot
    assert plot is not None
    assert [flag.severe for flag in plot.flags if flag.number] == [True, True]
    assert bench.ended.verdict is Verdict.OUT_OF_BAND
    assert bench.ended.notes[0].startswith("Low speed 1289 rpm ±")


def test_guide_asks_for_one_thing_at_a_time() -> None:
    """Up, then idle, then open again, then the end."""
    bench = engine()
    assert "waiting for hertz" in bench.view.guide
    bench.take(held(3612.0, until_s=4.0))
    assert bench.view.guide == "throttle back to idle, count two, open it again"
    bench.take(held(1500.0, start_s=5.0, until_s=9.0))
    assert bench.view.guide == "open it again"
    done = engine()
    done.take(readings(90.0))
    assert "E ends the run" in done.view.guide


def test_plot_shows_the_last_ninety_seconds_then_the_whole_run() -> None:
    """Live: 90 s ago to now, both bands as shelves; ended: from its start."""
    bench = engine()
    bench.take(readings(120.0))
    plot = bench.view.plot
    assert plot is not None
    assert (plot.end_s - plot.start_s, plot.ago) == (90.0, True)
    assert [shelf.text for shelf in plot.tracks[0].shelves] == ["High band", "Low band"]
    assert "idle-downs" in plot.summary
    whole = bench.ended.plot
    assert whole is not None
    assert (whole.start_s, whole.ago, whole.now_s) == (0.0, False, None)
    assert whole.tracks[0].t_s[0] == 0.0


def test_plot_stays_below_two_thousand_rows_however_long_the_run() -> None:
    """Three hours at ten a second are drawn from bounded memory."""
    bench = engine(STEADY)
    n = 108_000
    t_s = np.linspace(0.0, 0.1 * (n - 1), n)
    bench.work.take_block("A", Samples(t_s, np.full(n, 60.2), np.full(n, 0.1)))
    bench.now_s = float(t_s[-1])
    for view in (bench.view, bench.ended):
        assert view.plot is not None
        assert 100 < len(view.plot.tracks[0].t_s) <= 2016


def test_overspeed_rings_once_and_says_stop() -> None:
    """At 10 % over the plate's speed the alarm stands while it lasts; the governor is not named."""
    bench = engine(STEADY)
    bench.take(held(3612.0, until_s=4.0))
    assert (bench.view.alarms, bench.view.alarm) == (0, "")
    bench.take(held(4020.0, start_s=4.0, until_s=6.0))
    view = bench.view
    assert view.alarms == 1
    assert view.alarm == "Over 3960 rpm: stop the engine"
    bench.take(held(3612.0, start_s=6.0, until_s=8.0))
    assert (bench.view.alarms, bench.view.alarm) == (1, "")
    words = engine_words(found(bench), STEADY, UnitChoice())
    assert (words.verdict, words.side) == (Verdict.OUT_OF_BAND, Side.HIGH)
    assert "Overspeed" in words.words


def test_a_single_reading_above_rings_no_alarm() -> None:
    """One doubled pulse is no overspeed."""
    bench = engine(STEADY)
    bench.take(held(3612.0, until_s=4.0))
    bench.take([hertz(4.0, 120.4)])
    bench.take(held(3612.0, start_s=4.2, until_s=5.0))
    assert bench.view.alarms == 0


@pytest.mark.parametrize(("pulses", "word", "settled"), [(2.0, "twice", 2.0), (0.5, "half", 0.5)])
def test_doubled_and_halved_pulses_are_asked_once(pulses: float, word: str, settled: float) -> None:
    """The answer rescales what was read before, and is not asked again."""
    plan = replace(STEADY, limits=replace(LIMITS, low=replace(LOW, low=3000.0, high=3300.0)))
    bench = engine(plan if pulses < 1.0 else STEADY)
    bench.take(held(3612.0, until_s=8.0, pulses=pulses))
    view = bench.view
    assert word in view.question
    assert [choice.press for choice in view.choices] == ["1", "2", "3"]
    assert "reflective tape" in view.guide
    assert view.verdict is None
    bench.press(Action.RUN_ANSWER, "2")
    bench.take(held(3612.0, start_s=8.0, until_s=12.0, pulses=pulses))
    view = bench.view
    assert view.question == ""
    assert abs(int(view.figures[0].digits) - 3612) <= 6
    finding = found(bench)
    assert finding.pulses_per_rev == settled
    assert finding.high is not None
    assert finding.high.rpm == pytest.approx(3612.0, abs=6.0)
    assert finding.rejected == 0
    assert bench.again() == finding


def test_keeping_the_pulses_as_set_ends_the_question() -> None:
    """What a person confirmed is not doubted again."""
    bench = engine(STEADY)
    bench.take(held(7224.0, until_s=8.0))
    assert bench.view.question
    bench.press(Action.RUN_ANSWER, "1")
    bench.take(held(7224.0, start_s=8.0, until_s=16.0))
    assert bench.view.question == ""


def test_another_number_of_pulses_is_typed_and_zero_is_refused() -> None:
    """Zero, words and negative numbers are refused in one line that says what is right."""
    bench = engine(STEADY)
    bench.take(held(3612.0, until_s=8.0, pulses=3.0))
    assert bench.view.question
    bench.press(Action.RUN_ANSWER, "3")
    for wrong in ("0", "-1", "two", ""):
        with pytest.raises(InputError, match="above zero"):
            bench.type(wrong)
    bench.type("3")
    assert found(bench).pulses_per_rev == 3.0
    assert int(bench.view.figures[0].digits) == pytest.approx(3612, abs=4)


def test_a_plan_without_pulses_asks_for_them() -> None:
    """Nothing is assumed in silence where the class of engine does not say."""
    bench = engine(replace(STEADY, pulses_per_rev=None))
    bench.take(held(3612.0, until_s=5.0, pulses=0.5))
    assert "one pulse a turn" in bench.view.question
    bench.press(Action.RUN_ANSWER, "2")
    assert int(bench.view.figures[0].digits) == pytest.approx(3612, abs=6)


@pytest.mark.parametrize(
    "plan",
    [
        replace(STEADY, pulses_per_rev=0.0),
        replace(STEADY, pulses_per_rev=-1.0),
        replace(STEADY, pulses_per_rev=nan),
        replace(STEADY, limits=replace(LIMITS, low=HIGH, high=LOW)),
    ],
)
def test_an_impossible_plan_is_refused_in_one_line(plan: RunPlan) -> None:
    """Zero pulses and a low band above the high one never reach the sum."""
    with pytest.raises(InputError) as refused:
        engine(plan)
    assert "\n" not in str(refused.value)


def test_typed_speeds_carry_their_resolution_and_are_not_timed() -> None:
    """Levels are judged with the tachometer's count; the view says that nothing is timed."""
    bench = engine(IDLE_DOWN, accuracy=None)
    bench.setting = replace(
        bench.setting,
        check=replace(bench.setting.check, accuracy=Accuracy(percent=0.05, counts=1.0)),
    )
    bench = RunBench(EngineWork, bench.setting)
    for at, text in ((5.0, "3610"), (15.0, "1500"), (25.0, "3600"), (35.0, "1490 rpm")):
        bench.press(Action.RUN_TYPE, at=at)
        question = bench.work.question()
        assert question is not None
        assert "Tachometer" in question.label
        bench.type(text)
    finding, view = found(bench), bench.view
    assert finding.typed
    assert finding.resolution == 1.0
    assert (finding.cycles, finding.failed_falls) == ((), 0)
    assert finding.high == SpeedLevel(rpm=3605.0, spread_rpm=5.0)
    assert finding.low == SpeedLevel(rpm=1495.0, spread_rpm=5.0)
    assert view.verdict is Verdict.IN_BAND
    assert any("not timed" in note for note in view.notes)
    assert view.tally is None
    assert view.plot is not None
    assert view.plot.tracks[0].typed
    assert bench.again() == finding
    words = engine_words(finding, IDLE_DOWN, UnitChoice())
    assert words.verdict is Verdict.IN_BAND
    assert any("not timed" in line for line in words.not_proved)


def test_a_typed_line_that_is_no_speed_is_refused_and_asked_again() -> None:
    """What would be right stands in the refusal; the question stays."""
    bench = engine(STEADY)
    bench.press(Action.RUN_TYPE, at=3.0)
    for wrong in ("fast", "3,610", "99999", "0"):
        with pytest.raises(InputError):
            bench.type(wrong)
    assert bench.work.question() is not None
    bench.work.forget_question()
    assert bench.work.question() is None


def test_loads_are_stepped_through_with_volts_and_droop_judged() -> None:
    """No, half, full: the meter's speed and hertz, volts typed, droop with its formula."""
    bench = engine(LOADS)
    rows = ((3690.0, "124.0"), (3600.0, "121.5"), (3510.0, "119.4"))
    for i, (rpm, volts) in enumerate(rows):
        bench.take(held(rpm, start_s=20.0 * i, until_s=20.0 * i + 14.0))
        bench.press(Action.RUN_TURN, at=20.0 * i + 10.0)
        bench.type(volts, after=4.0)
        bench.take(held(3300.0, start_s=20.0 * i + 14.2, until_s=20.0 * i + 20.0))
    finding, view = found(bench), bench.view
    assert [p.load for p in finding.loads] == [Load.NONE, Load.HALF, Load.FULL]
    assert [p.volts for p in finding.loads] == [124.0, 121.5, 119.4]
    assert finding.loads[0].hertz == pytest.approx(61.5, abs=0.05)
    assert finding.droop == pytest.approx(3690.0 / 3510.0 - 1.0, abs=1e-4)
    assert [row[0] for row in view.table.rows] == ["No load", "Half load", "Full load", "Droop"]
    droop = view.table.rows[-1][1][0]
    assert (droop.text, droop.verdict) == ("5.1", Verdict.IN_BAND)
    assert droop.ruler is not None
    assert any("(no load − full load) / full load" in note for note in view.notes)
    assert "E ends the run" in view.guide
    assert bench.again() == finding


def test_volts_typed_anew_are_those_of_the_load_marked_last() -> None:
    """M after the load ended corrects its volts and leaves its speed alone."""
    bench = engine(LOADS)
    bench.take(held(3690.0, until_s=14.0))
    bench.press(Action.RUN_TURN, at=10.0)
    bench.type("142", after=4.0)
    bench.take(held(3300.0, start_s=14.2, until_s=30.0))
    bench.press(Action.RUN_TYPE)
    bench.type("124.2")
    point = found(bench).loads[0]
    assert (point.load, point.volts) == (Load.NONE, 124.2)
    assert point.rpm == pytest.approx(3690.0, abs=1.0)
    assert bench.again() == bench.finding


def test_a_load_without_volts_counts_for_ten_seconds() -> None:
    """What is read while the next load is put on belongs to neither."""
    bench = engine(LOADS)
    bench.take(held(3690.0, until_s=22.0))
    bench.press(Action.RUN_TURN, at=10.0)
    bench.work.forget_question()
    bench.take(held(3300.0, start_s=22.0, until_s=40.0))
    bench.take(held(3600.0, start_s=40.0, until_s=50.0))
    bench.press(Action.RUN_TURN, at=47.0)
    rpms = [p.rpm for p in found(bench).loads]
    assert rpms == [pytest.approx(3690.0, abs=1.0), pytest.approx(3600.0, abs=1.0)]
    assert bench.again() == bench.finding


def test_loads_work_from_typed_figures_alone() -> None:
    """Without a meter hertz and volts are asked for at each load, and the droop follows."""
    bench = engine(LOADS)
    for i, (hz, volts) in enumerate((("61.5", "124"), ("60.0", "121"), ("58.5", "119"))):
        bench.press(Action.RUN_TURN, at=20.0 * i)
        bench.type(hz)
        bench.type(volts)
    finding = found(bench)
    assert finding.typed
    assert [p.hertz for p in finding.loads] == [61.5, 60.0, 58.5]
    assert finding.droop == pytest.approx(61.5 / 58.5 - 1.0)
    assert bench.view.table.rows[0][1][1].text == "61.5"
    assert bench.again() == finding


def test_tank_pressure_asks_for_the_gauge_and_tells_the_lag() -> None:
    """The key is pressed as the pilot lets go; the throttle follows 1.4 s later, every time."""
    bench = engine(BY_PRESSURE, units=PSI)
    for start in (0.0, 30.0):
        bench.take(readings(start + 11.0, start_s=start))
        bench.press(Action.RUN_MARK, at=start + 11.0)
        bench.type("125")
        bench.take(readings(start + 21.0, start_s=start + 11.0))
        bench.press(Action.RUN_MARK, at=start + 21.0)
        bench.type("95 psi")
        bench.take(readings(start + 30.0, start_s=start + 21.0))
    finding, view = found(bench), bench.view
    assert [p.falls for p in finding.pressures] == [True, False, True, False]
    assert finding.pressures[0].pascal == pytest.approx(125 * 6894.757, rel=1e-6)
    assert finding.pressures[0].lag_s == pytest.approx(1.3, abs=PERIOD)
    assert finding.pressures[0].rpm == pytest.approx(1500.0, abs=30.0)
    assert view.table.rows[0][1][0].text == "Fell at 125 psi"
    assert any("Came back 2 of 2" in note for note in view.notes)
    assert bench.again() == finding


def test_a_throttle_that_does_not_answer_is_counted() -> None:
    """The pilot let go and the speed stayed: one fall that did not come."""
    bench = engine(BY_PRESSURE, units=PSI)
    bench.take(held(3612.0, until_s=10.0))
    bench.press(Action.RUN_MARK, at=10.0)
    bench.type("125")
    bench.take(held(3612.0, start_s=10.0, until_s=40.0))
    finding = found(bench)
    assert finding.failed_falls == 1
    words = engine_words(finding, BY_PRESSURE, PSI)
    assert (words.verdict, words.side) == (Verdict.OUT_OF_BAND, Side.HIGH)
    assert words.words == "Did not fall to idle 1 of 1 times"


def test_backspace_takes_the_last_cycle_back() -> None:
    """It is gone from tally, table and finding, also when told again."""
    bench = engine()
    bench.take(readings(60.0))
    assert len(found(bench).cycles) == 2
    bench.press(Action.RUN_DROP)
    finding = found(bench)
    assert len(finding.cycles) == 1
    assert bench.view.tally is not None
    assert bench.view.tally.done == 1
    assert bench.again() == finding
    bench.take(readings(90.0, start_s=60.0))
    assert len(found(bench).cycles) == 2


def test_backspace_takes_a_typed_figure_back() -> None:
    """The mark typed last goes, with the gauge pressure it stands with."""
    bench = engine(BY_PRESSURE)
    bench.take(held(3612.0, until_s=10.0))
    bench.press(Action.RUN_MARK, at=10.0)
    bench.type("860 kPa")
    assert found(bench).pressures
    bench.press(Action.RUN_DROP, at=15.0)
    assert found(bench).pressures == ()
    assert bench.again() == found(bench)
    with pytest.raises(StepError):
        bench.press(Action.RUN_DROP, at=16.0)


def test_gap_breaks_the_line_and_is_named() -> None:
    """What stood in between is not known: the plot breaks, the list says why and how long."""
    bench = engine(STEADY)
    bench.take(held(3612.0, until_s=10.0))
    bench.gap(RunGap(channel="A", start_s=10.0, end_s=20.0, reason="lost"))
    bench.take(held(3612.0, start_s=20.0, until_s=30.0))
    view = bench.view
    assert view.plot is not None
    assert np.isnan(view.plot.tracks[0].high).any()
    assert [gap.text for gap in view.plot.gaps] == ["meter lost"]
    assert [(row.title, row.detail) for row in view.events] == [
        ("No readings", "meter lost, until 0:20")
    ]
    assert found(bench).gaps[0].reason == "lost"


def test_told_in_blocks_it_finds_the_same() -> None:
    """A run read back from disk comes to the same finding as the live one."""
    bench = engine()
    given = list(readings(95.0))
    bench.take(given)
    work = EngineWork(bench.setting)
    table = np.array([(r.t_s, r.value, r.resolution) for r in given], dtype=np.float64)
    for start in range(0, len(given), 100):
        part = table[start : start + 100]
        work.take_block("A", Samples(part[:, 0], part[:, 1], part[:, 2]))
    assert work.finding(end_s=95.0) == found(bench)


@settings(max_examples=15, deadline=None)
@given(sizes=st.lists(st.integers(1, 90), min_size=1, max_size=6), first=st.booleans())
def test_any_mix_of_blocks_and_readings_finds_the_same(sizes: list[int], *, first: bool) -> None:
    """Where the window was late the rest comes from disk: the order in time is all that counts."""
    given_ = list(readings(80.0))
    whole, mixed = engine(), engine()
    whole.take(given_)
    place, as_block = 0, first
    for size in (*sizes, len(given_)):
        part = given_[place : place + size]
        place, as_block = place + size, not as_block
        if as_block or not part:
            mixed.take(part)
            continue
        table = np.array([(r.t_s, r.value, r.resolution) for r in part], dtype=np.float64)
        mixed.work.take_block("A", Samples(table[:, 0], table[:, 1], table[:, 2]))
    mixed.now_s = whole.now_s
    assert mixed.finding == whole.finding


def test_what_was_typed_hours_ago_is_not_taken_back() -> None:
    """A run is told again from its readings for two hours; after that one line refuses."""
    bench = engine(BY_PRESSURE)
    bench.take(held(3612.0, until_s=10.0))
    bench.press(Action.RUN_MARK, at=10.0)
    bench.type("860 kPa")
    n = 70_000
    t_s = np.linspace(11.0, 11.0 + 0.1 * n, n)
    bench.work.take_block("A", Samples(t_s, np.full(n, 60.2), np.full(n, 0.1)))
    with pytest.raises(StepError, match="too long ago"):
        bench.press(Action.RUN_DROP, at=7100.0)


def test_the_second_meter_and_overloads_are_no_speeds() -> None:
    """A thermometer's degrees never reach the speed; an overload counts as refused."""
    bench = engine(STEADY)
    bench.take(held(3612.0, until_s=6.0))
    bench.take(
        [
            Reading(t_s=6.0, channel="B", quantity=Quantity.TEMPERATURE, value=80.0),
            Reading(t_s=6.2, channel="A", quantity=Quantity.FREQUENCY, value=None, overload=True),
        ]
    )
    finding = found(bench)
    assert (finding.used, finding.rejected) == (30, 1)
    assert bench.view.figures[0].digits == "3612"


def test_hunting_is_told_with_its_level_period_and_swing() -> None:
    """A governor that swings 60 rpm every 2 s at high speed."""
    bench = engine(STEADY)
    t_s = np.arange(0.0, 60.0, PERIOD)
    swing = 3600.0 + 60.0 * np.sin(2.0 * np.pi * t_s / 2.0)
    bench.take(hertz(float(t), float(rpm) / 60.0) for t, rpm in zip(t_s, swing, strict=True))
    notes = bench.view.notes
    assert any(note.startswith("Hunts at high speed: ±6") and "2.0 s" in note for note in notes)


def test_a_hunting_too_fast_for_the_meter_is_not_resolvable() -> None:
    """Nothing is claimed where a swing has fewer than four readings."""
    words = engine_words(
        EngineFinding(high=SpeedLevel(rpm=3600.0, spread_rpm=30.0, seconds=60.0), used=120),
        STEADY,
        UnitChoice(),
    )
    assert any("not resolvable" in line for line in words.not_proved)


def test_words_name_the_gravest_figure() -> None:
    """One slow recovery out of three speaks for the run; the rest stands below."""
    cycles = tuple(
        IdleCycle(
            fall_start_s=30.0 * i,
            fall_s=2.6,
            lowest_rpm=1500.0,
            recover_start_s=30.0 * i + 10.0,
            recover_s=2.9 if i == 2 else 1.4,
            completed=True,
        )
        for i in range(3)
    )
    finding = EngineFinding(
        high=SpeedLevel(rpm=3610.0, spread_rpm=6.0, seconds=40.0),
        low=SpeedLevel(rpm=1500.0, spread_rpm=6.0, seconds=20.0),
        cycles=cycles,
        duration_s=90.0,
        used=450,
        resolution=6.0,
        accuracy=COUNTER,
    )
    words = engine_words(finding, IDLE_DOWN, UnitChoice())
    assert words.words == "Recovery 3 2.9 s"
    assert (words.verdict, words.side) == (Verdict.OUT_OF_BAND, Side.HIGH)
    assert words.verdict_text == "Out of band, high"
    assert words.ruler is not None
    assert "high speed 3610 rpm" in words.detail[0]
    assert "Idle-down: fell and came back 3 times." in words.proved


def test_without_any_band_a_run_is_recorded() -> None:
    """No band, no verdict: the speed is recorded with its doubt."""
    plan = RunPlan(kind=RunKind.ENGINE, cycles=0, pulses_per_rev=1.0)
    bench = engine(plan)
    bench.take(held(3612.0, until_s=30.0))
    words = engine_words(found(bench), plan, UnitChoice())
    assert words.verdict is Verdict.RECORDED
    assert words.words.startswith("High speed 3612 rpm")
    assert bench.view.verdict is Verdict.RECORDED


def test_an_empty_run_says_so() -> None:
    """Nothing came: no verdict, and a line for what is not proved."""
    bench = engine()
    words = engine_words(found(bench), IDLE_DOWN, UnitChoice())
    assert (words.words, words.verdict) == ("No steady speed seen", None)
    assert words.not_proved


def test_band_of_the_maker_names_its_page() -> None:
    """Where a band comes from stands beside the verdict."""
    maker = Band(
        quantity=Quantity.SPEED,
        low=3450.0,
        high=3750.0,
        source=BandSource.MAKER,
        source_note="p. 12",
    )
    bench = engine(replace(STEADY, limits=replace(LIMITS, high=maker)))
    bench.take(held(3612.0, until_s=4.0))
    assert bench.view.band_text == "high band 3450–3750, maker’s manual, p. 12"


def test_keys_and_stages() -> None:
    """Before it starts Space starts it; ended, Right goes on; while on, the strip has its keys."""
    bench = engine()
    ready = bench.work.view(0.0, RunStage.READY)
    assert ready.main is not None
    assert ready.main.action == Action.RUN_START
    assert bench.work.keys(RunStage.READY) == ()
    running = {hint.press: hint.text for hint in bench.work.keys(RunStage.RUNNING)}
    assert running["Backspace"] == "Drop last cycle"
    assert running["Q"] == "Quit drill"
    loads = engine(LOADS)
    assert loads.work.keys(RunStage.RUNNING)[0].text == "No load"
    bench.press(Action.RUN_MARK, at=2.0)
    assert [row.title for row in bench.view.events] == ["Mark"]
    with pytest.raises(StepError):
        bench.press(Action.RUN_TURN)
    with pytest.raises(StepError):
        bench.press(Action.RUN_ANSWER, "1")


def test_marks_of_a_run_are_of_the_kinds_the_store_knows() -> None:
    """What a key makes is a moment of the run, at the second it was pressed."""
    bench = engine(LOADS)
    bench.press(Action.RUN_TURN, at=5.0)
    bench.type("61.5", after=9.0)
    kinds = [(m.kind, m.t_s) for m in bench.told if not isinstance(m, Reading | RunGap)]
    assert kinds == [(MarkKind.LOAD, 3.0), (MarkKind.HERTZ, 5.0)]
