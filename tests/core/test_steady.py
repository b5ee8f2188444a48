"""Hands-free taking, step by step; tests/property holds what must never happen."""

from dataclasses import replace

import pytest

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, Gap, LinkChange, LinkState, Mode
from benchassist.core.steady import Phase, ProbeTouch, Steadiness, SteadyDetector
from benchassist.core.steady_window import LEAST_STEP, LONGEST_SPAN
from tests.core.budgets import ohms

PERIOD = 0.4


def feed(detector: SteadyDetector, *values: float | None, start: float = 0.0) -> Steadiness:
    """Feed values one period apart; the last status."""
    status = Steadiness(phase=Phase.EMPTY)
    for i, value in enumerate(values):
        status = detector.feed(replace(ohms(value), t_s=start + i * PERIOD))
    return status


def test_three_readings_over_a_second_are_steady() -> None:
    """The jaws close with the readings and meet after three over a second."""
    detector = SteadyDetector(Quantity.RESISTANCE)
    seen = [feed(detector, 4380.0, start=i * PERIOD) for i in range(4)]
    assert [s.phase for s in seen] == [
        Phase.MOVING,
        Phase.STEADYING,
        Phase.STEADYING,
        Phase.STEADY,
    ]
    assert [s.fraction for s in seen] == pytest.approx([0.0, 0.4, 0.8, 1.0])


def test_the_value_is_one_the_meter_displayed() -> None:
    """What is offered is a reading of the window; mean and spread describe all of it."""
    status = feed(SteadyDetector(), 4380.0, 4390.0, 4380.0, 4390.0)
    assert status.phase is Phase.STEADY
    assert status.reading is not None
    assert status.reading.value == 4390.0
    assert status.mean == pytest.approx(4385.0)
    assert status.spread == pytest.approx(10.0 / 3**0.5)


@pytest.mark.parametrize(
    ("values", "offered"),
    [
        ((4380.0, 4380.0, 4380.0, 4400.0), 4380.0),
        ((4400.0, 4380.0, 4390.0, 4380.0), 4380.0),
        ((4380.0, 4370.0, 4380.0, 4380.0, 4390.0), 4380.0),
        ((4390.0, 4380.0, 4390.0, 4380.0), 4380.0),
    ],
)
def test_the_middle_reading_is_offered(values: tuple[float, ...], offered: float) -> None:
    """A last digit gone astray within the allowance is not taken; of two middles the later is."""
    status = feed(SteadyDetector(), *values)
    assert status.phase is Phase.STEADY
    assert status.reading is not None
    assert status.reading.value == offered
    last_of_them = max(i for i, value in enumerate(values) if value == offered)
    assert status.reading.t_s == pytest.approx(last_of_them * PERIOD)


def test_before_it_is_steady_the_last_reading_stands() -> None:
    """What the meter shows now is seen at once."""
    status = feed(SteadyDetector(), 4380.0, 4380.0, 4390.0)
    assert status.phase is Phase.STEADYING
    assert status.reading is not None
    assert status.reading.value == 4390.0


def test_two_counts_or_three_per_mille_are_still() -> None:
    """The wider of two counts and 0.3 % is allowed between any two readings of the window."""
    assert feed(SteadyDetector(), 4380.0, 4400.0, 4380.0, 4400.0).phase is Phase.STEADY
    assert feed(SteadyDetector(), 4380.0, 4410.0, 4380.0, 4410.0).phase is Phase.MOVING
    assert feed(SteadyDetector(), 15000.0, 15040.0, 15000.0, 15040.0).phase is Phase.STEADY


def test_a_slow_meter_can_be_steady() -> None:
    """Three readings two seconds apart are a window once its period is known."""
    detector = SteadyDetector()
    seen = [detector.feed(replace(ohms(4380.0), t_s=2.5 * i)).phase for i in range(6)]
    assert Phase.STEADY in seen


@pytest.mark.parametrize("flag", [Flag.HOLD, Flag.REL, Flag.MIN, Flag.MAX, Flag.LOW_BATTERY])
def test_a_flag_bars(flag: Flag) -> None:
    """HOLD, REL, MIN, MAX and a low battery bar taking; AUTO does not."""
    detector = SteadyDetector(Quantity.RESISTANCE)
    feed(detector, 4380.0, 4380.0, 4380.0)
    held = replace(ohms(4380.0), t_s=1.2, flags=frozenset({flag, Flag.AUTO}))
    status = detector.feed(held)
    assert (status.phase, status.barred_by) == (Phase.BARRED, frozenset({flag}))
    assert feed(detector, 4380.0, start=1.6).phase is Phase.MOVING


