"""The window on a shop of an earlier revision: brought up in a thread, closed, gone on with."""

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from benchassist import assembly
from benchassist.assembly import Place
from benchassist.assembly import migration as migrating
from benchassist.assembly.keeping import shelf_of
from benchassist.assembly.shop_records import ShopRecords
from benchassist.assembly.works import Works
from benchassist.storage import revision
from benchassist.storage.integrity import look_into
from benchassist.storage.migration import Migration
from benchassist.storage.pulse import counted
from benchassist.storage.schema import HEAD
from benchassist.storage.stage import Progress
from benchassist.ui.habits import Habits
from benchassist.ui.shell import Shell
from tests.storage.conftest import DATABASES
from tests.storage.old_shop import Old, lay, lay_many, revision_of
from tests.storage.shop_rows import rows
from tests.storage.test_process import sound

WAIT_MS = 30_000
COPIES = 30


@pytest.fixture(params=DATABASES)
def place(request: pytest.FixtureRequest, tmp_path: Path, qapp: QApplication) -> Place:
    """Return a place where there is no shop yet, on either database."""
    assert qapp is QApplication.instance()
    if request.param == "sqlite":
        return Place(str(tmp_path / "shop.sqlite"), tmp_path / "home")
    return Place(request.getfixturevalue("postgres_url"), tmp_path / "home")


@contextmanager
def window(place: Place) -> Iterator[tuple[Shell, Works]]:
    """The program's window, not yet loaded, as `open_window` makes it; all of it ended after."""
    works = Works(place)
    shell = Shell(works.desks, Habits(theme="light"), first=works.migration)
    try:
        yield shell, works
    finally:
        shell.close()
        works.end()
        shell.deleteLater()
        QApplication.processEvents()


def kept(place: Place) -> list[Path]:
    """The copies that were made before a migration."""
    return [k.file for k in shelf_of(place).kept() if k.why == f"before-{HEAD}"]


def laid(place: Place) -> Old:
    """A shop of an earlier revision."""
    return lay(place.shop, "0002")


