"""A heat run from its samples to its finding: opens, steps, spikes, cycles and doubts."""

from math import inf, isclose, nan

import numpy as np
import pytest

from benchassist.core.heat_run import HeatRun, analyse_heat
from benchassist.core.run import HeatedPart, RunGap
from benchassist.core.run_finding import Doubt, HeatEvent, HeatEventKind, HeatFinding, Leg
from benchassist.core.samples import Samples
from tests.core.heat_logs import CYCLE, TWICE, Log, feed, warmed

WINDING = HeatedPart.WINDING


def analysed(log: Log, *, warm: bool = True) -> HeatFinding:
    """The finding of a winding's log, with its temperatures or without."""
    return analyse_heat(log.samples(), log.celsius if warm else None, WINDING)


def kinds(finding: HeatFinding) -> list[HeatEventKind]:
    """What happened, in order."""
    return [event.kind for event in finding.events]


def only(finding: HeatFinding) -> HeatEvent:
    """The one event of a finding."""
    assert len(finding.events) == 1, finding.events
    return finding.events[0]


def test_a_sound_winding_over_two_cycles_is_not_reproduced() -> None:
    """A winding that keeps to its copper line over both cycles has no event and no doubt."""
    finding = analysed(warmed(TWICE))
    assert finding.events == ()
    assert not finding.reproduced
    assert finding.departure_assessed
    assert finding.r20 == pytest.approx(7000.0, rel=1e-3)
    assert finding.largest_departure is not None
    assert finding.largest_departure < 0.01
    assert finding.hysteresis is not None
    assert finding.hysteresis < 0.01
    assert finding.cycles == 2
    assert finding.hottest == pytest.approx(94.0, abs=0.5)
    assert finding.doubts == ()


def test_an_open_is_told_at_its_second_sample_and_again_when_it_recloses() -> None:
    """Two overloads open; the event comes again, same start, when two samples are back."""
    log = warmed(TWICE)
    start, end = log.heated_to(78.0), log.cooled_to(61.0)
    log.ohms[start:end] = inf
    run = HeatRun(WINDING)
    told = feed(run, log)
    (opened_at, opened), (closed_at, closed) = told
    assert opened_at == log.t_s[start + 1]
    assert closed_at == log.t_s[end + 1]
    assert opened.kind is closed.kind is HeatEventKind.OPEN
    assert opened.start_s == closed.start_s == log.t_s[start]
    assert (opened.end_s, closed.end_s) == (None, log.t_s[end])
    assert opened.after is None
    assert opened.before == pytest.approx(7000.0 * (1.0 + 0.00393 * 58.0), rel=0.003)
    assert opened.celsius == pytest.approx(log.celsius[start], abs=0.2)
    assert closed.end_celsius == pytest.approx(log.celsius[end], abs=0.2)
    assert opened.leg is Leg.HEATING
    assert run.finding().events == (closed,)
    assert run.finding().reproduced


def test_it_is_out_from_the_alarm_to_the_return() -> None:
    """`is_out` is what the alarm sounds by."""
    log = warmed()
    start = log.heated_to(70.0)
    log.ohms[start : start + 50] = inf
    run, out = HeatRun(WINDING), []
    samples = log.samples()
    for t_s, value, celsius in zip(samples.t_s, samples.value, log.celsius, strict=True):
        run.feed(t_s, None if value == inf else value, 10.0, celsius)
        out.append(run.is_out)
    assert np.flatnonzero(out).tolist() == list(range(start + 1, start + 51))


@pytest.mark.parametrize("value", [inf, 14_000.0, 100.0])
def test_a_lone_sample_is_a_spike_kept_and_no_reproduction(value: float) -> None:
    """One sample beyond the line is a spike, whatever it reads."""
    log = warmed()
    place = log.heated_to(60.0)
    log.ohms[place] = value
    finding = analysed(log)
    spike = only(finding)
    assert spike.kind is HeatEventKind.SPIKE
    assert (spike.start_s, spike.end_s) == (log.t_s[place], log.t_s[place + 1])
    assert spike.after == (None if value == inf else value)
    assert not finding.reproduced