def test_the_wrong_function_is_barred() -> None:
    """Diode test shows ohms and is not; volts are not what an ohms step wants."""
    detector = SteadyDetector(Quantity.RESISTANCE)
    assert detector.feed(replace(ohms(5.0), mode=Mode.DIODE)).wrong_function
    assert detector.feed(replace(ohms(5.0), quantity=Quantity.VOLTAGE)).wrong_function


def test_hertz_serve_a_speed_and_are_counted_on_ac() -> None:
    """A speed may be read in hertz, and hertz that a meter calls AC are the right function."""
    detector = SteadyDetector(Quantity.SPEED)
    hertz = replace(ohms(60.0, count=0.1), quantity=Quantity.FREQUENCY, mode=Mode.AC)
    assert not detector.feed(hertz).wrong_function


def test_an_overload_is_never_steady() -> None:
    """Open probes empty the window."""
    assert feed(SteadyDetector(), None, None, None, None).phase is Phase.OVERLOAD


def test_a_change_of_range_starts_again() -> None:
    """Readings of two ranges are no window."""
    detector = SteadyDetector()
    feed(detector, 4380.0, 4380.0, 4380.0)
    other = replace(ohms(4380.0, count=100.0, full_scale=2e5), t_s=1.2)
    assert detector.feed(other).phase is Phase.MOVING


def test_open_probes_on_volts_read_zero_and_are_not_taken() -> None:
    """A steady nothing in volts or hertz is an untouched probe."""
    detector = SteadyDetector(Quantity.VOLTAGE)
    for i in range(5):
        nothing = replace(ohms(0.01, count=0.01), t_s=i * PERIOD, quantity=Quantity.VOLTAGE)
        assert detector.feed(nothing).phase is Phase.EMPTY


def taken_once(detector: SteadyDetector) -> None:
    """Bring the detector to just after a taking at 1.2 s."""
    status = feed(detector, 4380.0, 4380.0, 4380.0, 4380.0)
    assert status.phase is Phase.STEADY
    assert status.reading is not None
    detector.taken(status.reading)


def test_one_touch_is_taken_once() -> None:
    """After a taking the same touch is only asked to be lifted."""
    detector = SteadyDetector()
    taken_once(detector)
    assert feed(detector, *[4380.0] * 10, start=1.6).phase is Phase.LIFT


@pytest.mark.parametrize("away", [None, 0.0, 6000.0], ids=["overload", "zero", "other part"])
def test_half_a_second_off_is_lifted(away: float | None) -> None:
    """Overload, zero or a change over 20 % for half a second re-arms, and then a touch is new."""
    detector = SteadyDetector()
    taken_once(detector)
    assert feed(detector, away, start=1.6).phase is Phase.LIFT
    assert feed(detector, away, away, start=2.0).phase is not Phase.LIFT
    assert feed(detector, *[4380.0] * 4, start=2.8).phase is Phase.STEADY


def test_a_short_slip_is_not_lifted() -> None:
    """A clip that loses contact for one reading does not make a new touch."""
    detector = SteadyDetector()
    taken_once(detector)
    feed(detector, None, start=1.6)
    assert feed(detector, *[4380.0] * 6, start=2.0).phase is Phase.LIFT


def test_a_touch_that_reads_zero_is_not_lifted_by_zero() -> None:
    """A closed switch reads nothing: only open probes or another value end that touch."""
    detector = SteadyDetector()
    status = feed(detector, 0.0, 0.0, 0.0, 0.0)
    assert status.reading is not None
    detector.taken(status.reading)
    assert feed(detector, *[0.0, 10.0] * 4, start=1.6).phase is Phase.LIFT
    assert feed(detector, None, None, None, start=5.0).phase is Phase.OVERLOAD


def test_an_overload_taken_by_key_ends_with_a_value() -> None:
    """Open probes look like the open part that was taken: only a value tells a new touch."""
    detector = SteadyDetector()
    above = replace(ohms(None), t_s=0.0)
    detector.taken(above)
    assert feed(detector, None, None, None, start=0.4).phase is Phase.LIFT
    assert feed(detector, 5000.0, 5000.0, 5000.0, start=1.6).phase is not Phase.LIFT


def test_turning_the_dial_is_not_lifting_unless_the_check_wants_it() -> None:
    """Volts in between do not make the same ohms a new touch; a check in volts may begin."""
    detector = SteadyDetector(Quantity.RESISTANCE)
    taken_once(detector)
    volts = [
        replace(ohms(1.0, count=0.01), t_s=1.6 + i * PERIOD, quantity=Quantity.VOLTAGE)
        for i in range(6)
    ]
    assert {detector.feed(v).phase for v in volts[:3]} == {Phase.LIFT}
    detector.expect(Quantity.VOLTAGE)
    assert [detector.feed(v).phase for v in volts[3:]][-1] is not Phase.LIFT


