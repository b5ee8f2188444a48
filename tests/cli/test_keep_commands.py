"""`visits import`, `visits export --out x.csv`, `backup`, `restore`, as their user calls them."""

import csv
import json
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from benchassist.storage import open_store, schema
from benchassist.storage.integrity import look_into
from benchassist.storage.reading_sheet import COLUMNS
from tests.cli.conftest import DemoShop
from tests.cli.program import Program
from tests.end_to_end import demo
from tests.storage.case import Scribe, header, machine, settled
from tests.storage.killing import spoil
from tests.storage.old_shop import lay


@pytest.fixture
def own(shop: DemoShop, tmp_path: Path) -> Path:
    """Return a copy of the demo's shop that a test may change."""
    return Path(shutil.copy(shop.file, tmp_path / "own.sqlite"))


@pytest.fixture
def export(program: Program, shop: DemoShop, tmp_path: Path) -> Path:
    """Return all of the demo's visits in one file."""
    out = tmp_path / "visits.json"
    done = program("visits", "export", *shop.visits, "--out", out, "--shop", shop.file)
    assert done.code == 0, done.err
    return out


# --- visits import --------------------------------------------------------------------------------


def test_visits_come_over_without_loss(
    program: Program, shop: DemoShop, export: Path, tmp_path: Path
) -> None:
    """Imported into a new shop and exported again, the file is the same to the last byte."""
    new, out = tmp_path / "new.sqlite", tmp_path / "again.json"
    done = program("visits", "import", export, "--json", "--shop", new)
    assert done.json == {"imported": 4, "unchanged": 0, "conflicts": []}
    assert (done.code, done.err) == (0, "")
    assert not done.has_loaded("PySide6")
    program("visits", "export", *shop.visits, "--out", out, "--shop", new)
    assert out.read_bytes() == export.read_bytes()


def test_importing_twice_says_that_nothing_changed(
    program: Program, export: Path, own: Path
) -> None:
    """The shop the visits came from has them all."""
    before = own.read_bytes()
    done = program("--shop", own, "visits", "import", export)
    assert (done.code, done.out) == (0, "Nothing changed: 4 on file already\n")
    assert program("visits", "import", export, "--json", "--shop", own).json["unchanged"] == 4
    assert own.read_bytes() == before


def test_a_conflict_is_one_line_that_names_the_visit(
    program: Program, shop: DemoShop, export: Path, own: Path
) -> None:
    """Exit 1: the file was right, and not all of it could be done."""
    document = json.loads(export.read_text("utf-8"))
    document["visits"][0]["record"]["header"]["shop"] = "Elsewhere"
    export.write_text(json.dumps(document), "utf-8")
    done = program("visits", "import", export, "--json", "--shop", own)
    assert done.code == 1
    (line,) = done.json["conflicts"]
    assert line.startswith("visit 0001 is on file and says something else")
    assert done.err == f"{line}\n"
    assert done.json["unchanged"] == len(shop.visits) - 1


@pytest.mark.parametrize(
    ("content", "word"),
    [
        ("slip,customer\n", "not JSON"),
        ('{"format": "benchassist-visit", "version": 7}', "update this program first"),
        ("[" * 5000, "nested too deep"),
        ('{"a": NaN}', "NaN"),
    ],
)
def test_a_bad_file_is_one_line(program: Program, tmp_path: Path, content: str, word: str) -> None:
    """Exit 2, and no shop is made for it."""
    file, new = tmp_path / "bad.json", tmp_path / "new.sqlite"
    file.write_text(content, "utf-8")
    program("visits", "import", file, "--json", "--shop", new).refused(str(file), word)
    assert not new.exists()


def test_an_export_that_is_cut_short_is_one_line(
    program: Program, export: Path, tmp_path: Path
) -> None:
    """Its end is missing, and nothing of it is taken in."""
    export.write_bytes(export.read_bytes()[:-100])
    new = tmp_path / "new.sqlite"
    program("visits", "import", export, "--shop", new).refused("cut short")
    assert not new.exists()


@pytest.mark.postgres
def test_a_server_takes_visits_in(
    program: Program, postgres_url: str, shop: DemoShop, export: Path, tmp_path: Path
) -> None:
    """And gives them out again, the same to the last byte."""
    out = tmp_path / "again.json"
    assert program("visits", "import", export, "--json", "--shop", postgres_url).json == {
        "imported": 4,
        "unchanged": 0,
        "conflicts": [],
    }
    program("visits", "export", *shop.visits, "--out", out, "--shop", postgres_url)
    assert out.read_bytes() == export.read_bytes()


# --- visits export --out x.csv --------------------------------------------------------------------


