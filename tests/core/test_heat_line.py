"""The line over temperature: lags, shares of copper, slow departures, marks typed now and then."""

from collections.abc import Callable

import numpy as np
import pytest

from benchassist.core.heat_run import HeatRun, analyse_heat
from benchassist.core.run import HeatedPart
from benchassist.core.run_finding import HeatEvent, HeatEventKind, HeatFinding
from tests.core.heat_logs import TWICE, Log, feed, late, warmed

WINDING = HeatedPart.WINDING


def analysed(
    log: Log, part: HeatedPart = WINDING, *, coil_share: float | None = None
) -> HeatFinding:
    """The finding of a log with its temperatures."""
    return analyse_heat(log.samples(), log.celsius, part, coil_share=coil_share)


def joint(log: Log, onset: float, per_kelvin: float) -> np.ndarray:
    """What a joint adds that grows above a temperature, as a share."""
    return np.clip(log.part - onset, 0.0, None) * per_kelvin


@pytest.mark.parametrize("lag", [0.0, 5.0, 20.0, 45.0, 90.0])
def test_a_late_thermometer_is_no_departure(lag: float) -> None:
    """The legs are judged together: what a lag explains is neither departure nor hysteresis."""
    finding = analysed(warmed(TWICE, lag=lag))
    assert finding.events == ()
    assert finding.hysteresis is not None
    assert finding.hysteresis < 0.01
    assert finding.r20 == pytest.approx(7000.0, rel=2e-3)


def test_a_winding_late_behind_its_surface_is_no_departure() -> None:
    """The winding may be a minute behind the thermometer on its surface, too."""
    log = warmed(TWICE, lag=0.0)
    behind = late(log.t_s, log.part, 60.0)
    log.ohms *= (1.0 + 0.00393 * (behind - 20.0)) / (1.0 + 0.00393 * (log.part - 20.0))
    assert analysed(log).events == ()


def test_a_log_that_begins_on_the_way_up_is_judged_too() -> None:
    """Without a rest at the start the lag shows at the turn only; it is no departure there."""
    log = warmed(((0.0, 40.0), (700.0, 94.0), (1900.0, 36.0)), lag=0.0)
    log.celsius = np.round(
        late(log.t_s, log.part, 25.0) - 25.0 * 54.0 / 700.0 * np.exp(-log.t_s / 25.0), 1
    )
    finding = analysed(log)
    assert finding.events == ()
    assert finding.departure_assessed


@pytest.mark.parametrize("warp", [lambda c: 20.0 + 1.03 * (c - 20.0), np.round])
def test_a_thermometer_within_its_doubt_is_no_departure(
    warp: Callable[[np.ndarray], np.ndarray],
) -> None:
    """Three percent of scale, or whole kelvins, are within what is taken for its doubt."""
    log = warmed(TWICE)
    log.celsius = warp(log.celsius)
    assert analysed(log).events == ()


@pytest.mark.parametrize("lag", [0.0, 20.0, 45.0])
@pytest.mark.parametrize("per_kelvin", [0.001, 0.003])
def test_a_slow_joint_is_flagged_before_one_and_a_half_limits(
    lag: float, per_kelvin: float
) -> None:
    """The departure is told while the joint adds less than three percent, and ends when cooled."""
    log = warmed(lag=lag)
    excess = joint(log, 50.0, per_kelvin)
    log.ohms *= 1.0 + excess
    told = feed(HeatRun(WINDING), log)
    first_s, first = told[0]
    assert first.kind is HeatEventKind.DEPARTURE
    assert excess[log.at(first_s)] < 1.5 * 0.02
    assert first.start_s <= first_s
    last = told[-1][1]
    assert last.start_s == first.start_s
    assert last.end_s is not None
    assert last.largest == pytest.approx(excess.max(), abs=0.01)


