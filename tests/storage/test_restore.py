"""A backup in the shop's place: all of it or nothing, and never over a shop that is open."""

import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from benchassist.errors import BenchError, InputError, NotAShopError, ShopFileError
from benchassist.storage import open_store
from benchassist.storage.backup import back_up
from benchassist.storage.integrity import fault, look_into
from benchassist.storage.restore import Exchange, look_at, restore
from benchassist.storage.schema import HEAD
from tests.storage.case import OPENED, header, settled
from tests.storage.killing import ROOT, killed, spoil
from tests.storage.test_backup import fill
from tests.storage.test_process import sound


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Return a closed shop file with three visits."""
    path = tmp_path / "shop.sqlite"
    with open_store(path) as store:
        for number in range(1, 4):
            fill(store, f"{number:04d}", 5)
    return path


@pytest.fixture
def backup(path: Path, tmp_path: Path) -> Path:
    """Return a backup of the shop as it was before its last two visits."""
    made = back_up(path, tmp_path / "b.sqlite").file
    with open_store(path) as store:
        fill(store, "0004", 5)
        settled(store, store.submit_visit(header("0005", day=9)))
    return made


def test_what_is_in_it_is_shown_first(path: Path, backup: Path) -> None:
    """How many visits, the newest, the revision, of both; nothing is changed by looking."""
    before = path.read_bytes()
    seen = look_at(backup, path)
    assert (seen.backup.visits, seen.backup.newest, seen.backup.revision) == (3, OPENED, HEAD)
    assert seen.present is not None
    assert (seen.present.visits, seen.present.newest) == (5, OPENED + timedelta(days=9))
    assert path.read_bytes() == before


def test_the_backup_takes_the_shops_place(path: Path, backup: Path, tmp_path: Path) -> None:
    """What was there is kept aside whole, the backup stays, the shop opens as it was then."""
    aside, kept = tmp_path / "aside.sqlite", backup.read_bytes()
    restore(look_at(backup, path), path, aside)
    assert (look_into(path).visits, look_into(aside).visits) == (3, 5)
    assert backup.read_bytes() == kept
    with open_store(path) as store:
        assert store.next_slip_number() == "0004"
        fill(store, "0004", 2)
    # And back again.
    restore(look_at(aside, path), path, tmp_path / "second.sqlite")
    assert look_into(path).visits == 5
    assert look_into(tmp_path / "second.sqlite").visits == 4


def test_a_shop_that_is_not_there_is_made(backup: Path, tmp_path: Path) -> None:
    """Nothing is kept aside then."""
    new = tmp_path / "new.sqlite"
    restore(look_at(backup, new), new, tmp_path / "aside.sqlite")
    assert look_into(new).visits == 3
    assert not (tmp_path / "aside.sqlite").exists()


@pytest.mark.parametrize("mode", ["writing", "reading"])
def test_a_shop_that_is_open_is_not_replaced(
    path: Path, backup: Path, tmp_path: Path, mode: str
) -> None:
    """Not even where the other program does nothing just now; it can go on."""
    script = (
        "import sys; from benchassist.storage import open_store\n"
        f"with open_store(sys.argv[1], read_only={mode == 'reading'}) as store:\n"
        "    print(len(store.visits()), flush=True); sys.stdin.readline()\n"
        "    print(len(store.visits()), flush=True)\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", script, str(path)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    ) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == "5\n"
        with pytest.raises(ShopFileError, match=r"another program has the shop file .* open"):
            restore(look_at(backup, path), path, tmp_path / "aside.sqlite")
        assert not (tmp_path / "aside.sqlite").exists()
        other.communicate("go on\n")
    assert look_into(path).visits == 5


def test_a_backup_that_is_damaged_is_refused(path: Path, backup: Path) -> None:
    """In words; the shop stays."""
    spoil(backup)
    with pytest.raises(ShopFileError, match="damaged or cannot be read") as error:
        look_at(backup, path)
    assert "\n" not in str(error.value)
    assert look_into(path).visits == 5


def test_a_backup_that_is_newer_is_refused(path: Path, backup: Path) -> None:
    """The program has to be updated first."""
    with closing(sqlite3.connect(backup)) as connection, connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(
        ShopFileError, match=r"newer than this program .* update this program first"
    ):
        look_at(backup, path)


def test_what_is_no_backup_is_refused(path: Path, tmp_path: Path) -> None:
    """A letter, an empty file, a folder, another program's database.

    Nor is a shop file that acts by itself, or has more in it than a shop has.
    """
    letter, empty, music = tmp_path / "x.txt", tmp_path / "empty", tmp_path / "music.db"
    letter.write_text("dear", "utf-8")
    empty.touch()
    with closing(sqlite3.connect(music)) as connection, connection:
        connection.execute("CREATE TABLE song (name TEXT)")
    acting = back_up(path, tmp_path / "acting.sqlite").file
    with closing(sqlite3.connect(acting)) as connection, connection:
        connection.execute("CREATE TRIGGER gone AFTER INSERT ON entry BEGIN DELETE FROM visit; END")
    more = back_up(path, tmp_path / "more.sqlite").file
    with closing(sqlite3.connect(more)) as connection, connection:
        connection.execute("CREATE TABLE song (name TEXT)")
    for file in (letter, empty, music, acting, more, tmp_path, tmp_path / "none.sqlite"):
        with pytest.raises(NotAShopError) as error:
            look_at(file, path)
        assert "\n" not in str(error.value)


def test_the_shop_itself_is_no_backup(path: Path, tmp_path: Path) -> None:
    """Under whatever name."""
    (tmp_path / "link.sqlite").symlink_to(path)
    for file in (path, tmp_path / "link.sqlite"):
        with pytest.raises(InputError, match="the shop file itself"):
            look_at(file, path)


def test_a_damaged_shop_is_replaced_and_kept(path: Path, backup: Path, tmp_path: Path) -> None:
    """Its bytes stay aside as they are, for whoever can read more of them."""
    spoil(path)
    seen = look_at(backup, path)
    assert seen.present is None
    assert "damaged" in seen.fault
    restore(seen, path, tmp_path / "aside.sqlite")
    assert look_into(path).visits == 3
    assert fault(tmp_path / "aside.sqlite") is not None


def test_a_shop_file_that_is_garbage_is_replaced_and_kept(
    path: Path, backup: Path, tmp_path: Path
) -> None:
    """Also where it is no database at all any more; a log of it is not taken for the new one's."""
    path.write_bytes(b"\xff" * 5000)
    Path(f"{path}-wal").write_bytes(b"old")
    restore(look_at(backup, path), path, tmp_path / "aside.sqlite")
    assert look_into(path).visits == 3
    assert not Path(f"{path}-wal").exists() or Path(f"{path}-wal").read_bytes() == b""
    assert (tmp_path / "aside.sqlite").read_bytes() == b"\xff" * 5000
    assert Path(f"{tmp_path / 'aside.sqlite'}-wal").read_bytes() == b"old"


