import sqlite3
from pathlib import Path

import pytest

from benchassist.core.record import Stored
from benchassist.errors import ShopFileError, StoreError
from benchassist.storage import open_store, shop_file
from tests.storage.case import Scribe, header, settled


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Return a closed shop file with one visit in it."""
    path = tmp_path / "shop.db"
    with open_store(path) as store:
        settled(store, store.submit_visit(header()))
    return path


def refused(path: Path, *, read_only: bool = False) -> str:
    """Return why a place is refused; it is one line, and the place is as it was."""
    before = path.read_bytes() if path.is_file() else None
    with pytest.raises(ShopFileError) as error:
        open_store(path, read_only=read_only)
    assert (path.read_bytes() if path.is_file() else None) == before
    said = str(error.value)
    assert "\n" not in said
    return said


@pytest.mark.parametrize(
    "content",
    [b"tag,customer\nK7,Ada\n", b"x", b"x" * 511, b"x" * 512, b"K7,Ada\n" * 999, b"\x00" * 4096],
)
def test_a_file_of_another_kind_is_refused(tmp_path: Path, content: bytes) -> None:
    """A file that is no database is named, refused and left alone."""
    path = tmp_path / "customers.csv"
    path.write_bytes(content)
    assert (
        refused(path) == f"{path} is not a shop file: choose one this program made, or a new name"
    )


def test_a_database_of_another_program_is_refused(tmp_path: Path) -> None:
    """A SQLite file with other tables is left alone."""
    path = tmp_path / "music.db"
    other = sqlite3.connect(path)
    other.execute("CREATE TABLE alembic_version (version_num TEXT)")
    other.commit()
    other.close()
    assert "belongs to another program" in refused(path)


def test_a_folder_is_refused(tmp_path: Path) -> None:
    """A folder's name asks for a file in it."""
    assert refused(tmp_path) == f"{tmp_path} is a folder: name a shop file in it"


def test_a_missing_folder_is_refused(tmp_path: Path) -> None:
    """A shop is not made in a folder that is not there."""
    folder = tmp_path / "stick"
    assert refused(folder / "shop.db").startswith(f"there is no folder {folder}: make it first")


def test_a_read_only_file_is_refused(path: Path) -> None:
    """A write-protected file is refused for work with what would help."""
    path.chmod(0o444)
    assert f"the shop file {path} is read-only: make it writable" in refused(path)


def test_a_read_only_folder_is_refused(path: Path) -> None:
    """A write-protected folder is refused, for a new file and for one that is there."""
    path.parent.chmod(0o555)
    try:
        for name in ("shop.db", "new.db"):
            said = refused(path.parent / name)
            assert said.startswith(f"the folder {path.parent} is read-only")
    finally:
        path.parent.chmod(0o755)


def test_a_file_that_is_not_there_is_not_made_for_reading(tmp_path: Path) -> None:
    """Reading a shop that does not exist says so and makes nothing."""
    assert refused(tmp_path / "shop.db", read_only=True).startswith("there is no shop file")
    assert list(tmp_path.iterdir()) == []


def test_a_locked_file_is_refused(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file another program holds for itself alone is refused with what to do."""
    monkeypatch.setattr(shop_file, "BUSY_SECONDS", 0.0)
    other = sqlite3.connect(path, isolation_level=None)
    try:
        other.execute("PRAGMA locking_mode = EXCLUSIVE")
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(ShopFileError, match="is locked by another program: close that"):
            open_store(path)
    finally:
        other.close()


def test_a_newer_file_is_refused(path: Path) -> None:
    """A file of a revision this program does not know asks for an update and stays as it is."""
    other = sqlite3.connect(path)
    other.execute("UPDATE alembic_version SET version_num = '9999'")
    other.commit()
    other.close()
    for read_only in (False, True):
        assert "newer than this program (revision 9999" in refused(path, read_only=read_only)


def test_a_damaged_file_is_said_to_be_damaged(path: Path) -> None:
    """A file whose pages are overwritten is refused with the way out."""
    content = bytearray(path.read_bytes())
    content[100:] = b"\xff" * (len(content) - 100)
    path.write_bytes(bytes(content))
    assert "is damaged or cannot be read" in refused(path)


def test_damage_found_while_reading_is_one_line(path: Path) -> None:
    """Damage deeper in the file shows as an expected failure when it is read."""
    with sqlite3.connect(path) as other:
        (size,) = other.execute("PRAGMA page_size").fetchone()
        (page,) = other.execute(
            "SELECT rootpage FROM sqlite_schema WHERE type = 'table' AND name = 'visit'"
        ).fetchone()
    other.close()
    content = bytearray(path.read_bytes())
    content[(page - 1) * size : page * size] = b"\xff" * size
    path.write_bytes(bytes(content))
    with open_store(path) as store, pytest.raises(ShopFileError, match="damaged"):
        store.visits()


def test_an_empty_file_becomes_a_shop(tmp_path: Path) -> None:
    """A file of no bytes, as a save dialog leaves it, is made into a shop."""
    path = tmp_path / "shop.db"
    path.touch()
    with open_store(path) as store:
        assert store.next_slip_number() == "0001"


def test_reading_beside_the_program_at_work(path: Path) -> None:
    """A shop opened for reading sees each reading once it is stored, and cannot write."""
    with open_store(path) as writing, open_store(path, read_only=True) as reading:
        visit = header("0002")
        settled(writing, writing.submit_visit(visit))
        entry = Scribe(visit).taken()
        ticket = writing.submit(entry)
        assert settled(writing, ticket) == [Stored(ticket)]
        assert reading.visit(visit.id) == (visit, (entry,))
        with pytest.raises(StoreError, match="opened for reading only"):
            reading.submit(entry)
        assert reading.acknowledgements() == ()


def test_a_write_protected_file_can_be_read(path: Path) -> None:
    """Reading needs no right to write the file, nor its folder, and leaves nothing there."""
    path.chmod(0o444)
    path.parent.chmod(0o555)
    try:
        with open_store(path, read_only=True) as store:
            assert [visit.slip_number for visit in store.visits()] == ["0001"]
        assert list(path.parent.iterdir()) == [path]
    finally:
        path.parent.chmod(0o755)