@pytest.mark.parametrize("warm", [True, False])
@pytest.mark.parametrize(
    ("ratio", "kind"), [(1.05, HeatEventKind.STEP_UP), (0.95, HeatEventKind.STEP_DOWN)]
)
def test_a_step_stands_until_it_goes_back(ratio: float, kind: HeatEventKind, *, warm: bool) -> None:
    """A step of five percent has its sizes, and ends where it goes back, hot or cooling."""
    log = warmed()
    start, end = log.heated_to(75.0), log.cooled_to(55.0)
    log.ohms[start:end] *= ratio
    step = only(analysed(log, warm=warm))
    assert step.kind is kind
    assert step.start_s == log.t_s[start]
    assert step.end_s == log.t_s[end]
    assert step.after is not None
    assert step.after / step.before == pytest.approx(ratio, abs=0.005)


def test_a_step_that_never_goes_back_has_no_end() -> None:
    """A step at the end of the log stands."""
    log = warmed()
    log.ohms[log.cooled_to(70.0) :] *= 0.94
    step = only(analysed(log))
    assert step.kind is HeatEventKind.STEP_DOWN
    assert step.end_s is None


def test_an_open_may_reclose_at_another_level() -> None:
    """What recloses off its line is an open, and a step from there on."""
    log = warmed()
    start = log.heated_to(70.0)
    log.ohms[start : start + 100] = inf
    log.ohms[start + 100 :] *= 1.2
    opened, stepped = analysed(log).events
    assert (opened.kind, stepped.kind) == (HeatEventKind.OPEN, HeatEventKind.STEP_UP)
    assert opened.end_s == stepped.start_s == log.t_s[start + 100]
    assert stepped.end_s is None


def test_a_contact_that_jumps_is_one_event() -> None:
    """Values that come to no rest for ten seconds, overloads among them, are one open."""
    log = warmed()
    start, rng = log.heated_to(80.0), np.random.default_rng(3)
    wild = log.ohms[start : start + 50] * rng.uniform(1.5, 20.0, 50)
    wild[[4, 5, 20, 21, 22]] = inf
    log.ohms[start : start + 50] = wild
    event = only(analysed(log))
    assert event.kind is HeatEventKind.OPEN
    assert (event.start_s, event.end_s) == (log.t_s[start], log.t_s[start + 50])


def test_small_lasting_steps_are_found_by_their_medians() -> None:
    """A step of two percent, the limit itself, is a step too, if it lasts for some seconds."""
    log = warmed(resolution=1.0)
    start, end = log.heated_to(75.0), log.cooled_to(50.0)
    log.ohms[start:end] *= 0.98
    step = only(analysed(log))
    assert step.kind is HeatEventKind.STEP_DOWN
    assert step.start_s == pytest.approx(log.t_s[start], abs=2.0)
    assert step.end_s == pytest.approx(log.t_s[end], abs=2.0)


def test_one_percent_is_no_event() -> None:
    """Half the alarm limit is within what an alarm may not be for."""
    log = warmed()
    log.ohms[log.heated_to(75.0) :] *= 1.01
    assert analysed(log).events == ()


def test_five_counts_are_the_limit_of_a_coarse_range() -> None:
    """Where five counts are more than two percent, four counts are no event and eight are one."""
    for counts, expected in ((4, []), (8, [HeatEventKind.STEP_UP])):
        log = warmed(r20=2.0, resolution=0.1, lag=0.0)
        log.ohms[log.heated_to(75.0) :] += 0.1 * counts
        assert kinds(analysed(log, warm=False)) == expected


def test_overloads_before_the_first_level_are_clips_not_yet_on() -> None:
    """Nothing is judged before there is a line to judge by."""
    log = warmed()
    log.ohms[:40] = inf
    assert analysed(log).events == ()


def test_without_a_temperature_opens_are_found_and_no_departure_is_assessed() -> None:
    """A slow joint passes unseen without a temperature, and the finding says so."""
    log = warmed()
    log.ohms *= 1.0 + np.clip(log.part - 50.0, 0.0, None) / 400.0
    log.ohms[log.heated_to(90.0) : log.cooled_to(80.0)] = inf
    finding = analysed(log, warm=False)
    assert kinds(finding) == [HeatEventKind.OPEN]
    assert not finding.departure_assessed
    assert finding.largest_departure is finding.r20 is finding.hysteresis is finding.hottest is None


