"""The spec book: what the use cases get, in order, and what becomes of a shop's own files."""

from pathlib import Path

import pytest

from benchassist.core.band import BandSource
from benchassist.core.procedure import CheckKind
from benchassist.core.quantity import Quantity
from benchassist.errors import NotFoundError, ProfileError
from benchassist.specbook.book import Book
from tests.specbook.sample import (
    CAUTIONS,
    CHECKS,
    COMPLAINT,
    ENGINE,
    METER,
    PICKS,
    PROCEDURE,
    written,
)

BENCH = "ignition_bench"


@pytest.fixture(scope="module")
def book() -> Book:
    """The shipped profiles."""
    return Book()


def test_engine_classes_come_in_order(book: Book) -> None:
    """Classes A to F, then the one for an engine nobody knows yet."""
    assert [c.key for c in book.engine_classes()] == ["A", "B", "C", "D", "E", "F", "unknown"]
    assert all(c.name and c.description for c in book.engine_classes())


def test_complaints_come_with_their_interview(book: Book) -> None:
    """The quits-hot complaint comes first and asks for minutes, manner, load, wait, last work."""
    first, *others = book.complaints()
    asked = [question.key for question in first.questions]
    assert first.key == "quits_hot"
    assert asked[:5] == [
        "minutes_to_quit",
        "how_it_quits",
        "load",
        "wait_to_restart",
        "last_touched",
    ]
    assert first.questions[0].quantity is Quantity.DURATION
    assert [a.key for a in first.questions[1].answers][:2] == ["sudden", "fading"]
    assert len(others) == 8
    assert all(complaint.questions and complaint.procedure == complaint.key for complaint in others)


def test_the_bench_of_class_a_is_the_whole_procedure(book: Book) -> None:
    """Looks first, cheap ohms, the cap, the coil, the wire back on, then running."""
    procedure = book.procedure(BENCH, "A")
    assert [check.key for check in procedure.checks] == [
        "lead_off",
        "engine_cold",
        "plug_gap",
        "plug_resistor",
        "stop_insulation",
        "stop_switch",
        "low_oil",
        "cap",
        "coil_primary",
        "coil_secondary",
        "path",
        "air_gap",
        "spark_tester",
        "stop_wire_back",
        "idle_low",
        "idle_high",
        "stop_works",
    ]
    assert (procedure.key, procedure.engine_class, procedure.version) == (BENCH, "A", "1")


def test_a_class_adds_and_leaves_out_checks(book: Book) -> None:
    """Points have a condenser, a hand-held no oil switch, battery ignition no stop wire."""
    keys = {
        c.key: {k.key for k in book.procedure(BENCH, c.key).checks} for c in book.engine_classes()
    }
    assert {"condenser", "points_gap", "discharged"} <= keys["C"]
    assert "low_oil" not in keys["D"]
    assert {"exciter", "trigger", "discharged"} <= keys["E"]
    assert {"battery_off", "coil_supply"} <= keys["F"]
    assert not {"stop_insulation", "stop_switch", "air_gap"} & keys["F"]
    assert not {"condenser", "exciter", "coil_supply", "discharged"} & keys["A"]


def test_the_cap_is_judged_by_its_marking(book: Book) -> None:
    """5 kΩ and 10 kΩ take a quarter either way, a plain cap about zero, an unmarked one no band."""
    cap = book.procedure(BENCH, "unknown").check("cap")
    limits = {o.key: o.band and (o.band.low, o.band.high) for o in cap.options}
    assert limits == {
        "marked_5k": (3750.0, 6250.0),
        "marked_10k": (7500.0, 12500.0),
        "plain": (None, 10.0),
        "unmarked": None,
    }
    assert cap.options[0].band is not None
    assert cap.options[0].band.source is BandSource.MARKING
    assert cap.options[0].band.source_note == "5 kΩ"


def test_the_path_is_coil_and_cap(book: Book) -> None:
    """Its band is the sum, asked by the cap's marking, and does not follow the copper law."""
    procedure = book.procedure(BENCH, "A")
    path, cap = procedure.check("path"), procedure.check("cap")
    assert path.option_group == cap.option_group == "cap_marking"
    limits = {o.key: o.band and (o.band.low, o.band.high) for o in path.options}
    assert limits == {
        "marked_5k": (9250.0, 19250.0),
        "marked_10k": (13000.0, 25500.0),
        "plain": (5500.0, 13010.0),
        "unmarked": None,
    }
    assert not any(o.band.copper for o in path.options if o.band)


@pytest.mark.parametrize("engine", ["B", "C", "D", "E", "F", "unknown"])
def test_the_path_has_no_band_where_the_sum_says_nothing(book: Book, engine: str) -> None:
    """Electronics in the path or a coil without a band: recorded, and no question asked."""
    path = book.procedure(BENCH, engine).check("path")
    assert path.band is None
    assert path.options == ()
    assert path.option_group == ""


