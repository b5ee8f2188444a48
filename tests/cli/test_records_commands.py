"""`move`, `privacy`, `visits export --all` and an import of several files, as their user calls."""

import csv
import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from benchassist.assembly import Place
from benchassist.assembly.keeping import shelf_of
from benchassist.core.entry import Noted
from benchassist.core.trace import fold
from benchassist.storage import open_store
from benchassist.storage import visit_files as files
from benchassist.storage.integrity import look_into
from tests.cli.conftest import DemoShop
from tests.cli.program import Program
from tests.storage.case import Scribe, header, machine, settled

NAME = "Ottoline Brask"


@pytest.fixture
def own(shop: DemoShop, tmp_path: Path) -> Path:
    """Return a copy of the demo's shop that a test may change."""
    return Path(shutil.copy(shop.file, tmp_path / "own.sqlite"))


def exported(program: Program, shop: str | Path, out: Path) -> dict[str, bytes]:
    """Return all visits of a shop, as they are written to a folder."""
    done = program("visits", "export", "--all", "--out", out, "--shop", shop)
    assert (done.code, done.err) == (0, "")
    return {path.name: path.read_bytes() for path in out.iterdir()}


# --- move -----------------------------------------------------------------------------------------


@pytest.mark.postgres
def test_a_shop_goes_to_a_server_and_back(
    program: Program, shop: DemoShop, postgres_url: str, tmp_path: Path
) -> None:
    """One command each way; what is exported is the same to the last byte."""
    back = tmp_path / "back.sqlite"
    there = program("move", postgres_url, "--shop", shop.file, "--json")
    assert (there.code, there.err) == (0, "")
    assert not there.has_loaded("PySide6")
    assert not there.has_loaded("alembic")
    assert there.json["visits"] == 4
    assert there.json["from"] == str(shop.file)
    assert there.json["rows"] == sum(t["rows"] for t in there.json["tables"].values())
    again = program("--shop", postgres_url, "move", back, "--json")
    assert again.json["tables"] == there.json["tables"]
    told = [
        exported(program, place, tmp_path / str(n))
        for n, place in enumerate((shop.file, postgres_url, back))
    ]
    assert told[0] == told[1] == told[2]
    assert look_into(back).visits == 4


def test_progress_is_plain_lines_without_a_terminal(
    program: Program, own: Path, tmp_path: Path
) -> None:
    """And one line says what came of it."""
    done = program("move", tmp_path / "new.sqlite", "--shop", own)
    assert done.code == 0
    (line,) = done.out.splitlines()
    assert "4 visits" in line
    assert "read back and the same" in line
    percents = [int(said.split()[0]) for said in done.err.splitlines() if said.endswith("%")]
    assert percents == sorted(set(percents))
    assert percents[-1] == 100
    assert "stays as it was" in done.err
    assert "\x1b" not in done.err
    assert "\r" not in done.err


def test_a_move_to_a_place_in_use_is_one_line(program: Program, own: Path, tmp_path: Path) -> None:
    """Exit 2; both stay. The password of an address is in no line."""
    other = tmp_path / "other.sqlite"
    shutil.copy(own, other)
    program("move", other, "--json", "--shop", own).refused("holds a shop already")
    program("move", own, "--json", "--shop", own).refused("is the shop itself")
    program("move", tmp_path / "n.sqlite", "--shop", tmp_path / "none.sqlite").refused(
        "no such shop file"
    )
    assert not (tmp_path / "none.sqlite").exists()
    address = f"postgresql://bench:secret@/shop?host={tmp_path}"
    done = program("move", address, "--json", "--shop", own)
    done.refused("cannot be reached", code=1)
    assert "secret" not in done.err


# --- visits export --all, import of several -------------------------------------------------------


def test_all_visits_come_over_in_a_folder(program: Program, shop: DemoShop, tmp_path: Path) -> None:
    """Numbered files that are exports by themselves; imported as a folder, nothing is lost."""
    out, new = tmp_path / "out", tmp_path / "new.sqlite"
    done = program("visits", "export", "--all", "--out", out, "--shop", shop.file, "--json")
    assert done.json == {"out": str(out), "visits": 4, "files": [str(out / "visits-0001.json")]}
    assert done.err == ""
    document = json.loads((out / "visits-0001.json").read_text("utf-8"))
    assert document["format"] == "benchassist-visits"
    one = tmp_path / "one.json"
    program("visits", "export", shop.visits[0], "--out", one, "--shop", shop.file)
    assert document["visits"][0] == json.loads(one.read_text("utf-8"))
    taken = program("visits", "import", out, "--json", "--shop", new)
    assert taken.json == {"imported": 4, "unchanged": 0, "conflicts": []}
    assert exported(program, new, tmp_path / "again") == {
        path.name: path.read_bytes() for path in out.iterdir()
    }


