"""Backups by command: photos go along to a named place and come back; a server's as a file."""

import hashlib
from pathlib import Path

import pytest

from benchassist.storage import open_store
from benchassist.storage.integrity import look_into
from benchassist.storage.photo_shelf import PhotoShelf
from tests.assembly.test_photo_backup import add_photo, digest, photo
from tests.cli.program import Program
from tests.storage.case import header, machine, settled


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """Return a shop with a photo on its one visit."""
    file, visit = tmp_path / "shop.sqlite", header("0001", of=machine("K1"))
    with open_store(file) as store:
        settled(store, store.submit_visit(visit))
        add_photo(store, tmp_path / "home", visit.id, 1)
    return file


def test_photos_go_along_and_come_back(program: Program, own: Path, tmp_path: Path) -> None:
    """The objects on standard output are what they were; what became of photos is said beside."""
    home, stick = tmp_path / "home", tmp_path / "stick"
    stick.mkdir()
    named = ("--shop", own, "--home", home)
    done = program("backup", "--to", stick / "b.sqlite", "--json", *named)
    made = stick / "b.sqlite"
    assert done.json == {"file": str(made), "bytes": made.stat().st_size, "visits": 1}
    folder = stick / "benchassist-photos"
    assert done.err == f"1 photo beside it in {folder}, 1 of them new\n"
    again = program("backup", "--to", stick, *named)
    assert again.err == f"1 photo beside it in {folder}, 0 of them new\n"
    assert not again.has_loaded("PySide6")
    PhotoShelf(home / "photos").discard(digest(1))
    looked = program("restore", made, *named)
    assert looked.out.splitlines()[2] == "photos   1 beside it that are not here"
    done = program("restore", made, "--yes", "--json", *named)
    assert set(done.json) == {"backup", "present", "fault", "restored", "kept"}
    assert done.err == "1 photo came back\n"
    found = PhotoShelf(home / "photos").read(digest(1))
    assert found is not None
    assert found.data == photo(1)
    assert hashlib.sha256(found.data).hexdigest() == digest(1)


def test_photos_stay_where_they_are_told_to(program: Program, own: Path, tmp_path: Path) -> None:
    """With --no-photos, and among the backups by day."""
    named = ("--shop", own, "--home", tmp_path / "home")
    for more in (("--to", tmp_path / "b.sqlite", "--no-photos"), ()):
        done = program("backup", *more, *named)
        assert (done.code, done.err) == (0, "")
    assert not list(tmp_path.rglob("benchassist-photos"))


def test_a_customer_is_erased_from_a_named_backup(
    program: Program, own: Path, tmp_path: Path
) -> None:
    """Shown first; then the backup and the photos beside it are gone."""
    stick, named = tmp_path / "stick", ("--shop", own, "--home", tmp_path / "home")
    stick.mkdir()
    made = stick / "b.sqlite"
    program("backup", "--to", made, *named)
    erasing = ("privacy", "erase", "K1", "--drop-backup", stick, *named)
    looked = program(*erasing)
    assert looked.code == 1
    assert f"to be removed: the backup {made}" in looked.out
    assert made.exists()
    done = program(*erasing, "--yes", "--json")
    assert done.json["backups_removed"] == [str(made)]
    assert [file for file in stick.rglob("*") if file.is_file()] == []
    program(*erasing, "--yes").refused("no backup in it holds this machine")


@pytest.mark.postgres
def test_a_server_is_copied_into_a_file_where_one_is_named(
    program: Program, postgres_url: str, own: Path, tmp_path: Path
) -> None:
    """It is moved there with this bench's photos where they were; the words say so."""
    home, to = tmp_path / "home", tmp_path / "b.sqlite"
    moved = program("move", postgres_url, "--shop", own, "--home", home)
    assert "photos and settings stay in this bench's home folder" in moved.err
    done = program("backup", "--to", to, "--json", "--shop", postgres_url, "--home", home)
    assert done.json == {"file": str(to), "bytes": to.stat().st_size, "visits": 1}
    assert done.err.splitlines()[0].startswith("made as a shop file: ")
    assert done.err.splitlines()[1].startswith("1 photo beside it in ")
    assert look_into(to).visits == 1
    program("restore", to, "--shop", postgres_url).refused("benchassist move")
