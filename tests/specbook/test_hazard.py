"""Words about hazards: the right caution at the step where it bites, and no advice that hurts."""

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from benchassist.core.procedure import Check, CheckKind, Procedure
from benchassist.core.quantity import Quantity
from benchassist.specbook.book import Book
from benchassist.specbook.loader import shipped_folder

CLASSES = ("A", "B", "C", "D", "E", "F", "unknown")
FILES = sorted(shipped_folder().rglob("*.toml"))

DEFERS = re.compile(r"maker’s (manual|instructions)|implant’s maker|[Ll]ocal (fire )?code|licensed")

# What a sentence must not advise, and the words that turn it into a warning.
FORBIDDEN = {
    "to run with the stop wire off": (
        re.compile(
            r"(?=.*\b(stop wire|stop tab|kill wire|low-oil switch|interlock))"
            r"(?=.*\b(off|unplugged|isolated|disconnected|open)\b)"
            r"(?=.*\b(run|runs|running|start|starts|idle|engine runs)\b)",
            re.IGNORECASE,
        ),
        re.compile(r"\b(never|not|nothing)\b", re.IGNORECASE),
    ),
    "to defeat what protects": (
        re.compile(
            r"(?=.*\b(governor|safety valve|interlock|guards?|shroud|seat|screen)\b)"
            r"(?=.*\b(hold|block|bypass|bridge|defeat|disable|plug the|reset|remove|tie|jumper"
            r"|wedge|take off|unplug)\b)",
            re.IGNORECASE,
        ),
        re.compile(r"\b(never|nothing|do not)\b", re.IGNORECASE),
    ),
    "to bring fuel to heat or sparks": (
        re.compile(
            r"(?=.*\b(fuel|petrol|gasoline|prime|carburettor cleaner)\b)"
            r"(?=.*\b(hot|warm|sparks?|running|running engine|heat gun)\b)",
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


@pytest.mark.parametrize(
    "text",
    [
        "Run it with the stop wire off and see whether it quits.",
        "With the stop wire unplugged, start the engine.",
        "Idle it for two minutes, low-oil switch unplugged.",
        "Block the governor and watch the speed.",
        "Plug the safety valve to find the leak.",
        "Bridge the seat switch.",
        "Take off the shroud and run it.",
        "Prime it while the engine is hot.",
        "Drip fuel near the spark.",
        "Crank it with the lead hanging free.",
        "Put a probe on the plug lead while it is running.",
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
    ],
)
def test_a_caution_says_what_it_must(key: str, first: list[str], then: list[str]) -> None:
    """What hurts stands in the first sentence, which the bench repeats during the work."""
    head, _stop, rest = dict(cautions())[key].partition(". ")
    assert [words for words in first if words not in head] == []
    assert [words for words in then if words not in rest] == []


def test_every_caution_stands_somewhere() -> None:
    """A caution that no step carries would never be read."""
    book = Book()
    used = {
        caution.key
        for key in CLASSES
        for check in book.procedure("ignition_bench", key).checks
        for caution in check.cautions
    }
    assert used == {key for key, _text in cautions()}


@pytest.fixture(scope="module")
def procedures() -> dict[str, Procedure]:
    """The ignition bench for every class."""
    book = Book()
    return {key: book.procedure("ignition_bench", key) for key in CLASSES}


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
}
OHMS_OF_THE_COIL = ("coil_primary", "coil_secondary", "path")


@pytest.mark.parametrize("engine", CLASSES)
def test_cautions_stand_where_the_work_can_hurt(
    procedures: dict[str, Procedure], engine: str
) -> None:
    """Each step carries its hazards, a volt drop always its limits."""
    for check in procedures[engine].checks:
        have = {caution.key for caution in check.cautions}
        assert NEEDED.get(check.key, set()) <= have, check.key
        assert check.volt_drop <= ("volt_drop" in have)


@pytest.mark.parametrize("engine", ["C", "D", "E", "F", "unknown"])
def test_a_charge_is_bled_before_ohms(procedures: dict[str, Procedure], engine: str) -> None:
    """Where a condenser or a capacitor unit can be, it is proved below 1 V first."""
    procedure = procedures[engine]
    keys = [check.key for check in procedure.checks]
    electrical = {Quantity.RESISTANCE, Quantity.CAPACITANCE}
    first_ohms = next(n for n, check in enumerate(procedure.checks) if check.quantity in electrical)
    assert keys.index("discharged") < first_ohms
    for key in OHMS_OF_THE_COIL:
        assert "stored_charge" in {c.key for c in procedure.check(key).cautions}


def test_a_battery_is_off_before_ohms(procedures: dict[str, Procedure]) -> None:
    """Battery ignition: disconnected before ohms, cranking only after the wire is back."""
    procedure = procedures["F"]
    keys = [check.key for check in procedure.checks]
    assert keys.index("battery_off") < keys.index("plug_resistor")
    for key in OHMS_OF_THE_COIL:
        assert "battery_off" in {c.key for c in procedure.check(key).cautions}
    assert keys.index("coil_supply") > keys.index("stop_wire_back")
    assert "cranking" in {c.key for c in procedure.check("spark_tester").cautions}


UNDOING = ("stop_insulation", "stop_switch", "low_oil", "coil_primary", "spark_tester")


@pytest.mark.parametrize("engine", CLASSES)
def test_what_is_unplugged_is_put_back_before_it_runs(
    procedures: dict[str, Procedure], engine: str
) -> None:
    """Every check that takes a wire off obliges the look that it is back, and that comes first."""
    procedure = procedures[engine]
    keys = [check.key for check in procedure.checks]
    back = keys.index("stop_wire_back")
    for key in set(UNDOING) & set(keys):
        assert procedure.check(key).obliges == "stop_wire_back", key
        assert keys.index(key) < back
    assert back < keys.index("idle_low") < keys.index("idle_high") < keys.index("stop_works")


@pytest.mark.parametrize("engine", CLASSES)
def test_the_first_answer_is_the_one_that_closes(
    procedures: dict[str, Procedure], engine: str
) -> None:
    """A look that bars closing is settled by its first answer only: it must be the done one."""
    look = procedures[engine].check("stop_wire_back")
    assert look.kind is CheckKind.LOOK
    assert [answer.key for answer in look.answers] == ["back", "not_yet"]


def before(checks: tuple[Check, ...], key: str) -> set[str]:
    """The keys of the checks before one."""
    keys = [check.key for check in checks]
    return set(keys[: keys.index(key)])


@pytest.mark.parametrize("engine", CLASSES)
def test_work_begins_with_a_safe_engine(procedures: dict[str, Procedure], engine: str) -> None:
    """Lead grounded, engine stopped and cold: the first two looks of every class."""
    assert before(procedures[engine].checks, "plug_gap") >= {"lead_off", "engine_cold"}
    assert [check.key for check in procedures[engine].checks[:2]] == ["lead_off", "engine_cold"]


def test_every_caution_has_the_hazard_in_a_few_words() -> None:
    """What the bench repeats in large type while the work is done is there, short, and no more."""
    shorts = {
        caution.key: caution.short
        for key in CLASSES
        for check in Book().procedure("ignition_bench", key).checks
        for caution in check.cautions
    }
    assert {key: short for key, short in shorts.items() if not 8 <= len(short) <= 50} == {}
