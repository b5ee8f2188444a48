"""The run on the bench: started, fed, marked, ended, and finished from disk after a kill."""

from dataclasses import replace

import numpy as np
import pytest

from benchassist.core.band import Verdict
from benchassist.core.entry import MovedTo, RunEnded, RunMarked, RunStarted, Struck
from benchassist.core.procedure import BandOption
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, Gap, LinkChange, LinkState, Mode
from benchassist.core.run import MarkKind, RunKind, RunPlan
from benchassist.core.run_finding import Doubt, HeatEventKind, HeatFinding
from benchassist.core.slip import Ink
from benchassist.core.visit import Standing, Visit
from benchassist.errors import NotFoundError, StepError
from benchassist.services.bench.view import Ask
from benchassist.services.runs.view import RunStage
from tests.services.fakes import FakeStore
from tests.services.run_rig import HEAT, FakeRunStore, RunRig, copper


def opened(_celsius: float) -> None:
    """A part that has broken."""


@pytest.fixture
def rig() -> RunRig:
    """A heat run about to start, both meters linked."""
    return RunRig()


# --- before ---------------------------------------------------------------------------------------


def test_nothing_is_logged_before_the_start(rig: RunRig) -> None:
    """At READY the step shows its cautions and set-up, and no reading is kept anywhere."""
    rig.hold(5.0)
    view = rig.view
    assert view.ask is Ask.RUN
    assert rig.run.stage is RunStage.READY
    assert view.cautions == ("Hot metal burns.",)
    assert view.setting_label == "Meter is on:"
    assert (view.keys[0].main, view.keys[0].action) == (True, "run_start")
    assert (rig.runs.kept, rig.started) == ({}, [])


def test_the_thermometer_is_named_where_one_is_linked() -> None:
    """Which thermometer serves stands there before the start, and what a run without one lacks."""
    with_one, without = RunRig(), RunRig(thermometer=False)
    for rig in (with_one, without):
        rig.hold(1.0)
    assert with_one.run.notes[0] == "Thermometer: thermometer, tip on the part"
    assert "slow departure is not assessed" in without.run.notes[0]
    with_one.bench.act("run_start")
    without.bench.act("run_start")
    assert [e.thermometer for e in with_one.started if isinstance(e, RunStarted)] == ["thermometer"]
    assert [e.thermometer for e in without.started if isinstance(e, RunStarted)] == [""]


def test_a_run_without_a_meter_is_refused_in_one_line() -> None:
    """A heat run needs a meter; nothing is written."""
    rig = RunRig(meter=False)
    with pytest.raises(StepError, match="needs a meter"):
        rig.bench.act("run_start")
    assert rig.started == []


@pytest.mark.parametrize(
    ("more", "line"),
    [
        ({"quantity": Quantity.VOLTAGE}, "set the meter to ohms"),
        ({"mode": Mode.DIODE}, "set the meter to ohms"),
        ({"flags": frozenset({Flag.HOLD})}, "HOLD, REL, MIN and MAX off"),
    ],
)
def test_a_meter_set_to_something_else_is_refused(more: dict[str, object], line: str) -> None:
    """Diode mode, volts or a held display cannot begin a heat run."""
    rig = RunRig()
    rig.hold(2.0, given=more)
    with pytest.raises(StepError, match=line):
        rig.bench.act("run_start")
    assert rig.runs.kept == {}


def test_a_part_that_reads_above_range_is_clipped_onto_first(rig: RunRig) -> None:
    """A line needs somewhere to start."""
    rig.hold(2.0, part=opened)
    with pytest.raises(StepError, match="clip onto the part"):
        rig.bench.act("run_start")


