"""The words, figures, guidance and plot of a heat run."""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.band import Side, Verdict
from benchassist.core.entry import RunEnded, RunMarked, Stamp
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.core.run import HeatedPart, MarkKind, RunGap, RunKind, RunPlan
from benchassist.core.run_finding import Doubt, HeatEvent, HeatEventKind, HeatFinding
from benchassist.core.samples import Samples
from benchassist.errors import InputError, StepError
from benchassist.services.desk import Action
from benchassist.services.runs.heat_text import heat_words, verdict_title
from benchassist.services.runs.heat_work import PLOT_EVERY, HeatWork
from benchassist.services.runs.past import tracks_of
from benchassist.services.runs.view import RunStage, RunView
from benchassist.services.runs.work import START, Draft, Earlier, RunSetting
from benchassist.units import TemperatureUnit, UnitChoice
from tests.services.run_rig import HEAT, copper

SHOP = UnitChoice()
AMERICAN = UnitChoice(temperature=TemperatureUnit.FAHRENHEIT)
PLAN = RunPlan(kind=RunKind.HEAT)
PERIOD = 0.5


class Heated:
    """A heat run and the part that is warmed in it."""

    def __init__(
        self,
        part: HeatedPart = HeatedPart.WINDING,
        *,
        thermometer: bool = True,
        units: UnitChoice = SHOP,
        start: float | None = None,
        earlier: Earlier | None = None,
        plan: RunPlan = PLAN,
        pace: float = 1.0,
    ) -> None:
        plan = replace(plan, part=part)
        self.work = HeatWork(
            RunSetting(
                check=replace(HEAT, run=plan),
                plan=plan,
                units=units,
                thermometer="probe" if thermometer else "",
                start_celsius=start,
                earlier=earlier,
                pace=lambda: pace,
            )
        )
        self.thermometer = thermometer
        self.t = 0.0
        self.celsius = 20.0
        if start is not None:
            self.mark(Draft(kind=MarkKind.TEMPERATURE, t_s=0.0, value=start, text=START))

    def mark(self, *drafts: Draft) -> None:
        """Marks as the host writes them."""
        for draft in drafts:
            stamp = Stamp(id="m", visit_id="v", seq=1, at=datetime(2026, 6, 9, tzinfo=UTC))
            mark = RunMarked(
                stamp=stamp,
                check_key=HEAT.key,
                run_id="r",
                t_s=draft.t_s,
                kind=draft.kind,
                value=draft.value,
                text=draft.text,
            )
            self.work.mark(mark)

    def act(self, action: Action) -> None:
        """A key."""
        self.mark(*self.work.act(action, "", self.t))

    def hold(
        self,
        seconds: float,
        *,
        per_minute: float = 0.0,
        part: Callable[[float], float | None] = copper,
    ) -> None:
        """Readings for a while, on a range of 10 ohm steps."""
        for _ in range(round(seconds / PERIOD)):
            self.t += PERIOD
            self.celsius += per_minute * PERIOD / 60.0
            if self.thermometer:
                self.work.take(_reading("B", self.t, round(self.celsius, 1), 0.1))
            value = part(self.celsius)
            count = None if value is None else 10.0 * round(value / 10.0)
            self.work.take(_reading("A", self.t, count, 10.0))

    def to(
        self,
        celsius: float,
        *,
        per_minute: float = 4.0,
        part: Callable[[float], float | None] = copper,
    ) -> None:
        """Warm or cool to a temperature."""
        way = 1.0 if celsius > self.celsius else -1.0
        seconds = 60.0 * abs(celsius - self.celsius) / per_minute
        self.hold(seconds, per_minute=way * per_minute, part=part)

    @property
    def view(self) -> RunView:
        """What shows now."""
        return self.work.view(self.t, RunStage.RUNNING)

    @property
    def verdict(self) -> str:
        """What it comes to if it ended now."""
        return self.work.view(self.t, RunStage.ENDED).verdict_text


def _reading(channel: str, t_s: float, value: float | None, count: float) -> Reading:
    warm = channel == "B"
    return Reading(
        t_s=t_s,
        channel=channel,
        quantity=Quantity.TEMPERATURE if warm else Quantity.RESISTANCE,
        value=value,
        resolution=count,
        overload=value is None,
        exponent=0 if warm else 3,
    )


