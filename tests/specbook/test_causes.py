"""The shipped causes: the trade's table in full, no false comfort, nothing named too early."""

import tomllib
from itertools import combinations, product
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchassist.core.cause import CauseBook, CostClass, Evidence, likelihoods, ratio
from benchassist.core.ranking import OTHER, rank
from benchassist.errors import NotFoundError
from benchassist.specbook.book import Book
from benchassist.specbook.cause_sheet import WEIGHTS
from benchassist.specbook.evidence_source import CLEARS_NOTHING
from benchassist.specbook.loader import shipped_folder
from tests.specbook.history import cause_book
from tests.specbook.shelf import CLASSES, COMPLAINTS, procedure

BOOKS = tuple(key for key in COMPLAINTS if key != "service")
EACH = [(key, engine) for key in BOOKS for engine in CLASSES]

# Trade notes C: each cause in the trade's words for how common it is and what its fix costs.
TRADE = {
    "quits_hot": """tank_vent:H:low fuel_restriction:H:middle low_oil:H:low coil_hot:M:middle
        cap_lead_plug:M:low stop_circuit:M:low exhaust_lash:M:low vapour_lock:L-M:low
        heat_spacer:L-M:low blocked_fins:M:low unloader:L-M:middle exhaust_screen:L:low
        air_leak:L:middle tightening:L:high""",
    "no_start": """stale_fuel:H:middle low_oil:M:low plug_cap:M:low coil:M:middle
        flywheel_key:L-M:low no_compression:L-M:high stop_circuit:L-M:low""",
    "hard_start": """choke_primer:H:low stale_fuel:H:low lash_release:M:low plug:M:low
        coil_gap:L:low""",
    "surges": """lean_jet:H:middle air_leak:M:low governor_link:M:low
        unloader_excitation:L:middle fuel_supply:L-M:low""",
    "misfires_under_load": """plug_cap:M:low lean_main:M:low valve:M:low
        weak_coil:L-M:middle exhaust:L:low""",
    "no_idle_down": """pilot_leak:H:middle cable_spring:M:low idle_stop:M:low
        low_pressure:M:low governor_high:L:low""",
    "no_shut_off": """stop_wire_open:H:low stop_switch:M:low glowing:L:middle
        fuel_solenoid:L:middle""",
    "backfires": """fast_shutdown:H:low flywheel_key:M:low intake_valve:M:low lean:M:low
        fuel_solenoid:M:middle""",
}
OF_A_CLASS = {"C": {"points"}, "E": {"exciter_trigger"}, "F": {"supply"}}

QUICKEST = {
    ("quits_hot", "tank_vent"): {"drill:vent"},
    ("quits_hot", "fuel_restriction"): {"look:bowl_flow"},
    ("quits_hot", "low_oil"): {"look:oil_level"},
    ("quits_hot", "coil_hot"): {"drill:spark_isolated"},
    ("quits_hot", "cap_lead_plug"): {"swap:cap"},
    ("quits_hot", "stop_circuit"): {"reading:stop_insulation"},
    ("quits_hot", "exhaust_lash"): {"reading:lash_exhaust"},
    ("no_start", "stale_fuel"): {"look:prime_cold"},
    ("no_start", "flywheel_key"): {"look:flywheel_key"},
    ("hard_start", "coil_gap"): {"reading:air_gap"},
    ("surges", "lean_jet"): {"look:choke_helps"},
    ("surges", "air_leak"): {"look:intake_seal"},
    ("misfires_under_load", "weak_coil"): {"look:spark_inline"},
    ("no_idle_down", "pilot_leak"): {"look:soap_test"},
    ("no_idle_down", "low_pressure"): {"run:tank_run"},
    ("no_shut_off", "stop_switch"): {"reading:stop_switch"},
    ("backfires", "fast_shutdown"): {"look:idle_first"},
    ("backfires", "fuel_solenoid"): {"look:solenoid_click"},
}

KEPT = 0.5
"""Of a coil's share, whatever readings in band and runs that reproduced nothing say together."""


def said(book: CauseBook) -> list[Evidence]:
    """What the customer tells."""
    return [one for one in book.evidence if one.source.startswith("question:")]


def clearing(book: CauseBook) -> list[tuple[str, str]]:
    """Every outcome that found nothing: a reading in band, a run that reproduced nothing."""
    return [
        (one.key, outcome.key)
        for one in book.evidence
        if one.source.startswith(("reading:", "run:"))
        for outcome in one.outcomes
        if CLEARS_NOTHING & {*outcome.when}
    ]