def test_space_starts_and_the_entry_stands_in_pencil_until_it_is_on_disk() -> None:
    """The run is recorded from the key on, whatever the writer is at."""
    rig = RunRig(store=FakeStore(at_once=False))
    rig.hold(2.0)
    rig.bench.act("take")
    assert rig.run.stage is RunStage.RUNNING
    assert {e.stamp.id for e in rig.started} <= rig.bench.pen.pencilled
    rig.hold(1.0)
    assert [r.t_s for r in rig.runs.last.readings if r.channel == "A"] == [0.5, 1.0]
    rig.store.commit()
    rig.bench.tick()
    assert rig.bench.pen.all_in_ink


# --- what comes in --------------------------------------------------------------------------------


def test_a_break_alarms_at_once(rig: RunRig) -> None:
    """Two samples above range: the alarm count grows, its text says where, the slip has it."""
    rig.start()
    rig.heat_to(76.0)
    assert rig.run.alarms == 0
    rig.hold(1.0, part=opened)
    assert rig.run.alarms == 1
    assert rig.run.alarm == "Open at 76 °C"
    assert rig.run.figures[0].words == "Above range"
    assert (rig.run.verdict, rig.run.so_far) == (Verdict.OUT_OF_BAND, True)
    line = rig.view.lines[0]
    assert (line.ink, line.words, line.verdict_text) == (
        Ink.PENCIL,
        "1 break",
        "Out of band so far",
    )


def test_a_lone_spike_does_not_alarm(rig: RunRig) -> None:
    """One sample above range is kept and shown, and calls nobody."""
    rig.start()
    rig.heat_to(50.0)
    rig.hold(0.5, part=opened)
    rig.hold(5.0)
    assert (rig.run.alarms, rig.run.alarm) == (0, "")
    assert "Lone spike" in [row.title for row in rig.run.events]


def test_a_stalled_window_loses_nothing(rig: RunRig) -> None:
    """Three minutes without a tick: all of it is on disk, and the break in it is found."""
    rig.start()
    rig.heat_to(70.0)
    kept = len(rig.runs.last.readings)
    rig.heat_to(76.0, tick=False)
    rig.hold(2.0, part=opened, tick=False)
    rig.hold(20.0, tick=False)
    assert len(rig.runs.last.readings) - kept == 2 * round((90.0 + 22.0) / rig.period)
    rig.bench.tick()
    assert rig.run.alarms == 1
    rig.bench.act("run_end")
    finding = rig.ended.heat
    assert finding is not None
    assert [e.kind for e in finding.events] == [HeatEventKind.OPEN]
    assert finding.events[0].celsius == pytest.approx(76.0, abs=0.3)
    assert finding.gaps == ()


def test_what_an_inbox_could_not_hold_is_read_back(rig: RunRig) -> None:
    """An overflow of the inboxes is no gap: both channels come back from disk, in their order."""
    rig.start()
    rig.heat_to(70.0)
    rig.heat_to(76.0, tick=False)
    rig.hold(2.0, part=opened, tick=False)
    rig.overflow()
    rig.hold(20.0)
    assert rig.run.alarms == 1
    rig.bench.act("run_end")
    finding = rig.ended.heat
    assert finding is not None
    assert (finding.gaps, finding.used) == ((), len(rig.runs.run_samples(rig.ended.run_id, "A")))
    assert finding.events[0].celsius == pytest.approx(76.0, abs=0.3)


def test_an_overflow_that_never_reached_the_disk_is_a_gap(rig: RunRig) -> None:
    """Where the writer could not keep up either, the stretch is missing and said to be."""
    rig.start()
    rig.heat_to(80.0)
    rig.runs.last.is_slow = True
    rig.hold(30.0, tick=False)
    rig.overflow()
    rig.hold(10.0)
    assert {(g.channel, g.reason) for g in rig.runs.last.gaps} == {
        ("A", "overflow"),
        ("B", "overflow"),
    }
    rig.bench.act("run_end")
    assert rig.ended.heat is not None
    assert Doubt.GAP in rig.ended.heat.doubts


