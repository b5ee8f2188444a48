"""The shop's own sheets: what is changed, what stays, what is refused, what a kill leaves."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from benchassist.core.spec_entry import SpecEntry, SpecField, SpecKind, Stated
from benchassist.errors import InputError, NotFoundError, StepError, StoreError
from benchassist.specbook.book import Book
from benchassist.specbook.check import check
from benchassist.specbook.loader import shipped_folder
from benchassist.specbook.own_sheet import OwnSheets
from tests.specbook.sample import ENGINE, written

COIL = "engines/A/coil_secondary"
NO_TABLE = "engines/B/coil_primary"
"""A check that its class words and gives no band."""
OPTION = "engines/B/coil_secondary/low"
MARKING = "checks/cap/marked_5k"
SWITCH = "checks/stop_switch"
SPEED = "checks/idle_down_run/high"
RATED = "checks/generator_run/hz60_four_pole/rated"
"""The only figure of its table."""
OTHER = "causes/quits_hot//other_weight"
WEIGHT = "causes/quits_hot/tank_vent/cause/weight"
CLASS_WEIGHT = "causes/quits_hot/low_oil/cause/class_weight/B"
STRENGTH = "causes/quits_hot/fuel_restriction/bowl_flow:fades"
ACCURACY = "meters/handheld_6000/resistance/6 kohm"
CHANGES = {
    COIL: ("6 kohm..12 kohm", "maker"),
    NO_TABLE: ("0.4 ohm..0.9 ohm", "maker"),
    OPTION: ("2.7 kohm..4.8 kohm", "maker"),
    MARKING: ("4.5 kohm..5.5 kohm", "marking"),
    SWITCH: ("..0.2 ohm", "own parts"),
    SPEED: ("3450 rpm..3650 rpm", "maker"),
    OTHER: ("4.5", ""),
    WEIGHT: ("M", ""),
    CLASS_WEIGHT: ("2.5", ""),
    STRENGTH: ("5.5", ""),
    ACCURACY: ("0.5% + 2", ""),
}
NOTE = 'Workshop manual, "green" edition, page 4-12 \\ {own}'


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """The shop's folder, not there yet."""
    return tmp_path / "profiles"


@pytest.fixture
def sheets(own: Path) -> OwnSheets:
    """The shipped book with nothing of the shop's own."""
    return OwnSheets(Book(own))


def entry(sheets: OwnSheets, key: str) -> SpecEntry:
    """One figure as it stands."""
    return next(one for one in sheets.entries() if one.key == key)


def to(sheets: OwnSheets, key: str, value: str | None = None, **more: str) -> Stated:
    """A figure as it stands with some of it stated otherwise."""
    now = entry(sheets, key).now
    return replace(now, **({} if value is None else {"value": value}), **more)


def texts(folder: Path) -> dict[str, str]:
    """Every profile of a folder."""
    return {str(p.relative_to(folder)): p.read_text("utf-8") for p in folder.rglob("*.toml")}


@pytest.mark.parametrize("key", CHANGES)
def test_a_change_is_read_back_and_nothing_else_is(sheets: OwnSheets, own: Path, key: str) -> None:
    """Every kind of figure: the new book says it, with source and note, and all others stay."""
    value, source = CHANGES[key]
    before, shipped = {e.key: e for e in sheets.entries()}, texts(shipped_folder())
    changed = to(sheets, key, value, source=source, note=NOTE)
    sheets.keep(key, changed)
    after = {e.key: e for e in OwnSheets(Book(own)).entries()}
    assert after[key].now == changed
    assert after[key].own
    assert after[key].shipped == before[key].now
    noted = {k for k, e in after.items() if e.now != before[k].now} - {key}
    assert all(after[k].now == replace(before[k].now, source=source, note=NOTE) for k in noted)
    assert not noted or entry(sheets, key).shared
    assert after.keys() == before.keys()
    assert check(own) == ()
    assert texts(shipped_folder()) == shipped


