"""Words about hazards: the right caution at the step where it bites, and no advice that hurts."""

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from benchassist.core.procedure import Check, CheckKind
from benchassist.core.quantity import Quantity
from benchassist.core.run import RunKind
from benchassist.specbook.loader import shipped_folder
from tests.specbook.shelf import BENCH, CLASSES, EACH, procedure

FILES = sorted(shipped_folder().rglob("*.toml"))

DEFERS = re.compile(r"maker’s (manual|instructions)|implant’s maker|[Ll]ocal (fire )?code|licensed")

# What a sentence must not advise, and the words that turn it into a warning.
FORBIDDEN = {
    "to run with the stop wire off": (
        re.compile(
            r"(?=.*\b(stop wire|stop tab|kill wire|low-oil switch|interlock))"
            r"(?=.*\b(off|unplug(ged)?|isolated?|disconnect(ed)?|open|pulled)\b)"
            r"(?=.*\b(run|runs|running|start|starts|restart|idle|drive|work it)\b)",
            re.IGNORECASE,
        ),
        re.compile(r"\b(never|not|nothing)\b", re.IGNORECASE),
    ),
    "to defeat what protects": (
        re.compile(
            r"(?=.*\b(governor|interlock|guards?|shroud|seat|screen"
            r"|(safety|relief|unloader|check|pilot) valve)\b)"
            r"(?=.*\b(hold|block|bypass|bridge|defeat|disable|plug (the|it|a)|reset|remove|tie"
            r"|jumper|wedge|take off|unplug|gag|screw down|cap (the|it))\b)",
            re.IGNORECASE,
        ),
        re.compile(r"\b(never|nothing|do not)\b", re.IGNORECASE),
    ),
    "to bring fuel to heat or sparks": (
        re.compile(
            r"(?=.*\b(fuel|petrol|gasoline|gas|propane|prime|drops|starting fluid|spray"
            r"|carburettor cleaner)\b)"
            r"(?=.*\b(hot|warm|sparks?|running|running engine|heat gun|flame|torch)\b)",
            re.IGNORECASE,
        ),
        re.compile(r"\b(never|away from|shut)\b", re.IGNORECASE),
    ),
    "to crank with an open lead": (
        re.compile(
            r"(?=.*\b(lead|cap)\b)(?=.*\b(open|hanging|off)\b)(?=.*\b(crank|pull|turn)\b)",
            re.IGNORECASE,
        ),
        re.compile(r"\b(never|before|clip|ground)\b", re.IGNORECASE),
    ),
    "to run with open fuel": (
        re.compile(
            r"(?=.*\b(fuel cap|tank cap|cap|bowl|drain)\b)(?=.*\b(loose|open|off)\b)"
            r"(?=.*\b(run|runs|running|start|work it|drive)\b)(?!.*\btank drain\b)",
            re.IGNORECASE,
        ),
        re.compile(r"\b(never|not|cold)\b", re.IGNORECASE),
    ),
    "to harden what must shear": (
        re.compile(r"(?=.*\bkey\b)(?=.*\b(steel|hardened|file|weld)\b)", re.IGNORECASE),
        re.compile(r"\bnever\b", re.IGNORECASE),
    ),
    "to probe high voltage": (
        re.compile(
            r"(?=.*\bprobes? on the (plug lead|stop wire)\b)(?=.*\b(running|speed)\b)",
            re.IGNORECASE,
        ),
        re.compile(r"\bnever\b", re.IGNORECASE),
    ),
}


def texts(node: object) -> Iterator[str]:
    """Every text under a parsed file."""
    if isinstance(node, dict):
        for inner in node.values():
            yield from texts(inner)
    elif isinstance(node, list):
        for inner in node:
            yield from texts(inner)
    elif isinstance(node, str):
        yield node


def advised(text: str) -> list[str]:
    """What a text advises that nobody may advise, sentence by sentence."""
    return [
        f"{what}: {sentence}"
        for sentence in re.split(r"(?<=[.?;])\s+", text)
        for what, (risky, warned) in FORBIDDEN.items()
        if risky.search(sentence) and not warned.search(sentence)
    ]


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_no_profile_advises_what_hurts(path: Path) -> None:
    """No text tells to run without a stop, to defeat protection, or to bring fuel to heat."""
    parsed = tomllib.loads(path.read_text(encoding="utf-8"))
    assert [found for text in texts(parsed) for found in advised(text)] == []


