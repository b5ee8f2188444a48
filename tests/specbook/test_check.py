"""`specs check`: every kind of fault is found at its file and line, all of them at once."""

from pathlib import Path

import pytest

from benchassist.errors import InputError
from benchassist.specbook.check import check
from tests.specbook.sample import CHECKS, COMPLAINT, ENGINE, METER, PICKS, SOUND, written


@pytest.mark.parametrize("kind", list(SOUND))
def test_a_sound_profile_has_no_fault(tmp_path: Path, kind: str) -> None:
    """The profiles that the faults below are put into are sound themselves."""
    written(tmp_path, kind, SOUND[kind])
    assert check(tmp_path) == ()


FAULTS = [
    # an engine class
    ("engines", "name =", "nmae =", 2, "unknown key 'nmae': did you mean 'name'?"),
    ("engines", 'name = "Rotary test rig"\n', "", 1, "the key 'name' is missing"),
    ("engines", "= false", '= "no"', 3, "must be true or false, not 'no'"),
    ("engines", '["low_oil"]', '"low_oil"', 4, "must be a list in square brackets, not 'low_oil'"),
    ("engines", '"low_oil"', '"low_oli"', 4, "unknown check 'low_oli': did you mean 'low_oil'?"),
    ("engines", '"low_oil"', '"stop_wire_back"', 4, "obliges 'stop_wire_back', which this class"),
    ("engines", '"condenser"', '"cap"', 5, "'cap' is in every class already"),
    ("engines", "application =", "aplication =", 8, "unknown option group 'aplication': did you"),
    ("engines", '"other"', '"othr"', 8, "unknown option 'othr': did you mean 'other'?"),
    ("engines", '["other"]', "[]", 8, "a choice of nothing"),
    ("engines", "coil_primary]", "coil_primry]", 10, "unknown check 'coil_primry': did you mean"),
    ("engines", "1.3 ohm", "1.3 V", 11, "1.3 V"),
    ("engines", "0.6 ohm..1.3 ohm", "1.3 ohm..0.6 ohm", 11, "1.3 ohm..0.6 ohm"),
    ("engines", "0.6 ohm..1.3 ohm", "about an ohm", 11, "about an ohm"),
    ("engines", "0.6 ohm..1.3 ohm", "..", 11, "limit"),
    ("engines", 'source = "common practice"\n', "", 11, "the band has no source"),
    ("engines", 'probe_points = "stop tab to bare core"\n', "", 11, "the band has no probe_points"),
    ("engines", 'band = "0.6 ohm..1.3 ohm"\n', "", 11, "a source without a band"),
    (
        "engines",
        '"common practice"',
        '"comon practice"',
        12,
        "unknown source 'comon practice': did",
    ),
    ("engines", '"common practice"', '"maker"', 12, "needs a note: manual and page"),
    ("engines", "= true\nprobe", "= 1\nprobe", 13, "must be true or false, not 1"),
    ("engines", "volt_drop =", 'cautions = ["ghost"]\nvolt_drop =', 15, "unknown caution 'ghost'"),
    ("engines", "volt_drop = true", "polarities = 3", 15, "polarities is 1 or 2"),
    ("engines", "volt_drop = true", "pulses_per_rev = 0", 15, "pulses_per_rev must be above zero"),
    ("engines", "= false", "= true", 11, "no band for 'coil_primary' but the maker's"),
    ("engines", "= false", "= true", 15, "no volt drop through electronics"),
    ("engines", "[checks.coil_primary]", "[checks.cap]", 11, "is judged by options or a sum"),
    ("engines", "[checks.coil_primary]", "[checks.path]", 11, "is judged by options or a sum"),
    ("engines", "[checks.coil_primary]", "[checks.air_gap]", 11, "0.6 ohm"),
    ("engines", "[checks.coil_primary]", "[checks.stop_works]", 11, "a check without a quantity"),
    ("engines", 'name = "Rotary', 'name = Rotary"', 2, "is not TOML"),
    ("engines", "omit =", "key =", 4, "is not TOML: this key or table stands here twice"),
    # a procedure
    ("procedures", 'kind = "measure"', 'kind = "mesure"', 9, "unknown kind 'mesure': did you mean"),
    ("procedures", 'kind = "measure"', 'kind = "look"', 10, "a look is answered by words"),
    ("procedures", '"resistance"', '"ohms"', 10, "unknown quantity 'ohms'"),
    ("procedures", 'quantity = "resistance"\n', "", 5, "a check to measure needs a quantity"),
    ("procedures", 'setting = "ohms"\n', "", 5, "say what to set"),
    ("procedures", 'touch = "cap and lead"\n', "", 25, "say where to touch or to look"),
    ("procedures", 'sketch = "cap"', 'sketch = "cup"', 14, "unknown sketch 'cup': did you mean"),
    ("procedures", 'option_group = "cap_marking"\n', "", 16, "options need 'option_group'"),
    ("procedures", "7 kohm", "2 kohm", 18, "2 kohm"),
    ("procedures", ', source = "marking"', "", 18, "the band has no source"),
    ("procedures", ', note = "5 kΩ"', "", 18, "needs a note"),
    ("procedures", 'probe_points = "end to end"\n', "", 17, "the band has no probe_points"),
    ("procedures", '"unmarked"', '"marked"', 19, "the option 'marked' stands here twice"),
    ("procedures", '"no marking"', "5", 19, "must be a text in quotes, not 5"),
    ("procedures", '"engine_still"', '"engine_stil"', 21, "unknown caution 'engine_stil': did you"),
    ("procedures", "20 kohm", "20 mm", 22, "20 mm"),
    ("procedures", 'obliges = "back"', 'obliges = "bak"', 23, "unknown check 'bak': did you mean"),
    ("procedures", 'obliges = "back"', 'obliges = "cap"', 23, "'cap' is no look"),
    ("procedures", 'obliges = "back"', "polarities = 0", 23, "polarities is 1 or 2"),
    ("procedures", 'obliges = "back"', "polarities = 1.5", 23, "must be a whole number, not 1.5"),
    ("procedures", 'obliges = "back"', "minutes = -1", 23, "minutes must be above zero"),
    ("procedures", 'obliges = "back"', 'minutes = "2"', 23, "must be a number, not '2'"),
    ("procedures", 'obliges = "back"', 'sum_of = ["back"]', 23, "sum_of names two checks"),
    ("procedures", 'obliges = "back"', 'sum_of = ["back", "cop"]', 23, "unknown check 'cop'"),
    ("procedures", 'obliges = "back"', 'accuracy = "2%"', 23, "whose figure the accuracy is"),
    ("procedures", 'obliges = "back"', 'accuracy = "fair"', 23, "'fair' is no accuracy"),
    ("procedures", 'key = "back"', 'key = "cap"', 26, "the check 'cap' stands here twice"),
    ("procedures", 'title = "Cap back on"\n', "", 25, "the key 'title' is missing"),
    ("procedures", '  { key = "no", text = "not yet" },\n', "", 32, "two answers or more"),
    ("procedures", '"no"', '"yes"', 34, "the answer 'yes' stands here twice"),
    # checks of the library, runs among them
    ("checks", "[[check]]", "[[chek]]", 21, "is not TOML: this key or table stands here twice"),
    ("checks", 'kind = "run"', 'kind = "look"', 17, "only a check of kind 'run' has a table"),
    ("checks", 'kind = "run"', 'kind = "look"', 1, "a look needs two answers"),
    ("checks", '[check.run]\nkind = "engine"\ncycles = 2\n', "", 5, "a run needs its table"),
    ("checks", "sketch =", 'quantity = "speed"\nsketch =', 8, "a run has no 'quantity'"),
    ("checks", "sketch =", 'typical = "2 ohm"\nsketch =', 8, "a run has no 'typical'"),
    ("checks", 'text = "nothing"', 'text = "nothing", band = "..5 s"', 13, "not against a band"),
    ("checks", '"engine"', '"engin"', 18, "unknown kind of run 'engin': did you mean 'engine'?"),
    ("checks", "cycles = 2", "cycles = -1", 19, "cycles must be 0 or more"),
    ("checks", "cycles = 2", "cycles = 2.5", 19, "must be a whole number, not 2.5"),
    ("checks", "cycles = 2", 'hold = "5 min"', 19, "a run of kind 'engine' has no 'hold'"),
    ("checks", "cycles = 2", "pulses = 2", 19, "unknown key 'pulses'"),
    ("checks", "900 rpm", "900 ohm", 12, "900 ohm"),
    ("checks", "..2 s", "..2 rpm", 12, "2 rpm"),
    ("checks", "900 rpm", "1600 rpm", 12, "the low speed must lie below that of the high"),
    ("checks", "1500 rpm..", "..700 rpm", 12, "the low speed must lie below that of the high"),
    ("checks", ', source = "common practice" } }', " } }", 12, "the speeds have no source"),
    ("checks", '"common practice" }', '"maker" }', 12, "need a note: manual and page"),
    ("checks", "fall =", 'rated = "0 rpm", fall =', 12, "0 rpm must be above zero"),
    ("checks", "fall =", "droop =", 12, "unknown key 'droop'"),
    ("checks", '"nothing" }', '"nothing", speeds = {} }', 13, "speeds without a figure"),
    ("checks", '"path"', '"coil"', 33, "unknown part 'coil'"),
    ("checks", "80 °C", "warm", 34, "warm"),
    ("checks", "80 °C", "80 ohm", 34, "80 ohm"),
    ("checks", "80 °C", "-4 °C", 34, "-4 °C must be above zero"),
    ("checks", "80 °C", "120 °C", 34, "a ceiling above 95 °C is the maker's to give"),
    ("checks", "80 °C", "96 °C", 34, "a ceiling above 95 °C is the maker's to give"),
    (
        "checks",
        '"80 °C"',
        '"120 °C"\nceiling_source = "maker"',
        35,
        "needs ceiling_note: manual and page",
    ),
    ("checks", "cycles = 1", "cycles = 0", 35, "cycles must be 1 or more"),
    ("checks", "5 min", "5 m", 36, "5 m"),
    ("checks", "5 min", "-5 min", 36, "a time cannot be below zero"),
    ("checks", 'hold = "5 min"', "loads = true", 36, "a run of kind 'heat' has no 'loads'"),
    ("checks", 'obliges = "stop_wire_back"\n', "", 47, "takes the stop wire off: oblige the look"),
    ("checks", '"stop_wire_back"', '"stop_wire_bak"', 46, "unknown check 'stop_wire_bak': did you"),
    ("checks", 'kind = "drill"', 'kind = "tank"', 50, "a run of kind 'tank' has no 'drill'"),
    ("checks", '"30 s"', '"60 s"', 55, "in the order in which their evidence goes cold"),
    ("checks", '"30 s"', '"soon"', 51, "soon"),
    ("checks", '"30 s"', '"0 s"', 51, "0 s must be above zero"),
    ("checks", '"spark_isolated"', '"spark"', 55, "the step 'spark' stands here twice"),
    ("checks", '    { key = "yes", text = "yes" },\n', "", 51, "a step needs two answers or more"),
    ("checks", '"no", text', '"yes", text', 53, "the answer 'yes' stands here twice"),
    ("checks", '"spark:no"', '"spark:nay"', 55, "'spark:nay' is no answer of an earlier step"),
    ("checks", '"spark:no"', '"spark_isolated:yes"', 55, "is no answer of an earlier step"),
    # the rest
    ("complaints", "ignition_bench", "ignition_bnch", 3, "unknown procedure 'ignition_bnch': did"),
    ("complaints", "last_touched", "last_tuched", 4, "unknown question 'last_tuched': did you"),
    ("questions", "[[question]]", "[[qestion]]", 1, "unknown key 'qestion': did you mean"),
    ("questions", '"What noise?"', "7", 3, "must be a text in quotes, not 7"),
    ("questions", "answers =", 'quantity = "length"\nanswers =', 4, "asks for a duration"),
    ("questions", "answers =", 'quantity = "duration"\nanswers =', 5, "not both"),
    ("questions", '"soft"', '"loud"', 6, "the answer 'loud' stands here twice"),
    ("cautions", "[[caution]]", "[caution]", 1, "must be written [[caution]]"),
    ("cautions", "text =", "txt =", 3, "unknown key 'txt': did you mean 'text'?"),
    ("cautions", "Fins cut. The maker’s manual comes first.", " ", 3, "a caution without words"),
    ("meters", "invented figures", "", 3, "whose figures"),
    ("meters", "resistance =", "resistence =", 6, "unknown quantity 'resistence': did you"),
    ("meters", '"1 ohm"', '"1 V"', 8, "1 V"),
    ("meters", '"1 ohm"', '"3 kohm"', 8, "below the full scale"),
    ("meters", '"2 kohm"', '"20 ohm"', 8, "from the smallest full scale to the largest"),
    ("meters", '"0.8% + 3" },\n]', '"fair" },\n]', 8, "fair"),
]