@pytest.mark.parametrize("key", CHANGES)
def test_comments_stay_and_restoring_leaves_no_file(sheets: OwnSheets, own: Path, key: str) -> None:
    """The copy has every line of what was shipped but the one changed; back again it is gone."""
    value, source = CHANGES[key]
    sheets.keep(key, to(sheets, key, value, source=source, note=NOTE))
    (name, text) = next(iter(texts(own).items()))
    of_shipped = (shipped_folder() / name).read_text("utf-8").splitlines()
    lines = text.splitlines()
    gone = [line for line in of_shipped if line not in lines]
    if name.startswith("checks"):
        assert text.count("[[check]]") == 1
    else:
        assert len(gone) <= 3
        assert [line for line in of_shipped if line.startswith("#")] == [
            line for line in lines[1:] if line.startswith("#")
        ]
    sheets.restore(key)
    assert texts(own) == {}
    assert not entry(sheets, key).own


def test_most_figures_can_be_changed(sheets: OwnSheets) -> None:
    """A note on every twelfth of all figures is read back with nothing wrong anywhere."""
    for one in sheets.entries()[::12]:
        if one.kind is SpecKind.BAND and not one.now.value:
            continue
        sheets.keep(one.key, replace(one.now, note=NOTE))
        assert entry(sheets, one.key).now.note == NOTE
        assert sheets.faults == ()
        sheets.undo()


@pytest.mark.parametrize(
    ("key", "value", "more", "field", "said"),
    [
        (COIL, "13 kohm..6 kohm", {}, SpecField.VALUE, "the lower limit must stand first"),
        (COIL, "6 V..13 V", {}, SpecField.VALUE, "is volts, not ohms"),
        (COIL, "6 kohm", {}, SpecField.VALUE, "is no band: write two limits"),
        (COIL, None, {"source": "maker"}, SpecField.SOURCE, "needs a note: manual and page"),
        (COIL, None, {"source": ""}, SpecField.VALUE, "the band has no source"),
        (COIL, None, {"source": "hearsay"}, SpecField.SOURCE, "unknown source 'hearsay'"),
        (COIL, None, {"measured": ""}, SpecField.VALUE, "say where it is measured"),
        (NO_TABLE, "0.4 ohm..1 ohm", {"source": "own parts", "note": "5"}, None, "but the maker"),
        (SPEED, "fast", {}, SpecField.VALUE, "'fast'"),
        (RATED, "", {}, SpecField.VALUE, "a run is judged by it"),
        (WEIGHT, "X", {"note": "own"}, SpecField.VALUE, "unknown weight 'X'"),
        (WEIGHT, "-1", {"note": "own"}, SpecField.VALUE, "above zero"),
        (WEIGHT, "L", {}, SpecField.NOTE, "say whose figure this is"),
        (OTHER, "0", {}, SpecField.VALUE, "needs a weight above zero"),
        (OTHER, None, {"note": ""}, SpecField.NOTE, "say whose figures these are"),
        (STRENGTH, "0", {"note": "own"}, SpecField.VALUE, "above zero and finite"),
        (STRENGTH, "inf", {"note": "own"}, SpecField.VALUE, "above zero and finite"),
        (STRENGTH, "nan", {"note": "own"}, SpecField.VALUE, "above zero and finite"),
        (STRENGTH, "1", {"note": "own"}, SpecField.VALUE, "says nothing"),
        (STRENGTH, "900", {"note": "own"}, SpecField.VALUE, "too strong for its share"),
        (STRENGTH, "", {"note": "own"}, SpecField.VALUE, "empty: write it like"),
        (STRENGTH, "a lot", {"note": "own"}, SpecField.VALUE, "must be a number"),
        (STRENGTH, "4", {}, SpecField.NOTE, "say whose figure this is"),
        (ACCURACY, "about right", {"note": "own"}, SpecField.VALUE, "about right"),
        (ACCURACY, "0.5% + 2", {}, SpecField.NOTE, "say whose figure this is"),
        (COIL, None, {"note": "a\x00b"}, SpecField.NOTE, "cannot be printed"),
        (COIL, None, {"note": "a\u202eb"}, SpecField.NOTE, "cannot be printed"),
        (COIL, None, {"note": "a\ud800b"}, SpecField.NOTE, "cannot be printed"),
        (COIL, None, {"note": "a\nb"}, SpecField.NOTE, "cannot be printed"),
        (COIL, None, {"note": "x" * 201}, SpecField.NOTE, "200 signs at most"),
    ],
)
def test_a_fault_names_its_field_and_nothing_is_written(
    *,
    sheets: OwnSheets,
    own: Path,
    key: str,
    value: str | None,
    more: dict[str, str],
    field: SpecField | None,
    said: str,
) -> None:
    """Whatever is wrong is told before anything is written, and refused when it is to be kept."""
    stated = to(sheets, key, value, **more)
    faults = sheets.problems(key, stated)
    assert any(said in fault.message and field in {fault.field, None} for fault in faults), faults
    with pytest.raises(InputError):
        sheets.keep(key, stated)
    assert not own.exists()
    assert sheets.can_undo == 0