def test_taken_readings_are_a_table(program: Program, shop: DemoShop, tmp_path: Path) -> None:
    """A row each, in base units, as in the visits themselves."""
    out = tmp_path / "readings.csv"
    done = program("visits", "export", *shop.visits, "--out", out, "--json", "--shop", shop.file)
    assert done.json == {"out": str(out), "visits": 4}
    with out.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert tuple(rows[0]) == COLUMNS
    shown = program("visits", "show", "0003", "--json", "--shop", shop.file).json
    told = {r["id"]: r for check in shown["checks"] for r in check["readings"]}
    own = [row for row in rows if row["slip_number"] == "0003"]
    assert [row["entry_id"] for row in own] == sorted(told, key=lambda i: int(told[i]["seq"]))
    for row in own:
        reading = told[row["entry_id"]]
        assert row["unit"] == reading["unit"]
        assert row["value"] == ("" if reading["value"] is None else repr(reading["value"]))
        assert row["verdict"] == reading["verdict"]
        assert row["struck"] == str(reading["struck"]).lower()


HOSTILE = (
    "=1+1",
    "+cmd|' /C calc'!A0",
    "-2+3",
    "@SUM(A1)",
    "\t=1",
    "\r=1",
    '"a",\n"b"',
    "-5",
    "+1e3",
)


def test_no_text_becomes_a_formula(program: Program, tmp_path: Path) -> None:
    """What a spreadsheet would run is led by an apostrophe; what is a number is left as it is."""
    file, out = tmp_path / "shop.sqlite", tmp_path / "x.CSV"
    with open_store(file) as store:
        for number, text in enumerate(HOSTILE, 1):
            visit = header(f"{number:04d}", of=machine(text, unit=text, engine=text))
            settled(store, store.submit_visit(visit), store.submit(Scribe(visit).taken(-9400.0)))
    program("visits", "export", *map(str, range(1, 10)), "--out", out, "--shop", file)
    with out.open(encoding="utf-8", newline="") as text_file:
        rows = list(csv.DictReader(text_file))
    expected = [*(f"'{text}" for text in HOSTILE[:6]), '"a",\n"b"', "-5", "+1e3"]
    for column in ("machine_tag", "machine_unit", "engine"):
        assert [row[column] for row in rows] == expected
    assert {row["read_value"] for row in rows} == {"-9400.0"}
    assert all("Ada" not in value for row in rows for value in row.values())


# --- backup ---------------------------------------------------------------------------------------


def test_a_backup_is_a_shop(program: Program, own: Path, tmp_path: Path) -> None:
    """Made while the shop is open, verified, and told as one object."""
    to = tmp_path / "b.sqlite"
    with open_store(own) as store:
        done = program("backup", "--to", to, "--json", "--shop", own)
        assert done.json == {"file": str(to), "bytes": to.stat().st_size, "visits": 4}
        with open_store(to, read_only=True) as copy:
            assert copy.visits() == store.visits()
    assert done.err == ""
    program("backup", "--to", to, "--shop", own).refused(str(to), "there already")


def test_backups_go_into_the_home(program: Program, own: Path, tmp_path: Path) -> None:
    """Where no file is named; of one day the last one stays."""
    home = tmp_path / "home"
    made = [
        Path(program("backup", "--json", "--shop", own, "--home", home).json["file"])
        for _ in range(3)
    ]
    assert [f.exists() for f in made] == [False, False, True]
    assert {f.parent for f in made} == {home / "backups"}
    assert look_into(made[-1]).visits == 4


def test_a_shop_that_is_not_there_is_not_backed_up(program: Program, tmp_path: Path) -> None:
    """Exit 2; a shop is not made for it."""
    program("backup", "--shop", tmp_path / "none.sqlite").refused("none.sqlite")
    assert not (tmp_path / "none.sqlite").exists()


def test_of_a_damaged_shop_what_can_be_read_is_backed_up(
    program: Program, own: Path, tmp_path: Path
) -> None:
    """One line says what is lost; visits that can be read are exported as well."""
    spoil(own, b'"kind":"taken"', 1)
    to = tmp_path / "saved.sqlite"
    done = program("backup", "--to", to, "--json", "--shop", own)
    assert done.code == 0
    assert "is damaged: what can be read is saved" in done.err
    assert done.err.count("\n") == 1
    assert done.json["visits"] == look_into(to).visits == 4
    exported = [
        program("visits", "export", n, "--out", tmp_path / f"{n}.json", "--shop", own).code
        for n in ("0001", "0002", "0003", "0004")
    ]
    assert 0 in exported


