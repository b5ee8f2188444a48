"""What holds for every command: its options, its streams, what it imports and connects to."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.conftest import DemoShop
from tests.cli.program import ROOT, Program, surroundings

COMMANDS = ("practice", "meters", "judge", "log", "slip", "specs", "visits")
HEAVY = ("PySide6", "shiboken6", "pyqtgraph")
BAND = ("--band", "3.75 kohm..6.25 kohm")


def test_meters_lists_ports_and_protocols(program: Program) -> None:
    """With every key of the contract; families that double their blocks say so."""
    done = program("meters", "--json")
    assert (done.code, done.err) == (0, "")
    assert set(done.json) == {"ports", "protocols"}
    for port in done.json["ports"]:
        assert set(port) == {"port", "description", "vid", "pid", "serial"}
    lines = {p["name"]: p["line"] for p in done.json["protocols"]}
    assert all(set(p) == {"name", "line", "doubled"} for p in done.json["protocols"])
    assert lines["scpi"] == "9600-8N1"
    assert lines["text-line"] == "19200-8N1"
    assert lines["nibble-14"] == "19200-7O1"
    assert "nibble-14  19200-7O1" in program("meters").out.splitlines()


def test_sound_profiles_have_no_fault(program: Program) -> None:
    """The shipped ones, and a home without any of its own."""
    assert program("specs", "check", "--json").json == {"faults": []}
    assert program("specs", "check").out == "No faults.\n"


def test_every_fault_is_told_at_once(program: Program, tmp_path: Path) -> None:
    """With file and line, by path or as the shop's own; exit 2."""
    meters = tmp_path / "home" / "profiles" / "meters"
    meters.mkdir(parents=True)
    (meters / "mine.toml").write_text('key = "mine"\nname = 7\nresistanse = 3\n', "utf-8")
    (meters / "torn.toml").write_text('key = "torn\n', "utf-8")
    by_path = program("specs", "check", tmp_path / "home" / "profiles")
    own = program("specs", "check", "--json", "--home", tmp_path / "home")
    assert by_path.code == own.code == 2
    assert by_path.out == ""
    faults = by_path.err.splitlines()
    assert own.json == {"faults": faults}
    assert own.err == by_path.err
    assert any(f.startswith(f"{meters / 'mine.toml'}:2: ") for f in faults), faults
    assert any(f.startswith(f"{meters / 'mine.toml'}:3: ") for f in faults), faults
    assert any(f.startswith(f"{meters / 'torn.toml'}:1: ") for f in faults), faults
    program("specs", "check", tmp_path / "none").refused(str(tmp_path / "none"))


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (("measure",), ("measure", *COMMANDS)),
        (("visits",), ("list", "show", "export")),
        (("visits", "burn"), ("burn", "list, show, export")),
        (("specs",), ("check",)),
        (("--shop",), ("--shop",)),
        (("--json",), ("--json",)),
        (("meters", "--jason"), ("--jason",)),
        (("meters", "/dev/ttyUSB0"), ("/dev/ttyUSB0",)),
        (("practice", "--headless"), ("--headless",)),
    ],
)
def test_wrong_use_is_one_line(program: Program, given: tuple[str, ...], words: str) -> None:
    """It names what was given and what would be right."""
    program(*given).refused(*words)


@pytest.mark.parametrize("given", [(), *((name,) for name in COMMANDS)])
def test_help_is_help(program: Program, given: tuple[str, ...]) -> None:
    """On standard output, exit 0."""
    done = program(*given, "--help")
    assert (done.code, done.err) == (0, "")
    assert done.out.startswith("Usage: benchassist")


def test_practice_needs_a_folder_it_can_make(program: Program, tmp_path: Path) -> None:
    """One line where there is a file already."""
    there = tmp_path / "letter.txt"
    there.write_text("a letter", "utf-8")
    program("practice", "--headless", there).refused(str(there), code=1)


def test_only_the_slip_and_the_window_need_qt(
    program: Program, shop: DemoShop, tmp_path: Path
) -> None:
    """What only computes, reads or lists starts without it; practice has its own test."""
    named = ("--shop", shop.file)
    for given in (
        ("judge", "3.86 kohm", *BAND),
        ("meters",),
        ("specs", "check"),
        ("visits", "list", *named),
        ("visits", "show", "0001", *named),
        ("visits", "show", "0001", "--json", *named),
        ("visits", "export", "0001", "--out", tmp_path / "out.json", *named),
        ("log", "--port", tmp_path / "none", "--protocol", "scpi"),
    ):
        done = program(*given)
        assert done.has_loaded("benchassist.cli.commands")
        assert not [name for name in HEAVY if done.has_loaded(name)], given
    assert program("slip", "0001", "--out", tmp_path / "slip.pdf", *named).has_loaded("PySide6")


def test_an_open_reader_is_not_waited_for(shop: DemoShop, tmp_path: Path) -> None:
    """A pipe whose reader has gone ends the command quietly."""
    reading, writing = os.pipe()
    os.close(reading)
    command = [sys.executable, "-m", "benchassist.cli", "visits", "show", "0003", "--json"]
    with os.fdopen(writing, "wb") as out:
        done = subprocess.run(
            [*command, "--shop", str(shop.file)],
            cwd=ROOT,
            env=surroundings(tmp_path),
            stdout=out,
            stderr=subprocess.PIPE,
            check=False,
        )
    assert (done.returncode, done.stderr) == (1, b"")


def test_the_window_opens_without_typer(tmp_path: Path) -> None:
    """No command, or only places: typer costs a tenth of a second that the window does not pay."""
    program = """
import sys, benchassist.cli, benchassist.assembly.opening
opened = []
benchassist.assembly.opening.open_window = lambda place: opened.append(place) or 0
assert benchassist.cli.main([]) == 0
assert benchassist.cli.main(["--home", sys.argv[1]]) == 0
assert benchassist.cli.main(["--shop", sys.argv[1] + "/a.sqlite", "--home", sys.argv[1]]) == 0
assert "typer" not in sys.modules
assert benchassist.cli.main([f"--home={sys.argv[1]}"]) == 0
places = [(place.shop, str(place.home), place.named) for place in opened[1:]]
own, named = f"{sys.argv[1]}/shop.sqlite", f"{sys.argv[1]}/a.sqlite"
assert places == [(own, sys.argv[1], False), (named, sys.argv[1], True), (own, sys.argv[1], False)]
"""
    subprocess.run(
        [sys.executable, "-c", program, str(tmp_path)],
        cwd=ROOT,
        env=surroundings(tmp_path),
        check=True,
    )