def test_a_winding_is_its_own_thermometer() -> None:
    """With the cold temperature known, events bear the winding's mean temperature."""
    log = warmed(TWICE)
    start, end = log.heated_to(78.0), log.heated_to(85.0)
    log.ohms[start:end] = inf
    finding = analyse_heat(log.samples(), None, WINDING, cold_celsius=22.0)
    event = only(finding)
    assert finding.winding_thermometer
    assert event.celsius == pytest.approx(78.0, abs=1.0)
    assert event.end_celsius == pytest.approx(85.0, abs=1.0)
    assert finding.hottest == pytest.approx(94.0, abs=1.0)
    assert finding.cycles == 2
    assert finding.doubts == ()


def test_a_cap_is_no_thermometer() -> None:
    """A cap's resistance says nothing of its temperature."""
    log = warmed(TWICE, share=0.0)
    finding = analyse_heat(log.samples(), None, HeatedPart.CAP, cold_celsius=22.0)
    assert not finding.winding_thermometer
    assert finding.hottest is None
    assert finding.doubts == (Doubt.NOT_HOT,)


@pytest.mark.parametrize(
    ("points", "doubt"),
    [
        (CYCLE, Doubt.ONE_CYCLE),
        (((0.0, 22.0), (600.0, 70.0), (1200.0, 30.0)), Doubt.NOT_HOT),
    ],
)
def test_what_was_not_heated_as_asked_is_doubted(
    points: tuple[tuple[float, float], ...], doubt: Doubt
) -> None:
    """Too few cycles, or never near the ceiling."""
    assert analysed(warmed(points)).doubts == (doubt,)


def test_too_few_samples_have_no_line() -> None:
    """Ten samples, or overloads only, are too short a run."""
    log = warmed()
    few = Samples(*(column[:10] for column in (log.t_s, log.ohms, np.full(len(log.t_s), 10.0))))
    assert Doubt.SHORT in analyse_heat(few, None, WINDING).doubts
    log.ohms[:] = inf
    finding = analysed(log)
    assert Doubt.SHORT in finding.doubts
    assert finding.events == ()


@pytest.mark.parametrize(("moment", "hidden"), [(1000.0, True), (30.0, False)])
def test_a_gap_counts_where_the_part_was_hot(moment: float, *, hidden: bool) -> None:
    """Samples missing while hot leave a doubt; while cold they do not. Both are kept."""
    log = warmed()
    gap = RunGap(channel="A", start_s=moment, end_s=moment + 20.0, reason="lost")
    keep = (log.t_s < gap.start_s) | (log.t_s >= gap.end_s)
    samples = log.samples()
    rest = Samples(samples.t_s[keep], samples.value[keep], samples.resolution[keep])
    for gaps in ((gap,), ()):
        finding = analyse_heat(rest, log.celsius[keep], WINDING, gaps=gaps)
        assert finding.gaps == gaps
        assert finding.events == ()
        assert (Doubt.GAP in finding.doubts) is hidden


def test_a_gap_of_the_thermometer_leaves_the_resistance_alone() -> None:
    """Only the resistance can hide a break."""
    run = HeatRun(WINDING)
    run.gap(RunGap(channel="B", start_s=1.0, end_s=9.0, reason="lost"), thermometer=True)
    assert Doubt.GAP not in run.finding().doubts
    run.gap(RunGap(channel="A", start_s=1.0, end_s=9.0, reason="lost"))
    assert Doubt.GAP in run.finding().doubts


def test_a_change_of_range_with_its_silence_is_no_event() -> None:
    """The meter is silent for two seconds, counts ten times coarser, reads half a percent off."""
    log = warmed(r20=15_500.0)
    coarse = log.ohms > 19_990.0
    log.ohms[coarse] = np.round(log.ohms[coarse] * 1.004 / 100.0) * 100.0
    samples = log.samples()
    resolution = np.where(coarse, 100.0, 10.0)
    changes = np.flatnonzero(np.diff(coarse.astype(int))) + 1
    keep = np.ones(len(samples), dtype=bool)
    for place in changes:
        keep[place : place + 10] = False
    shown = Samples(samples.t_s[keep], samples.value[keep], resolution[keep])
    assert len(changes) >= 2
    finding = analyse_heat(shown, log.celsius[keep], WINDING)
    assert finding.events == ()
    assert finding.departure_assessed