def opened(_celsius: float) -> None:
    """A part that has broken."""


def opens_from(hot: float, until: float) -> Callable[[float], float | None]:
    """A part that breaks at a temperature and closes at a lower one on its way down."""
    state = {"open": False}

    def ohms(celsius: float) -> float | None:
        state["open"] = celsius > (until if state["open"] else hot)
        return None if state["open"] else copper(celsius)

    return ohms


# --- the verdict ----------------------------------------------------------------------------------


def test_a_break_is_told_with_both_temperatures() -> None:
    """It opens at one temperature and recloses at a lower one: both are in the verdict."""
    run = Heated()
    part = opens_from(78.0, 61.0)
    run.to(85.0, part=part)
    assert run.view.guide == "Heat off: let it cool and see where it closes again"
    run.act(Action.RUN_TURN)
    run.to(50.0, part=part)
    assert run.verdict == "Break found at 78 °C, reclosed at 61 °C"
    titles = [(row.title, row.detail) for row in run.view.events]
    assert ("Reclosed", "at 61 °C") in titles
    view = run.work.view(run.t, RunStage.ENDED)
    assert (view.verdict, view.side) == (Verdict.OUT_OF_BAND, Side.HIGH)


def test_turns_shorting_is_suspected_only() -> None:
    """A step down is told with its size and temperature, as a suspicion."""
    run = Heated()
    run.to(71.0)
    run.to(80.0, part=lambda c: 0.96 * copper(c))
    assert run.verdict == "Turns shorting suspected: steps down 4 % at 71 °C"
    assert run.view.alarms == 1
    assert run.work.view(run.t, RunStage.ENDED).side is Side.LOW


def test_several_breaks_are_counted() -> None:
    """Two short opens: the verdict names both temperatures, the slip counts them."""
    run = Heated()
    for celsius in (76.0, 81.0):
        run.to(celsius)
        run.hold(2.0, part=opened)
    run.to(85.0)
    assert run.verdict == "2 breaks found: at 76 °C, at 81 °C, reclosed at 76 °C to 81 °C"
    assert run.view.alarms == 2
    words = heat_words(HEAT, run.work.finding(end_s=run.t), PLAN, SHOP)
    assert (words.words, words.verdict_text) == ("2 breaks", "Out of band")
    assert words.proved == (
        "Heat run, coil secondary: 2 breaks found: at 76 °C, at 81 °C, reclosed at 76 °C to 81 °C.",
    )


def test_two_cycles_without_an_event_are_not_reproduced() -> None:
    """Heated and cooled twice: never more than 'not reproduced', and that on the list of doubts."""
    run = Heated()
    for _ in range(2):
        run.to(93.0)
        run.to(35.0)
    assert run.verdict == "Not reproduced over two cycles to 95 °C"
    view = run.work.view(run.t, RunStage.ENDED)
    assert view.verdict is None
    words = heat_words(HEAT, run.work.finding(end_s=run.t), PLAN, SHOP)
    assert words.proved == ()
    assert "does not rule the fault out" in words.not_proved[0]


def test_one_cycle_says_that_it_was_one() -> None:
    """Fewer cycles than asked for are said."""
    run = Heated()
    run.to(93.0)
    run.to(35.0)
    assert run.verdict == "Not reproduced to 95 °C; one cycle only"


def test_a_part_that_never_was_hot_says_how_warm_it_was() -> None:
    """Warmed to 60 celsius only."""
    run = Heated()
    run.to(60.0)
    assert run.verdict == "Not reproduced, warmed to 60 °C only"


def test_a_gap_while_hot_leaves_it_inconclusive() -> None:
    """What was not seen while the part was hot cannot be called not reproduced."""
    run = Heated()
    run.to(90.0)
    run.work.gap(RunGap(channel="A", start_s=run.t, end_s=run.t + 60.0, reason="lost"))
    run.t += 60.0
    run.hold(10.0)
    assert run.verdict == "Inconclusive: readings are missing while it was hot"
    view = run.work.view(run.t, RunStage.ENDED)
    assert any("meter lost" in note for note in view.notes)
    assert "No readings 1 min" in [row.title for row in view.events]


