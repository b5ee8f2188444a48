"""More than one program on a shop, and a program that ends without warning."""

import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from benchassist.core.record import Stored
from benchassist.core.visit import Visit
from benchassist.storage import open_store
from benchassist.storage.backup import photos_in, room_for
from benchassist.storage.integrity import fault, look_into
from benchassist.storage.place import ShopFile, place_of
from benchassist.storage.shop_file import examine
from benchassist.storage.whole_file import begins_as_dump, begins_as_shop
from tests.storage.case import Scribe, header, settled
from tests.storage.killing import ROOT, killed

LATEST_S = 0.004
"""A kill comes somewhere within the next few commits."""


def sound(location: str) -> bool:
    """Whether the database says of itself that it is whole; a server looks after its own."""
    place = place_of(location)
    if not isinstance(place, ShopFile):
        return True
    connection = sqlite3.connect(place.path)
    try:
        whole = connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        return whole and connection.execute("PRAGMA foreign_key_check").fetchall() == []
    finally:
        connection.close()


def killed_again_and_again(location: str, rounds: int, seed: int) -> int:
    """Kill a program at random moments while it takes readings; return how many it had shown.

    After every kill the shop must be whole and hold everything that was shown as taken, and the
    visit must stand at the check of its last entry.
    """
    with open_store(location) as store:
        visit = header(store.next_slip_number())
        settled(store, store.submit_visit(visit))
    shown: list[str] = []
    kills = killed(rounds, seed, LATEST_S, "take", location, visit.id, lines=12)
    for number, kill in enumerate(kills, 1):
        shown += [line.split()[0] for line in kill.said]
        assert sound(location)
        with open_store(location) as store:
            reopened = Visit(*store.visit(visit.id))
            stored = [entry.stamp.id for entry in reopened.entries]
            # In order, nothing missing; at most the one in hand at the kill besides.
            known = set(shown)
            assert [entry for entry in stored if entry in known] == shown
            assert len(stored) <= len(shown) + number
            if reopened.entries:
                last = reopened.entries[-1]
                assert reopened.current.key == getattr(last, "check_key", None)
                (listed,) = (v for v in store.visits() if v.id == visit.id)
                assert listed.current_check == reopened.current.key
    return len(shown)


def test_nothing_shown_as_taken_is_lost_to_a_kill(location: str) -> None:
    """Killed with -9 thirty times, the shop holds every reading that was shown as taken."""
    assert killed_again_and_again(location, 30, seed=2) > 30


@pytest.mark.long
@pytest.mark.timeout(1800)
def test_nothing_is_lost_to_three_hundred_kills(location: str) -> None:
    """The same, three hundred times, in ten visits of one shop."""
    assert sum(killed_again_and_again(location, 30, seed) for seed in range(3, 13)) > 300


TAKES = """
import sys
from benchassist.storage import open_store
from benchassist.core.record import Stored
from benchassist.core.visit import Visit
from tests.storage.case import PATIENCE, Scribe
location, visit_id, count = sys.argv[1], sys.argv[2], int(sys.argv[3])
with open_store(location) as store:
    scribe = Scribe(store.visit(visit_id)[0])
    print("ready", flush=True)
    sys.stdin.readline()
    for _ in range(count):
        ticket = store.submit(scribe.taken())
        assert store.wait(PATIENCE) == Stored(ticket)
"""


def test_two_programs_write_to_one_shop(location: str) -> None:
    """Two programs at work on two visits of one shop store every reading, and both read freely."""
    ours, theirs = header("0001"), header("0002")
    count = 60
    with open_store(location) as store:
        settled(store, store.submit_visit(ours), store.submit_visit(theirs))
        other = subprocess.Popen(
            [sys.executable, "-c", TAKES, location, theirs.id, str(count)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            cwd=ROOT,
        )
        assert other.stdout is not None
        assert other.stdout.readline() == "ready\n"
        scribe = Scribe(ours)
        tickets = [store.submit(scribe.taken()) for _ in range(count)]
        assert other.stdin is not None
        other.stdin.write("go\n")
        other.stdin.flush()
        assert settled(store, *tickets) == [Stored(ticket) for ticket in tickets]
        assert len(store.visit(ours.id)[1]) == count
        other.stdin.close()
        assert other.wait() == 0
        other.stdout.close()
        assert len(store.visit(theirs.id)[1]) == count


def test_two_programs_make_one_shop(location: str) -> None:
    """Two programs that open the same new shop at once both find it made."""
    script = (
        "import sys; from benchassist.storage import open_store; open_store(sys.argv[1]).close()"
    )
    both = [subprocess.Popen([sys.executable, "-c", script, location], cwd=ROOT) for _ in range(2)]
    assert [process.wait() for process in both] == [0, 0]
    with open_store(location) as store:
        assert store.visits() == ()
    assert sound(location)


CLOSING = (
    "import sqlite3, sys; c = sqlite3.connect(sys.argv[1]); c.execute('SELECT * FROM machine')"
)
"""Another program that opens a shop file to write, and closes it."""


@pytest.mark.parametrize(
    "look", [begins_as_dump, begins_as_shop, examine, fault, look_into, photos_in, room_for]
)
def test_looking_at_an_open_shop_gives_up_no_lock(
    tmp_path: Path, look: Callable[[Path], object]
) -> None:
    """Another program that closes it does not take itself for the last, and leaves it its log.

    On a log that was removed under it a program goes on writing, and nobody ever sees it.
    """
    path = tmp_path / "shop.sqlite"
    log = Path(f"{path}-wal")
    with open_store(path) as store:
        settled(store, store.submit_visit(header()))
        before = log.stat().st_ino
        look(path)
        subprocess.run([sys.executable, "-c", CLOSING, str(path)], check=True)
        assert log.exists()
        assert log.stat().st_ino == before
