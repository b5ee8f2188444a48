"""A server's shop is backed up by its benches: each its own, one at a time, nothing half-made."""

import logging
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from PySide6.QtWidgets import QApplication

from benchassist.assembly import Place, SystemClock, open_shop
from benchassist.assembly import keeper as looking_after
from benchassist.assembly.keeper import Keeper
from benchassist.assembly.keeping import back_up_moment, server_of, shelf_of
from benchassist.services.shop import Shop
from benchassist.storage import open_store
from benchassist.storage.backup import Backup, Progress
from benchassist.storage.integrity import look_into
from benchassist.storage.snapshot import Snapshot, snapshot
from tests.postgres import PostgresServer
from tests.storage.case import PATIENCE
from tests.storage.proxy import Proxy
from tests.storage.test_backup import fill, listed

pytestmark = pytest.mark.postgres


@pytest.fixture
def url(postgres_url: str, qapp: QApplication) -> str:
    """Return the address of a shop with a few visits; the application outlives the test."""
    assert qapp is QApplication.instance()
    with open_store(postgres_url) as store:
        for number in range(1, 6):
            fill(store, f"{number:04d}", 5)
    return postgres_url


@contextmanager
def at_work(place: Place) -> Iterator[tuple[Shop, Keeper]]:
    """A bench without a window, looked after from its start on."""
    shop = open_shop(place)
    keeper = Keeper(place, shop, settling_s=0.0)
    try:
        yield shop, keeper
    finally:
        keeper.close()
        shop.close()


def until(told: Callable[[], object]) -> None:
    """Wait for something to come true."""
    limit = time.monotonic() + PATIENCE
    while not told():
        assert time.monotonic() < limit, "it never came true"
        threading.Event().wait(0.005)


def half_made(place: Place) -> list[Path]:
    """What was begun and not finished."""
    return list((place.home / "backups").glob("*.new*"))


@pytest.mark.parametrize("dumps", [True, False])
def test_a_server_is_backed_up_once_a_day(
    url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, dumps: bool
) -> None:
    """By its own program, or without it into a shop file; a second start makes none."""
    if not dumps:
        monkeypatch.setenv("PATH", "")
    place = Place(url, tmp_path / "home")
    for _ in range(2):
        with at_work(place) as (shop, keeper):
            assert keeper._rested.wait(PATIENCE)
            assert shop.counter.view("").banner == ""
    (kept,) = shelf_of(place).kept()
    assert listed(kept.file) if dumps else look_into(kept.file).visits == 5
    kept.file.rename(shelf_of(place).name(SystemClock().now() - timedelta(days=1)))
    with at_work(place) as (_shop, keeper):
        assert keeper._rested.wait(PATIENCE)
    assert len(shelf_of(place).kept()) == 2
    assert half_made(place) == []


def test_old_ones_go(url: str, tmp_path: Path) -> None:
    """From this bench's own shelf, as a file's do."""
    place = Place(url, tmp_path / "home")
    shelf, now = shelf_of(place), SystemClock().now()
    for day in range(1, 60):
        shelf.name(now - timedelta(days=day), suffix=".dump").write_bytes(b"PGDMP")
    with at_work(place) as (_shop, keeper):
        assert keeper._rested.wait(PATIENCE)
    assert 7 <= len(shelf.kept()) <= 11


