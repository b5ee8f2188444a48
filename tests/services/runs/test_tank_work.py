from dataclasses import replace

import pytest

from benchassist.core.band import Verdict
from benchassist.core.entry import RunEnded, Stamp
from benchassist.core.run import MarkKind, RunKind, RunPlan
from benchassist.core.run_finding import GaugeMark, TankFinding
from benchassist.errors import InputError, StepError
from benchassist.services.desk import Action
from benchassist.services.runs.tank_text import tank_words
from benchassist.services.runs.tank_work import TankWork
from benchassist.services.runs.view import RunStage
from benchassist.services.runs.work import Earlier
from benchassist.units import PressureUnit, TemperatureUnit, UnitChoice
from tests.services.run_bench import AT, RunBench, setting_of

PLAN = RunPlan(kind=RunKind.TANK, cycles=0)
US = UnitChoice(pressure=PressureUnit.PSI, temperature=TemperatureUnit.FAHRENHEIT)
PSI = 6894.757293168361
GALLON = 231.0 * 0.0254**3


def earlier(seconds: float) -> Earlier:
    """A pump-up from 0 to 125 psi on 9 Jun 2026 that took so long."""
    marks = tuple(GaugeMark(t_s=seconds * i / 5.0, pascal=25.0 * i * PSI) for i in range(6))
    return Earlier(
        ended=RunEnded(
            stamp=Stamp(id="e", visit_id="v0", seq=9, at=AT),
            check_key="run",
            run_id="r0",
            tank=TankFinding(marks=marks, pump_up_s=seconds),
        ),
        text="Visit of 9 Jun 2026",
    )


def tank(units: UnitChoice = US, *, before: Earlier | None = None) -> RunBench:
    """A tank run in a shop with its thermometer at 20 °C."""
    return RunBench(TankWork, setting_of(PLAN, units=units, earlier=before, shop_celsius=20.0))


def pump_up(bench: RunBench, *, step_s: float, marks: int = 6, start_s: float = 10.0) -> None:
    """Space at each gauge mark."""
    for i in range(marks):
        bench.press(Action.RUN_MARK, at=start_s + step_s * i)


def found(bench: RunBench) -> TankFinding:
    """The finding, which is a tank's."""
    finding = bench.finding
    assert isinstance(finding, TankFinding)
    return finding


def test_space_marks_the_next_of_the_stated_gauge_marks() -> None:
    """0, 25, 50 psi; in a shop of kilopascal 0, 200, 400."""
    bench = tank()
    pump_up(bench, step_s=30.0, marks=3)
    assert [m.pascal / PSI for m in found(bench).marks] == pytest.approx([0.0, 25.0, 50.0])
    assert bench.work.keys(RunStage.RUNNING)[0].text == "75 psi"
    metric = tank(UnitChoice())
    pump_up(metric, step_s=30.0, marks=3)
    assert [m.pascal for m in found(metric).marks] == [0.0, 200e3, 400e3]
    assert metric.view.table.rows[1][0] == "200 kPa"


def test_a_typed_mark_stands_at_the_moment_of_its_key() -> None:
    """The gauge is typed after the key; Space goes on with the next mark above it."""
    bench = tank()
    pump_up(bench, step_s=30.0, marks=2)
    bench.press(Action.RUN_TYPE, at=55.0)
    bench.type("40", after=6.0)
    assert found(bench).marks[-1] == GaugeMark(t_s=55.0, pascal=round(40.0 * PSI, 1))
    bench.press(Action.RUN_MARK, at=70.0)
    assert found(bench).marks[-1].pascal == pytest.approx(50.0 * PSI)


def test_volume_air_and_altitude_are_asked_once_for_free_air() -> None:
    """M asks for the three in a row; free air follows in cubic feet a minute with its doubt.

    60 gal from 0 to 125 psi in 250 s: 60 x 0.1337 x 125 / 14.7 / (250 / 60) = 16.4 ft³/min
    (common rule of the trade), here with the air at 20 °C and sea level.
    """
    bench = tank()
    assert bench.view.guide.startswith("M: type the tank’s volume")
    bench.press(Action.RUN_TYPE, at=1.0)
    for text in ("60", "", ""):
        bench.type(text)
    assert bench.work.question() is None
    pump_up(bench, step_s=50.0)
    finding = found(bench)
    assert finding.volume == pytest.approx(60.0 * GALLON, rel=1e-6)
    assert (finding.ambient, finding.altitude) == (20.0, 0.0)
    assert finding.free_air is not None
    assert finding.free_air * 60.0 / 0.3048**3 == pytest.approx(16.37, abs=0.02)
    figure = bench.view.figures[2]
    assert figure.unit == "ft³/min"
    assert figure.label.startswith("Free air ±")
    assert bench.again() == finding


def test_litres_metres_and_fahrenheit_are_understood() -> None:
    """Units typed win over the shop's."""
    bench = tank()
    bench.press(Action.RUN_TYPE, at=1.0)
    for text in ("200 L", "25 °C", "350 m"):
        bench.type(text)
    finding = found(bench)
    assert finding.volume == pytest.approx(0.2)
    assert (finding.ambient, finding.altitude) == (25.0, 350.0)
    other = tank()
    other.press(Action.RUN_TYPE, at=1.0)
    for text in ("60 gal", "68", "1000"):
        other.type(text)
    assert found(other).ambient == pytest.approx(20.0)
    assert found(other).altitude == pytest.approx(304.8)