@pytest.mark.parametrize(
    ("more", "line", "reason"),
    [
        ({"flags": frozenset({Flag.HOLD})}, "The meter shows HOLD", "hold"),
        ({"flags": frozenset({Flag.MAX})}, "REL, MIN or MAX", "hold"),
        ({"quantity": Quantity.VOLTAGE}, "Set the meter back to ohms", "function"),
        ({"mode": Mode.CONTINUITY}, "Set the meter back to ohms", "function"),
    ],
)
def test_readings_that_are_none_of_the_runs_are_not_used(
    more: dict[str, object], line: str, reason: str
) -> None:
    """HOLD, an old maximum, another function: one line, no event, a gap, and then it goes on."""
    rig = RunRig()
    rig.start()
    rig.heat_to(60.0)
    rig.hold(20.0, part=lambda _c: 12_345.0, given=more)
    assert line in rig.run.warning
    assert rig.run.alarms == 0
    rig.hold(10.0)
    assert rig.run.warning == ""
    rig.bench.act("run_end")
    finding = rig.ended.heat
    assert finding is not None
    assert finding.events == ()
    (gap,) = finding.gaps
    assert gap.reason == reason
    assert gap.end_s - gap.start_s == pytest.approx(20.5, abs=0.6)


def test_an_unplugged_meter_costs_only_the_time_it_was_away(rig: RunRig) -> None:
    """The link is lost and comes back: a gap, what was logged before and after is kept."""
    rig.start()
    rig.heat_to(60.0)
    away = rig.clock.monotonic() - rig.opened["A"]
    rig.say(LinkChange(t_s=away, channel="A", state=LinkState.LOST, detail="the port is gone"))
    assert "gone" in rig.view.banner or "lost" in rig.view.banner.lower()
    rig.pass_(30.0)
    back = rig.clock.monotonic() - rig.opened["A"]
    rig.say(
        Gap(channel="A", start_s=away, end_s=back, reason="lost"),
        LinkChange(t_s=back, channel="A", state=LinkState.LIVE),
    )
    rig.heat_to(70.0)
    assert [(g.reason, round(g.end_s - g.start_s)) for g in rig.runs.last.gaps] == [("lost", 30)]
    assert "No readings 30 s" in [row.title for row in rig.run.events]
    rig.bench.act("run_end")
    assert rig.ended.heat is not None
    assert rig.ended.heat.used == len(rig.runs.run_samples(rig.ended.run_id, "A"))


def test_a_meter_linked_anew_goes_on_in_the_same_seconds(rig: RunRig) -> None:
    """A new link counts its seconds from zero; the run goes on counting its own."""
    rig.start()
    rig.heat_to(60.0)
    rig.meter.disconnect()
    rig.pass_(10.0)
    rig.link()
    rig.hold(10.0)
    times = [r.t_s for r in rig.runs.last.readings if r.channel == "A"]
    assert times == sorted(times)
    assert times[-1] == pytest.approx(620.0, abs=1.0)
    rig.bench.act("run_end")
    assert rig.ended.heat is not None
    assert [g.reason for g in rig.ended.heat.gaps] == ["closed"]


def test_a_meter_that_never_comes_back_is_a_gap_up_to_the_end(rig: RunRig) -> None:
    """The end of a run says what was missing just before it."""
    rig.start()
    rig.heat_to(60.0)
    rig.pass_(60.0)
    rig.bench.act("run_end")
    assert rig.ended.heat is not None
    assert [(g.channel, g.reason) for g in rig.ended.heat.gaps if g.channel == "A"] == [
        ("A", "lost")
    ]


def test_a_page_that_drains_the_meter_does_not_take_it_from_the_run(rig: RunRig) -> None:
    """While the meters page is in front it empties the inbox; the run is told all the same."""
    rig.start()
    rig.heat_to(70.0, tick=False)
    rig.meter.take_in()
    rig.hold(2.0, part=opened, tick=False)
    rig.meter.take_in()
    rig.bench.tick()
    assert rig.run.alarms == 1


# --- keys -----------------------------------------------------------------------------------------


