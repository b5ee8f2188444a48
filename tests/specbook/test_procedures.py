"""Procedures for the complaints: their checks in order, what a class changes, how long they get."""

import pytest

from benchassist.core.procedure import Check, CheckKind, Leaning
from benchassist.core.quantity import Quantity
from benchassist.core.run import HeatedPart, RunKind
from benchassist.specbook.book import Book
from tests.specbook.shelf import BENCH, CLASSES, COMPLAINTS, procedure

ORDER = {
    "quits_hot": """fuel_vent oil_level spark_inline quit_drill made_safe stop_insulation cap
        coil_secondary path heat_run air_gap stop_wire_back engine_run stop_works""",
    "no_start": """oil_level fuel_sample prime_cold spark_tester made_safe stop_insulation cap
        coil_secondary flywheel_key compression stop_wire_back stop_works""",
    "hard_start": """choke_works fuel_sample release_pull spark_tester made_safe plug_look plug_gap
        cap air_gap lash_intake lash_exhaust stop_wire_back stop_works""",
    "surges": """governor_link fuel_vent choke_helps engine_run generator_run made_safe fuel_sample
        bowl_flow intake_seal plug_look stop_works""",
    "misfires_under_load": """choke_helps spark_inline quit_drill made_safe plug_look plug_gap cap
        bowl_flow exhaust_screen leakdown heat_run_cap stop_wire_back engine_run stop_works""",
    "no_idle_down": """idle_stop cable_return idle_control governor_link soap_test idle_down_run
        tank_run made_safe intake_seal engine_run stop_works""",
    "no_shut_off": """stop_wire_look run_on solenoid_click made_safe stop_switch stop_insulation
        plug_look cooling_fins stop_wire_back idle_low stop_works""",
    "backfires": """idle_first choke_helps solenoid_click made_safe plug_look intake_seal leakdown
        lash_intake lash_exhaust flywheel_key air_gap engine_run stop_works""",
    "service": """oil_level made_safe plug_gap cap coil_secondary path air_gap lash_intake
        lash_exhaust engine_run generator_run tank_run stop_works""",
}
"""The checks of class A, worked in this order."""

LONGEST = 14

# Trade notes C: the cause that weighs most and what tells it quickest, per complaint.
QUICKEST = {
    "quits_hot": {"fuel_vent", "oil_level", "spark_inline", "quit_drill"},
    "no_start": {"fuel_sample", "prime_cold", "spark_tester", "flywheel_key"},
    "hard_start": {"choke_works", "fuel_sample", "plug_look", "air_gap", "lash_exhaust"},
    "surges": {"choke_helps", "intake_seal", "governor_link"},
    "misfires_under_load": {"plug_look", "cap", "choke_helps", "leakdown", "exhaust_screen"},
    "no_idle_down": {"soap_test", "cable_return", "idle_stop", "tank_run"},
    "no_shut_off": {"stop_switch", "run_on"},
    "backfires": {"idle_first", "flywheel_key", "lash_intake", "solenoid_click"},
}


def keys(name: str, engine: str) -> list[str]:
    """The checks of a procedure for a class, in order."""
    return [check.key for check in procedure(name, engine).checks]


@pytest.mark.parametrize("name", COMPLAINTS)
def test_the_checks_of_class_a_stand_in_their_order(name: str) -> None:
    """What is cheap and what perishes first, tools later, speed and the proof of the stop last."""
    assert keys(name, "A") == ORDER[name].split()


@pytest.mark.parametrize("name", COMPLAINTS)
@pytest.mark.parametrize("engine", CLASSES)
def test_a_procedure_can_be_worked_in_one_go(name: str, engine: str) -> None:
    """No class has more steps than fit the ribbon, or fewer than tell anything."""
    assert 8 <= len(keys(name, engine)) <= LONGEST


@pytest.mark.parametrize("name", COMPLAINTS)
@pytest.mark.parametrize("engine", CLASSES)
def test_every_machine_is_seen_to_stop(name: str, engine: str) -> None:
    """The last step of every complaint proves the stop."""
    assert keys(name, engine)[-1] == "stop_works"


@pytest.mark.parametrize("name", list(QUICKEST))
def test_the_quickest_discriminators_are_there(name: str) -> None:
    """For class A each complaint has what tells its likeliest causes apart."""
    assert QUICKEST[name] <= set(keys(name, "A"))


