"""Backups: whole, verified, made while the shop is at work; never half of one under its name."""

import shutil
import sqlite3
import subprocess
import threading
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from benchassist.core.record import Stored
from benchassist.errors import InputError, ShopFileError
from benchassist.storage import backup as backing
from benchassist.storage import integrity, open_store
from benchassist.storage.backup import Backup, back_up
from benchassist.storage.integrity import fault, look_into
from benchassist.storage.store import SqlStore
from benchassist.storage.whole_file import UNFINISHED
from tests.storage.case import PATIENCE, Scribe, header, settled
from tests.storage.killing import killed, spoil
from tests.storage.shop_rows import rows
from tests.storage.test_process import sound


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Return where the shop file is."""
    return tmp_path / "Müller's shop #1.sqlite"


@pytest.fixture
def shop(path: Path) -> Iterator[SqlStore]:
    """Return an open shop with a visit of twenty readings."""
    with open_store(path) as store:
        fill(store, "0001", 20)
        yield store


def fill(store: SqlStore, number: str, readings: int) -> str:
    """Keep a visit with so many readings; return its id."""
    visit = header(number)
    scribe = Scribe(visit)
    settled(
        store, store.submit_visit(visit), store.submit(*(scribe.taken() for _ in range(readings)))
    )
    return visit.id


def test_a_backup_is_the_shop(shop: SqlStore, path: Path, tmp_path: Path) -> None:
    """It opens as a shop by itself and holds every entry, though the shop is open."""
    made = back_up(path, tmp_path / "b.sqlite")
    assert made == Backup(tmp_path / "b.sqlite", (tmp_path / "b.sqlite").stat().st_size, 1)
    with open_store(made.file, read_only=True) as copy:
        assert copy.visits() == shop.visits()
        assert copy.visit("0001") == shop.visit("0001")
    assert {p.name for p in tmp_path.iterdir()} >= {"b.sqlite"}
    assert not list(tmp_path.glob("*.new*"))


def test_a_backup_is_read_on_a_write_protected_stick(
    shop: SqlStore, path: Path, tmp_path: Path
) -> None:
    """It needs no log beside it."""
    stick = tmp_path / "stick"
    stick.mkdir()
    back_up(path, stick / "b.sqlite")
    stick.chmod(0o500)
    try:
        with open_store(stick / "b.sqlite", read_only=True) as copy:
            assert copy.visit("0001") == shop.visit("0001")
        assert [p.name for p in stick.iterdir()] == ["b.sqlite"]
    finally:
        stick.chmod(0o700)


def test_a_backup_is_of_one_moment(
    shop: SqlStore, path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Readings that are committed while it is made are not in it, and it is not begun anew."""
    monkeypatch.setattr(backing, "PAGES", 1)
    visit_id = fill(shop, "0002", 300)
    scribe, steps = Scribe(shop.visit(visit_id)[0], after=300), list[tuple[int, int]]()

    def goes_on(done: int, pages: int) -> None:
        steps.append((done, pages))
        if len(steps) < 50:
            ticket = shop.submit(scribe.taken())
            assert shop.wait(PATIENCE) == Stored(ticket)

    back_up(path, tmp_path / "b.sqlite", goes_on)
    with open_store(tmp_path / "b.sqlite", read_only=True) as copy:
        assert len(copy.visit(visit_id)[1]) == 300
    assert len(shop.visit(visit_id)[1]) == 349
    copied = [done for done, parts in steps if done <= parts // (1 + backing.VERIFYING)]
    assert copied == list(range(1, len(copied) + 1))
    assert steps[-1][0] == steps[-1][1]


def test_the_verification_is_told_and_can_be_ended(
    shop: SqlStore, path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It takes longer than the copy: it rises to the end, and stops where it is told to."""
    monkeypatch.setattr(integrity, "TICK", 200)
    fill(shop, "0002", 300)
    shares = list[float]()

    def told(done: int, parts: int) -> None:
        shares.append(done / parts)

    back_up(path, tmp_path / "b.sqlite", told)
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    assert sum(1.0 / (1 + backing.VERIFYING) < share < 1.0 for share in shares) > 20

    def ended(done: int, parts: int) -> None:
        if done / parts > 0.6:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        back_up(path, tmp_path / "c.sqlite", ended)
    assert list(tmp_path.glob("c.sqlite*")) == []


def test_the_steps_of_a_check_are_about_what_is_foretold(shop: SqlStore, path: Path) -> None:
    """So that what is told of it does not stand still before its end, nor at it."""
    fill(shop, "0002", 300)
    with closing(sqlite3.connect(path)) as connection:
        foretold, taken = integrity._steps(connection), list[int]()
        connection.set_progress_handler(lambda: taken.append(1), 10)
        integrity.faults_of(connection)
    assert 0.5 * foretold < 10 * len(taken) < 2.0 * foretold


def test_a_backup_can_be_ended(shop: SqlStore, path: Path, tmp_path: Path) -> None:
    """What its progress raises ends it, and nothing is left of it."""

    def end(_done: int, _pages: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        back_up(path, tmp_path / "b.sqlite", end)
    assert sorted(p.name for p in tmp_path.iterdir()) == sorted(
        path.name + beside for beside in ("", "-wal", "-shm")
    )
    assert len(shop.visits()) == 1


def test_a_file_that_is_there_is_not_replaced(shop: SqlStore, path: Path, tmp_path: Path) -> None:
    """Whatever it is; nor is the shop itself, a folder or one that is not there."""
    assert shop.visits()
    other = tmp_path / "letter.txt"
    other.write_text("dear", "utf-8")
    for to in (other, path, tmp_path, tmp_path / "none" / "b.sqlite"):
        with pytest.raises(InputError) as error:
            back_up(path, to)
        assert "\n" not in str(error.value)
    assert other.read_text("utf-8") == "dear"


def test_what_came_meanwhile_is_not_replaced(shop: SqlStore, path: Path, tmp_path: Path) -> None:
    """A file that took the name while the backup was made stays."""
    to = tmp_path / "b.sqlite"
    with pytest.raises(InputError, match="there already"):
        back_up(path, to, lambda _done, _pages: to.write_text("dear", "utf-8"))
    assert to.read_text("utf-8") == "dear"
    assert shop.visits()


def test_a_full_disk_is_told(
    shop: SqlStore, path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In one line, and nothing is left."""

    def full(*_arguments: object) -> None:
        raise sqlite3.OperationalError("database or disk is full")

    monkeypatch.setattr(backing, "copy_to", full)
    with pytest.raises(ShopFileError, match="the disk is full"):
        back_up(path, tmp_path / "b.sqlite")
    assert not (tmp_path / "b.sqlite").exists()
    assert shop.visits()


def test_a_copy_that_is_not_the_shop_is_no_backup(
    shop: SqlStore, path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is opened and counted before it takes its name."""
    with open_store(tmp_path / "other.sqlite") as other:
        fill(other, "0001", 1)
        fill(other, "0002", 1)
    monkeypatch.setattr(
        backing, "copy_to", lambda _s, fresh, _p: shutil.copy(tmp_path / "other.sqlite", fresh)
    )
    with pytest.raises(ShopFileError, match="does not hold what the shop does"):
        back_up(path, tmp_path / "b.sqlite")
    assert not (tmp_path / "b.sqlite").exists()
    assert shop.visits()


def test_a_damaged_shop_is_not_passed_off_as_backed_up(tmp_path: Path) -> None:
    """The copy of a damaged file is no backup."""
    path = tmp_path / "shop.sqlite"
    with open_store(path) as store:
        fill(store, "0001", 200)
    spoil(path)
    assert fault(path, quick=True) is not None
    with pytest.raises(ShopFileError, match="damaged"):
        back_up(path, tmp_path / "b.sqlite")
    assert not (tmp_path / "b.sqlite").exists()


def test_two_backups_at_once(shop: SqlStore, path: Path, tmp_path: Path) -> None:
    """Each is whole; of two that want one name one gets it."""
    outcomes = list[str]()

    def work() -> None:
        try:
            outcomes.append(str(back_up(path, tmp_path / "b.sqlite").visits))
        except InputError as error:
            outcomes.append(str(error))

    threads = [threading.Thread(target=work) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert "1" in outcomes
    assert look_into(tmp_path / "b.sqlite").visits == 1
    assert shop.visits()


def killed_in_mid_backup(location: str, folder: Path, rounds: int, seed: int) -> int:
    """Kill a program that backs up; return how many backups were finished before.

    Whatever has the name of a backup must be whole, and the shop as it was.
    """
    backups = folder / "backups"
    backups.mkdir()
    with open_store(location) as store:
        for number in range(30):
            fill(store, f"{number + 1:04d}", 20)
    before, finished = rows(location), 0
    # A server's own program takes its time.
    latest_s = 0.5 if "://" in location else 0.25
    for _kill in killed(rounds, seed, latest_s, "backup", location, str(backups)):
        assert sound(location)
        for made in backups.glob("*[0-9].*"):
            if made.suffix == ".sqlite":
                assert look_into(made).visits == 30
            elif made.suffix == ".dump":
                assert listed(made)
            else:
                assert UNFINISHED in made.name
            finished += made.suffix in (".sqlite", ".dump")
            made.unlink()
    assert rows(location) == before
    return finished


def listed(made: Path) -> bool:
    """Whether the server's own program finds the whole list of contents in a dump."""
    done = subprocess.run(["pg_restore", "--list", made], capture_output=True, check=False)
    return done.returncode == 0 and b"TABLE DATA public visit" in done.stdout


def test_a_kill_in_mid_backup_costs_that_backup_only(location: str, tmp_path: Path) -> None:
    """Killed with -9 thirty times: the shop and every backup that has its name are whole."""
    killed_in_mid_backup(location, tmp_path, 30, seed=5)


@pytest.mark.long
@pytest.mark.timeout(1800)
def test_three_hundred_kills_in_mid_backup(location: str, tmp_path: Path) -> None:
    """The same, three hundred times."""
    assert killed_in_mid_backup(location, tmp_path, 300, seed=6) >= 1