def test_several_files_are_imported_at_once(
    program: Program, shop: DemoShop, tmp_path: Path
) -> None:
    """What is in two of them counts once as new."""
    names = [tmp_path / f"{n}.json" for n in range(3)]
    for name, ids in zip(names, (shop.visits[:1], shop.visits[1:], shop.visits[:1]), strict=True):
        program("visits", "export", *ids, "--out", name, "--shop", shop.file)
    new = tmp_path / "new.sqlite"
    done = program("visits", "import", *names, "--json", "--shop", new)
    assert done.json == {"imported": 4, "unchanged": 1, "conflicts": []}
    empty = tmp_path / "empty"
    empty.mkdir()
    program("visits", "import", empty, "--json", "--shop", new).refused("no export in it")
    bad = tmp_path / "bad.json"
    bad.write_text("{", "utf-8")
    program("visits", "import", names[0], bad, "--json", "--shop", new).refused(str(bad))


def test_every_reading_goes_into_one_table(
    program: Program, shop: DemoShop, tmp_path: Path
) -> None:
    """As when each visit is named."""
    every, named = tmp_path / "all.csv", tmp_path / "named.csv"
    done = program("visits", "export", "--all", "--out", every, "--shop", shop.file)
    assert (done.code, done.out) == (0, f"4 written to {every}\n")
    program("visits", "export", *shop.visits, "--out", named, "--shop", shop.file)
    assert every.read_bytes() == named.read_bytes()
    with every.open(encoding="utf-8", newline="") as opened:
        assert len([*csv.DictReader(opened)]) > 20


def test_an_export_says_what_to_export(program: Program, shop: DemoShop, tmp_path: Path) -> None:
    """Visits or all of them, to a folder that is free."""
    out = tmp_path / "out"
    for given in ([], ["--all", shop.visits[0]]):
        program("visits", "export", *given, "--out", out, "--json", "--shop", shop.file).refused(
            "name the visits to export, or say --all"
        )
    out.mkdir()
    (out / "letter.txt").write_text("dear", "utf-8")
    program("visits", "export", "--all", "--out", out, "--json", "--shop", shop.file).refused(
        "is there already: name a new folder"
    )
    assert [path.name for path in out.iterdir()] == ["letter.txt"]
    file = out / "letter.txt"
    program("visits", "export", "--all", "--out", file, "--json", "--shop", shop.file).refused(
        "is there already"
    )
    program(
        "visits", "export", "--all", "--out", tmp_path / "n" / "o", "--json", "--shop", shop.file
    ).refused("there is no folder")


def test_an_empty_shop_is_exported(program: Program, tmp_path: Path) -> None:
    """And comes over as nothing."""
    shop, out = tmp_path / "empty.sqlite", tmp_path / "out"
    open_store(shop).close()
    assert list(exported(program, shop, out)) == ["visits-0001.json"]
    done = program("visits", "import", out, "--json", "--shop", tmp_path / "new.sqlite")
    assert done.json == {"imported": 0, "unchanged": 0, "conflicts": []}


# --- privacy --------------------------------------------------------------------------------------


def test_a_customer_is_found(program: Program, shop: DemoShop) -> None:
    """With the machines and what is held; the shop is only read."""
    before = shop.file.read_bytes()
    done = program("privacy", "find", "ottoline", "brask", "--json", "--shop", shop.file)
    (held,) = done.json["machines"]
    assert (held["tag"], held["exact"], held["phones"]) == ("M-002", True, ["0555 0163"])
    assert held["visits_with_name"] == held["visits"] > 0
    assert done.json["elsewhere"] == []
    plain = program("privacy", "find", "0163", "--shop", shop.file)
    assert plain.out.startswith(f"M-002  {NAME}  0555 0163\n")
    assert (plain.code, plain.err) == (0, "")
    nobody = program("privacy", "find", "Nobody", "--shop", shop.file)
    assert (nobody.code, nobody.out) == (0, "Nobody found.\n")
    program("privacy", "find", "x", "--json", "--shop", shop.file).refused("name a customer")
    assert shop.file.read_bytes() == before


def test_nothing_is_erased_before_it_is_said(program: Program, own: Path, tmp_path: Path) -> None:
    """What would go, what stays and which backups hold it is shown; exit 1."""
    home = tmp_path / "home"
    program("backup", "--shop", own, "--home", home)
    before = own.read_bytes()
    done = program("privacy", "erase", "m-002", "--shop", own, "--home", home)
    assert done.code == 1
    assert NAME in done.out
    assert "every reading, verdict and date" in done.out
    (kept,) = shelf_of(Place(str(own), home)).kept()
    assert f"still in the backup {kept.file.name}" in done.out
    assert done.err == "nothing is erased yet: say --yes to erase it\n"
    assert own.read_bytes() == before
    told = program("privacy", "erase", "M-002", "--json", "--shop", own, "--home", home)
    assert (told.code, told.json["erased"], told.json["visits"]) == (1, False, None)
    assert told.json["backups"][0]["file"] == str(kept.file)