@pytest.mark.parametrize("engine", ["B", "D", "E", "F", "unknown"])
def test_no_primary_band_across_electronics(book: Book, engine: str) -> None:
    """Both polarities are recorded, there is no verdict and no volt drop."""
    primary = book.procedure(BENCH, engine).check("coil_primary")
    assert (primary.band, primary.options, primary.polarities) == (None, (), 2)
    assert not primary.volt_drop


@pytest.mark.parametrize("engine", ["A", "C"])
def test_a_plain_primary_has_a_copper_band_and_a_volt_drop(book: Book, engine: str) -> None:
    """It follows the copper law from 20 °C and may be measured by volt drop."""
    primary = book.procedure(BENCH, engine).check("coil_primary")
    assert primary.band is not None
    assert primary.band.copper
    assert primary.band.reference_celsius == 20.0
    assert primary.volt_drop


def test_speeds_know_their_pulses(book: Book) -> None:
    """A magneto gives one pulse a turn; where the class does not say, none is assumed."""
    for engine, pulses in (("A", 1.0), ("D", 1.0), ("F", None), ("unknown", None)):
        procedure = book.procedure(BENCH, engine)
        assert procedure.check("idle_high").pulses_per_rev == pulses
        assert procedure.check("cap").pulses_per_rev is None


def test_meter_cards_hold_ranges_in_base_units(book: Book) -> None:
    """Three classes of meter and the practice meter, each with ohms, volts, hertz and celsius."""
    cards = {card.key: card for card in book.meter_cards()}
    assert set(cards) == {"handheld_2000", "handheld_6000", "bench_6_digit", "practice"}
    for card in cards.values():
        assert {Quantity.RESISTANCE, Quantity.VOLTAGE, Quantity.FREQUENCY} <= set(card.ranges)
        assert Quantity.TEMPERATURE in card.ranges
        assert card.source_note
    ohms = cards["handheld_2000"].ranges[Quantity.RESISTANCE]
    assert [(r.full_scale, r.resolution) for r in ohms[:3]] == [
        (200, 0.1),
        (2e3, 1.0),
        (20e3, 10.0),
    ]
    assert ohms[2].accuracy.half_width(3860.0, resolution=10.0, full_scale=20e3) == pytest.approx(
        0.008 * 3860.0 + 30.0
    )
    assert cards["practice"].protocol == "nibble-14"


def test_what_is_not_there_is_not_found(book: Book) -> None:
    """An unknown procedure or class is named."""
    with pytest.raises(NotFoundError, match="no procedure 'tea'"):
        book.procedure("tea", "A")
    with pytest.raises(NotFoundError, match="no engine class 'Q'"):
        book.procedure(BENCH, "Q")


def test_texts_are_translated(book: Book) -> None:
    """Every text a person reads goes through the catalogue, keys and empty texts do not."""
    shouting = Book(translate=lambda text: text.upper() or "HEADER").procedure(BENCH, "A")
    plain = book.procedure(BENCH, "A")
    for loud, soft in zip(shouting.checks, plain.checks, strict=True):
        assert (loud.key, loud.obliges, loud.sketch) == (soft.key, soft.obliges, soft.sketch)
        assert (loud.title, loud.why, loud.touch) == (
            soft.title.upper(),
            soft.why.upper(),
            soft.touch.upper(),
        )
        assert loud.setting == soft.setting.upper()
        assert [c.text for c in loud.cautions] == [c.text.upper() for c in soft.cautions]


def test_the_shops_own_files_come_over_the_shipped_ones(tmp_path: Path) -> None:
    """By key: a class of its own is added, a caution and a meter of a shipped key are replaced."""
    written(tmp_path, "engines", ENGINE)
    written(tmp_path, "procedures", PROCEDURE)
    written(tmp_path, "complaints", COMPLAINT.replace("ignition_bench", "rig_bench"))
    written(tmp_path, "cautions", CAUTIONS.replace("sharp_fins", "engine_still"))
    written(tmp_path, "meters", METER.replace("test_meter", "practice"))
    book = Book(tmp_path)
    assert book.faults == ()
    assert "Z" in [engine.key for engine in book.engine_classes()]
    assert "rig_bench" in [complaint.procedure for complaint in book.complaints()]
    (caution,) = book.procedure("rig_bench", "A").check("cap").cautions
    assert caution.text.startswith("Fins cut.")
    assert len(book.meter_cards()) == 4
    assert book.procedure("rig_bench", "A").check("back").kind is CheckKind.LOOK


