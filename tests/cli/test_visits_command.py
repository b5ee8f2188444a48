"""`visits list | show | export` and `slip`: what is on file, read without touching it."""

import json
import os
import sqlite3
import stat
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest

from benchassist.storage.exchange import (
    read_export,
    visit_json_schema,
    visit_list_json_schema,
)
from tests.cli.conftest import DemoShop
from tests.cli.program import Document, Program
from tests.end_to_end import demo
from tests.end_to_end.paper import poppler


def valid(document: Document) -> Document:
    """Return a visit's document that fits the package's schema."""
    jsonschema.validate(document, visit_json_schema())
    return document


def test_the_list_has_every_visit_newest_first(program: Program, shop: DemoShop) -> None:
    """As a document that fits its schema, and as a line each."""
    found = program("visits", "list", "--json", "--shop", shop.file)
    assert (found.code, found.err) == (0, "")
    jsonschema.validate(found.json, visit_list_json_schema())
    assert [visit["id"] for visit in found.json["visits"]] == list(shop.visits[::-1])
    lines = program("--shop", shop.file, "visits", "list").out.splitlines()
    assert [line.split()[0] for line in lines] == ["0004", "0003", "0002", "0001"]
    assert "6 of 11 done" in lines[0]
    assert lines[-1].endswith("closed")


@pytest.mark.parametrize("name", ["id", "slip number"])
def test_a_visit_is_shown_by_either_name(program: Program, shop: DemoShop, name: str) -> None:
    """Its export, which fits the schema and holds the repair's before and after."""
    asked = shop.visits[2] if name == "id" else "0003"
    document = valid(program("visits", "show", asked, "--json", "--shop", shop.file).json)
    assert document["visit"]["id"] == shop.visits[2]
    assert document["visit"]["visit_of_machine"] == 2
    cap = next(check for check in document["checks"] if check["key"] == "cap")
    verdicts = [reading["verdict"] for reading in cap["readings"]]
    assert verdicts == ["out_of_band", "in_band"]
    pair = cap["before_after"]
    assert [pair["before"], pair["after"]] == [reading["id"] for reading in cap["readings"]]


def test_a_visit_is_shown_as_text(program: Program, shop: DemoShop) -> None:
    """As its slip has it."""
    done = program("visits", "show", "0003", "--shop", shop.file)
    assert done.code == 0
    for words in ("0003", "Pennick & Daughter", "8.61 kΩ", "4.99 kΩ ±", "In band", "new 5 kΩ cap"):
        assert words in done.out


def test_visits_are_exported_together(program: Program, shop: DemoShop, tmp_path: Path) -> None:
    """All of them in one file, each fitting the schema, each replaying to what it was."""
    out = tmp_path / "out.json"
    done = program("visits", "export", *shop.visits, "--out", out, "--json", "--shop", shop.file)
    assert done.json == {"out": str(out), "visits": 4}
    document = json.loads(out.read_text("utf-8"))
    assert [valid(visit)["visit"]["id"] for visit in document["visits"]] == list(shop.visits)
    assert [header.id for header, _entries in read_export(document)] == list(shop.visits)
    assert [path.name for path in tmp_path.glob("*.new")] == []


@pytest.mark.parametrize(("paper", "size"), [("a4", "595 x 842"), ("letter", "612 x 792")])
def test_a_slip_is_one_page(
    program: Program, shop: DemoShop, tmp_path: Path, paper: str, size: str
) -> None:
    """Of the paper asked for, with the visit's words in it."""
    out = tmp_path / "slip.pdf"
    done = program("slip", "0003", "--out", out, "--paper", paper, "--json", "--shop", shop.file)
    assert done.json == {"out": str(out)}
    assert done.has_loaded("PySide6")
    told = poppler("pdfinfo", out)
    assert "Pages:           1\n" in told
    assert f"Page size:       {size}" in told
    text = poppler("pdftotext", out, "-")
    for words in ("Job slip 0003", "4.99 kΩ", "In band", "Quit drill", "new 5 kΩ cap fitted"):
        assert words in text


def test_a_slip_is_on_the_shops_paper(program: Program, shop: DemoShop, tmp_path: Path) -> None:
    """Where no paper is named the setting decides."""
    (tmp_path / "home").mkdir()
    (tmp_path / "home" / "settings.json").write_text('{"paper": "letter"}', "utf-8")
    out = tmp_path / "slip.pdf"
    named = ("--shop", shop.file, "--home", tmp_path / "home")
    assert program(*named, "slip", "0001", "--out", out).code == 0
    assert "612 x 792" in poppler("pdfinfo", out)


@pytest.mark.postgres
def test_a_shop_on_a_server_is_read_alike(
    program: Program, postgres_url: str, tmp_path: Path
) -> None:
    """Named by its address: listed, shown and printed."""
    visits = demo.play(postgres_url, demo.STORIES[2:3], home=tmp_path / "home")
    named = ("--shop", postgres_url)
    (listed,) = program(*named, "visits", "list", "--json").json["visits"]
    assert [listed["id"]] == visits
    document = valid(program("visits", "show", "0001", "--json", *named).json)
    assert document["visit"]["id"] == visits[0]
    assert program("slip", "0001", "--out", tmp_path / "slip.pdf", *named).code == 0
    program("visits", "show", "0007", *named).refused("0007")