@st.composite
def findings(draw: st.DrawFn) -> HeatFinding:
    """Any finding of a heat run."""
    celsius = st.none() | st.floats(0.0, 120.0)
    events = draw(
        st.lists(
            st.builds(
                HeatEvent,
                kind=st.sampled_from(HeatEventKind),
                start_s=st.floats(0.0, 5000.0),
                before=st.floats(0.5, 20e3),
                after=st.none() | st.floats(0.5, 20e3),
                end_s=st.none() | st.floats(5000.0, 9000.0),
                celsius=celsius,
                end_celsius=celsius,
            ),
            max_size=5,
        )
    )
    kinds = {event.kind for event in events} - {HeatEventKind.SPIKE}
    return HeatFinding(
        part=draw(st.sampled_from(HeatedPart)),
        reproduced=bool(kinds),
        departure_assessed=draw(st.booleans()),
        events=tuple(events),
        hottest=draw(celsius),
        cycles=draw(st.integers(0, 6)),
        hysteresis=draw(st.none() | st.floats(0.0, 0.3)),
        doubts=tuple(draw(st.sets(st.sampled_from(Doubt)))),
    )


@given(finding=findings(), units=st.sampled_from((SHOP, AMERICAN)), so_far=st.booleans())
def test_a_heat_run_is_never_good(finding: HeatFinding, units: UnitChoice, so_far: bool) -> None:
    """Whatever was found: no praise, a verdict for an event only, nothing proved by none."""
    words = heat_words(HEAT, finding, PLAN, units, so_far=so_far)
    text = " ".join(
        (words.words, words.title, words.verdict_text, *words.detail, *words.proved)
    ).lower()
    assert not any(word in text.split() for word in ("good", "sound", "ok", "pass", "fail"))
    assert "in band" not in text
    assert (words.verdict is not None) is finding.reproduced
    assert bool(words.proved) is finding.reproduced
    assert words.title == verdict_title(finding, PLAN, units, so_far=so_far)


# --- figures --------------------------------------------------------------------------------------


def test_figures_stand_in_the_units_of_the_shop() -> None:
    """What the meter shows beside what is expected, the part's temperature, the time on heat."""
    run = Heated()
    run.to(84.0)
    now, warm, time = run.view.figures
    assert (now.digits, now.unit) == ("8.13", "kΩ")
    low, high = (float(text) for text in now.label.removeprefix("Now. Expected ").split(" to "))
    assert low < 8.13 < high
    assert (warm.digits, warm.unit) == ("84", "°C")
    assert (time.label, time.digits) == ("Time on heat", "16:00")


def test_an_american_shop_reads_fahrenheit_everywhere() -> None:
    """Figures, guidance, plot and verdict are in one unit of temperature."""
    run = Heated(units=AMERICAN)
    run.to(76.0)
    run.hold(2.0, part=opened)
    run.hold(5.0)
    view = run.view
    assert (view.figures[1].digits, view.figures[1].unit) == ("169", "°F")
    assert view.guide == "5.4 to 9 °F a minute"
    assert run.verdict == "Break found at 169 °F, reclosed at 169 °F"
    assert view.plot is not None
    assert view.plot.tracks[1].unit == "°F"
    assert view.plot.tracks[1].high[-1] == pytest.approx(168.8, abs=0.2)
    shown = repr(view)
    assert "°C" not in shown


def test_without_a_thermometer_the_winding_is_its_own() -> None:
    """Its mean temperature comes from its ohms and the temperature stated at the start."""
    run = Heated(thermometer=False, start=20.0)
    run.to(60.0)
    warm = run.view.figures[1]
    assert warm.label == "Winding’s own mean"
    assert float(warm.digits) == pytest.approx(60.0, abs=1.0)
    assert "Slow departure not assessed: no thermometer." in run.view.notes
    run.hold(3.0, part=opened)
    run.hold(3.0)
    assert run.verdict.startswith("Break found at 60 °C")


def test_without_any_temperature_a_break_is_told_by_its_time() -> None:
    """Nobody said how warm the part was: the time stands in its place."""
    run = Heated(HeatedPart.CAP, thermometer=False)
    run.hold(120.0, part=lambda _c: 5000.0)
    run.hold(3.0, part=opened)
    run.hold(60.0, part=lambda _c: 5000.0)
    assert run.view.figures[1].digits == ""
    assert run.verdict == "Break found after 2:00, reclosed after 2:03"