@pytest.mark.parametrize("complaint", BOOKS)
def test_the_trades_table_is_there_in_full(complaint: str) -> None:
    """Every cause with the trade's weight and cost, none missing and none more."""
    sheet = tomllib.loads(
        (shipped_folder() / "causes" / f"{complaint}.toml").read_text(encoding="utf-8")
    )
    found = {f"{c['key']}:{c['weight']}:{c['cost']}" for c in sheet["cause"]}
    found = {word for word in found if word.split(":")[0] not in set().union(*OF_A_CLASS.values())}
    assert found == set(TRADE[complaint].split())


@pytest.mark.parametrize(("complaint", "cause"), list(QUICKEST))
def test_the_quickest_test_is_the_trades(complaint: str, cause: str) -> None:
    """What settles a cause quickest is what the trade's table names for it."""
    book = cause_book(complaint)
    assert book.find(book.cause(cause).test).source in QUICKEST[complaint, cause]


@pytest.mark.parametrize(("complaint", "engine"), EACH)
def test_a_class_has_the_causes_it_can_have(complaint: str, engine: str) -> None:
    """Points, exciters and a battery supply only where they are fitted; no lash in a two-stroke."""
    keys = {cause.key for cause in cause_book(complaint, engine).causes}
    for of_class, special in OF_A_CLASS.items():
        assert not keys & special or engine == of_class
    if engine == "D":
        assert not keys & {"exhaust_lash", "intake_valve", "low_oil", "unloader"}
    if engine == "F":
        assert not keys & {"stop_wire_open", "coil_gap"}
    assert len(keys) >= 3


@pytest.mark.parametrize(("complaint", "engine"), EACH)
def test_evidence_can_be_given(complaint: str, engine: str) -> None:
    """Each piece is asked, worked in the class's procedure, swapped, or stated by hand."""
    worked = {check.key: check for check in procedure(complaint, engine).checks}
    asked = {c.key: {q.key for q in c.questions} for c in Book().complaints()}[complaint]
    steps = {
        step.key for check in worked.values() if check.run is not None for step in check.run.drill
    }
    for one in cause_book(complaint, engine).evidence:
        kind, _colon, key = one.source.partition(":")
        there = {"question": asked, "drill": steps}.get(kind, set(worked))
        assert (key in there or kind == "swap") is not one.by_hand, one.key


@pytest.mark.parametrize(("complaint", "engine"), EACH)
def test_the_figures_of_a_book_can_be(complaint: str, engine: str) -> None:
    """Likelihoods add up, nothing is free but a question, and the book says whose figures."""
    book = cause_book(complaint, engine)
    assert "shop judgement" in book.note
    assert book.other_weight > 0.0
    for one in book.evidence:
        assert (one.minutes == 0.0) is one.source.startswith("question:"), one.key
        assert sum(outcome.base for outcome in one.outcomes) == pytest.approx(1.0)
        assert all(outcome.text for outcome in one.outcomes), one.key
        for cause in book.causes:
            assert sum(likelihoods(cause, one).values()) == pytest.approx(1.0)
    for cause in book.causes:
        assert cause.cost in CostClass
        assert cause.weight in {*WEIGHTS.values()}
        assert cause.bearings, cause.key


@pytest.mark.parametrize("complaint", BOOKS)
def test_work_stated_by_hand_carries_its_hazards(complaint: str) -> None:
    """No step of the procedure warns of it, so the evidence does, in words the book has."""
    book = Book()
    for one in cause_book(complaint).evidence:
        if one.by_hand:
            assert one.cautions, one.key
        assert all(book.caution(key).text for key in one.cautions)


@pytest.mark.parametrize("complaint", BOOKS)
def test_words_are_short_and_plain(complaint: str) -> None:
    """They fit a line of the findings; nobody is begged or shouted at."""
    book = cause_book(complaint)
    for one in book.evidence:
        assert 0 < len(one.name) <= 56, one.name
        assert all(0 < len(outcome.text) <= 60 for outcome in one.outcomes), one.key
    for cause in book.causes:
        assert 0 < len(cause.name) <= 42, cause.name
        assert 0 < len(cause.fix) <= 110, cause.fix
        words = f"{cause.name} {cause.fix}".lower()
        assert not any(w in words for w in ("!", "please", "simply", " just ", " good", "fail"))


@pytest.mark.parametrize("complaint", BOOKS)
def test_what_found_nothing_lowers_nothing_below_half(complaint: str) -> None:
    """A reading in band or a run not reproduced leaves every cause half its odds at least."""
    book = cause_book(complaint)
    for key, outcome in clearing(book):
        for cause in book.causes:
            assert ratio(cause, book.find(key), outcome) >= 0.5 - 1e-9, (cause.key, key)


