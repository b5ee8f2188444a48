"""The quit drill: order, inference, and what went cold."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.quit_drill import Drill, leaning
from benchassist.core.run import DrillStep
from benchassist.core.run_finding import DrillAnswer, DrillLeaning

ANSWERS = {
    "temps": ("taken", "none"),
    "spark": ("yes", "none"),
    "spark_isolated": ("yes", "none"),
    "vent": ("restarts", "hiss", "no_change"),
    "fuel_drops": ("fires", "no"),
    "compression": ("soft", "firm"),
}
AFTER = {
    "spark_isolated": ("spark:none",),
    "fuel_drops": ("spark:yes", "spark_isolated:yes", "vent:hiss", "vent:no_change"),
}
UNTIL = {"temps": 20.0, "spark": 60.0, "spark_isolated": 75.0}
STEPS = tuple(
    DrillStep(
        key=key,
        question=key,
        answers=tuple((answer, answer) for answer in answers),
        after=AFTER.get(key, ()),
        until_s=UNTIL.get(key, 90.0),
    )
    for key, answers in ANSWERS.items()
)


def asked(**answers: str) -> list[str]:
    """The steps that come up when each is answered so; those without an answer are skipped."""
    drill, order = Drill(STEPS), []
    while (step := drill.due()) is not None:
        order.append(step.key)
        if step.key in answers:
            drill.answer(step.key, answers[step.key], 10.0)
        else:
            drill.skip(step.key)
    assert drill.is_done
    return order


def test_the_isolated_pull_is_due_only_without_a_spark() -> None:
    """And every other step in its order."""
    rest = {"temps": "taken", "vent": "hiss", "fuel_drops": "no", "compression": "firm"}
    assert asked(spark="yes", **rest) == [
        "temps",
        "spark",
        "vent",
        "fuel_drops",
        "compression",
    ]
    assert asked(spark="none", spark_isolated="yes", **rest) == list(ANSWERS)


@pytest.mark.parametrize(
    ("answers", "points_at"),
    [
        ({"spark": "none", "spark_isolated": "none"}, DrillLeaning.SPARK),
        ({"spark": "none", "spark_isolated": "yes"}, DrillLeaning.STOP_CIRCUIT),
        ({"spark": "yes", "vent": "restarts"}, DrillLeaning.VENT),
        ({"spark": "yes", "vent": "hiss", "fuel_drops": "fires"}, DrillLeaning.FUEL),
        ({"spark": "yes", "fuel_drops": "no", "compression": "soft"}, DrillLeaning.VALVE),
        ({"spark": "yes", "fuel_drops": "no", "compression": "firm"}, DrillLeaning.OPEN),
        ({"spark": "none"}, DrillLeaning.OPEN),
        ({"fuel_drops": "no", "compression": "soft"}, DrillLeaning.OPEN),
        ({"spark": "none", "spark_isolated": "none", "compression": "soft"}, DrillLeaning.SPARK),
        ({}, DrillLeaning.OPEN),
    ],
)
def test_what_the_answers_point_at(answers: dict[str, str], points_at: DrillLeaning) -> None:
    """The table of the module, which is common practice."""
    assert leaning(answers) is points_at


@given(st.fixed_dictionaries({}, optional={k: st.sampled_from(v) for k, v in ANSWERS.items()}))
def test_no_spark_question_no_ignition(answers: dict[str, str]) -> None:
    """Nothing points at ignition unless the tester was seen without a spark."""
    found = leaning(answers)
    if found in {DrillLeaning.SPARK, DrillLeaning.STOP_CIRCUIT}:
        assert answers["spark"] == "none"
        assert "spark_isolated" in answers
    if found is DrillLeaning.VALVE:
        assert (answers["spark"], answers["compression"]) == ("yes", "soft")


def test_late_answers_are_named_and_count() -> None:
    """The spark seen at 70 s was due by 60."""
    drill = Drill(STEPS)
    drill.answer("spark", "none", 70.0)
    drill.answer("spark_isolated", "none", 74.0)
    found = drill.finding()
    assert found.late == ("spark",)
    assert found.leaning is DrillLeaning.SPARK
    assert found.answers == (
        DrillAnswer(step="spark", answer="none", t_s=70.0),
        DrillAnswer(step="spark_isolated", answer="none", t_s=74.0),
    )


def test_an_answer_can_be_given_again_and_taken_back() -> None:
    """The last one holds; taken back, its step is due again."""
    drill = Drill(STEPS)
    drill.answer("temps", "taken", 5.0)
    drill.answer("spark", "none", 20.0)
    drill.answer("spark", "yes", 25.0)
    assert drill.finding().answers[-1] == DrillAnswer(step="spark", answer="yes", t_s=25.0)
    taken_back = drill.undo()
    assert taken_back is not None
    assert taken_back.answer == "yes"
    due = drill.due()
    assert due is not None
    assert due.key == "spark"


def test_what_the_plan_does_not_have_is_refused() -> None:
    """An unknown step, an unknown answer, a condition on neither, a key twice."""
    drill = Drill(STEPS)
    with pytest.raises(ValueError, match="'spark:blue' is no answer"):
        drill.answer("spark", "blue", 1.0)
    with pytest.raises(ValueError, match="no step"):
        drill.skip("oil")
    with pytest.raises(ValueError, match="same key"):
        Drill((STEPS[0], STEPS[0]))
    with pytest.raises(ValueError, match="comes after 'spark:none'"):
        Drill((STEPS[2],))
