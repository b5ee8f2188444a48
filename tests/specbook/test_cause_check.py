"""`specs check` on causes and evidence: every kind of fault at its file and line, all at once."""

from pathlib import Path

import pytest

from benchassist.core.cause import CostClass
from benchassist.core.ranking import rank
from benchassist.specbook.book import Book
from benchassist.specbook.check import check
from tests.specbook.sample import written

EVIDENCE = """\
[[evidence]]
key = "rig_wait"
name = "Rig: minutes before it restarts"
source = "question:wait_to_restart"
outcomes = [
  { key = "short", text = "under 5 min", when = ["under:300"], share = 0.4 },
  { key = "long", text = "5 min or more", when = ["from:300"], share = 0.6 },
]

[[evidence]]
key = "rig_gap"
name = "Rig: coil air gap"
source = "reading:air_gap"
outcomes = [
  { key = "in_band", text = "in band", share = 0.8 },
  { key = "off", text = "out of band", when = ["low", "high"], share = 0.2 },
]
"""

CAUSES = """\
key = "surges"
version = "7"
note = "this shop's judgement"
other_weight = 2
by_hand = ["rig_ear"]

[[evidence]]
key = "rig_choke"
name = "Rig: part choke"
source = "look:choke_helps"
minutes = 2
outcomes = [
  { key = "better", share = 0.25 },
  { key = "rest", text = "no better", when = ["worse", "same"], share = 0.75 },
]

[[evidence]]
key = "rig_ear"
name = "Rig: held to the ear"
minutes = 4.0
after = ["rig_choke:better"]
outcomes = [
  { key = "hums", text = "it hums", share = 0.1 },
  { key = "silent", text = "silent", share = 0.9 },
]
cautions = ["hot_engine"]

[[evidence]]
key = "rig_run"
name = "Rig: engine run"
source = "run:engine_run"
outcomes = [
  { key = "steady", text = "in band", when = ["in_band"], share = 0.4 },
  { key = "hunting", text = "hunts", share = 0.6 },
]

[[cause]]
key = "lean"
name = "Lean"
weight = "H"
class_weight = { D = 2.5 }
not_for = ["F"]
test = "rig_choke"
part = "jet"
fix = "Clean it."
cost = "low"
cautions = ["fuel_open"]
bearings = [
  { evidence = "rig_choke", outcome = "better", strength = 3 },
  { evidence = "rig_run", outcome = "hunting", strength = 1.3 },
]

[[cause]]
key = "hum"
name = "Humming"
weight = 1.5
test = "rig_ear"
fix = "Stop it."
cost = "high"
bearings = [
  { evidence = "rig_ear", outcome = "hums", strength = 6.0 },
  { evidence = "fuel_vent", outcome = "blocked", strength = 2.0 },
]
"""

SOUND = {"evidence": EVIDENCE, "causes": CAUSES}


@pytest.mark.parametrize("kind", list(SOUND))
def test_sound_ones_have_no_fault(tmp_path: Path, kind: str) -> None:
    """What the faults below are put into is sound itself."""
    written(tmp_path, kind, SOUND[kind])
    assert check(tmp_path) == ()