def test_the_faults_are_those_of_specs_check(sheets: OwnSheets, own: Path) -> None:
    """The same change written by hand is told by the audits in the same words."""
    stated = to(sheets, STRENGTH, "900", note="own")
    told = {fault.message for fault in sheets.problems(STRENGTH, stated)}
    text = (shipped_folder() / "causes" / "quits_hot.toml").read_text("utf-8")
    line = '"bowl_flow", outcome = "fades", strength = '
    own.mkdir()
    written(own, "causes", text.replace(f"{line}6 ", f"{line}900 ", 1), "quits_hot")
    by_hand = {fault.split(": ", 1)[1] for fault in check(own)}
    assert told == by_hand


def test_undo_goes_back_several_steps(sheets: OwnSheets, own: Path) -> None:
    """Newest first, over several files, a restore among them; then there is nothing."""
    for key in (COIL, STRENGTH, MARKING, SWITCH):
        value, source = CHANGES[key]
        sheets.keep(key, to(sheets, key, value, source=source, note=NOTE))
    sheets.keep(COIL, to(sheets, COIL, "7 kohm..12 kohm"))
    sheets.restore(COIL)
    assert not (own / "engines" / "a_flywheel_magneto.toml").exists()
    assert sheets.undo() == COIL
    assert entry(sheets, COIL).now.value == "7 kohm..12 kohm"
    assert [sheets.undo() for _ in range(3)] == [COIL, SWITCH, MARKING]
    assert entry(sheets, COIL).now.value == "6 kohm..12 kohm"
    assert not entry(sheets, MARKING).own
    assert [sheets.undo() for _ in range(3)] == [STRENGTH, COIL, ""]
    assert texts(own) == {}


def test_checks_of_one_shipped_file_share_one_of_the_shop(sheets: OwnSheets, own: Path) -> None:
    """Two of its checks stand in one own file; restoring one leaves the other as it is."""
    for key in (MARKING, SWITCH):
        value, source = CHANGES[key]
        sheets.keep(key, to(sheets, key, value, source=source, note=NOTE))
    (text,) = texts(own).values()
    assert text.count("[[check]]") == 2
    sheets.restore(MARKING)
    assert not entry(sheets, MARKING).own
    assert entry(sheets, SWITCH).now.value == "..0.2 ohm"
    assert check(own) == ()


def test_the_shops_file_is_changed_where_it_stands(sheets: OwnSheets, own: Path) -> None:
    """A sheet that the shop wrote by hand keeps its file, its comments and its other words."""
    own.mkdir()
    path = written(own, "engines", f"# our test rig\n\n{ENGINE}", "rig")
    sheets.reread()
    key = "engines/Z/coil_primary"
    sheets.keep(key, to(sheets, key, "0.7 ohm..1.2 ohm"))
    assert path.read_text("utf-8") == f"# our test rig\n\n{ENGINE}".replace(
        "0.6 ohm..1.3 ohm", "0.7 ohm..1.2 ohm"
    )
    with pytest.raises(StepError, match="nothing was shipped"):
        sheets.restore(key)