def test_typed_temperatures_say_how_old_they_are() -> None:
    """A typed mark stands with its age; what is typed wrong is refused with what would be right."""
    run = Heated(thermometer=False)
    run.to(40.0)
    assert run.work.act(Action.RUN_TYPE, "", run.t) == ()
    question = run.work.question()
    assert question is not None
    assert question.label == "Part temperature now"
    with pytest.raises(InputError, match="hot"):
        run.work.read("hot", run.t)
    run.mark(*run.work.read("104 F", run.t))
    assert run.work.question() is None
    run.hold(125.0)
    warm = run.view.figures[1]
    assert warm.label == "Part, typed 2 min 5 s ago"
    assert warm.digits == "40"
    assert "Typed 40 °C" in [row.title for row in run.view.events]


def test_a_reading_that_stopped_coming_is_struck() -> None:
    """The last digits stay, struck, with how old they are."""
    run = Heated()
    run.to(40.0)
    run.t += 12.0
    now = run.view.figures[0]
    assert (now.old, now.label) == (True, "Last reading 12 s ago")


def test_a_cap_has_a_flat_line_and_its_own_words() -> None:
    """A cap that drifts as copper would has left its line; its note says what the ribbon is."""
    run = Heated(HeatedPart.CAP)
    run.to(90.0, part=lambda _c: 5000.0)
    assert run.work.finding(end_s=run.t).events == ()
    assert run.view.notes[0] == "Ribbon: a cap keeps its value as it warms."
    assert "Line found" in [row.title for row in run.view.events]
    drifting = Heated(HeatedPart.CAP)
    drifting.to(90.0, part=lambda c: copper(c, 5000.0))
    assert drifting.verdict.startswith("Drifts by")


# --- guidance -------------------------------------------------------------------------------------


def test_the_guide_leads_through_two_cycles() -> None:
    """Warm, not too fast, near the limit, hold, cool, again; off the engine all the while."""
    run = Heated()
    run.to(40.0)
    assert (run.view.guide_label, run.view.guide) == ("Warm it to 95 °C", "3 to 5 °C a minute")
    run.to(60.0, per_minute=12.0)
    assert run.view.guide_label == "Slow down"
    assert run.view.warning == "Too fast: 3 to 5 °C a minute"
    run.to(89.0)
    assert run.view.warning == ""
    run.to(91.0)
    assert run.view.guide_label == "Hold it hot"
    assert run.view.warning.startswith("Near the limit of 95 °C: 4 °C left")
    run.to(95.5)
    assert run.view.warning == "At the limit of 95 °C: pull the heat"
    run.to(93.0)
    run.hold(900.0)
    assert run.view.guide_label == "Let it cool"
    main = run.view.main
    assert main is not None
    assert (main.press, main.action) == ("C", Action.RUN_TURN)
    run.act(Action.RUN_TURN)
    assert "40 °C" in run.view.guide
    run.to(38.0)
    main = run.view.main
    assert main is not None
    assert run.view.guide_label == "It has cooled"
    assert run.view.tally is not None
    assert (run.view.tally.done, run.view.tally.of) == (1, 2)
    run.act(Action.RUN_TURN)
    run.to(93.0)
    run.act(Action.RUN_TURN)
    run.to(38.0)
    assert run.view.guide_label == "All cycles done"
    assert "Off the engine, fuel-free, ignition off." in run.view.notes


def test_a_key_of_another_kind_of_run_is_refused() -> None:
    """A heat run has no questions to answer."""
    with pytest.raises(StepError):
        Heated().work.act(Action.RUN_ANSWER, "1", 1.0)


# --- alarm ----------------------------------------------------------------------------------------


def test_an_alarm_holds_while_it_is_open_and_ten_seconds_at_least() -> None:
    """However short the break: it can be read from across the shop."""
    run = Heated()
    run.to(60.0)
    run.hold(1.0, part=opened)
    run.hold(8.0)
    assert run.view.alarm == "Open at 60 °C"
    run.hold(5.0)
    assert run.view.alarm == ""
    run.hold(60.0, part=opened)
    assert run.view.alarm == "Open at 60 °C"
    assert run.view.alarms == 2


# --- plot -----------------------------------------------------------------------------------------