LEAN = '  { evidence = "rig_choke", outcome = "better", strength = 3 },\n'
RUN = '  { evidence = "rig_run", outcome = "hunting", strength = 1.3 },\n'
FAULTS = [
    # evidence
    ("evidence", "question:wait", "question:weight", 4, "unknown question 'weight_to_restart'"),
    ("evidence", '"question:wait_to_restart"', '"the owner"', 4, "'the owner' is no source: write"),
    ("evidence", "question:", "asked:", 4, "is no source: write one of question, look, reading"),
    ("evidence", "under:300", "below 5 min", 6, "'below 5 min' is no time: write 'from:600 under"),
    ("evidence", '"from:300"', '"from:200"', 5, "a time could lie in two of these outcomes"),
    ("evidence", '"from:300"', '"from:900 under:300"', 7, "'from:900 under:300' is no time"),
    ("evidence", "share = 0.6", "share = 0.5", 5, "the shares must add up to 1, not 0.9"),
    ("evidence", "share = 0.6", "share = 0", 7, "a share lies above 0 and below 1"),
    ("evidence", "share = 0.6", "share = nan", 7, "a share lies above 0 and below 1"),
    ("evidence", 'key = "long"', 'key = "short"', 7, "the outcome 'short' stands here twice"),
    ("evidence", 'text = "5 min or more", ', "", 7, "an outcome without words: text"),
    (
        "evidence",
        'outcomes = [\n  { key = "short"',
        'minutes = 3\noutcomes = [\n  { key = "short"',
        5,
        "a question takes no minutes on the bench",
    ),
    (
        "evidence",
        "reading:air_gap",
        "reading:air_gab",
        13,
        "unknown check with a reading 'air_gab'",
    ),
    ("evidence", "reading:air_gap", "look:air_gap", 13, "unknown look 'air_gap'"),
    (
        "evidence",
        '"low", "high"',
        '"low", "hihg"',
        16,
        "unknown answer 'hihg': did you mean 'high'",
    ),
    (
        "evidence",
        '"low", "high"',
        '"low", "in_band"',
        16,
        "'in_band' already makes another outcome",
    ),
    (
        "evidence",
        '  { key = "in_band", text = "in band", share = 0.8 },\n',
        "",
        14,
        "evidence needs two outcomes or more",
    ),
    ("evidence", '"rig_gap"', '"rig_wait"', 11, "the key 'rig_wait' is already used in mine.toml"),
    ("evidence", 'name = "Rig: coil', 'nam = "Rig: coil', 12, "unknown key 'nam': did you mean"),
    # a book of causes
    ("causes", '"surges"', '"surgs"', 1, "unknown complaint 'surgs': did you mean 'surges'?"),
    ("causes", "this shop's judgement", " ", 3, "say whose figures these are"),
    ("causes", 'note = "this shop\'s judgement"\n', "", 1, "the key 'note' is missing"),
    ("causes", "other_weight = 2", "other_weight = 0", 4, "'something else' needs a weight above"),
    ("causes", "other_weight = 2", "other_weight = inf", 4, "'something else' needs a weight"),
    ("causes", 'by_hand = ["rig_ear"]\n', "", 60, "'rig_ear' is never answered here: name it in"),
    ("causes", '["rig_ear"]', '["rig_ear", "rig_choke"]', 5, "is answered by this complaint"),
    ("causes", '["rig_ear"]', '["rig_ear", "rig_eye"]', 5, "unknown evidence of these causes"),
    ("causes", "look:choke_helps", "look:choke_works", 13, "unknown answer 'better'"),
    ("causes", '"rig_ear"\nname', '"rig_choke"\nname', 18, "the evidence 'rig_choke' stands here"),
    ("causes", "minutes = 4.0", "minutes = -4.0", 20, "minutes must be above zero"),
    ("causes", "minutes = 4.0\n", "", 17, "no check says how long it takes: add minutes"),
    ("causes", 'cautions = ["hot_engine"]\n', "", 17, "no check says what can hurt here"),
    ("causes", '["hot_engine"]', '["hot_engin"]', 26, "unknown caution 'hot_engin': did you mean"),
    (
        "causes",
        '"silent", text',
        '"silent", when = ["no"], text',
        24,
        "is stated by hand: no 'when'",
    ),
    (
        "causes",
        "rig_choke:better",
        "rig_choke:bitter",
        21,
        "unknown outcome 'bitter': did you mean",
    ),
    ("causes", "rig_choke:better", "rig_chok:better", 21, "unknown evidence of these causes"),
    ("causes", "rig_choke:better", "rig_ear:hums", 21, "'rig_ear' waits for itself"),
    # a cause
    ("causes", f"bearings = [\n{LEAN}{RUN}]\n", "bearings = []\n", 37, "a cause without evidence"),
    ("causes", f"bearings = [\n{LEAN}{RUN}]\n", "", 37, "a cause without evidence"),
    ("causes", "strength = 3 ", "strength = 0 ", 49, "a strength is above zero and finite, not 0"),
    ("causes", "strength = 3 ", "strength = inf ", 49, "is above zero and finite, not inf"),
    (
        "causes",
        "strength = 3 ",
        "strength = -3 ",
        49,
        "a strength is above zero and finite, not -3",
    ),
    ("causes", "strength = 3 ", "strength = nan ", 49, "is above zero and finite, not nan"),
    ("causes", "strength = 3 ", "strength = 1 ", 49, "a strength of 1 says nothing"),
    (
        "causes",
        "strength = 3 ",
        "strength = 4.5 ",
        49,
        "too strong for its share: 'rig_choke' comes to 1.12, and must stay below 1",
    ),
    (
        "causes",
        LEAN,
        f"{LEAN}{LEAN.replace('better', 'rest').replace('3', '0.7')}",
        49,
        "'rig_choke' comes to 1.27, and must be 1 with every outcome stated",
    ),
    ("causes", LEAN, LEAN + LEAN, 50, "'rig_choke', 'better' stands here twice"),
    (
        "causes",
        "strength = 1.3",
        "strength = 1.4",
        50,
        "'steady' of 'rig_run' would lower this cause to 0.4; what was not found clears nothing",
    ),
    (
        "causes",
        'evidence = "rig_choke"',
        'evidence = "rig_chok"',
        49,
        "unknown evidence 'rig_chok'",
    ),
    ("causes", 'outcome = "better"', 'outcome = "beter"', 49, "unknown outcome 'beter': did you"),
    ("causes", 'key = "hum"', 'key = "lean"', 54, "two causes have the key 'lean'"),
    ("causes", '"Humming"', '" lean "', 55, "two causes have the name 'lean'"),
    ("causes", 'weight = "H"', 'weight = "X"', 40, "unknown weight 'X'"),
    ("causes", 'weight = "H"', "weight = true", 40, "must be a number, not True"),
    ("causes", "weight = 1.5", "weight = -1.5", 56, "a weight is above zero and finite"),
    ("causes", "D = 2.5", "D = inf", 41, "a weight is above zero and finite"),
    ("causes", "D = 2.5", 'X = "H"', 41, "unknown engine class 'X'"),
    ("causes", '["F"]', '["G"]', 42, "unknown engine class 'G'"),
    ("causes", 'cost = "low"', 'cost = "lo"', 46, "unknown cost class 'lo': did you mean 'low'?"),
    ("causes", '["fuel_open"]', '["fuel_opn"]', 47, "unknown caution 'fuel_opn': did you mean"),
    ("causes", 'test = "rig_choke"', 'test = "fuel_vent"', 43, "unknown evidence of this cause"),
    ("causes", '"Clean it."', '""', 45, "say what the usual fix is: fix"),
    ("causes", 'rig_run"\nname', 'rig_ran"\nname', 50, "unknown evidence 'rig_run'"),
]


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: f"{fault[0]}: {fault[4]}")
def test_a_fault_is_told_at_its_line(tmp_path: Path, fault: tuple[str, str, str, int, str]) -> None:
    """One change for the worse, one line that says where and what would be right."""
    kind, old, new, line, said = fault
    assert old in SOUND[kind]
    path = written(tmp_path, kind, SOUND[kind].replace(old, new, 1))
    told = [one for one in check(tmp_path) if said in one]
    assert told, check(tmp_path)
    assert told[0].startswith(f"{path}:{line}: "), told