def test_marks_are_written_at_their_second(rig: RunRig) -> None:
    """Space marks a moment, T types a temperature, C turns the cycle; each is an entry."""
    rig.start()
    rig.hold(10.0)
    rig.bench.act("take")
    rig.bench.act("temperature")
    assert rig.view.ask is Ask.TEXT
    assert rig.view.run is not None
    rig.bench.act("submit", "41")
    rig.bench.act("close_visit")
    made = [(m.kind, m.value, m.t_s) for m in rig.marks if isinstance(m, RunMarked)]
    assert made == [
        (MarkKind.MOMENT, None, 10.0),
        (MarkKind.TEMPERATURE, 41.0, 10.0),
        (MarkKind.LEG, None, 10.0),
    ]


def test_a_temperature_that_cannot_be_read_stays_on_its_line(rig: RunRig) -> None:
    """What is wrong stands below the line; Esc leaves it and the run goes on."""
    rig.start()
    rig.bench.act("run_type")
    rig.bench.act("submit", "warm")
    assert "warm" in rig.view.text_error
    rig.bench.act("cancel")
    assert rig.view.ask is Ask.RUN
    assert rig.marks == []


@pytest.mark.parametrize(
    ("action", "argument"),
    [("skip", ""), ("back", ""), ("next", ""), ("goto", "coil_secondary"), ("zero", "")],
)
def test_steps_stay_while_a_run_is_on(rig: RunRig, action: str, argument: str) -> None:
    """Nothing leaves the step in the middle of a run; one line says which key ends it."""
    rig.start()
    with pytest.raises(StepError, match="press E to end it"):
        rig.bench.act(action, argument)
    assert rig.view.run is not None
    assert rig.run.stage is RunStage.RUNNING
    assert rig.entries(MovedTo) == []


def test_the_result_is_looked_at_until_a_key_goes_on(rig: RunRig) -> None:
    """E ends it: the verdict in words, told once it is in ink; then Right goes on."""
    rig.start()
    rig.heat_to(76.0)
    rig.hold(2.0, part=opened)
    rig.bench.act("run_end")
    assert rig.run.stage is RunStage.ENDED
    assert rig.run.verdict_text == "Break found at 76 °C, did not reclose"
    rig.bench.tick()
    assert rig.view.heard is not None
    assert rig.view.heard.text == rig.run.verdict_text
    rig.hold(30.0)
    assert rig.bench.visit.current.key == HEAT.key
    assert rig.bench.visit.standing(HEAT.key) is Standing.RUN
    assert rig.runs.last.closed
    rig.bench.act("skip")
    assert rig.bench.visit.current.key != HEAT.key


def test_a_run_struck_is_made_again_and_stays_on_the_slip(rig: RunRig) -> None:
    """Backspace strikes what was found; its line stays, struck, above the new one."""
    rig.start()
    rig.heat_to(40.0)
    rig.bench.act("run_end")
    rig.bench.act("redo")
    assert len(rig.entries(Struck)) == 1
    assert rig.run.stage is RunStage.READY
    assert [line.ink for line in rig.view.lines[:2]] == [Ink.STRUCK, Ink.TO_DO]
    rig.start()
    assert len(rig.runs.kept) == 2


def test_another_run_at_the_same_step_leaves_the_first(rig: RunRig) -> None:
    """R prepares a further run; nothing is struck."""
    rig.start()
    rig.heat_to(40.0)
    rig.bench.act("run_end")
    rig.bench.act("run_start")
    assert rig.run.stage is RunStage.READY
    rig.start()
    rig.bench.act("run_end")
    assert len(rig.entries(RunEnded)) == 2
    assert rig.entries(Struck) == []


def test_a_key_of_a_run_at_another_step_is_refused(rig: RunRig) -> None:
    """Marks belong to a run that is on."""
    with pytest.raises(StepError, match="no run is on"):
        rig.bench.act("run_mark")
    with pytest.raises(StepError, match="no run is on"):
        rig.bench.act("run_end")
    rig.bench.act("skip")
    with pytest.raises(StepError, match="no run"):
        rig.bench.act("run_start")