@pytest.mark.parametrize("engine", CLASSES)
def test_what_perishes_stands_before_any_ohms(engine: str) -> None:
    """Quits hot: vent and oil, then the tester hot and the drill, and only then cold ohms."""
    order = keys("quits_hot", engine)
    first_ohms = next(
        n
        for n, check in enumerate(procedure("quits_hot", engine).checks)
        if check.quantity is Quantity.RESISTANCE
    )
    assert order.index("fuel_vent") < order.index("spark_inline") < order.index("quit_drill")
    assert order.index("quit_drill") < order.index("made_safe") < first_ohms
    assert first_ohms < order.index("heat_run") < order.index("stop_wire_back")
    assert order.index("stop_wire_back") < order.index("engine_run") < order.index("stop_works")


@pytest.mark.parametrize("engine", ["A", "B", "C", "D", "E", "unknown"])
def test_the_gap_is_set_after_the_coil_was_off(engine: str) -> None:
    """A heat run takes the coil off the engine: the gap is measured when it is back."""
    order = keys("quits_hot", engine)
    assert order.index("heat_run") < order.index("air_gap")


def test_a_class_changes_what_it_has_and_has_not() -> None:
    """No oil, bowl or lash in a two-stroke, no tank on a mower; points and trigger where fitted."""
    two_stroke = {key for name in COMPLAINTS for key in keys(name, "D")}
    mower = {key for name in COMPLAINTS for key in keys(name, "B")}
    tank = {"soap_test", "idle_down_run", "tank_run", "generator_run"}
    assert not two_stroke & ({"oil_level", "bowl_flow", "lash_intake", "lash_exhaust"} | tank)
    assert not mower & tank
    assert {"exciter", "trigger"} <= set(keys("no_start", "E"))
    assert "points_gap" in keys("no_start", "C")
    assert "coil_supply" in keys("no_start", "F")
    assert not {"stop_insulation", "stop_switch", "air_gap"} & {
        key for name in COMPLAINTS for key in keys(name, "F")
    }


def test_complaints_lead_to_procedures() -> None:
    """Each complaint has its own; 'quits hot' is one of the two that begin with it."""
    found = {complaint.key: complaint.procedure for complaint in Book().complaints()}
    assert list(found) == list(COMPLAINTS)
    assert {key: name for key, name in found.items() if key != "quits_hot"} == {
        key: key for key in COMPLAINTS if key != "quits_hot"
    }
    assert found["quits_hot"] in {"quits_hot", BENCH}


def every_check() -> list[Check]:
    """Every check of every complaint, once, as class A words it."""
    found = {c.key: c for name in COMPLAINTS for c in procedure(name, "A").checks}
    return list(found.values())


@pytest.mark.parametrize("check", every_check(), ids=lambda check: check.key)
def test_texts_are_plain_and_fit(check: Check) -> None:
    """Answers fit their line, reasons are short, and nobody is begged or shouted at."""
    assert all(0 < len(answer.text) <= 36 for answer in check.answers)
    assert len(check.why) <= 210
    words = f"{check.title} {check.touch} {check.setting} {check.why}"
    assert "!" not in words
    assert not any(word in words.lower() for word in ("please", "simply", " good", "fail"))


@pytest.mark.parametrize("check", every_check(), ids=lambda check: check.key)
def test_an_answer_leans_and_no_more(check: Check) -> None:
    """A look that can tell has an answer for either side, or says it was not done."""
    leanings = {answer.leaning for answer in check.answers}
    if check.kind is CheckKind.LOOK and Leaning.SOUND in leanings:
        assert Leaning.SUSPECT in leanings


def test_runs_have_their_keys() -> None:
    """The keys that causes and the practice bench look for, with what each run is."""
    runs = {c.key: c.run for c in every_check() if c.run is not None}
    assert {key: run.kind for key, run in runs.items()} == {
        "heat_run": RunKind.HEAT,
        "heat_run_cap": RunKind.HEAT,
        "engine_run": RunKind.ENGINE,
        "generator_run": RunKind.ENGINE,
        "idle_down_run": RunKind.ENGINE,
        "tank_run": RunKind.TANK,
        "quit_drill": RunKind.DRILL,
    }
    assert runs["heat_run"].part is HeatedPart.WINDING
    assert runs["heat_run_cap"].part is HeatedPart.CAP
    assert [key for key, run in runs.items() if run.loads] == ["generator_run"]
    assert [key for key, run in runs.items() if run.tank_pressure] == ["idle_down_run"]
