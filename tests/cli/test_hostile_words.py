"""Hostile text on a terminal: nothing of it reaches it raw, whatever the command says."""

import json
from pathlib import Path

import pytest

from benchassist.core.entry import Noted
from benchassist.storage import open_store
from tests.cli.program import Program
from tests.hostile import HOSTILE
from tests.storage.case import Scribe, header, machine, settled

STEERING = {*map(chr, range(0x20)), *map(chr, range(0x7F, 0xA0)), *"\u202e\u2066\u2067\u2028"} - {
    "\n"
}
ODD = "".join(HOSTILE[name] for name in ("terminal", "control", "right to left", "lines", "tab"))


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """Return a shop with a visit in which every name steers a terminal, and one of a megabyte."""
    file = tmp_path / "shop.sqlite"
    with open_store(file) as store:
        for number, text in (("0001", ODD), ("0002", HOSTILE["megabyte"])):
            of = machine(text[:16], customer=text, unit=text, engine=text, serial=text, phone=text)
            visit = header(number, of=of)
            note = Noted(stamp=Scribe(visit).stamp(), text=text)
            settled(store, store.submit_visit(visit), store.submit(note))
    return file


def test_visits_are_listed_and_shown_on_lines_of_their_own(program: Program, own: Path) -> None:
    """A line a visit in the list, no control character in either."""
    listed = program("visits", "list", "--shop", own)
    assert listed.code == 0
    assert len(listed.out.splitlines()) == 2
    shown = program("visits", "show", "0001", "--shop", own)
    assert shown.code == 0
    for text in (listed.out, shown.out):
        assert not STEERING & set(text)
        assert len(text) < 100_000


def test_json_is_whole_and_steers_nothing(program: Program, own: Path) -> None:
    """What would steer a terminal stands as its number, and reads back as it was."""
    listed = program("visits", "list", "--json", "--shop", own)
    assert not STEERING & set(listed.out)
    assert ODD in {visit["machine"]["customer"] for visit in listed.json["visits"]}


def test_a_refusal_names_a_file_without_obeying_it(program: Program, tmp_path: Path) -> None:
    """A file's name and what is in it stand on one line; so does a name that is no text."""
    odd = tmp_path / "x\x1b[2J\n.json"
    odd.write_text(json.dumps({"format": ODD}), "utf-8")
    done = program("visits", "import", odd, "--shop", tmp_path / "shop.sqlite")
    done.refused("not an export")
    assert not STEERING & set(done.err)
    done = program("visits", "import", tmp_path / "half\udc80.json", "--json")
    done.refused("no such file")