def test_a_visit_without_a_drill_says_so(rig: RunRig) -> None:
    """The drill's key where there is none."""
    with pytest.raises(StepError, match="no quit drill"):
        rig.bench.act("drill")


# --- the end of the program -----------------------------------------------------------------------


def reopened(rig: RunRig) -> RunRig:
    """The same visit on a new bench, from what the stores hold; the old one is simply gone."""
    return RunRig(
        meter=False,
        thermometer=False,
        store=rig.store,
        runs=rig.runs,
        visit=Visit(*rig.store.visit(rig.bench.visit.header.id)),
    )


@pytest.mark.parametrize("thermometer", [True, False])
def test_a_run_that_was_cut_is_finished_from_disk(*, thermometer: bool) -> None:
    """Killed in mid-run and opened again: the same events, marked as cut, said in one line."""
    rig = RunRig(thermometer=thermometer)
    rig.start()
    rig.heat_to(60.0)
    rig.bench.act("take")
    rig.heat_to(76.0)
    rig.hold(3.0, part=opened)
    rig.hold(10.0)
    live = rig.bench.run.work.finding(end_s=rig.bench.run.now_s)
    assert isinstance(live, HeatFinding)
    again = reopened(rig)
    assert again.view.banner.startswith("The run was cut at 14:1")
    ended = again.ended
    assert ended.cut
    assert ended.heat is not None
    assert Doubt.CUT in ended.heat.doubts
    assert ended.heat.events == live.events
    assert replace(ended.heat, doubts=()) == replace(
        live, doubts=(), duration_s=ended.heat.duration_s
    )
    assert again.run.stage is RunStage.ENDED
    assert "was cut at" in again.run.notes[0]
    assert again.run.alarms == 0
    assert "Mark" in [row.title for row in again.run.events]


def test_a_run_killed_before_its_first_sample_is_finished_too(rig: RunRig) -> None:
    """Nothing on disk: too few readings, and the visit is not stuck."""
    rig.start()
    rig.runs.kept.clear()
    again = reopened(rig)
    assert again.ended.heat is not None
    assert Doubt.SHORT in again.ended.heat.doubts
    again.bench.act("skip")


def test_an_ended_run_looks_the_same_when_its_visit_is_opened_again(rig: RunRig) -> None:
    """Figures, events, words and plot come from disk."""
    rig.start()
    rig.heat_to(76.0)
    rig.hold(20.0, part=opened)
    rig.hold(30.0)
    rig.bench.act("run_end")
    before = rig.run
    after = reopened(rig).run
    assert (after.stage, after.verdict_text, after.side) == (
        RunStage.ENDED,
        before.verdict_text,
        before.side,
    )
    assert [(r.title, r.number, r.severe) for r in after.events] == [
        (r.title, r.number, r.severe) for r in before.events
    ]
    assert [r.t_s for r in after.events] == pytest.approx([r.t_s for r in before.events], abs=3.0)
    assert before.plot is not None
    assert after.plot is not None
    assert after.plot.flags == before.plot.flags
    assert [t.title for t in after.plot.tracks] == ["Resistance", "Temperature"]
    assert after.plot.tracks[0].high[-1] == before.plot.tracks[0].high[-1]


def test_a_closer_look_comes_from_disk(rig: RunRig) -> None:
    """The plot between two moments, sample by sample; another run's id is refused."""
    rig.start()
    rig.heat_to(60.0)
    rig.bench.act("run_end")
    window = rig.bench.run_window(rig.run.run_id, 100.0, 110.0, 2000)
    assert (window.start_s, window.end_s) == (100.0, 110.0)
    ohms, warm = window.tracks
    assert ohms.t_s.tolist() == np.arange(100.0, 110.5, 0.5).tolist()
    assert ohms.high[0] == pytest.approx(copper(20.0 + 100.0 / 15.0) / 1e3, abs=0.01)
    assert warm.high[0] == pytest.approx(20.0 + 100.0 / 15.0, abs=0.1)
    with pytest.raises(NotFoundError):
        rig.bench.run_window("another", 0.0, 1.0, 10)