COILS = [("quits_hot", "coil_hot"), ("no_start", "coil"), ("misfires_under_load", "weak_coil")]


@pytest.mark.parametrize(("complaint", "coil"), COILS)
def test_readings_in_band_never_clear_a_coil(complaint: str, coil: str) -> None:
    """Whichever readings are in band and runs reproduced nothing, half of its share is left."""
    for engine in CLASSES:
        book = cause_book(complaint, engine)
        before = rank(book, {}).of(coil).share
        found = clearing(book)
        assert found
        for number in range(len(found) + 1):
            for some in combinations(found, number):
                assert rank(book, dict(some)).of(coil).share >= KEPT * before


@pytest.mark.parametrize(("complaint", "engine"), EACH)
def test_with_hardly_any_evidence_nothing_is_named(complaint: str, engine: str) -> None:
    """Neither with none nor with any single piece, however strong."""
    book = cause_book(complaint, engine)
    assert rank(book, {}).named is None
    for one in book.evidence:
        for outcome in one.outcomes:
            assert rank(book, {one.key: outcome.key}).named is None, (one.key, outcome.key)


@pytest.mark.parametrize("complaint", [key for key in BOOKS if key != "quits_hot"])
def test_what_is_only_said_names_nothing(complaint: str) -> None:
    """Whatever the customer answers, in full or in part, the bench has to look first."""
    book = cause_book(complaint)
    every = [["", *(outcome.key for outcome in one.outcomes)] for one in said(book)]
    for answers in product(*every):
        told = {one.key: word for one, word in zip(said(book), answers, strict=True) if word}
        assert rank(book, told).named is None, told


@given(data=st.data())
@settings(max_examples=200)
def test_what_is_only_said_names_nothing_when_it_quits_hot(data: st.DataObject) -> None:
    """The same for the longest interview, on drawn answers."""
    book = cause_book("quits_hot", data.draw(st.sampled_from(CLASSES)))
    told = {
        one.key: data.draw(st.sampled_from([outcome.key for outcome in one.outcomes]))
        for one in said(book)
        if data.draw(st.booleans())
    }
    assert rank(book, told).named is None


@pytest.mark.parametrize("complaint", BOOKS)
def test_a_cap_out_of_band_does_not_prove_itself(complaint: str) -> None:
    """Ohms of a cap are compatible with a cause; with a path out of band too nothing is named."""
    book = cause_book(complaint)
    ohms = [one for one in book.evidence if one.source in {"reading:cap", "reading:path"}]
    for outcomes in product(*(one.outcomes for one in ohms)):
        found = {one.key: outcome.key for one, outcome in zip(ohms, outcomes, strict=True)}
        assert rank(book, found).named is None


def test_something_else_is_never_ruled_out() -> None:
    """It keeps a share whatever has been seen, so no cause is certain."""
    for complaint in BOOKS:
        book = cause_book(complaint)
        for cause in book.causes:
            best = {
                one.key: max(one.outcomes, key=lambda o, e=one: ratio(cause, e, o.key)).key  # type: ignore[misc]
                for one in book.evidence
            }
            assert 0.0 < rank(book, best).other < 1.0
    assert OTHER == ""


def test_a_service_has_no_causes() -> None:
    """A complaint without a book has causes to rank: none, and all is something else."""
    book = Book().causes("service")
    assert book.causes == ()
    assert rank(book, {}).other == 1.0


def test_what_is_not_there_is_said() -> None:
    """A complaint, class or caution that the book does not have."""
    book = Book()
    with pytest.raises(NotFoundError, match="no complaint 'hums'"):
        book.causes("hums")
    with pytest.raises(NotFoundError, match="no engine class 'Q'"):
        book.causes("surges", "Q")
    with pytest.raises(NotFoundError, match="no caution 'ghost'"):
        book.caution("ghost")


def test_figures_are_said_to_be_judgement() -> None:
    """Each file of causes and evidence says in its first lines that it is no statistics."""
    files: list[Path] = [
        *(shipped_folder() / "causes").glob("*.toml"),
        *(shipped_folder() / "evidence").glob("*.toml"),
    ]
    assert len(files) == len(BOOKS) + 2
    for path in files:
        head = path.read_text(encoding="utf-8").split("\n\n")[0].replace("\n# ", " ")
        assert "shop judgement, not statistics" in head, path.name