def test_causes_and_evidence_are_read_for_it() -> None:
    """What a fix or a test by hand advises is among what is read above."""
    assert {"causes", "evidence"} <= {path.parent.name for path in FILES}


@pytest.mark.parametrize(
    "text",
    [
        "Run it with the stop wire off and see whether it quits.",
        "With the stop wire unplugged, start the engine.",
        "Idle it for two minutes, low-oil switch unplugged.",
        "Restart it with the stop wire isolated.",
        "Stop wire pulled off its tab, drive it until it quits.",
        "Block the governor and watch the speed.",
        "Plug the safety valve to find the leak.",
        "Cap the relief valve and pump it up.",
        "Wedge the unloader valve.",
        "Screw down the safety valve until it holds.",
        "Bridge the seat switch.",
        "Take off the shroud and run it.",
        "Prime it while the engine is hot.",
        "Drip fuel near the spark.",
        "A few drops into the hot intake.",
        "Feed propane to the running engine to find the leak.",
        "Spray the gaskets while it is warm.",
        "Crank it with the lead hanging free.",
        "Put a probe on the plug lead while it is running.",
        "Run it with the fuel cap loose and time it.",
        "Leave the tank cap off and drive it until it quits.",
        "Fit a steel key, it will not shear again.",
        "Unplug the low-oil switch and run it.",
        "Remove the exhaust screen.",
        "Hold the governor arm and rev it up.",
    ],
)
def test_advice_that_hurts_would_be_seen(text: str) -> None:
    """The check above can fail: each of these is caught."""
    assert advised(text)


def cautions() -> list[tuple[str, str]]:
    """Key and text of every shipped caution."""
    return [
        (table["key"], table["text"])
        for path in FILES
        if path.parent.name == "cautions"
        for table in tomllib.loads(path.read_text(encoding="utf-8"))["caution"]
    ]


@pytest.mark.parametrize(("key", "text"), cautions())
def test_a_caution_defers(key: str, text: str) -> None:
    """The maker's manual, local code or a licensed trade has the last word, in short words."""
    assert DEFERS.search(text), key
    assert len(text) <= 270
    assert "!" not in text
    assert not re.search(r"\b(please|simply|just)\b", text, re.IGNORECASE)


@pytest.mark.parametrize(
    ("key", "first", "then"),
    [
        ("lead_grounded", ["plug lead off", "bare engine metal"], ["Chock"]),
        ("lead_not_open", ["Never crank, pull or run with the plug lead open"], ["Ground it"]),
        ("high_voltage", ["as live while the engine turns"], []),
        ("implant", ["30 cm"], ["clinician"]),
        ("engine_still", ["flywheel still while the probes are on"], ["Probes off before anyone"]),
        ("spark_and_fuel", ["away from fuel", "open plug hole"], ["extinguisher"]),
        (
            "stop_wire_off",
            ["Never run the engine with the stop wire off", "interlock"],
            ["hand pull on a grounded tester, no more", "Reconnect it"],
        ),
        ("low_oil_off", ["Never run the engine with the low-oil switch unplugged"], ["Plug it"]),
        (
            "stored_charge",
            ["Before ohms", "through a resistor, never a bare wire", "below 1 V"],
            ["ignition off and wait"],
        ),
        ("battery_off", ["battery’s ground lead off before ohms"], []),
        (
            "volt_drop",
            ["never from a battery direct", "100 mA", "1.5 V open circuit", "series resistor"],
            ["off the engine", "current off before a clip is lifted", "Not through electronics"],
        ),
        ("hot_engine", ["burn", "never open fuel on a hot engine"], []),
        ("exhaust_gas", ["outdoors", "carbon monoxide can kill in minutes"], []),
        ("second_stop", ["Before you start it, know two ways to stop it"], []),
        ("moving_parts", ["Shroud and guards on", "blade, belt or fan"], ["Eyes and ears"]),
        ("speed_pickup", ["Never a meter’s probes on the plug lead or the stop wire"], []),
        ("overspeed", ["Never hold, block or bypass the governor"], ["10 %"]),
        (
            "driven_machine",
            ["never plug or reset the safety valve", "bleed the tank to zero"],
            ["never back-feed", "licensed electrician", "hospital at once"],
        ),
        ("cranking", ["grounded tester", "hands clear"], ["supply terminal only"]),
        ("flywheel", ["scrap it"], []),
        ("pulling", ["hands and feet clear"], []),
        ("insulation_tester", ["no insulation tester"], ["every module disconnected"]),
        (
            "heat_off_engine",
            ["off the engine", "fuel-free", "ignition off", "95 °C on its surface and no more"],
            ["no heat gun or flame near a tank or fuel", "never unattended"],
        ),
        ("hot_parts", ["burns skin at once", "gloves", "clips instead of fingers"], []),
        (
            "fuel_open",
            ["on a cold engine only", "ignition off", "away from flame and spark"],
            ["extinguisher", "spills dry"],
        ),
        (
            "fuel_drill",
            [
                "Fuel cap shut while the tester is on",
                "tester off before the cap is opened, slowly: it may spurt",
            ],
            ["fuel shut, primer or choke only", "only below 50 °C", "filter back on, stand clear"],
        ),
        (
            "air_tank",
            ["Never block, plug or reset the safety valve", "nothing between it and the tank"],
            ["Bleed the tank to zero before opening", "out of service"],
        ),
        (
            "back_feed",
            ["Never back-feed a building", "licensed electrician"],
            ["Outlet volts kill", "one hand, dry"],
        ),
        ("guards_on", ["Shroud and guards on", "nobody near blade"], ["Eyes and ears"]),
        ("tester_inline", ["with the engine stopped", "rated for ignition"], ["Hands off"]),
        ("leakdown_air", ["before air goes in", "spin"], ["Eyes covered", "hands clear"]),
    ],
)
def test_a_caution_says_what_it_must(key: str, first: list[str], then: list[str]) -> None:
    """What hurts stands in the first sentence, which the bench repeats during the work."""
    head, _stop, rest = dict(cautions())[key].partition(". ")
    assert [words for words in first if words not in head] == []
    assert [words for words in then if words not in rest] == []