@pytest.mark.parametrize(
    "break_",
    [
        LinkChange(t_s=1.0, channel="A", state=LinkState.LOST),
        Gap(channel="A", start_s=0.9, end_s=1.1, reason="overflow"),
    ],
)
def test_a_break_empties_the_window_and_keeps_the_touch_taken(break_: LinkChange | Gap) -> None:
    """A lost link never makes a moving reading steady, nor a taken touch new."""
    detector = SteadyDetector()
    feed(detector, 4380.0, 4380.0, 4380.0)
    assert detector.feed(break_).phase is Phase.EMPTY
    assert feed(detector, 4380.0, start=1.2).phase is Phase.MOVING
    taken = SteadyDetector()
    taken_once(taken)
    taken.feed(break_)
    assert feed(taken, *[4380.0] * 6, start=1.6).phase is Phase.LIFT


def test_silence_empties_the_window() -> None:
    """After max(3 periods, 2 s) without news the window starts again."""
    detector = SteadyDetector()
    feed(detector, 4380.0, 4380.0, 4380.0)
    assert detector.longest_silence == 2.0
    assert not detector.is_stale(2.7)
    assert detector.is_stale(2.9)
    assert feed(detector, 4380.0, start=3.0).phase is Phase.MOVING


def test_nothing_yet_is_not_stale() -> None:
    """A detector that saw nothing has nothing old."""
    assert not SteadyDetector().is_stale(1e9)


def test_a_clock_that_goes_back_starts_again() -> None:
    """A channel opened anew counts from zero; old and new readings are no window."""
    detector = SteadyDetector()
    feed(detector, 4380.0, 4380.0, 4380.0, start=100.0)
    assert feed(detector, 4380.0, start=0.0).phase is Phase.MOVING


@pytest.mark.parametrize(
    ("value", "count", "shorted"),
    [
        (0.0, 10.0, True),
        (20.0, 10.0, True),
        (30.0, 10.0, False),
        (0.3, 0.1, True),
        (0.9, 0.1, True),
        (1.1, 0.1, False),
        (-0.2, 0.1, True),
        (0.5, None, True),
        (None, 10.0, False),
    ],
)
def test_shorted_probes(value: float | None, count: float | None, *, shorted: bool) -> None:
    """Below one ohm, or two counts where the count is coarser, the probes are together."""
    touch = ProbeTouch()
    touch.feed(replace(ohms(value, count=count), t_s=5.0))
    assert touch.proved("A", 5.0) is shorted


def test_the_proof_lasts_a_minute_on_its_own_channel() -> None:
    """Another channel, a minute, or a link that opened anew ends the proof."""
    touch = ProbeTouch()
    touch.feed(replace(ohms(0.0), t_s=5.0))
    assert touch.proved("A", 65.0)
    assert not touch.proved("A", 65.1)
    assert not touch.proved("B", 5.0)
    touch.feed(LinkChange(t_s=6.0, channel="A", state=LinkState.OPENING))
    assert not touch.proved("A", 6.0)


def test_a_held_zero_or_a_beeper_proves_nothing() -> None:
    """HOLD may show an old zero; the beeper is not ohms."""
    touch = ProbeTouch()
    touch.feed(replace(ohms(0.0), flags=frozenset({Flag.HOLD})))
    touch.feed(replace(ohms(0.0), mode=Mode.CONTINUITY))
    touch.feed(replace(ohms(0.0), quantity=Quantity.VOLTAGE))
    assert not touch.proved("A", 0.0)


def flooded(detector: SteadyDetector, *, wander: float) -> list[Steadiness]:
    """Four seconds of 14,000 readings a second, as the bench takes them in: 25 times a second."""
    seen = []
    for tick in range(100):
        shown = (
            replace(ohms(4380.0 + wander * (i % 2)), t_s=tick / 25 + i / 14_000) for i in range(560)
        )
        status = detector.feed_all(shown)
        assert status is not None
        seen.append(status)
    return seen


def test_a_flood_is_steady_and_costs_no_more_for_each_reading() -> None:
    """The window keeps forty readings a second and no more, over three seconds all the same."""
    detector = SteadyDetector(Quantity.RESISTANCE)
    seen = flooded(detector, wander=10.0)
    assert seen[10].phase is Phase.STEADYING
    assert seen[-1].phase is Phase.STEADY
    assert seen[-1].spread == pytest.approx(5.0, rel=0.2)
    assert max(status.readings for status in seen) <= LONGEST_SPAN / LEAST_STEP + 2
    assert flooded(SteadyDetector(), wander=50.0)[-1].phase is Phase.MOVING


def test_nothing_came_and_nothing_is_said() -> None:
    """An empty batch leaves what stood."""
    assert SteadyDetector().feed_all(()) is None