def test_a_book_without_causes_is_a_fault(tmp_path: Path) -> None:
    """A list of none, or no list."""
    head = CAUSES.partition("[[evidence]]")[0].replace('by_hand = ["rig_ear"]\n', "")
    path = written(tmp_path, "causes", f"{head}cause = []\n")
    assert check(tmp_path) == (f"{path}:6: a book of causes needs at least one [[cause]]",)
    written(tmp_path, "causes", head)
    assert check(tmp_path) == (f"{path}:1: the key 'cause' is missing",)


def test_evidence_that_bears_on_nothing_is_a_fault(tmp_path: Path) -> None:
    """A book's own evidence is there for its causes."""
    path = written(tmp_path, "causes", CAUSES.replace(RUN, ""))
    assert check(tmp_path) == (f"{path}:29: 'rig_run' bears on no cause",)


def test_evidence_of_another_complaint_is_never_answered(tmp_path: Path) -> None:
    """A question that this complaint does not ask, a check that its procedure does not have."""
    asked = CAUSES.replace(
        LEAN, LEAN + '  { evidence = "rig_gap", outcome = "off", strength = 2 },\n'
    )
    written(tmp_path, "evidence", EVIDENCE)
    path = written(tmp_path, "causes", asked)
    assert check(tmp_path) == (
        f"{path}:50: 'rig_gap' is never answered here: name it in by_hand, or leave it out",
    )


def test_two_that_wait_for_each_other_are_a_fault(tmp_path: Path) -> None:
    """What must come before a test must not wait for it."""
    looped = CAUSES.replace("minutes = 2\n", 'minutes = 2\nafter = ["rig_ear:hums"]\n')
    path = written(tmp_path, "causes", looped)
    assert check(tmp_path) == (
        f"{path}:12: 'rig_choke' waits for itself",
        f"{path}:22: 'rig_ear' waits for itself",
    )


def test_every_fault_is_told_at_once(tmp_path: Path) -> None:
    """Three things wrong in one file, three lines."""
    spoilt = CAUSES.replace("strength = 3 ", "strength = 0 ").replace('"fuel_open"', '"fire"')
    path = written(tmp_path, "causes", spoilt.replace('"Stop it."', '" "'))
    assert [fault.split(": ")[0] for fault in check(tmp_path)] == [
        f"{path}:47",
        f"{path}:49",
        f"{path}:58",
    ]


def test_the_shop_replaces_a_book_by_its_complaint(tmp_path: Path) -> None:
    """Its causes, weights and evidence stand in place of the shipped ones; other books stay."""
    written(tmp_path, "causes", CAUSES)
    book = Book(tmp_path)
    causes = book.causes("surges")
    assert book.faults == ()
    assert [(cause.key, cause.weight) for cause in causes.causes] == [("lean", 6.0), ("hum", 1.5)]
    assert causes.causes[1].cost is CostClass.HIGH
    assert causes.note == "this shop's judgement"
    assert (causes.version, causes.other_weight) == ("7", 2.0)
    assert [one.key for one in causes.evidence] == ["rig_choke", "rig_ear", "rig_run", "fuel_vent"]
    assert book.causes("no_start") == Book().causes("no_start")