@pytest.mark.parametrize(
    ("before", "wrong"),
    [
        ((), "0"),
        ((), "-5 gal"),
        ((), "60 psi"),
        ((), "99999"),
        (("60",), "200"),
        (("60", "70"), "99999 ft"),
        (("60", "70"), "x"),
    ],
)
def test_impossible_figures_are_refused_and_asked_again(
    before: tuple[str, ...], wrong: str
) -> None:
    """One line that says what would be right; the question stays."""
    bench = tank()
    bench.press(Action.RUN_TYPE, at=1.0)
    for text in before:
        bench.type(text)
    asked = bench.work.question()
    with pytest.raises(InputError) as refused:
        bench.type(wrong)
    assert "\n" not in str(refused.value)
    assert bench.work.question() == asked


def test_cut_out_and_cut_in_are_typed_at_their_keys() -> None:
    """The cut-out ends the pump-up; the cut-in follows; then the run is done."""
    bench = tank()
    pump_up(bench, step_s=50.0)
    bench.press(Action.RUN_TURN, at=290.0)
    bench.type("140")
    assert bench.work.keys(RunStage.RUNNING)[1].text == "Cut-in"
    bench.press(Action.RUN_TURN, at=350.0)
    bench.type("110 psi")
    finding = found(bench)
    assert finding.cut_out == pytest.approx(140.0 * PSI)
    assert finding.cut_in == pytest.approx(110.0 * PSI)
    assert finding.pump_up_s == pytest.approx(280.0)
    assert "E ends the run" in bench.view.guide
    assert [row.title for row in bench.view.events] == ["Cut-out 140 psi", "Cut-in 110 psi"]
    assert bench.again() == finding


def test_the_first_run_is_recorded_as_the_baseline() -> None:
    """Nothing earlier to hold it against: recorded, no verdict, and said so."""
    bench = tank()
    pump_up(bench, step_s=50.0)
    assert "Recorded as the baseline" in bench.view.band_text
    ended = bench.ended
    assert ended.verdict is Verdict.RECORDED
    words = tank_words(found(bench), PLAN, US)
    assert words.words == "0 to 125 psi in 4:10"
    assert "Free air: needs the tank’s volume." in words.not_proved


@pytest.mark.parametrize(
    ("step_s", "said", "hint"),
    [
        (56.0, "12 % slower than on 9 Jun 2026, ±1 %.", False),
        (65.0, "30 % slower than on 9 Jun 2026, ±1 %.", True),
        (44.0, "12 % faster than on 9 Jun 2026, ±1 %.", False),
        (50.0, "As fast as on 9 Jun 2026, within ±1 %.", False),
    ],
)
def test_pump_up_is_held_against_its_own_baseline(step_s: float, said: str, hint: bool) -> None:
    """In percent, with the doubt of the keys; far slower names what to look at."""
    bench = tank(before=earlier(250.0))
    pump_up(bench, step_s=step_s)
    assert bench.view.band_text == said
    assert any("reeds" in note for note in bench.view.notes) is hint
    assert bench.view.table.headings[-1] == "Last visit"
    assert bench.view.table.rows[-1][1][-1].text == "4:10"


def test_the_safety_valve_line_stands_at_every_stage() -> None:
    """Before, during and after; nothing tells to touch it."""
    bench = tank()
    for stage in RunStage:
        notes = bench.work.view(0.0, stage).notes
        assert notes[0].startswith("Safety valve: leave it free and as set")


def test_backspace_takes_the_last_mark_back() -> None:
    """The mark pressed too early goes; the next key marks the same pressure again."""
    bench = tank()
    pump_up(bench, step_s=50.0, marks=3)
    bench.press(Action.RUN_DROP)
    assert len(found(bench).marks) == 2
    bench.press(Action.RUN_MARK, at=115.0)
    assert found(bench).marks[-1] == GaugeMark(t_s=115.0, pascal=round(50.0 * PSI, 1))
    assert bench.again() == bench.finding
    empty = tank()
    with pytest.raises(StepError):
        empty.press(Action.RUN_DROP, at=1.0)


def test_plot_shows_the_gauge_in_the_shops_unit() -> None:
    """Typed points over time; the axis grows by the minute; the words say the pump-up."""
    bench = tank()
    pump_up(bench, step_s=50.0)
    plot = bench.view.plot
    assert plot is not None
    track = plot.tracks[0]
    assert (track.unit, track.typed) == ("psi", True)
    assert list(track.high) == pytest.approx([0.0, 25.0, 50.0, 75.0, 100.0, 125.0])
    assert plot.end_s == 300.0
    assert plot.summary == "0 to 125 psi in 4:10"


def test_esc_leaves_what_was_asked() -> None:
    """No question stands, nothing was marked, and the next key asks again."""
    bench = tank()
    bench.press(Action.RUN_TYPE, at=1.0)
    bench.work.forget_question()
    assert bench.work.question() is None
    assert bench.marks == []
    bench.press(Action.RUN_TYPE, at=2.0)
    asked = bench.work.question()
    assert asked is not None
    assert asked.label == "Tank volume"


def test_words_say_what_free_air_stands_on() -> None:
    """Tank, air and height, assumed ones named as assumed."""
    bench = tank()
    bench.press(Action.RUN_TYPE, at=1.0)
    bench.type("60")
    bench.work.forget_question()
    pump_up(bench, step_s=50.0)
    words = tank_words(found(bench), replace(PLAN), US)
    basis = words.detail[-1]
    assert basis == "Free air from tank 60 gal, air 68 °F assumed, sea level assumed."
    assert words.detail[0].startswith("free air 16.4 ft³/min ±")
    assert all(m.kind is not MarkKind.DROP for m in bench.marks)