@pytest.mark.parametrize(("kind", "old", "new", "line", "message"), FAULTS)
def test_a_fault_is_told_with_its_line(
    tmp_path: Path, *, kind: str, old: str, new: str, line: int, message: str
) -> None:
    """One thing is spoilt in a sound profile: its line and what would be right are told."""
    assert old in SOUND[kind]
    path = written(tmp_path, kind, SOUND[kind].replace(old, new, 1))
    told = check(tmp_path)
    here = [fault for fault in told if fault.startswith(f"{path}:{line}: ")]
    assert any(message in fault for fault in here), told


PICKED = [
    ('"bell",', '"bel",', 9, "unknown check 'bel': did you mean 'bell'?"),
    ('"bell",', '"cap",', 9, "the check 'cap' stands here twice"),
    ('"bell",', "5,", 9, "must be a text in quotes, not 5"),
    ('  "bell",\n', "", 12, "'bell' is never worked: name it in checks"),
    ('  "stop_wire_back",\n', "", 7, "'stop_insulation' needs 'stop_wire_back' in the same"),
    (
        '"stop_insulation",\n  "stop_wire_back"',
        '"stop_wire_back",\n  "stop_insulation"',
        8,
        "'stop_wire_back' must come after the check that obliges it: 'stop_insulation'",
    ),
    ('"cap",', '"path",', 6, "'path' needs 'cap' in the same procedure"),
    ('touch = "listen"', 'touch = "listen"\nobliges = "lead_off"', 18, "must come after the check"),
    ('key = "bell"', 'key = "bell"\nobliges = "cap"', 14, "'cap' is no look"),
    (PICKS[PICKS.index("checks") :], "", 1, "a procedure needs at least one check"),
]


