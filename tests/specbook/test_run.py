"""Runs in the spec book: their plans, speeds of common practice, and the steps of the drill."""

from pathlib import Path

import pytest

from benchassist.core.band import Band, BandSource
from benchassist.core.procedure import BandOption, Check
from benchassist.core.quit_drill import Drill
from benchassist.core.run import DrillStep, HeatedPart, RunPlan, SpeedLimits
from benchassist.specbook.book import Book
from tests.specbook.sample import CHECKS, PICKS, written
from tests.specbook.shelf import CLASSES, EACH, check_of, procedure


def limits(band: Band | None) -> tuple[float | None, float | None] | None:
    """The two limits of a band, None for none."""
    return None if band is None else (band.low, band.high)


def plans(check: Check) -> dict[str, RunPlan]:
    """The plan of a run for each application, under an empty key without any."""
    options: list[BandOption | None] = [*check.options] or [None]
    made = {option.key if option else "": check.plan(option) for option in options}
    return {key: plan for key, plan in made.items() if plan is not None}


@pytest.fixture
def rig(tmp_path: Path) -> Book:
    """A shop with runs of its own."""
    written(tmp_path, "checks", CHECKS)
    written(tmp_path, "procedures", PICKS.replace('"bell",', '"rig_spin", "rig_heat", "bell",', 1))
    book = Book(tmp_path)
    assert book.faults == ()
    return book


def test_a_run_is_bound_to_core_values(rig: Book) -> None:
    """Temperatures in celsius, times in seconds, speeds in rpm, and whose limit it is."""
    heat = rig.procedure("rig_round", "A").check("rig_heat")
    assert heat.run is not None
    assert (heat.run.part, heat.run.cycles) == (HeatedPart.PATH, 1)
    assert (heat.run.ceiling, heat.run.hold) == (80.0, 300.0)
    assert heat.run.ceiling_source == "common practice"
    assert heat.quantity is None


def test_an_application_brings_its_speeds(rig: Book) -> None:
    """The plan of the option that was chosen; without figures the run's own, which has none."""
    spin = rig.procedure("rig_round", "A").check("rig_spin")
    fan, nothing = spin.options
    found = spin.plan(fan)
    assert found is not None
    assert limits(found.limits.low) == (800.0, 900.0)
    assert limits(found.limits.high) == (1500.0, None)
    assert limits(found.limits.fall) == (None, 2.0)
    assert found.limits.recover is None
    assert found.cycles == 2
    assert spin.plan(nothing) == spin.plan() == spin.run
    assert spin.run is not None
    assert spin.run.limits == SpeedLimits()
    assert fan.band is None


def test_pulses_come_from_the_class(rig: Book) -> None:
    """A magneto gives one a turn; where the class does not say, none is assumed."""
    for engine, pulses in (("A", 1.0), ("F", None)):
        spin = rig.procedure("rig_round", engine).check("rig_spin")
        assert {plan.pulses_per_rev for plan in plans(spin).values()} == {pulses}
        shipped = check_of("engine_run", engine)
        assert {plan.pulses_per_rev for plan in plans(shipped).values()} == {pulses}


def test_a_makers_ceiling_says_whose_it_is(tmp_path: Path) -> None:
    """Manual and page stand with a limit above the usual one."""
    own = CHECKS.replace(
        'ceiling = "80 °C"',
        'ceiling = "110 °C"\nceiling_source = "maker"\nceiling_note = "rig manual, page 7"',
    )
    written(tmp_path, "checks", own.replace("rig_heat", "heat_run"))
    heat = Book(tmp_path).procedure("quits_hot", "A").check("heat_run")
    assert heat.run is not None
    assert (heat.run.ceiling, heat.run.ceiling_source) == (110.0, "rig manual, page 7")