def test_a_customer_is_erased(program: Program, own: Path, tmp_path: Path) -> None:
    """And is in no export, no list and no slip any more; the figures are."""
    home, out = tmp_path / "home", tmp_path / "slip.pdf"
    before = program("visits", "show", "0002", "--json", "--shop", own).json
    done = program("privacy", "erase", "M-002", "--yes", "--json", "--shop", own, "--home", home)
    assert (done.code, done.err) == (0, "")
    assert done.json["erased"] is True
    assert done.json["held"]["machines"][0]["customer"] == NAME
    assert done.json["lingers"] is None
    number = next(v.slip_number for v in open_visits(own) if v.machine.tag == "M-002")
    for words in (("visits", "show", number), ("visits", "list"), ("privacy", "find", "brask")):
        told = program(*words, "--shop", own)
        assert told.code == 0
        assert "brask" not in fold(told.out)
        assert "0163" not in told.out
    assert program("slip", number, "--out", out, "--shop", own).code == 0
    assert b"brask" not in out.read_bytes().lower()
    after = program("visits", "show", "0002", "--json", "--shop", own).json
    assert after["checks"] == before["checks"]


def open_visits(shop: Path) -> Any:  # noqa: ANN401
    """Return the visits of a shop."""
    with open_store(shop, read_only=True) as store:
        return store.visits()


def test_backups_are_dropped_where_asked(program: Program, own: Path, tmp_path: Path) -> None:
    """One of now is made first, and stands in their place."""
    home = tmp_path / "home"
    for _ in range(2):
        program("backup", "--shop", own, "--home", home)
    shelf = shelf_of(Place(str(own), home))
    before = [kept.file for kept in shelf.kept()]
    assert before
    done = program(
        *("privacy", "erase", "M-002", "--yes", "--drop-backups", "--json"),
        *("--shop", own, "--home", home),
    )
    assert sorted(done.json["backups_removed"]) == sorted(map(str, before))
    (kept,) = shelf.kept()
    assert kept.file not in before
    assert NAME.encode() not in kept.file.read_bytes()
    assert look_into(kept.file).visits == 4


@pytest.mark.postgres
def test_a_server_finds_and_erases(
    program: Program, shop: DemoShop, postgres_url: str, tmp_path: Path
) -> None:
    """As a file does."""
    home = tmp_path / "home"
    program("move", postgres_url, "--shop", shop.file)
    found = program("privacy", "find", "brask", "--json", "--shop", postgres_url)
    assert found.json["machines"][0]["tag"] == "M-002"
    done = program(
        *("privacy", "erase", "M-002", "--yes", "--json"),
        *("--shop", postgres_url, "--home", home),
    )
    assert (done.code, done.json["erased"], done.json["lingers"]) == (0, True, None)
    after = exported(program, postgres_url, tmp_path / "out")
    assert b"Brask" not in b"".join(after.values())


def test_a_tag_that_is_not_one_machines_is_one_line(
    program: Program, own: Path, tmp_path: Path
) -> None:
    """None has it, or two have: then one is named by its id."""
    home = ("--shop", own, "--home", tmp_path / "home")
    program("privacy", "erase", "Z-9", "--yes", "--json", *home).refused("no machine has the tag")
    twin = machine("M-002", customer="Somebody Else")
    with open_store(own) as store:
        settled(store, store.submit_machine(twin))
    program("privacy", "erase", "M-002", "--yes", "--json", *home).refused("name one by its id")
    done = program("privacy", "erase", twin.id, "--yes", "--json", *home)
    assert done.json["held"]["machines"][0]["customer"] == "Somebody Else"
    assert program("privacy", "find", "brask", "--json", *home).json["machines"]


def test_hostile_words_stay_on_their_line(program: Program, own: Path) -> None:
    """A name that would steer a terminal is shown without it."""
    odd = machine("X-1", customer="Eve\x1b[2J\nMallory")
    visit = header("0099", of=odd)
    with open_store(own) as store:
        note = Noted(stamp=Scribe(visit).stamp(), text="Mallory\x1b]0;x\x07 came")
        settled(store, store.submit_visit(visit), store.submit(note))
    done = program("privacy", "find", "Mallory", "--shop", own)
    assert done.code == 0
    assert "\x1b" not in done.out
    assert "\x07" not in done.out
    assert len(done.out.splitlines()) == 3


def test_files_are_kept_small(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file takes visits until the next would be too much; a large one has a file by itself."""
    monkeypatch.setattr(files, "MOST_BYTES", 1000)
    sizes = {"a": 300, "b": 300, "c": 300, "d": 3000, "e": 10}
    seen = list[tuple[int, int]]()
    written = files.write_files(
        [*sizes],
        tmp_path / "out",
        lambda name: {"name": name, "x": "x" * sizes[name]},
        lambda done, whole: seen.append((done, whole)),
    )
    told = [
        [visit["name"] for visit in json.loads(path.read_text("utf-8"))["visits"]]
        for path in written
    ]
    assert told == [["a", "b"], ["c"], ["d"], ["e"]]
    assert seen == [(n, 5) for n in range(1, 6)]
    assert files.files_of([tmp_path / "out"]) == tuple(reversed(written))


def test_an_export_that_is_ended_leaves_nothing(tmp_path: Path) -> None:
    """Neither the folder nor what was begun."""

    def end(done: int, _whole: int) -> None:
        if done == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        files.write_files(["a", "b", "c"], tmp_path / "out", lambda name: {"name": name}, end)
    assert list(tmp_path.iterdir()) == []
