import pytest

from benchassist.core.band import Verdict
from benchassist.core.run import DrillStep, MarkKind, RunKind, RunPlan
from benchassist.core.run_finding import DrillFinding, DrillLeaning
from benchassist.errors import StepError
from benchassist.services.desk import Action
from benchassist.services.runs.drill_text import drill_words
from benchassist.services.runs.drill_work import DrillWork
from benchassist.services.runs.view import DrillView, RunStage
from benchassist.units import UnitChoice
from tests.services.run_bench import RunBench, setting_of

STEPS = (
    DrillStep(
        key="spark",
        question="Three pulls on the tester: spark?",
        answers=(("yes", "spark"), ("none", "no spark")),
        detail="Fuel cap shut.",
        until_s=60.0,
    ),
    DrillStep(
        key="spark_isolated",
        question="Stop wire off, one pull: spark?",
        answers=(("yes", "spark, wire off"), ("none", "no spark, wire off")),
        after=("spark:none",),
        until_s=75.0,
    ),
    DrillStep(
        key="vent",
        question="Cap opened and shut: restarts?",
        answers=(("restarts", "restarts"), ("hiss", "it hissed"), ("no_change", "no hiss")),
    ),
)
PLAN = RunPlan(kind=RunKind.DRILL, cycles=0, drill=STEPS)


def drill() -> RunBench:
    """An engine that has just died."""
    return RunBench(DrillWork, setting_of(PLAN))


def shown(bench: RunBench) -> DrillView:
    """The question as it stands."""
    view = bench.view.drill
    assert view is not None
    return view


def found(bench: RunBench) -> DrillFinding:
    """The finding, which is a drill's."""
    finding = bench.finding
    assert isinstance(finding, DrillFinding)
    return finding


def test_the_clock_runs_from_the_start_and_one_question_stands() -> None:
    """Minutes and seconds since it died; the first step with its keys and its limit's detail."""
    bench = drill()
    bench.now_s = 7.9
    view = bench.view
    assert (view.figures[0].label, view.figures[0].digits) == ("Since it died", "0:07")
    asked = shown(bench)
    assert asked.question == STEPS[0].question
    assert asked.detail == "Fuel cap shut."
    assert [(c.press, c.text) for c in asked.choices] == [
        ("1", "spark"),
        ("2", "no spark"),
        ("0", "not done"),
    ]
    assert bench.work.wanted is None


def test_answers_lead_to_the_steps_they_make_due() -> None:
    """With spark the isolated pull is left out; without, it comes next."""
    bench = drill()
    bench.press(Action.RUN_ANSWER, "1", at=20.0)
    assert shown(bench).question == STEPS[2].question
    other = drill()
    other.press(Action.RUN_ANSWER, "2", at=20.0)
    assert shown(other).question == STEPS[1].question
    assert [(row.time_text, row.title) for row in shown(other).done] == [("20 s", "no spark")]


def test_leaning_is_evidence_and_no_verdict() -> None:
    """Spark only with the wire off points to the stop wire, in words that say it is not proved."""
    bench = drill()
    bench.press(Action.RUN_ANSWER, "2", at=20.0)
    assert bench.view.band_text == ""
    bench.press(Action.RUN_ANSWER, "1", at=40.0)
    view = bench.view
    assert view.band_text == "Points to: stop wire or switch. Not proved."
    assert view.verdict is None
    assert found(bench).leaning is DrillLeaning.STOP_CIRCUIT
    ended = bench.ended
    assert ended.verdict is Verdict.BY_EYE
    words = drill_words(found(bench), PLAN, UnitChoice())
    assert words.words == "points to stop wire or switch"
    assert words.proved == ()
    assert words.not_proved == ("Quit drill points to stop wire or switch: not proved.",)


def test_an_isolated_wire_is_called_back_until_the_end() -> None:
    """From that answer on a note says to reconnect it; once all is answered it is the warning."""
    bench = drill()
    bench.press(Action.RUN_ANSWER, "2", at=20.0)
    assert not any("reconnect" in note for note in bench.view.notes)
    bench.press(Action.RUN_ANSWER, "1", at=40.0)
    assert "reconnect it" in bench.view.notes[0]
    assert bench.view.warning == ""
    bench.press(Action.RUN_ANSWER, "3", at=60.0)
    assert "reconnect it" in bench.view.warning
    assert any("reconnect it" in note for note in bench.ended.notes)
    with_spark = drill()
    with_spark.press(Action.RUN_ANSWER, "1", at=20.0)
    with_spark.press(Action.RUN_ANSWER, "1", at=40.0)
    assert not any("reconnect" in note for note in with_spark.view.notes)
    assert with_spark.view.warning == ""