def test_a_store_that_has_trouble_is_said_in_the_banner(rig: RunRig) -> None:
    """Samples that are not on disk yet are said to be so."""
    rig.start()
    rig.runs.last.trouble = "the disk is full"
    assert rig.view.banner == "The run is not saved yet: the disk is full. Trying again"


def test_a_run_cut_by_an_orderly_close_says_so() -> None:
    """The program is closed in mid-run: the run ends as cut, with all that was read."""
    rig = RunRig(runs=FakeRunStore())
    rig.start()
    rig.heat_to(40.0, tick=False)
    rig.bench.run.end(cut=True)
    assert rig.ended.cut
    assert rig.ended.heat is not None
    assert rig.ended.heat.used == len(rig.runs.run_samples(rig.ended.run_id, "A"))


def test_a_hand_held_may_switch_itself_off(rig: RunRig) -> None:
    """A long run with a hand-held says so before it starts, and not while it is on."""
    rig.hold(1.0)
    assert any("may switch itself off" in note for note in rig.run.notes)
    rig.bench.act("run_start")
    assert not any("may switch itself off" in note for note in rig.run.notes)


def test_a_change_of_range_is_no_event(rig: RunRig) -> None:
    """The meter goes up a range in mid-run: coarser counts, the same part."""
    rig.start()
    rig.heat_to(50.0)
    coarse = {"resolution": 100.0, "full_scale": 220e3}
    rig.hold(60.0, per_minute=4.0, part=lambda c: 100.0 * round(copper(c) / 100.0), given=coarse)
    rig.hold(60.0, per_minute=4.0)
    assert (rig.run.alarms, rig.run.warning) == (0, "")
    rig.bench.act("run_end")
    assert rig.ended.heat is not None
    assert (rig.ended.heat.events, rig.ended.heat.gaps) == ((), ())


# --- what a run depends on ------------------------------------------------------------------------


def test_a_run_that_depends_on_the_application_asks_for_it_first() -> None:
    """The plan with its speeds comes from the option chosen, and is frozen into the visit."""
    fast = RunPlan(kind=RunKind.ENGINE, pulses_per_rev=1.0, cycles=4)
    slow = RunPlan(kind=RunKind.ENGINE, pulses_per_rev=0.5, cycles=2)
    check = replace(
        HEAT,
        run=RunPlan(kind=RunKind.ENGINE),
        option_group="application",
        option_question="What does it drive?",
        options=(
            BandOption(key="pump", text="pump", run=fast),
            BandOption(key="mower", text="mower", run=slow),
        ),
    )
    rig = RunRig(check)
    assert rig.view.ask is Ask.OPTION
    assert rig.view.run is None
    with pytest.raises(StepError, match="first answer: What does it drive"):
        rig.bench.act("run_start")
    rig.bench.act("choose", "2")
    assert rig.view.ask is Ask.RUN
    rig.bench.act("run_start")
    assert [e.plan for e in rig.started if isinstance(e, RunStarted)] == [slow]


def test_what_is_stated_of_the_meter_is_kept_with_the_run() -> None:
    """The accuracy that held when the run began; with nothing stated, none."""
    stated = RunRig()
    stated.bench.meter.set_accuracy("0.5% + 3")
    stated.hold(1.0)
    stated.start()
    silent = RunRig()
    silent.bench.meter.set_accuracy("")
    silent.hold(1.0)
    silent.start()
    kept = [
        e.accuracy for rig in (stated, silent) for e in rig.started if isinstance(e, RunStarted)
    ]
    assert kept[0] is not None
    assert (kept[0].percent, kept[0].counts) == (0.5, 3.0)
    assert kept[1] is None