def test_each_bench_has_its_own_and_never_both_at_once(
    url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While one is at it the other looks later, and says nothing of it."""
    monkeypatch.setattr(looking_after, "LATER_S", 0.01)
    places = [Place(url, tmp_path / letter) for letter in "AB"]
    with at_work(places[0]) as (_shop, keeper):
        assert keeper._rested.wait(PATIENCE)
    assert len(shelf_of(places[0]).kept()) == 1
    with snapshot(server_of(places[0])) as another:
        assert another.is_alone
        with at_work(places[1]) as (shop, keeper):
            assert keeper._rested.wait(PATIENCE)
            assert shelf_of(places[1]).kept() == []
            assert shop.counter.view("").banner == ""
            another.connection.close()
            until(lambda: shelf_of(places[1]).kept())


def test_a_server_that_is_away_is_left_in_peace(
    postgres_server: PostgresServer,
    url: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    """A bench that starts without it starts as ever; once it is back the backup is made."""
    monkeypatch.setattr(looking_after, "LATER_S", 0.01)
    monkeypatch.setattr("benchassist.storage.watch.PERIOD_S", 0.05)
    caplog.set_level(logging.WARNING, "benchassist.assembly")
    with Proxy(postgres_server) as proxy:
        place = Place(proxy.url(urlsplit(url).path.strip("/")), tmp_path / "home")
        open_shop(place).close()
        with proxy.cut():
            shop = open_shop(place)
            keeper = Keeper(place, shop, settling_s=0.0)
            assert keeper._rested.wait(PATIENCE)
            assert "not backed up" not in shop.counter.view("").banner
        try:
            until(lambda: shelf_of(place).kept())
            assert caplog.records == []
        finally:
            keeper.close()
            shop.close()


def test_a_server_lost_in_the_middle_is_told_once(
    postgres_server: PostgresServer, url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Plainly; nothing half-made is left, it is tried again, and then it is told no more."""
    monkeypatch.setenv("PATH", "")
    monkeypatch.setattr(looking_after, "LATER_S", 0.01)
    tries, told = list[int](), list[str]()
    with Proxy(postgres_server) as proxy:
        place = Place(proxy.url(urlsplit(url).path.strip("/")), tmp_path / "home")

        def cut(place: Place, moment: Snapshot, to: Path | None, progress: Progress) -> Backup:
            def lost(done: int, whole: int) -> None:
                progress(done, whole)
                if len(tries) < 3 and done:
                    tries.append(done)
                    proxy._hang_up()

            return back_up_moment(place, moment, to, lost)

        monkeypatch.setattr(looking_after, "back_up_moment", cut)
        monkeypatch.setattr("benchassist.services.front.counter.Counter.tell", tell(told))
        with at_work(place):
            until(lambda: shelf_of(place).kept())
        assert len(tries) == 3
        assert half_made(place) == []
    (line,) = told
    assert line.startswith("The shop was not backed up today: the shop's database shop_")
    assert "cannot be reached" in line
    assert "\n" not in line


def tell(told: list[str]) -> Callable[[object, str], None]:
    """What stands for the counter's banner."""
    return lambda _counter, line: told.append(line)


@pytest.mark.parametrize("dumps", [True, False])
def test_closing_ends_it_in_the_middle(
    postgres_server: PostgresServer,
    url: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    dumps: bool,
) -> None:
    """Whether the server's program works, or an answer of a silent server is waited for."""
    begun = threading.Event()
    if dumps:
        tools = tmp_path / "tools"
        tools.mkdir()
        for name in ("pg_dump", "pg_restore"):
            (tools / name).write_text("#!/bin/sh\nexec sleep 600\n", "utf-8")
            (tools / name).chmod(0o755)
        monkeypatch.setenv("PATH", f"{tools}:/usr/bin:/bin")
    else:
        monkeypatch.setenv("PATH", "")
    told = list[str]()

    def begins(place: Place, moment: Snapshot, to: Path | None, progress: Progress) -> Backup:
        def go_on(done: int, whole: int) -> None:
            progress(done, whole)
            if not dumps and not begun.is_set():
                proxy._passes.clear()
            begun.set()

        return back_up_moment(place, moment, to, go_on)

    monkeypatch.setattr(looking_after, "back_up_moment", begins)
    monkeypatch.setattr("benchassist.services.front.counter.Counter.tell", tell(told))
    with Proxy(postgres_server) as proxy:
        place = Place(proxy.url(urlsplit(url).path.strip("/")), tmp_path / "home")
        shop = open_shop(place)
        keeper = Keeper(place, shop, settling_s=0.0)
        assert begun.wait(PATIENCE)
        keeper.close()
        assert not keeper._thread.is_alive()
        assert told == []
        proxy._passes.set()
        shop.close()
    assert shelf_of(place).kept() == []
    assert half_made(place) == []