def test_where_nothing_can_be_kept_aside_nothing_is_replaced(
    path: Path, backup: Path, tmp_path: Path
) -> None:
    """The present file is copied first, or it stays."""
    with pytest.raises(BenchError, match="no folder"):
        restore(look_at(backup, path), path, tmp_path / "none" / "aside.sqlite")
    assert look_into(path).visits == 5


def test_a_visit_written_between_look_and_restore_is_kept_aside(
    path: Path, backup: Path, tmp_path: Path
) -> None:
    """What is kept is what was there at the last moment."""
    seen: Exchange = look_at(backup, path)
    with open_store(path) as store:
        settled(store, store.submit_visit(header("0006")))
    restore(seen, path, tmp_path / "aside.sqlite")
    assert look_into(tmp_path / "aside.sqlite").visits == 6


def killed_in_mid_restore(path: Path, backup: Path, rounds: int, seed: int) -> set[int]:
    """Kill a program that restores two backups by turns; return how many visits there were."""
    other = back_up(path, path.with_name("other.sqlite")).file
    seen = set[int]()
    for _said in killed(rounds, seed, 0.2, "restore", str(path), str(backup), str(other)):
        assert sound(str(path))
        seen.add(look_into(path).visits)
        assert (look_into(backup).visits, look_into(other).visits) == (3, 5)
    return seen


def test_a_kill_in_mid_restore_leaves_the_one_or_the_other(path: Path, backup: Path) -> None:
    """Killed with -9 thirty times, the shop is the old one or the restored one."""
    assert killed_in_mid_restore(path, backup, 30, seed=11) <= {3, 5}


@pytest.mark.long
@pytest.mark.timeout(1800)
def test_three_hundred_kills_in_mid_restore(path: Path, backup: Path) -> None:
    """The same, three hundred times."""
    assert killed_in_mid_restore(path, backup, 300, seed=12) == {3, 5}
