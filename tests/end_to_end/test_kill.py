"""The program is killed at any moment: nothing that the screen showed as taken is missing."""

from pathlib import Path

import pytest

from benchassist.assembly import Place
from benchassist.core.visit import Visit
from benchassist.storage import open_store
from tests.end_to_end import demo
from tests.storage.killing import killed
from tests.storage.test_process import sound

LATEST_S = 0.01
OPENING_S = 0.12
"""A kill comes within so long of a reading, or while the shop is still being opened."""


def killed_at_work(place: Place, visit_id: str, rounds: int, seed: int) -> int:
    """Kill a bench at work at random moments; return how many entries it had shown in ink.

    Each time the visit must open again with every one of them, in order, at the check it was on;
    at most what was in hand at the kill may have been written besides.
    """
    location, shown = Path(place.shop), 0
    with open_store(location) as store:
        kept = [entry.stamp.id for entry in store.visit(visit_id)[1]]
    for kill in killed(
        rounds,
        seed,
        LATEST_S,
        str(location),
        str(place.home),
        visit_id,
        lines=10,
        opening_s=OPENING_S,
        victim="tests.end_to_end.victim",
    ):
        inked = [line.split()[1] for line in kill.said if line.startswith("ink")]
        shown += len(inked)
        assert sound(str(location))
        with open_store(location) as store:
            visit = Visit(*store.visit(visit_id))
        stored = [entry.stamp.id for entry in visit.entries]
        assert stored[: len(kept) + len(inked)] == kept + inked
        standing = [line.split()[1] for line in kill.said if line.startswith("stands")]
        if standing and len(stored) == len(kept):
            assert visit.current.key == standing[0]
        if stored != kept:
            assert visit.current.key == getattr(visit.entries[-1], "check_key", None)
        kept = stored
    return shown


def open_visit(tmp_path: Path) -> tuple[Place, str]:
    """A shop with one visit, begun and left open."""
    location = tmp_path / "shop.sqlite"
    (visit_id,) = demo.play(location, (demo.STORIES[3],))
    return Place(str(location), tmp_path / "home"), visit_id


def test_nothing_shown_as_taken_is_lost_to_a_kill(tmp_path: Path) -> None:
    """Thirty times killed with -9."""
    assert killed_at_work(*open_visit(tmp_path), 30, seed=4) > 60


@pytest.mark.long
@pytest.mark.timeout(600)
def test_nothing_is_lost_to_two_hundred_kills(tmp_path: Path) -> None:
    """The same, for longer."""
    assert killed_at_work(*open_visit(tmp_path), 200, seed=5) > 400