def test_texts_of_a_run_are_translated() -> None:
    """Questions, answers and details of a drill go through the catalogue, keys do not."""
    loud = Book(translate=lambda text: text.upper() or "HEADER").procedure("quits_hot", "A")
    for shouted, said in zip(drill_of(loud.check("quit_drill")), drill(), strict=True):
        assert (shouted.key, shouted.after, shouted.until_s) == (said.key, said.after, said.until_s)
        assert shouted.question == said.question.upper()
        assert shouted.detail == said.detail.upper()
        assert shouted.answers == tuple((key, text.upper()) for key, text in said.answers)


@pytest.mark.parametrize("engine", CLASSES)
def test_speeds_of_a_run_are_those_of_the_single_readings(engine: str) -> None:
    """One figure for one thing: the run has the bands that the speed checks have, option by one."""
    run = check_of("engine_run", engine)
    low, high = check_of("idle_low", engine), check_of("idle_high", engine)
    assert [(o.key, o.text) for o in run.options] == [(o.key, o.text) for o in low.options]
    assert run.option_group == low.option_group == high.option_group
    found = plans(run)
    assert {k: limits(p.limits.low) for k, p in found.items()} == {
        o.key: limits(o.band) for o in low.options
    }
    assert {k: limits(p.limits.high) for k, p in found.items()} == {
        o.key: limits(o.band) for o in high.options
    }


@pytest.mark.parametrize(("key", "engine"), EACH)
def test_speeds_say_that_they_are_common_practice(key: str, engine: str) -> None:
    """No figure of one maker's manual is a band of a run; droop and recovery have none at all."""
    for check in procedure(key, engine).checks:
        for plan in plans(check).values():
            stated = plan.limits
            for band in (stated.low, stated.high, stated.fall):
                assert band is None or band.source is BandSource.COMMON_PRACTICE
            assert stated.fall is None or limits(stated.fall) == (None, 3.0)
            assert (stated.recover, stated.droop) == (None, None)


def test_speeds_of_one_maker_are_left_out() -> None:
    """A generator's speeds and a hand-held's high one are recorded, without a verdict."""
    found = plans(check_of("engine_run", "unknown"))
    assert found["generator"].limits == found["other"].limits == SpeedLimits()
    assert found["handheld"].limits.high is None
    assert all(
        (plan.limits.low, plan.limits.high) == (None, None)
        for plan in plans(check_of("generator_run", "A")).values()
    )


def test_a_generators_rated_speed_follows_from_its_plate() -> None:
    """60 x hertz / pole pairs, in rpm; an inverter's hertz say nothing of the engine."""
    found = {k: plan.limits.rated for k, plan in plans(check_of("generator_run", "A")).items()}
    pairs = {"two": 1, "four": 2}
    for key, rated in found.items():
        if key in {"inverter", "unknown"}:
            assert rated is None
            continue
        hertz, poles = key.removeprefix("hz").split("_", 1)
        assert rated == 60.0 * float(hertz) / pairs[poles.removesuffix("_pole")]
    assert len(found) == 6


@pytest.mark.parametrize("engine", CLASSES)
def test_the_overspeed_warning_stands_above_the_band(engine: str) -> None:
    """Where no plate is known the top of the usual band stands for it, never a figure above."""
    for plan in plans(check_of("engine_run", engine)).values():
        high = plan.limits.high
        assert plan.limits.rated == (None if high is None else high.high)


@pytest.mark.parametrize("engine", CLASSES)
@pytest.mark.parametrize("key", ["heat_run", "heat_run_cap"])
def test_heat_stops_at_95_degrees(key: str, engine: str) -> None:
    """The usual ceiling, 15 min at it, two cycles; the touch or a caution says off the engine."""
    check = check_of(key, engine)
    assert check.run is not None
    assert (check.run.ceiling, check.run.hold, check.run.cycles) == (95.0, 900.0, 2)
    assert check.run.ceiling_source == "common practice"
    (limit,) = [c.text for c in check.cautions if c.key == "heat_off_engine"]
    assert limit.startswith("Heat the part off the engine")


def drill_of(check: Check) -> tuple[DrillStep, ...]:
    """The steps of a drill."""
    assert check.run is not None
    return check.run.drill