def test_the_window_lives_while_the_shop_is_brought_up(
    place: Place, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It ticks between any two steps of the work in the other thread; then the shop opens."""
    monkeypatch.setattr(revision, "counted", partial(counted, every=20_000))
    lay_many(place.shop, "0002", COPIES)
    workers, told, pulses = set[str](), list[float](), threading.Semaphore(0)
    real = migrating.migrate

    def migrate(
        where: Place, due: Migration, progress: Progress, copied: Callable[[Path], None]
    ) -> None:
        workers.add(threading.current_thread().name)

        def seen(done: int, whole: int) -> None:
            progress(done, whole)
            told.append(done / whole)
            while pulses.acquire(blocking=False):
                pass
            for _beat in range(2):
                assert pulses.acquire(timeout=WAIT_MS / 1000)

        real(where, due, seen, copied)

    monkeypatch.setattr(migrating, "migrate", migrate)
    shares, texts = list[float](), set[str]()
    with window(place) as (shell, _works):

        def look() -> None:
            shell.tick()
            if not shell.counter.work.isHidden():
                shares.append(shell.counter.work.value.share or 0.0)
                texts.add(shell.counter.work.value.note.split("\n")[0])
            pulses.release()

        pulse = QTimer(shell)
        pulse.setInterval(1)
        pulse.timeout.connect(look)
        pulse.start()
        shell.show()
        qtbot.waitUntil(lambda: shell.desks is not None, timeout=WAIT_MS)
        pulse.stop()
        assert workers == {"shop migration"}
        assert shares == sorted(shares)
        assert len(told) > 10
        assert {s for s in told if s < told[-1]} <= set(shares)
        (copy,) = kept(place)
        assert texts == {
            "A copy as it was comes first.",
            f"A copy as it was is {copy.name} in {copy.parent}.",
        }
        assert shell.counter.work.isHidden()
        assert shell.desks is not None
        assert shell.desks.counter.view("").slips
    assert revision_of(place.shop) == HEAD
    assert look_into(copy).revision == "0002"


def test_closed_in_the_middle_the_next_start_goes_on(
    place: Place, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The shop is the old one or the new one, and what was copied is not copied again."""
    monkeypatch.setattr(revision, "counted", partial(counted, every=2000))
    lay_many(place.shop, "0002", COPIES)
    before = rows(place.shop)
    for share in (0.05, 0.3, 0.6, 0.8):
        with window(place) as (shell, works):
            shell.show()
            reached: Callable[[], bool] = lambda w=works, s=share: (  # type: ignore[misc]  # noqa: E731
                w._migration is not None and (w._migration.done or w._migration.view().share >= s)
            )
            qtbot.waitUntil(reached, timeout=WAIT_MS)
        assert works._migration is not None
        assert works._migration.done
        assert sound(place.shop)
        assert len(kept(place)) <= 1
        if revision_of(place.shop) == HEAD:
            break
        assert rows(place.shop) == before
    with window(place) as (shell, works):
        shell.show()
        qtbot.waitUntil(lambda: shell.desks is not None, timeout=WAIT_MS)
    assert revision_of(place.shop) == HEAD
    assert len(kept(place)) == 1


def test_without_a_migration_there_is_no_thread_and_one_look(
    place: Place, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A shop of this revision, and one that is not there yet, open in the call that asks."""
    looks, real = list[Place](), migrating.migration_due

    def due(where: Place, *, bench: bool = False) -> object:
        looks.append(where)
        return real(where, bench=bench)

    monkeypatch.setattr(migrating, "migration_due", due)
    for _start in range(2):
        looks.clear()
        with window(place) as (shell, works):
            shell.load()
            assert shell.desks is not None
            assert works._migration is None
            assert "shop migration" not in {t.name for t in threading.enumerate()}
        assert looks == [place]


def test_a_shop_that_is_opened_again_is_looked_at_again(
    place: Place, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A backup of an earlier revision may have taken its place meanwhile."""
    looks, real = list[Place](), migrating.migration_due
    works = Works(place)
    assert works.migration() is None
    assert works.desks()
    monkeypatch.setattr(
        migrating,
        "migration_due",
        lambda where, *, bench=False: looks.append(where) or real(where, bench=bench),
    )
    works.close()
    assert works.desks()
    assert looks == [place]
    works.end()


def test_what_bars_the_copy_is_one_line_on_the_counter(place: Place, qtbot: QtBot) -> None:
    """The shop is of its revision still."""
    laid(place)
    place.home.mkdir()
    (place.home / "backups").write_text("in the way")
    with window(place) as (shell, _works):
        shell.show()
        qtbot.waitUntil(lambda: bool(shell.counter.message.value), timeout=WAIT_MS)
        assert "backups" in shell.counter.message.value
        assert "\n" not in shell.counter.message.value
        assert shell.desks is None
        assert shell.counter.work.isHidden()
    assert revision_of(place.shop) == "0002"


def test_a_command_brings_a_shop_up_in_its_own_thread(place: Place) -> None:
    """As ever, with a copy before; it is told of by whoever wants it."""
    old, told, copies = laid(place), list[int](), list[Path]()
    due = migrating.migration_due(place)
    assert due is not None
    migrating.migrate(place, due, lambda done, _whole: told.append(done), copies.append)
    assert told == sorted(told)
    assert copies == kept(place)
    with assembly.open_store(place) as store:
        assert len(store.visits()) == len(old.visits)
    assert kept(place) == copies


def test_a_restored_backup_of_an_earlier_revision_is_brought_up_in_the_same_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qapp: QApplication
) -> None:
    """Not in the window's thread, which only opens it; how far it is rises all the way."""
    assert qapp is QApplication.instance()
    place = Place(str(tmp_path / "shop.sqlite"), tmp_path / "home")
    backup = tmp_path / "old.sqlite"
    old = lay(str(backup), "0002")
    workers, real = list[str](), migrating.migrate

    def migrate(*given: object, **named: object) -> None:
        workers.append(threading.current_thread().name)
        real(*given, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(migrating, "migrate", migrate)
    works, told = Works(place), list[float]()
    assert works.desks()
    records = ShopRecords(place, works)
    swap = records.look_at(backup)
    work = threading.Thread(
        name="records",
        target=lambda: records.restore(swap, lambda done, whole: told.append(done / whole)),
    )
    work.start()
    work.join()
    assert workers == ["records"]
    assert told == sorted(told)
    assert told[-1] == 1.0
    assert revision_of(place.shop) == HEAD
    assert works.desks()
    assert len(works.shop.store.visits()) == len(old.visits)
    assert workers == ["records"]
    works.end()