def test_every_caution_stands_somewhere() -> None:
    """A caution that no step carries would never be read."""
    used = {
        caution.key
        for key, engine in EACH
        for check in procedure(key, engine).checks
        for caution in check.cautions
    }
    assert used == {key for key, _text in cautions()}


NEEDED = {
    "lead_off": {"lead_grounded", "lead_not_open", "implant"},
    "engine_cold": {"hot_engine"},
    "plug_gap": {"lead_grounded"},
    "stop_insulation": {"engine_still", "stop_wire_off", "insulation_tester"},
    "stop_switch": {"engine_still", "stop_wire_off"},
    "low_oil": {"engine_still", "low_oil_off"},
    "cap": {"lead_not_open"},
    "coil_primary": {"engine_still", "stop_wire_off"},
    "coil_secondary": {"engine_still", "lead_not_open"},
    "path": {"engine_still"},
    "exciter": {"engine_still", "stored_charge"},
    "trigger": {"engine_still", "stored_charge"},
    "condenser": {"stored_charge"},
    "discharged": {"stored_charge"},
    "battery_off": {"battery_off"},
    "air_gap": {"lead_grounded", "flywheel", "implant"},
    "spark_tester": {"spark_and_fuel", "high_voltage", "lead_not_open", "stop_wire_off"},
    "stop_wire_back": {"stop_wire_off"},
    "coil_supply": {"cranking", "high_voltage", "spark_and_fuel"},
    "idle_low": {"exhaust_gas", "second_stop", "moving_parts", "speed_pickup", "driven_machine"},
    "idle_high": {"overspeed", "exhaust_gas", "moving_parts", "speed_pickup", "driven_machine"},
    "stop_works": {"second_stop", "moving_parts"},
    "made_safe": {"lead_grounded", "lead_not_open", "hot_engine", "implant"},
    "fuel_vent": {"fuel_open", "hot_engine"},
    "fuel_sample": {"fuel_open", "hot_engine"},
    "bowl_flow": {"fuel_open", "hot_engine"},
    "prime_cold": {"fuel_open", "pulling", "second_stop", "exhaust_gas"},
    "intake_seal": {"lead_grounded", "hot_engine"},
    "spark_inline": {"tester_inline", "exhaust_gas", "guards_on", "second_stop", "high_voltage"},
    "choke_helps": {"exhaust_gas", "guards_on", "second_stop", "hot_parts"},
    "idle_first": {"exhaust_gas", "moving_parts", "second_stop"},
    "run_on": {"exhaust_gas", "moving_parts", "second_stop"},
    "compression": {"lead_grounded", "lead_not_open", "pulling"},
    "release_pull": {"lead_grounded", "pulling"},
    "leakdown": {"leakdown_air", "lead_grounded"},
    "flywheel_key": {"lead_grounded", "flywheel", "implant"},
    "governor_link": {"lead_grounded", "overspeed"},
    "soap_test": {"air_tank", "lead_grounded", "hot_parts"},
    "exhaust_screen": {"lead_grounded", "hot_engine"},
    "quit_drill": {"fuel_drill", "spark_and_fuel", "stop_wire_off", "high_voltage", "pulling"},
    "generator_run": {"back_feed", "guards_on"},
    "idle_down_run": {"air_tank", "guards_on"},
    "tank_run": {"guards_on"},
    "engine_run": {"driven_machine", "moving_parts"},
}
RUNNING = {"exhaust_gas", "second_stop"}
OF_RUNS = {
    RunKind.HEAT: {"heat_off_engine", "hot_parts"},
    RunKind.ENGINE: RUNNING | {"overspeed", "speed_pickup"},
    RunKind.TANK: RUNNING | {"air_tank", "hot_parts"},
    RunKind.DRILL: {"fuel_drill", "spark_and_fuel", "stop_wire_off", "hot_parts", "pulling"},
}
CHARGED = ("C", "D", "E", "F", "unknown")
OHMS_OF_THE_COIL = ("coil_primary", "coil_secondary", "path")