def drill() -> tuple[DrillStep, ...]:
    """The steps of the shipped drill."""
    return drill_of(check_of("quit_drill", "A"))


def step(key: str) -> DrillStep:
    """One of them."""
    return next(one for one in drill() if one.key == key)


def test_the_drill_asks_in_the_order_in_which_evidence_perishes() -> None:
    """Temperatures, spark, spark with the wire off, vent, drops, compression: ninety seconds."""
    assert [(one.key, [key for key, _text in one.answers]) for one in drill()] == [
        ("temps", ["taken", "none"]),
        ("spark", ["yes", "none"]),
        ("spark_isolated", ["yes", "none"]),
        ("vent", ["restarts", "hiss", "no_change"]),
        ("fuel_drops", ["fires", "no"]),
        ("compression", ["soft", "firm"]),
    ]
    until = [one.until_s for one in drill()]
    assert until == sorted(until)
    assert max(until) <= 90.0


def test_a_step_of_the_drill_waits_for_what_makes_it_due() -> None:
    """The wire comes off only where there was no spark; nothing is tried on an engine that runs."""
    assert step("spark_isolated").after == ("spark:none",)
    assert step("fuel_drops").after == ("vent:hiss", "vent:no_change")
    assert step("compression").after == ("fuel_drops:no",)


@pytest.mark.parametrize(
    ("answers", "asked"),
    [
        ("taken yes restarts", "temps spark vent"),
        ("taken yes hiss fires", "temps spark vent fuel_drops"),
        ("none yes no_change no soft", "temps spark vent fuel_drops compression"),
        (
            "taken none yes no_change no firm",
            "temps spark spark_isolated vent fuel_drops compression",
        ),
    ],
)
def test_core_asks_the_shipped_steps(answers: str, asked: str) -> None:
    """The drill of core walks them: what an answer settles is not asked any more."""
    walk = Drill(drill())
    order: list[str] = []
    for number, answer in enumerate(answers.split()):
        due = walk.due()
        assert due is not None
        order.append(due.key)
        walk.answer(due.key, answer, float(number))
    assert " ".join(order) == asked
    assert walk.is_done


def test_spark_and_open_fuel_are_never_together() -> None:
    """The fuel cap stays shut while the tester is on; the tester is off before the cap opens."""
    for key in ("temps", "spark", "spark_isolated"):
        assert "fuel cap" in step(key).detail.lower()
        assert "shut" in step(key).detail
    vent = step("vent").detail
    assert vent.index("tester off and put away") < vent.index("Open the cap slowly")
    assert "it may spurt" in vent
    order = [one.key for one in drill()]
    assert max(order.index("spark"), order.index("spark_isolated")) < order.index("vent")


def test_drops_have_their_limits() -> None:
    """Fuel shut, primer or choke only; drops below 50 °C, filter back on, standing clear."""
    drops = step("fuel_drops").detail
    for words in (
        "fuel valve and cap shut",
        "primer or choke only",
        "only below 50 °C",
        "filter back on",
        "stand clear",
    ):
        assert words in drops
    assert not [one.key for one in drill() if "drops" in one.detail and one.key != "fuel_drops"]


def test_the_stop_wire_is_off_for_one_hand_pull() -> None:
    """On the grounded tester only, back on before anything else; every later step has it on."""
    off = step("spark_isolated")
    assert "one hand pull" in off.question
    assert "On the grounded tester only" in off.detail
    assert "the wire back on, before anything else" in off.detail
    assert step("vent").detail.startswith("Stop wire on")
    assert step("fuel_drops").detail.startswith("Stop wire on")
    assert check_of("quit_drill", "A").obliges == "stop_wire_back"


def test_the_drills_words_fit_its_screen() -> None:
    """A question in large type, answers on one line, a detail of two sentences."""
    for one in drill():
        assert len(one.question) <= 42
        assert all(len(text) <= 24 for _key, text in one.answers)
        assert len(one.detail) <= 140