def test_a_departure_has_its_temperature_and_sizes() -> None:
    """It begins where it leaves the line, with the line's value and the part's temperature."""
    log = warmed(lag=0.0)
    log.ohms *= 1.0 + joint(log, 50.0, 0.002)
    (event,) = analysed(log).events
    assert event.kind is HeatEventKind.DEPARTURE
    assert event.celsius == pytest.approx(50.0 + 0.0175 / 0.002, abs=3.0)
    sound = 7000.0 * (1.0 + 0.00393 * (log.part[log.at(event.start_s)] - 20.0))
    assert event.before == pytest.approx(sound, rel=0.01)
    assert event.after is not None
    assert event.after > event.before


def test_shorted_turns_that_creep_are_a_departure_downwards() -> None:
    """A smooth loss of resistance is a departure below the line."""
    log = warmed()
    log.ohms *= 1.0 - joint(log, 50.0, 0.002)
    (event,) = analysed(log).events
    assert event.kind is HeatEventKind.DEPARTURE
    assert event.largest is not None
    assert event.largest < -0.05


def test_a_joint_that_sticks_shows_as_hysteresis() -> None:
    """A little more on a slow way down, below the alarm and too much for a lag, is told apart."""
    log = warmed(((0.0, 22.0), (60.0, 22.0), (1020.0, 94.0), (4000.0, 36.0)), lag=0.0)
    cooling = log.t_s > 1020.0
    log.ohms *= 1.0 + np.where(cooling, np.clip((94.0 - log.part) / 10.0, 0.0, 1.0), 0.0) * 0.012
    finding = analysed(log)
    assert finding.hysteresis == pytest.approx(0.012, abs=0.004)
    assert not finding.reproduced


def test_a_step_does_not_turn_into_a_departure() -> None:
    """What stands as a step is not told a second time by the line over temperature."""
    log = warmed(TWICE)
    log.ohms[log.heated_to(70.0) :] *= 1.08
    (event,) = analysed(log).events
    assert event.kind is HeatEventKind.STEP_UP


def test_a_step_that_creeps_back_ends_by_the_line() -> None:
    """A step whose return has no edge ends where the line over temperature finds it back."""
    log = warmed(lag=0.0, resolution=1.0)
    start, end = log.heated_to(70.0), log.at(1320.0)
    back = np.clip(1.0 - (log.t_s - log.t_s[end]) / 120.0, 0.0, 1.0)
    log.ohms[start:] *= 1.0 + 0.05 * back[start:]
    step, *others = analysed(log).events
    assert step.kind is HeatEventKind.STEP_UP
    assert step.end_s == pytest.approx(log.t_s[end] + 110.0, abs=30.0)
    assert others == []


def test_a_cap_does_not_follow_copper() -> None:
    """A cap's line is flat: one that keeps to it has no event, one that rises has departed."""
    flat = analysed(warmed(TWICE, share=0.0), HeatedPart.CAP)
    assert flat.events == ()
    assert flat.departure_assessed
    assert flat.r20 is None
    assert flat.largest_departure is not None
    rising = analysed(warmed(TWICE, share=1.0), HeatedPart.CAP)
    assert rising.events[0].kind is HeatEventKind.DEPARTURE
    assert analysed(warmed(TWICE, share=0.0)).events[0].kind is HeatEventKind.DEPARTURE


@pytest.mark.parametrize("share", [0.0, 0.4, 0.57, 1.0])
def test_a_path_of_unknown_share_is_fitted(share: float) -> None:
    """Coil and cap in series: between flat and copper, whichever it follows."""
    finding = analysed(warmed(TWICE, share=share), HeatedPart.PATH)
    assert finding.events == ()
    assert finding.r20 == pytest.approx(7000.0, rel=5e-3)


