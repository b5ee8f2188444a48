"""A shop that is brought up in a thread of its own, as the window is told of it."""

import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from benchassist.errors import ShopFileError
from benchassist.services.front.migration import ShopMigration, migration_view
from benchassist.services.job import Progress, StoppedError

COPY = Path("/home/rp/backups/shop-before.sqlite")
PATIENCE = 30.0


def ended(migration: ShopMigration) -> None:
    """Wait until its thread has ended."""
    migration._job._thread.join(PATIENCE)
    assert migration.done


def test_it_says_how_far_it_is_and_where_the_copy_is() -> None:
    """Only once the copy is whole; the file of a shop is called one, a server's is not."""
    at, go = threading.Semaphore(0), threading.Semaphore(0)

    def work(told: Progress, copied: Callable[[Path], None]) -> None:
        assert threading.current_thread() is not threading.main_thread()
        told(70, 1000)
        at.release()
        go.acquire()
        copied(COPY)
        told(409, 1000)
        at.release()
        go.acquire()

    migration = ShopMigration(work, on_server=False)
    assert at.acquire(timeout=PATIENCE)
    view = migration.view()
    assert view.text == "The shop’s file is brought up to date: 7 %"
    assert view.note.startswith("A copy as it was comes first.")
    assert not migration.done
    go.release()
    assert at.acquire(timeout=PATIENCE)
    view = migration.view()
    assert view.share == 0.409
    assert view.text == "The shop’s file is brought up to date: 40 %"
    assert view.note == (
        "A copy as it was is shop-before.sqlite in /home/rp/backups.\n"
        "The window may be closed: the next start goes on with it."
    )
    go.release()
    ended(migration)
    migration.finish()
    served = migration_view(0.999, None, on_server=True)
    assert served.text == "The shop is brought up to date: 99 %"


def test_what_is_left_of_one_that_was_ended_too_soon_speaks_of_no_copy() -> None:
    """The shop is of this revision: only its file is larger than it needs."""
    go = threading.Event()

    def work(told: Progress, _copied: Callable[[Path], None]) -> None:
        told(1, 4)
        go.wait(PATIENCE)

    migration = ShopMigration(work, on_server=False, only_compacts=True)
    while migration._job.share is None:
        pass
    view = migration.view()
    go.set()
    assert view.text == "The shop’s file is made smaller: 25 %"
    assert "copy" not in view.note
    ended(migration)


def test_how_it_ended_is_heard_where_it_is_asked() -> None:
    """A refusal comes out of `finish`, in the thread that asks."""

    def work(_told: Progress, _copied: Callable[[Path], None]) -> None:
        raise ShopFileError("the disk is full")

    migration = ShopMigration(work, on_server=False)
    ended(migration)
    with pytest.raises(ShopFileError, match="the disk is full"):
        migration.finish()


def test_closed_it_ends_where_it_tells_next() -> None:
    """Whoever closes waits for that."""
    begun, told_on = threading.Event(), list[int]()

    def work(told: Progress, _copied: Callable[[Path], None]) -> None:
        for done in range(10**9):
            told(done, 10**9)
            told_on.append(done)
            begun.set()

    migration = ShopMigration(work, on_server=True)
    assert begun.wait(PATIENCE)
    migration.close()
    assert migration.done
    with pytest.raises(StoppedError):
        migration.finish()


def test_who_cannot_end_at_once_is_not_waited_for_for_ever(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A server that holds a statement: what it was at is undone without the program."""
    monkeypatch.setattr("benchassist.services.front.migration.CLOSING_S", 0.01)
    go = threading.Event()
    migration = ShopMigration(lambda _told, _copied: [go.wait()][1:] and None, on_server=True)
    migration.close()
    assert not migration.done
    go.set()
    ended(migration)
