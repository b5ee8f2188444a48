"""A shop is looked after while the program runs: backed up by the day, held where it is damaged."""

import sqlite3
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from benchassist.assembly import Place, SystemClock, keeping, open_shop
from benchassist.assembly import keeper as looking_after
from benchassist.assembly.keeper import Keeper
from benchassist.assembly.keeping import shelf_of
from benchassist.core.record import Refused
from benchassist.services.shop import Shop
from benchassist.storage import integrity
from benchassist.storage import open_store as open_shop_file
from benchassist.storage.integrity import look_into
from benchassist.storage.store import SqlStore
from tests.storage.case import PATIENCE, header, settled
from tests.storage.disks import disk
from tests.storage.killing import spoil
from tests.storage.test_backup import fill


@pytest.fixture
def place(tmp_path: Path, qapp: QApplication) -> Place:
    """Return a shop with a few visits; the application outlives the test."""
    assert qapp is QApplication.instance()
    file = tmp_path / "shop.sqlite"
    with open_shop_file(file) as store:
        for number in range(1, 21):
            fill(store, f"{number:04d}", 20)
    return Place(str(file), tmp_path / "home")


@contextmanager
def at_work(place: Place) -> Iterator[tuple[Shop, Keeper]]:
    """A shop without a window, looked after; its keeper has had its time."""
    shop = open_shop(place)
    keeper = Keeper(place, shop)
    try:
        assert keeper._rested.wait(PATIENCE)
        yield shop, keeper
    finally:
        keeper.close()
        shop.close()


def test_the_shop_is_backed_up_once_a_day(place: Place) -> None:
    """At the first start of a day; a second start makes none, the next day's does."""
    for _ in range(2):
        with at_work(place) as (shop, _keeper):
            assert shop.counter.view("").banner == ""
    (kept,) = shelf_of(place).kept()
    assert look_into(kept.file).visits == 20
    kept.file.rename(shelf_of(place).name(SystemClock().now() - timedelta(days=1)))
    with at_work(place):
        assert len(shelf_of(place).kept()) == 2


def test_a_program_that_stays_open_backs_up_every_day(
    place: Place, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It looks again and again; what was told of a day without a backup is so no more then."""
    monkeypatch.setattr(looking_after, "LOOK_EVERY_S", 0.01)
    monkeypatch.setattr(looking_after, "LATER_S", 0.01)
    with at_work(place) as (shop, _keeper):
        (first,) = shelf_of(place).kept()
        disk(monkeypatch, 0)
        first.file.rename(shelf_of(place).name(SystemClock().now() - timedelta(days=1)))
        until(lambda: "not backed up today: no room in" in shop.counter.view("").banner)
        disk(monkeypatch, 10**12)
        until(lambda: len(shelf_of(place).kept()) == 2)
        until(lambda: shop.counter.view("").banner == "")


def until(told: Callable[[], bool]) -> None:
    """Wait for something to come true."""
    limit = time.monotonic() + PATIENCE
    while not told():
        assert time.monotonic() < limit, "it never came true"


def test_a_damaged_shop_is_only_read_from_then_on(place: Place) -> None:
    """The counter says so in one line, writes are refused with it, and what was saved is shown.

    No backup is made of it, and the file itself stays as it was found.
    """
    spoil(Path(place.shop))
    before = Path(place.shop).read_bytes()
    with at_work(place) as (shop, _keeper):
        banner = shop.counter.view("").banner
        assert banner == "shop.sqlite is damaged and from now on only read: restore a backup"
        store = shop.store
        assert isinstance(store, SqlStore)
        (said,) = settled(store, store.submit_visit(header("0099")))
        assert isinstance(said, Refused)
        assert said.why == banner
        # Whatever is asked, it is answered from what was saved.
        assert len([store.visit(v.id) for v in store.visits()]) == 20
        assert len(store.find("K7", 99).machines) == 20
    (kept,) = shelf_of(place).kept()
    assert kept.why == "salvaged"
    assert look_into(kept.file).visits == 20
    assert Path(place.shop).read_bytes() == before


def test_a_small_shops_damage_is_known_from_the_start(place: Place) -> None:
    """The counter's first look at it is at what was saved."""
    spoil(Path(place.shop))
    shop = open_shop(place)
    keeper = Keeper(place, shop)
    keeper.first_look()
    try:
        assert shop.counter.view("").banner
        assert len(shop.store.visits()) == 20
    finally:
        keeper.close()
        shop.close()


def test_a_backup_that_cannot_be_made_is_told(place: Place) -> None:
    """In one line; the shop is worked on as ever."""
    place.home.mkdir()
    (place.home / "backups").write_text("", "utf-8")
    with at_work(place) as (shop, _keeper):
        assert shop.counter.view("").banner.startswith("The shop was not backed up today: ")
        assert isinstance(shop.store, SqlStore)
        settled(shop.store, shop.store.submit_visit(header("0099")))


def test_closing_does_not_wait_for_a_backup(place: Place, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is ended in the middle, and nothing is left of it."""
    begun, closing_down = threading.Event(), threading.Event()

    def slow(_connection: sqlite3.Connection, *, quick: bool = False) -> tuple[str, ...]:
        del quick
        begun.set()
        closing_down.wait()
        return ()

    monkeypatch.setattr(integrity, "faults_of", slow)
    shop = open_shop(place)
    keeper = Keeper(place, shop)
    begun.wait()
    ends = threading.Thread(target=keeper.close)
    ends.start()
    while not keeper._ended.is_set():
        pass
    closing_down.set()
    ends.join()
    shop.close()
    assert shelf_of(place).kept() == []
    assert not list((place.home / "backups").glob("*.new*"))


def test_a_salvaged_backup_pushes_out_no_other(place: Place) -> None:
    """Sound ones stay, however many are made of a damaged file."""
    sound = keeping.back_up(place, None)
    spoil(Path(place.shop))
    for _ in range(3):
        made = keeping.back_up(place, None)
        assert made.lost
        assert made.visits == 20
    assert sound.file.exists()