def carried(check: Check) -> set[str]:
    """The keys of a check's cautions."""
    return {caution.key for caution in check.cautions}


@pytest.mark.parametrize(("key", "engine"), EACH)
def test_cautions_stand_where_the_work_can_hurt(key: str, engine: str) -> None:
    """Each step carries its hazards, a volt drop always its limits."""
    for check in procedure(key, engine).checks:
        have = carried(check)
        assert NEEDED.get(check.key, set()) <= have, check.key
        assert check.volt_drop <= ("volt_drop" in have)


@pytest.mark.parametrize(("key", "engine"), EACH)
def test_every_run_carries_its_hazards(key: str, engine: str) -> None:
    """Heat off the engine, gas and moving parts at a running one, the tank, the drill's limits."""
    for check in procedure(key, engine).checks:
        if check.run is None:
            continue
        assert OF_RUNS[check.run.kind] <= carried(check), check.key
        if check.run.tank_pressure:
            assert "air_tank" in carried(check), check.key
        if check.run.loads:
            assert "back_feed" in carried(check), check.key
        if check.run.kind is RunKind.HEAT and check.key == "heat_run" and engine in CHARGED:
            assert "stored_charge" in carried(check)


TURNS = {"pulling", "moving_parts", "guards_on", "cranking"}
"""Cautions of what turns the engine, and so charges a unit, warms it, or can start it."""


def is_ohms(check: Check) -> bool:
    """Whether it is measured on a circuit that must be dead."""
    heat = check.run is not None and check.run.kind is RunKind.HEAT
    return check.quantity in {Quantity.RESISTANCE, Quantity.CAPACITANCE} or heat


@pytest.mark.parametrize(("key", "engine"), EACH)
def test_ohms_are_measured_on_a_dead_cold_engine(key: str, engine: str) -> None:
    """Before ohms comes the look that it is stopped, cold, discharged, and nothing turns between.

    Where a condenser or a capacitor unit can be, that look proves it below 1 V; a battery is off.
    """
    safe: set[str] = set()
    for check in procedure(key, engine).checks:
        if check.kind is CheckKind.LOOK and not TURNS & carried(check):
            safe |= carried(check) & {"lead_grounded", "stored_charge", "battery_off"}
            safe |= {"cold"} if "hot_engine" in carried(check) and "cold" in check.touch else set()
        if TURNS & carried(check):
            safe = set()
        if is_ohms(check):
            assert {"lead_grounded"} <= safe, check.key
            if engine in CHARGED:
                assert "stored_charge" in safe, check.key
            if engine == "F":
                assert "battery_off" in safe, check.key