def test_what_a_check_says_is_taken_over(tmp_path: Path) -> None:
    """Minutes, cautions and words of an answer come from the check unless the book has its own."""
    written(tmp_path, "causes", CAUSES)
    causes = Book(tmp_path).causes("surges")
    choke, run = causes.find("rig_choke"), causes.find("rig_run")
    assert (choke.minutes, run.minutes) == (2.0, 10.0)
    assert choke.outcome("better").text == "smooths out"
    assert choke.outcome("better").when == ("better",)
    assert choke.outcome("rest").when == ("worse", "same")
    assert set(choke.cautions) >= {"exhaust_gas", "guards_on"}
    ear = causes.find("rig_ear")
    assert (ear.by_hand, ear.source, ear.cautions) == (True, "", ("hot_engine",))
    assert not ear.is_due({"rig_choke": "rest"})
    assert ear.is_due({"rig_choke": "better"})


def test_a_class_has_its_own_weights_and_causes(tmp_path: Path) -> None:
    """A weight of the class in place of the general one, and nothing that it cannot have."""
    written(tmp_path, "causes", CAUSES)
    book = Book(tmp_path)
    assert book.causes("surges", "D").cause("lean").weight == 2.5
    assert book.causes("surges", "A").cause("lean").weight == 6.0
    of_f = book.causes("surges", "F")
    assert [cause.key for cause in of_f.causes] == ["hum"]
    assert [one.key for one in of_f.evidence] == ["rig_ear", "fuel_vent"]


def test_the_shop_replaces_shared_evidence(tmp_path: Path) -> None:
    """One piece by its key, for every complaint that stands on it; with shares it can bear."""
    shared = EVIDENCE[EVIDENCE.rindex("[[evidence]]") :].replace("rig_gap", "air_gap")
    shared = shared.replace('"off"', '"high"')
    path = written(tmp_path, "evidence", shared)
    assert any("too strong for its share: 'air_gap'" in fault for fault in check(tmp_path))
    assert Book(tmp_path).causes("hard_start") == Book().causes("hard_start")
    path.write_text(shared.replace("0.8", "0.91").replace("0.2", "0.09"), encoding="utf-8")
    book = Book(tmp_path)
    assert book.faults == ()
    assert book.causes("hard_start").find("air_gap").name == "Rig: coil air gap"
    assert book.causes("misfires_under_load").find("air_gap").outcome("high").base == 0.09


def test_a_faulty_book_is_left_out_and_the_shipped_one_stands(tmp_path: Path) -> None:
    """The bench goes on: the rest of the shop's files too."""
    path = written(tmp_path, "causes", CAUSES.replace("strength = 3 ", "strength = 0 "))
    written(tmp_path, "evidence", EVIDENCE)
    book = Book(tmp_path)
    assert book.causes("surges") == Book().causes("surges")
    assert book.faults == (f"{path}:49: a strength is above zero and finite, not 0",)


def test_words_are_translated() -> None:
    """Names, outcomes, fixes and the note go through the catalogue, keys and parts do not."""
    causes = Book(translate=str.upper).causes("quits_hot")
    coil = causes.cause("coil_hot")
    assert coil.name == "COIL OPENS OR SHORTS HOT"
    assert coil.fix == coil.fix.upper()
    assert coil.part == "coil"
    assert causes.find("fuel_vent").outcome("free").text == "BREATHES FREELY"
    assert causes.note == causes.note.upper()
    assert rank(causes, {"fuel_vent": "blocked"}).ranked[0].cause == "tank_vent"


def test_a_shops_own_complaint_leaves_the_shipped_causes_standing(tmp_path: Path) -> None:
    """What its procedure does not answer is stated by hand: no fault, and nothing is lost."""
    folder = tmp_path / "complaints"
    folder.mkdir()
    (folder / "quits_hot.toml").write_text(
        'key = "quits_hot"\nname = "Quits hot"\nprocedure = "ignition_bench"\n'
        'questions = ["how_it_quits"]\n',
        encoding="utf-8",
    )
    book = Book(tmp_path)
    assert book.faults == ()
    shipped = Book(tmp_path / "none").causes("quits_hot", "A")
    own = book.causes("quits_hot", "A")
    assert [cause.key for cause in own.causes] == [cause.key for cause in shipped.causes]
    assert own.find("heat_run").by_hand
    assert not shipped.find("heat_run").by_hand
    assert not own.find("how_it_quits").by_hand
