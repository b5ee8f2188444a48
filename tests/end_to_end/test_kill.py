"""The program is killed at any moment: nothing that the screen showed as taken is missing."""

import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

from benchassist.assembly import Place
from benchassist.core.visit import Visit
from benchassist.storage import open_store
from tests.end_to_end import demo

ROOT = Path(__file__).resolve().parents[2]
LATEST_S = 0.12
"""A kill comes within so long of the first readings, at work or still opening the shop."""


def whole(location: Path) -> bool:
    """Whether the database says of itself that nothing is damaged."""
    connection = sqlite3.connect(location)
    try:
        sound = connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        return sound and connection.execute("PRAGMA foreign_key_check").fetchall() == []
    finally:
        connection.close()


def killed(place: Place, visit_id: str, rounds: int, seed: int) -> int:
    """Kill a bench at work at random moments; return how many entries it had shown in ink.

    Each time the visit must open again with every one of them, in order, at the check it was on;
    at most what was in hand at the kill may have been written besides.
    """
    chance, location = random.Random(seed), Path(place.shop)
    with open_store(location) as store:
        kept = [entry.stamp.id for entry in store.visit(visit_id)[1]]
    command = [sys.executable, "-m", "tests.end_to_end.victim"]
    victim = subprocess.Popen(
        [*command, str(location), str(place.home), visit_id],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    )
    assert victim.stdin is not None
    assert victim.stdout is not None
    shown = 0
    try:
        for _ in range(rounds):
            victim.stdin.write("go\n")
            victim.stdin.flush()
            lines, child, wanted = list[str](), 0, chance.randrange(10)
            while not child or len(lines) < wanted:
                line = victim.stdout.readline()
                assert line, "the bench ended by itself"
                if line.startswith("child"):
                    child = int(line.split()[1])
                else:
                    lines.append(line)
            # Not a wait for anything: the kill comes at any moment of the work.
            time.sleep(chance.uniform(0.0, LATEST_S if wanted == 0 else 0.01))
            os.kill(child, signal.SIGKILL)
            for line in iter(victim.stdout.readline, "gone\n"):
                assert line, "the bench ended by itself"
                lines.append(line)
            inked = [line.split()[1] for line in lines if line.startswith("ink")]
            shown += len(inked)
            assert whole(location)
            with open_store(location) as store:
                visit = Visit(*store.visit(visit_id))
            stored = [entry.stamp.id for entry in visit.entries]
            assert stored[: len(kept) + len(inked)] == kept + inked
            standing = [line.split()[1] for line in lines if line.startswith("stands")]
            if standing and len(stored) == len(kept):
                assert visit.current.key == standing[0]
            if stored != kept:
                assert visit.current.key == getattr(visit.entries[-1], "check_key", None)
            kept = stored
    finally:
        victim.stdin.close()
        victim.stdout.close()
        victim.wait()
    return shown


def open_visit(tmp_path: Path) -> tuple[Place, str]:
    """A shop with one visit, begun and left open."""
    location = tmp_path / "shop.sqlite"
    (visit_id,) = demo.play(location, (demo.STORIES[3],))
    return Place(str(location), tmp_path / "home"), visit_id


def test_nothing_shown_as_taken_is_lost_to_a_kill(tmp_path: Path) -> None:
    """Thirty times killed with -9."""
    assert killed(*open_visit(tmp_path), 30, seed=4) > 60


@pytest.mark.long
@pytest.mark.timeout(600)
def test_nothing_is_lost_to_two_hundred_kills(tmp_path: Path) -> None:
    """The same, for longer."""
    assert killed(*open_visit(tmp_path), 200, seed=5) > 400