@pytest.mark.parametrize(("old", "new", "line", "message"), PICKED)
def test_a_fault_in_picking_is_told_with_its_line(
    tmp_path: Path, *, old: str, new: str, line: int, message: str
) -> None:
    """A name that stands for nothing, stands twice, or leaves out what another check needs."""
    assert old in PICKS
    path = written(tmp_path, "procedures", PICKS.replace(old, new, 1))
    told = check(tmp_path)
    here = [fault for fault in told if fault.startswith(f"{path}:{line}: ")]
    assert any(message in fault for fault in here), told


def test_a_procedure_of_picked_checks_has_no_fault(tmp_path: Path) -> None:
    """The one that the faults above are put into, beside the checks of a shop's own library."""
    written(tmp_path, "procedures", PICKS.replace('"bell",', '"rig_spin",\n  "bell",', 1))
    written(tmp_path, "checks", CHECKS)
    assert check(tmp_path) == ()


def test_speeds_belong_to_an_engine_run(tmp_path: Path) -> None:
    """An engine class may bring its own; on a cap they are a fault, and so are crossing bands."""
    speeds = 'speeds = { low = "900 rpm..", high = "..800 rpm", source = "common practice" }'
    option = f'options = [{{ key = "x", text = "x", {speeds} }}]'
    asks = 'option_group = "x"\noption_question = "Which?"'
    text = f"{ENGINE}\n[checks.engine_run]\n{asks}\n{option}\n\n[checks.cap]\n{asks}\n{option}\n"
    path = written(tmp_path, "engines", text)
    run = text.splitlines().index(option) + 1
    assert check(tmp_path) == (
        f"{path}:{run}: the band of the low speed must lie below that of the high speed",
        f"{path}:{run + 5}: only an engine run is judged against speeds",
    )