# --- wrong input ----------------------------------------------------------------------------------


def test_an_unknown_visit_is_named(program: Program, shop: DemoShop, tmp_path: Path) -> None:
    """By every command that takes one; nothing is written."""
    named = ("--shop", shop.file)
    out = tmp_path / "out"
    program("visits", "show", "0009", "--json", *named).refused("0009", "slip number")
    program("visits", "export", "0001", "0009", "--out", out, *named).refused("0009")
    program("slip", "0009", "--out", out, *named).refused("0009")
    assert not out.exists()


def test_wrong_use_is_one_line(program: Program, shop: DemoShop, tmp_path: Path) -> None:
    """A paper that is none, a file that cannot be, what is missing."""
    named, out = ("--shop", shop.file), tmp_path / "slip.pdf"
    program("slip", "0001", "--out", out, "--paper", "a3", *named).refused("a3", "a4, letter")
    program("slip", "0001", *named).refused("--out")
    program("slip", "--out", out, *named).refused("visit")
    nowhere = tmp_path / "no" / "folder" / "slip.pdf"
    program("slip", "0001", "--out", nowhere, *named).refused(str(nowhere), code=1)
    program("visits", "export", "0001", "--out", nowhere, *named).refused(str(nowhere), code=1)
    program("visits", "export", "0001", "--out", tmp_path, *named).refused(str(tmp_path), code=1)
    assert not out.exists()


def newer(path: Path) -> None:
    """Mark a shop file as of a revision that this program does not know."""
    connection = sqlite3.connect(path)
    connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.commit()
    connection.close()


def damaged(path: Path) -> None:
    """Cut a file off in the middle."""
    os.truncate(path, path.stat().st_size // 3)


def other(path: Path) -> None:
    """Put another program's database in its place."""
    path.unlink()
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE recipe (name TEXT)")
    connection.commit()
    connection.close()


def text(path: Path) -> None:
    """Put a text in its place."""
    path.write_text("Dear customer, this is a letter.\n", "utf-8")


def folder(path: Path) -> None:
    """Put a folder in its place."""
    path.unlink()
    path.mkdir()


def empty(path: Path) -> None:
    """Put nothing in its place."""
    path.write_bytes(b"")


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (text, ("not a shop file",)),
        (folder, ("is a folder",)),
        (other, ("another program",)),
        (newer, ("newer than this program",)),
        (damaged, ("damaged",)),
        (empty, ("empty",)),
    ],
)
def test_a_shop_file_that_is_none_is_named_and_left_alone(
    program: Program,
    shop: DemoShop,
    tmp_path: Path,
    spoil: Callable[[Path], None],
    words: tuple[str, ...],
) -> None:
    """One line with the file's name: 2 for what is no shop file, 1 for one that cannot be used."""
    code = 2 if spoil in {text, folder, other} else 1
    file = tmp_path / "shop.sqlite"
    file.write_bytes(shop.file.read_bytes())
    spoil(file)
    before = file.read_bytes() if file.is_file() else b""
    program("visits", "list", "--shop", file).refused(str(file), *words, code=code)
    assert (file.read_bytes() if file.is_file() else b"") == before


def test_a_shop_that_is_not_there_is_named(program: Program, tmp_path: Path) -> None:
    """And not made by looking for it; the user's own may be missing before the first visit."""
    file = tmp_path / "other.sqlite"
    program("visits", "list", "--shop", file).refused(str(file))
    program("visits", "show", "0001").refused("no such shop file")
    assert not file.exists()
    assert program("visits", "list", "--json").json == {"visits": []}
    program("visits", "list", "--shop", "mail://shop").refused("mail")


def test_a_read_only_shop_is_read(program: Program, shop: DemoShop, tmp_path: Path) -> None:
    """A shop on a write-protected stick can be looked at and printed from."""
    stick = tmp_path / "stick"
    stick.mkdir()
    file = stick / "shop.sqlite"
    file.write_bytes(shop.file.read_bytes())
    file.chmod(stat.S_IREAD)
    stick.chmod(stat.S_IREAD | stat.S_IXUSR)
    try:
        assert len(program("visits", "list", "--json", "--shop", file).json["visits"]) == 4
        out = tmp_path / "slip.pdf"
        assert program("slip", "0001", "--out", out, "--shop", file).code == 0
        assert [path.name for path in stick.iterdir()] == ["shop.sqlite"]
    finally:
        stick.chmod(stat.S_IRWXU)


def test_a_home_that_is_none_is_named(program: Program, shop: DemoShop, tmp_path: Path) -> None:
    """A file where a folder should be, and settings that are damaged."""
    letter = tmp_path / "letter.txt"
    text(letter)
    program("visits", "list", "--home", letter).refused("--home", str(letter))
    program("--home", letter / "home", "visits", "list").refused("--home", str(letter))
    home = tmp_path / "home"
    home.mkdir()
    (home / "settings.json").write_text("{paper", "utf-8")
    show = ("visits", "show", "0001", "--shop", shop.file, "--home", home)
    program(*show).refused(str(home / "settings.json"))
    (home / "settings.json").write_text('{"paper": "a3"}', "utf-8")
    program(*show).refused("paper", "a4, letter")