def test_a_faulty_file_of_the_shop_is_left_out_and_told(tmp_path: Path) -> None:
    """The bench goes on with what was shipped; what needs a left-out file is left out too."""
    spoilt = written(tmp_path, "engines", ENGINE.replace('"Z"', '"A"').replace("..1.3", "..x"))
    written(tmp_path, "procedures", PROCEDURE.replace("kind =", "kin ="))
    orphan = written(tmp_path, "complaints", COMPLAINT.replace("ignition_bench", "rig_bench"))
    sound = written(tmp_path, "meters", METER)
    book = Book(tmp_path)
    told = {fault.split(":")[0] for fault in book.faults}
    assert {str(spoilt), str(orphan)} <= told
    assert str(sound) not in told
    assert book.engine_classes()[0].name != "Rotary test rig"
    assert "rattles" not in [complaint.key for complaint in book.complaints()]
    assert "test_meter" in [card.key for card in book.meter_cards()]


def test_a_shops_file_that_breaks_a_shipped_one_is_left_out(tmp_path: Path) -> None:
    """A check in the place of the look that others oblige would spoil them: it does not."""
    drill = CHECKS[CHECKS.index('[[check]]\nkey = "rig_drill"') :]
    written(tmp_path, "checks", drill.replace("rig_drill", "stop_wire_back"))
    book = Book(tmp_path)
    assert any("'stop_wire_back' is no look" in fault for fault in book.faults)
    assert book.procedure(BENCH, "C").check("stop_wire_back").kind is CheckKind.LOOK


def test_a_shops_check_replaces_the_shipped_one_wherever_it_is_picked(tmp_path: Path) -> None:
    """By key, as all else: every procedure that picks it has the shop's."""
    fins = CHECKS[: CHECKS.index('[[check]]\nkey = "rig_heat"')].replace("rig_spin", "engine_run")
    written(tmp_path, "checks", fins)
    book = Book(tmp_path)
    assert book.faults == ()
    for procedure in ("quits_hot", "surges", "service"):
        assert book.procedure(procedure, "A").check("engine_run").title == "Rig at speed"


def test_a_procedures_own_check_goes_before_the_librarys(tmp_path: Path) -> None:
    """In that procedure only, in the place where it is named; the others keep the library's."""
    bell = PICKS.replace('key = "bell"', 'key = "lead_off"').replace('  "bell",\n', "")
    written(tmp_path, "procedures", bell)
    book = Book(tmp_path)
    assert book.faults == ()
    checks = book.procedure("rig_round", "A").checks
    assert [c.key for c in checks] == ["lead_off", "cap", "stop_insulation", "stop_wire_back"]
    assert checks[0].title == "Rig bell"
    assert book.procedure(BENCH, "A").check("lead_off").title == "Plug lead off and grounded"


def test_a_file_astray_is_told_and_the_rest_is_used(tmp_path: Path) -> None:
    """A misnamed folder is a word of warning; a file that cannot be read is one too."""
    written(tmp_path, "engine", ENGINE)
    written(tmp_path, "engines", ENGINE)
    written(tmp_path, "meters", METER).write_bytes(b"\xff")
    book = Book(tmp_path)
    assert ["did you mean 'engines'" in fault for fault in book.faults] == [True, False]
    assert "Z" in [engine.key for engine in book.engine_classes()]


def test_a_missing_own_folder_is_no_fault(tmp_path: Path) -> None:
    """A shop without profiles of its own has the shipped ones."""
    assert Book(tmp_path / "none").faults == ()


def test_spoilt_shipped_profiles_are_refused(tmp_path: Path) -> None:
    """A damaged installation says so instead of working with half a book."""
    path = written(tmp_path, "engines", "key = ")
    with pytest.raises(ProfileError, match="is not TOML") as caught:
        Book(shipped=tmp_path).engine_classes()
    assert caught.value.faults[0].startswith(f"{path}:1: ")


def test_classes_share_what_the_library_says(book: Book) -> None:
    """A band of the library holds for every class that says none; a class's own for it alone."""
    every = tuple(c.key for c in book.engine_classes())
    assert sorted(book.sharing("cap", "A")) == sorted(every)
    assert book.sharing("cap", "") == book.sharing("cap", "D")
    assert book.sharing("coil_secondary", "A") == ("A",)
    assert book.sharing("coil_secondary", "F") == ("F",)  # it has none, and could have its own
    assert book.sharing("coil_secondary", "") == ()
    assert book.sharing("path", "A") == ("A",)  # a sum with the class's own coil
    says = [key for key in every if key not in book.sharing("compression", "")]
    assert all(book.sharing("compression", key) == (key,) for key in says)
    assert says == ["D"]
    assert book.sharing("no such", "A") == ("A",)