def test_every_fault_is_told_at_once(tmp_path: Path) -> None:
    """Faults of structure and of reference, in several files, come in one go and in order."""
    spoilt = ENGINE.replace("name =", "nmae =").replace('"low_oil"', "4").replace("ohm", "V")
    engine = written(tmp_path, "engines", spoilt)
    complaint = written(tmp_path, "complaints", COMPLAINT.replace("last_", "lost_"))
    meter = written(tmp_path, "meters", METER.replace("0.1 ohm", "0.1 V").replace("+ 3", "+ x"))
    places = [fault.rsplit(": ", fault.count(": "))[0] for fault in check(tmp_path)]
    assert places == [
        f"{complaint}:4",
        f"{engine}:1",
        f"{engine}:2",
        f"{engine}:4",
        f"{meter}:7",
        f"{meter}:7",
        f"{meter}:8",
    ]


def test_a_key_used_twice_is_a_fault(tmp_path: Path) -> None:
    """Two files of the shop may not carry one key: which would count is not to be guessed."""
    written(tmp_path, "engines", ENGINE, "first")
    path = written(tmp_path, "engines", ENGINE, "second")
    assert check(tmp_path) == (f"{path}:1: the key 'Z' is already used in first.toml",)


def test_a_file_in_the_wrong_folder_is_a_fault(tmp_path: Path) -> None:
    """A profile that would never be read is pointed at."""
    astray = written(tmp_path, "engine", ENGINE)
    loose = tmp_path / "loose.toml"
    loose.write_text(ENGINE, encoding="utf-8")
    assert check(tmp_path)[0] == f"{astray}:1: unknown folder 'engine': did you mean 'engines'?"
    assert check(tmp_path)[1].startswith(f"{loose}:1: put it into one of the folders engines,")


def test_a_file_that_is_no_text_is_a_fault(tmp_path: Path) -> None:
    """Bytes that are not UTF-8 are told, not raised."""
    path = written(tmp_path, "engines", "")
    path.write_bytes(b'key = "\xff"')
    assert check(tmp_path) == (f"{path}:1: is not UTF-8 text: save it as UTF-8",)


def test_one_file_can_be_checked(tmp_path: Path) -> None:
    """A single file is read over the shipped profiles, as its folder says."""
    path = written(tmp_path, "engines", ENGINE.replace("coil_primary", "coil_primry"))
    assert check(path) == (f"{path}:10: unknown check 'coil_primry': did you mean 'coil_primary'?",)


def test_a_path_that_is_not_there_is_refused(tmp_path: Path) -> None:
    """Nothing to check is a wrong input, not a clean result."""
    with pytest.raises(InputError, match="no such file or folder"):
        check(tmp_path / "nowhere")


def test_an_edited_shipped_profile_replaces_it(tmp_path: Path) -> None:
    """A class of the shop with a shipped key takes its place, so both are not a fault."""
    written(tmp_path, "engines", ENGINE.replace('key = "Z"', 'key = "A"'))
    assert check(tmp_path) == ()