def test_a_late_finding_is_marked_weak() -> None:
    """After its evidence went cold an answer still counts and says so."""
    bench = drill()
    bench.press(Action.RUN_ANSWER, "1", at=20.0)
    bench.now_s = 100.0
    assert any("More than 90 s" in note for note in bench.view.notes)
    bench.press(Action.RUN_ANSWER, "1", at=104.0)
    assert found(bench).late == ("vent",)
    assert [row.detail for row in shown(bench).done] == ["", "after 90 s: weak"]
    words = drill_words(found(bench), PLAN, UnitChoice())
    assert "weak" in words.detail[-1]


def test_backspace_takes_the_last_answer_back() -> None:
    """Its question is asked again; told again, the finding is the same."""
    bench = drill()
    bench.press(Action.RUN_ANSWER, "2", at=20.0)
    bench.press(Action.RUN_ANSWER, "2", at=30.0)
    assert found(bench).leaning is DrillLeaning.SPARK
    bench.press(Action.RUN_DROP, at=33.0)
    assert found(bench).leaning is DrillLeaning.OPEN
    assert shown(bench).question == STEPS[1].question
    bench.press(Action.RUN_ANSWER, "1", at=35.0)
    assert found(bench).leaning is DrillLeaning.STOP_CIRCUIT
    assert bench.again() == bench.finding
    for _n in range(2):
        bench.press(Action.RUN_DROP, at=36.0)
    with pytest.raises(StepError, match="no answer"):
        bench.press(Action.RUN_DROP, at=37.0)


def test_a_step_passed_over_leaves_no_evidence() -> None:
    """0 goes on without an answer; the mark says so, and a drop brings the step back."""
    bench = drill()
    bench.press(Action.RUN_ANSWER, "0", at=20.0)
    assert found(bench).answers == ()
    assert shown(bench).question == STEPS[2].question
    bench.press(Action.RUN_DROP, at=22.0)
    assert shown(bench).question == STEPS[0].question


def test_when_all_is_answered_the_end_is_offered() -> None:
    """No question is left; another key is refused in one line."""
    bench = drill()
    bench.press(Action.RUN_ANSWER, "1", at=20.0)
    bench.press(Action.RUN_ANSWER, "1", at=50.0)
    view = bench.view
    assert view.main is not None
    assert view.main.action == Action.RUN_END
    assert shown(bench).choices == ()
    assert found(bench).leaning is DrillLeaning.VENT
    with pytest.raises(StepError, match="press E"):
        bench.press(Action.RUN_ANSWER, "1", at=51.0)


def test_wrong_keys_say_which_are_right() -> None:
    """A number beyond the answers, and a key that means nothing here."""
    bench = drill()
    with pytest.raises(StepError, match="1 to 2"):
        bench.press(Action.RUN_ANSWER, "7", at=3.0)
    with pytest.raises(StepError, match="number of what you see"):
        bench.press(Action.RUN_TYPE, at=3.0)


def test_a_moment_stands_among_what_happened() -> None:
    """Space marks a moment beside the answers, in order of time."""
    bench = drill()
    bench.press(Action.RUN_MARK, at=5.0)
    bench.press(Action.RUN_ANSWER, "1", at=20.0)
    assert [row.title for row in bench.view.events] == ["Mark", "spark"]
    kinds = [mark.kind for mark in bench.marks]
    assert kinds == [MarkKind.MOMENT, MarkKind.ANSWER]
    assert bench.marks[-1].text == "spark:yes"


def test_before_it_died_space_starts_the_clock() -> None:
    """The kit is laid out; one key, the pedal too."""
    bench = drill()
    ready = bench.work.view(0.0, RunStage.READY)
    assert ready.main is not None
    assert (ready.main.press, ready.main.action) == ("Space", Action.RUN_START)
    assert bench.work.keys(RunStage.READY)[0].pedal
    assert drill_words(found(bench), PLAN, UnitChoice()).verdict is None