def test_samples_out_of_order_and_no_numbers_are_rejected() -> None:
    """Time that goes back and values that are no number are counted, not used."""
    t = np.array([0.0, 0.2, 0.1, 0.4, nan, 0.6, 0.8])
    value = np.array([7000.0, nan, 7000.0, 7000.0, 7000.0, -inf, 7000.0])
    samples = Samples(t, value, np.full(7, 10.0))
    run = HeatRun(WINDING)
    run.feed_block(samples)
    one_by_one = HeatRun(WINDING)
    for row in zip(t.tolist(), value.tolist(), strict=True):
        one_by_one.feed(*row, 10.0)
    assert (run.finding().used, run.finding().rejected) == (4, 3)
    assert one_by_one.finding() == run.finding()


def test_typed_legs_count_cycles_where_no_temperature_does() -> None:
    """The person's own turns, two heatings each followed by a cooling."""
    run = HeatRun(HeatedPart.CAP)
    for leg in (Leg.HEATING, Leg.COOLING, Leg.HEATING):
        run.turn(leg)
    assert (run.cycles_done, run.leg) == (1, Leg.HEATING)
    assert run.finding().doubts == (Doubt.SHORT, Doubt.ONE_CYCLE)
    run.turn(Leg.COOLING)
    assert run.finding().doubts == (Doubt.SHORT,)


def test_the_line_the_rate_and_the_leg_stand_while_it_runs() -> None:
    """The ribbon is at least the alarm limit wide about where the part reads."""
    log = warmed(lag=0.0)
    run = HeatRun(WINDING)
    assert run.line() is None
    assert run.ribbon(50.0) is None
    end = log.heated_to(80.0)
    samples = log.samples()
    run.feed_block(
        Samples(samples.t_s[:end], samples.value[:end], samples.resolution[:end]),
        log.celsius[:end],
    )
    line = run.line()
    assert line is not None
    expected, half = line
    assert expected == pytest.approx(samples.value[end], rel=0.004)
    assert 0.02 * expected <= half <= 0.03 * expected
    at_50 = run.ribbon(50.0)
    assert at_50 is not None
    assert at_50[0] == pytest.approx(7000.0 * (1.0 + 0.00393 * 30.0), rel=0.003)
    assert at_50[1] >= 0.02 * at_50[0]
    assert run.rate == pytest.approx(4.5 / 60.0, rel=0.1)
    assert run.celsius == pytest.approx(80.0, abs=0.5)
    assert run.leg is Leg.HEATING
    assert run.cycles_done == 0


def test_without_a_temperature_the_line_is_that_of_the_last_seconds() -> None:
    """The local line is where the part reads; in an open it stays on the line that was left."""
    log = warmed()
    start = log.heated_to(70.0)
    log.ohms[start:] = inf
    run, samples = HeatRun(WINDING), log.samples()
    end = start + 5
    part = Samples(samples.t_s[:end], samples.value[:end], samples.resolution[:end])
    run.feed_block(part)
    line = run.line()
    assert line is not None
    assert isclose(line[0], samples.value[start - 1], rel_tol=0.005)
    assert run.is_out


def test_what_creeps_is_no_step_and_what_jumps_is() -> None:
    """Six percent over ten seconds is followed; the same within a second is a step."""
    for seconds, expected in ((10.0, []), (1.0, [HeatEventKind.STEP_UP])):
        log = warmed(resolution=1.0)
        since = log.t_s - log.t_s[log.heated_to(70.0)]
        log.ohms *= 1.0 + 0.06 * np.clip(since / seconds, 0.0, 1.0)
        assert kinds(analysed(log, warm=False)) == expected


def test_spikes_without_end_are_kept_up_to_a_thousand() -> None:
    """A contact lost every other sample is told each time, and fills no memory."""
    log = warmed()
    log.ohms[100::2] = inf
    run = HeatRun(WINDING)
    told = feed(run, log)
    assert len(told) == (len(log.t_s) - 100) // 2
    assert kinds(run.finding()) == [HeatEventKind.SPIKE] * 1000