def test_the_plot_is_made_anew_a_few_times_a_second_at_most() -> None:
    """Two views within a moment share one plot, so that nothing is painted again."""
    run = Heated()
    run.to(40.0)
    first = run.view.plot
    run.hold(PERIOD)
    assert run.view.plot is not first
    second = run.view.plot
    run.work.take(_reading("A", run.t + 0.01, 7000.0, 10.0))
    assert run.work.view(run.t + PLOT_EVERY / 2, RunStage.RUNNING).plot is second
    assert run.work.view(run.t + 1.1 * PLOT_EVERY, RunStage.RUNNING).plot is not second


def test_a_day_is_drawn_in_bounded_rows() -> None:
    """Twenty-four hours at ten a second: at most two thousand rows a track, the ribbon too."""
    run = Heated()
    count = 864_000
    t_s = np.linspace(0.1, 0.1 * count, count)
    celsius = 55.0 - 35.0 * np.cos(t_s / 1200.0)
    rng = np.random.default_rng(4)
    ohms = np.array([copper(0.0), copper(1.0) - copper(0.0)])
    value = np.round((ohms[0] + ohms[1] * celsius + rng.normal(0.0, 3.0, count)) / 10.0) * 10.0
    run.work.take_block("B", Samples(t_s, np.round(celsius, 1), np.full(count, 0.1)))
    run.work.take_block("A", Samples(t_s, value, np.full(count, 10.0)))
    plot = run.work.view(float(t_s[-1]), RunStage.ENDED).plot
    assert plot is not None
    for track in plot.tracks:
        assert len(track.t_s) <= 2000
    ribbon = plot.tracks[0].ribbon
    assert ribbon is not None
    assert len(ribbon.t_s) <= 2000
    inside = np.interp(plot.tracks[0].t_s, ribbon.t_s, ribbon.high)
    later = plot.tracks[0].t_s > 600.0
    assert np.all(plot.tracks[0].high[later] <= 1.05 * inside[later])


def test_the_plot_breaks_at_a_gap_and_flags_what_happened() -> None:
    """A gap is drawn as one; events are numbered flags, marks are plain ones."""
    run = Heated()
    run.to(60.0)
    run.act(Action.RUN_MARK)
    run.hold(3.0, part=opened)
    run.hold(5.0)
    start = run.t
    run.t += 40.0
    run.work.gap(RunGap(channel="A", start_s=start, end_s=run.t, reason="stalled"))
    run.hold(5.0)
    plot = run.view.plot
    assert plot is not None
    assert [(f.number, f.severe) for f in plot.flags] == [(0, False), (1, True)]
    assert [(g.start_s, g.text) for g in plot.gaps] == [(start, "meter silent")]
    ohms = plot.tracks[0]
    assert np.isnan(ohms.high).sum() == 1
    assert np.isinf(ohms.high).any()
    assert "Break found at 60 °C" in plot.summary


def test_an_earlier_run_is_laid_under_in_the_same_unit() -> None:
    """The last visit's run is drawn faint behind the track it belongs to."""
    old = Heated()
    old.to(60.0)
    old_plot = old.view.plot
    assert old_plot is not None
    stamp = Stamp(id="e", visit_id="v", seq=1, at=datetime(2026, 6, 9, tzinfo=UTC))
    ended = RunEnded(stamp=stamp, check_key=HEAT.key, run_id="r", heat=old.work.finding(end_s=1.0))
    in_ohm = tuple(
        replace(t, unit="Ω", low=1e3 * t.low, high=1e3 * t.high) if t.unit == "kΩ" else t
        for t in old_plot.tracks
    )
    run = Heated(earlier=Earlier(ended=ended, tracks=in_ohm, text="Visit of 9 Jun 2026"))
    run.to(40.0)
    plot = run.view.plot
    assert plot is not None
    assert plot.overlay_text == "Visit of 9 Jun 2026"
    assert [t.unit for t in plot.overlay] == ["kΩ", "°C"]
    assert plot.overlay[0].high[-1] == pytest.approx(copper(60.0) / 1e3, abs=0.02)
    assert tracks_of(ended, PLAN, None, SHOP) == ()


def test_simulated_heat_is_as_fast_as_it_would_be_in_life() -> None:
    """On the practice bench, twenty times faster than life, 4 °C of its minute is not too fast."""
    fast, practice = Heated(), Heated(pace=20.0)
    for run in (fast, practice):
        run.to(50.0, per_minute=80.0)
    assert "Too fast" in fast.view.warning
    assert practice.view.warning == ""