def test_a_file_changed_elsewhere_is_not_written_over(sheets: OwnSheets, own: Path) -> None:
    """What somebody else wrote since stays, and is shown; the same for taking a change back."""
    sheets.keep(COIL, to(sheets, COIL, "6 kohm..12 kohm"))
    path = own / "engines" / "a_flywheel_magneto.toml"
    shown = to(sheets, COIL, "6 kohm..11 kohm")
    theirs = path.read_text("utf-8").replace("6 kohm..12 kohm", "8 kohm..9 kohm")
    path.write_text(theirs, "utf-8")
    with pytest.raises(StepError, match="changed elsewhere"):
        sheets.keep(COIL, shown)
    assert entry(sheets, COIL).now.value == "8 kohm..9 kohm"
    with pytest.raises(StepError, match="changed elsewhere"):
        sheets.undo()
    assert path.read_text("utf-8") == theirs
    assert sheets.undo() == ""


def test_a_faulty_file_of_the_shop_is_not_written_over(sheets: OwnSheets, own: Path) -> None:
    """It is left out and named; a change that would take its place is refused until it is right."""
    own.mkdir()
    path = written(own, "engines", "key = [", "a_flywheel_magneto")
    sheets.reread()
    assert "a_flywheel_magneto.toml:1" in sheets.faults[0]
    with pytest.raises(StepError, match="put it right first"):
        sheets.keep(COIL, to(sheets, COIL, "6 kohm..12 kohm"))
    assert path.read_text("utf-8") == "key = ["
    sheets.keep(STRENGTH, to(sheets, STRENGTH, "5", note="own"))


def test_a_write_that_fails_leaves_the_old_file(
    sheets: OwnSheets, own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A full disk is one line; the file, the book and the undo stay as they were."""
    sheets.keep(COIL, to(sheets, COIL, "6 kohm..12 kohm"))
    before = texts(own)

    def full(_descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(StoreError, match="No space left"):
        sheets.keep(COIL, to(sheets, COIL, "6 kohm..11 kohm"))
    assert texts(own) == before
    assert sheets.can_undo == 1
    assert entry(sheets, COIL).now.value == "6 kohm..12 kohm"


def test_a_key_that_is_none_is_refused(sheets: OwnSheets) -> None:
    """One line names it."""
    with pytest.raises(NotFoundError, match="no 'engines/A/flux'"):
        sheets.keep("engines/A/flux", Stated(value="1"))


@given(note=st.text(min_size=1, max_size=60).filter(str.isprintable))
@settings(
    max_examples=25,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_any_note_is_read_back_as_it_was_typed(
    tmp_path_factory: pytest.TempPathFactory, note: str
) -> None:
    """Quotes, brackets, hashes, backslashes: the file stays TOML and says just that."""
    sheets = OwnSheets(Book(tmp_path_factory.mktemp("shop") / "profiles"))
    for key in (COIL, STRENGTH):
        stated = to(sheets, key, note=note)
        if not sheets.problems(key, stated):
            sheets.keep(key, stated)
            assert entry(sheets, key).now.note == note
        assert sheets.faults == ()


VICTIM = """
import sys
from dataclasses import replace
from pathlib import Path
from benchassist.specbook.book import Book
from benchassist.specbook.own_sheet import OwnSheets
sheets = OwnSheets(Book(Path(sys.argv[1])))
now = next(one.now for one in sheets.entries() if one.key == sys.argv[2])
print("ready", flush=True)
while True:
    for low in ("6", "7"):
        sheets.keep(sys.argv[2], replace(now, value=f"{low} kohm..12 kohm"))
"""


def test_a_kill_leaves_one_whole_file(own: Path) -> None:
    """Killed while it writes again and again: the book is sound and says one of the two."""
    with subprocess.Popen(
        [sys.executable, "-c", VICTIM, str(own), COIL], stdout=subprocess.PIPE
    ) as victim:
        path = own / "engines" / "a_flywheel_magneto.toml"
        wait_until(path.exists, victim)
        seen = path.stat().st_mtime_ns
        wait_until(lambda: path.stat().st_mtime_ns != seen, victim)
        victim.send_signal(signal.SIGKILL)
    book = Book(own)
    assert book.faults == ()
    assert entry(OwnSheets(book), COIL).now.value in {"6 kohm..12 kohm", "7 kohm..12 kohm"}


def wait_until(so: Callable[[], bool], victim: subprocess.Popen[bytes]) -> None:
    """Wait for something that a process does. Fails where it ends first."""
    while not so():
        assert victim.poll() is None
        time.sleep(0.001)