@pytest.mark.parametrize("engine", CHARGED)
def test_a_look_at_the_charge_says_below_one_volt(engine: str) -> None:
    """The look that stands for it names the figure, whether a step of its own or with the rest."""
    alone, together = procedure(BENCH, engine), procedure("quits_hot", engine)
    for look in (alone.check("discharged"), together.check("made_safe")):
        assert "1 V" in look.title + look.touch
        assert "stored_charge" in carried(look)
    for key in OHMS_OF_THE_COIL:
        assert "stored_charge" in carried(alone.check(key))


def test_a_battery_is_off_before_ohms() -> None:
    """Battery ignition: disconnected before ohms, cranking only after the wire is back."""
    bench = procedure(BENCH, "F")
    keys = [check.key for check in bench.checks]
    assert keys.index("battery_off") < keys.index("plug_resistor")
    for key in OHMS_OF_THE_COIL:
        assert "battery_off" in carried(bench.check(key))
    assert keys.index("coil_supply") > keys.index("stop_wire_back")
    assert "cranking" in carried(bench.check("spark_tester"))
    assert "battery" in procedure("quits_hot", "F").check("made_safe").title


@pytest.mark.parametrize(("key", "engine"), EACH)
def test_fuel_is_opened_on_a_cold_engine(key: str, engine: str) -> None:
    """Before the engine has been turned, or after the look that it has cooled; the drill aside."""
    warm = False
    for check in procedure(key, engine).checks:
        if "fuel_open" in carried(check):
            assert not warm, check.key
            assert "cold" in check.touch, check.key
        if {"moving_parts", "guards_on", "second_stop"} & carried(check):
            warm = True
        if check.key in {"made_safe", "engine_cold"}:
            warm = False


UNDOING = (
    "stop_insulation",
    "stop_switch",
    "low_oil",
    "coil_primary",
    "spark_tester",
    "heat_run",
    "quit_drill",
)


@pytest.mark.parametrize(("key", "engine"), EACH)
def test_what_is_unplugged_is_put_back_before_it_runs(key: str, engine: str) -> None:
    """Every check that takes a wire off obliges the look that it is back; nothing runs between.

    And it says so: whatever carries the caution about the stop wire obliges that look.
    """
    wire_off = False
    for check in procedure(key, engine).checks:
        if check.key == "stop_wire_back":
            wire_off = False
            continue
        if {"moving_parts", "guards_on", "exhaust_gas"} & carried(check):
            assert not wire_off, check.key
        if check.key in UNDOING or "stop_wire_off" in carried(check):
            assert check.obliges == "stop_wire_back", check.key
        wire_off |= bool(check.obliges)
    assert not wire_off


@pytest.mark.parametrize("engine", CLASSES)
def test_the_bench_ends_at_speed_and_stops(engine: str) -> None:
    """Wire back, low speed, high speed, and the proof that it stops."""
    keys = [check.key for check in procedure(BENCH, engine).checks]
    places = [keys.index(k) for k in ("stop_wire_back", "idle_low", "idle_high", "stop_works")]
    assert places == sorted(places)


@pytest.mark.parametrize("engine", CLASSES)
def test_the_first_answer_is_the_one_that_closes(engine: str) -> None:
    """A look that bars closing is settled by its first answer only: it must be the done one."""
    look = procedure(BENCH, engine).check("stop_wire_back")
    assert look.kind is CheckKind.LOOK
    assert [answer.key for answer in look.answers] == ["back", "not_yet"]


def before(checks: tuple[Check, ...], key: str) -> set[str]:
    """The keys of the checks before one."""
    keys = [check.key for check in checks]
    return set(keys[: keys.index(key)])


@pytest.mark.parametrize("engine", CLASSES)
def test_work_begins_with_a_safe_engine(engine: str) -> None:
    """Lead grounded, engine stopped and cold: the first two looks of every class."""
    checks = procedure(BENCH, engine).checks
    assert before(checks, "plug_gap") >= {"lead_off", "engine_cold"}
    assert [check.key for check in checks[:2]] == ["lead_off", "engine_cold"]


def test_every_caution_has_the_hazard_in_a_few_words() -> None:
    """What the bench repeats in large type while the work is done is there, short, and no more."""
    shorts = {
        caution.key: caution.short
        for key, engine in EACH
        for check in procedure(key, engine).checks
        for caution in check.cautions
    }
    assert {key: short for key, short in shorts.items() if not 8 <= len(short) <= 50} == {}