def test_a_path_of_known_share_is_judged_by_it() -> None:
    """With the coil's share given, a slow joint shows as it does in a winding."""
    log = warmed(TWICE, share=0.6)
    assert analysed(log, HeatedPart.PATH, coil_share=0.6).events == ()
    excess = joint(log, 50.0, 0.0015)
    log.ohms *= 1.0 + excess
    run = HeatRun(HeatedPart.PATH, coil_share=0.6)
    first_s, first = feed(run, log)[0]
    assert first.kind is HeatEventKind.DEPARTURE
    assert excess[log.at(first_s)] < 0.03
    wrong = analysed(warmed(TWICE, share=0.6), HeatedPart.PATH, coil_share=0.1)
    assert wrong.reproduced


def marked(log: Log, every: float) -> None:
    """Leave a temperature now and then only, in whole kelvins, as typed."""
    places = log.t_s % every < 1.0 / 5.0 - 1e-9
    log.celsius = np.where(places, np.round(log.part), np.nan)


def test_typed_marks_are_joined_and_judged_between() -> None:
    """A temperature typed every two minutes assesses a departure, and a sound part has none."""
    log = warmed(TWICE)
    marked(log, 120.0)
    finding = analysed(log)
    assert finding.events == ()
    assert finding.departure_assessed
    log.ohms *= 1.0 + joint(log, 50.0, 0.003)
    assert analysed(log).events[0].kind is HeatEventKind.DEPARTURE


def test_an_event_between_two_marks_gets_its_temperature_with_the_second() -> None:
    """It is told without a temperature at once, and again with it when the next mark comes."""
    log = warmed()
    marked(log, 120.0)
    start = log.heated_to(70.0)
    log.ohms[start : start + 10] = np.inf
    told = [event for _, event in feed(HeatRun(WINDING), log)]
    assert [event.celsius for event in told[:2]] == [None, None]
    assert told[-1].celsius == pytest.approx(70.0, abs=1.0)
    assert told[-1].end_celsius == pytest.approx(70.0, abs=1.0)
    assert len({event.start_s for event in told}) == 1


def test_a_thermometer_that_ends_early_assesses_nothing() -> None:
    """Where temperatures cover less than half the run, a departure was not assessed."""
    log = warmed(TWICE)
    log.celsius[log.at(1000.0) :] = np.nan
    finding = analysed(log)
    assert not finding.departure_assessed
    assert finding.r20 is None


def test_a_thermometer_that_is_lost_and_found_leaves_no_event() -> None:
    """Two minutes without temperatures, and one wild reading, are no fault of the part."""
    log = warmed(TWICE)
    log.celsius[log.at(500.0) : log.at(620.0)] = np.nan
    log.celsius[log.at(800.0)] = 400.0
    finding = analysed(log)
    assert finding.events == ()
    assert finding.hottest == pytest.approx(94.0, abs=0.5)


def test_a_short_log_has_a_line() -> None:
    """A minute of samples is enough for the copper line."""
    log = warmed(((0.0, 22.0), (60.0, 26.0)), lag=0.0)
    finding = analysed(log)
    assert finding.departure_assessed
    assert finding.r20 == pytest.approx(7000.0, rel=3e-3)


def test_events_stay_in_the_order_of_their_starts() -> None:
    """Departures and breaks are told in one list."""
    log = warmed(lag=0.0)
    log.ohms *= 1.0 + joint(log, 40.0, 0.002)
    start = log.heated_to(85.0)
    log.ohms[start : start + 20] = np.inf
    log.ohms[log.heated_to(30.0)] = np.inf
    events: tuple[HeatEvent, ...] = analysed(log).events
    assert [event.kind.value for event in events] == ["spike", "departure", "open"]


def test_a_lead_of_a_few_counts_has_no_line() -> None:
    """Where five counts are half of what is read a departure cannot be assessed; an open can."""
    log = warmed(TWICE, r20=0.2, share=0.0, resolution=0.1)
    log.ohms[log.heated_to(80.0) : log.heated_to(85.0)] = np.inf
    finding = analysed(log, HeatedPart.LEAD)
    assert [event.kind for event in finding.events] == [HeatEventKind.OPEN]
    assert not finding.departure_assessed
    assert finding.largest_departure is None