@pytest.mark.postgres
def test_a_server_is_backed_up_by_its_own_program(
    program: Program, postgres_url: str, tmp_path: Path
) -> None:
    """Said in a line; it is looked into and restored like a file, what was there kept aside."""
    home, to = tmp_path / "home", tmp_path / "b.dump"
    demo.play(postgres_url, demo.STORIES[2:3], home=home)
    done = program("backup", "--to", to, "--json", "--shop", postgres_url)
    assert done.json == {"file": str(to), "bytes": to.stat().st_size, "visits": 1}
    assert done.err == "made by the server's own pg_dump: benchassist restore brings it back\n"
    with open_store(postgres_url) as store:
        settled(store, store.submit_visit(header("0005", day=500)))
    named = ("--shop", postgres_url, "--home", home)
    looked = program("restore", to, *named)
    assert looked.code == 1
    assert looked.err == "nothing is replaced yet: say --yes to replace it\n"
    first, second = looked.out.splitlines()
    assert f"{to}: 1 visit, newest of " in first
    assert ": 2 visits, newest of 2026-07-14" in second
    assert f"revision {schema.HEAD}" in second
    done = program("restore", to, "--yes", "--json", *named)
    told = done.json
    assert (told["backup"]["visits"], told["present"]["visits"]) == (1, 2)
    assert told["present"]["newest"].startswith("2026-07-14")
    assert (told["fault"], told["restored"]) == (None, True)
    assert told["kept"].endswith("-before-restore.dump")
    assert Path(told["kept"]).parent == home / "backups"
    with open_store(postgres_url, read_only=True) as store:
        assert [visit.slip_number for visit in store.visits()] != ["0005"]
        assert len(store.visits()) == 1
    program("restore", to, "--shop", tmp_path / "own.sqlite").refused("name that server")


# --- restore --------------------------------------------------------------------------------------


def test_an_older_backup_is_said_to_be_one(program: Program, tmp_path: Path) -> None:
    """And when it is brought up to date."""
    lay(str(tmp_path / "old.sqlite"), "0002")
    looked = program("restore", tmp_path / "old.sqlite", "--shop", tmp_path / "new.sqlite")
    assert "revision 0002" in looked.out
    assert looked.err.splitlines()[0].startswith("the backup is of an earlier revision: it is ")


def test_restore_shows_and_changes_nothing_until_told(
    program: Program, own: Path, tmp_path: Path
) -> None:
    """Exit 1 without --yes; with it the shop is the backup, and what was there is kept."""
    home, to = tmp_path / "home", tmp_path / "b.sqlite"
    program("backup", "--to", to, "--shop", own)
    with open_store(own) as store:
        settled(store, store.submit_visit(header("0005", day=500)))
    named = ("--shop", own, "--home", home)
    looked = program("restore", to, *named)
    assert looked.code == 1
    assert looked.err == "nothing is replaced yet: say --yes to replace it\n"
    first, second = looked.out.splitlines()
    assert f"{to}: 4 visits, newest of 2026-06-29" in first
    assert f"{own}: 5 visits, newest of 2026-07-14" in second
    assert f"revision {schema.HEAD}" in first
    told = program("restore", to, "--json", *named).json
    assert (told["backup"]["visits"], told["present"]["visits"]) == (4, 5)
    assert (told["restored"], told["kept"]) == (False, None)
    assert look_into(own).visits == 5
    done = program("restore", to, "--yes", "--json", *named)
    assert (done.code, done.json["restored"]) == (0, True)
    assert look_into(own).visits == 4
    assert look_into(Path(done.json["kept"])).visits == 5
    assert Path(done.json["kept"]).parent == home / "backups"


def test_a_newer_backup_is_refused_in_words(program: Program, own: Path, tmp_path: Path) -> None:
    """And a damaged one, and none at all."""
    newer, hurt = tmp_path / "newer.sqlite", tmp_path / "hurt.sqlite"
    for to in (newer, hurt):
        program("backup", "--to", to, "--shop", own)
    with closing(sqlite3.connect(newer)) as connection, connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    spoil(hurt, b'"kind":"taken"', 1)
    before = own.read_bytes()
    named = ("--yes", "--shop", own)
    program("restore", newer, *named).refused("newer", "update this program first", code=1)
    program("restore", hurt, *named).refused("damaged", code=1)
    program("restore", tmp_path / "none.sqlite", *named).refused("none.sqlite")
    assert own.read_bytes() == before


def test_a_shop_that_is_open_is_not_replaced(program: Program, own: Path, tmp_path: Path) -> None:
    """The line says what is to be closed."""
    to = tmp_path / "b.sqlite"
    program("backup", "--to", to, "--shop", own)
    with open_store(own) as store:
        assert len(store.visits()) == 4
        done = program("restore", to, "--yes", "--json", "--shop", own)
        done.refused("another program has the shop file", "open: close it", code=1)
        assert len(store.visits()) == 4
