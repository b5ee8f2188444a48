"""Programs that are ended with kill -9 again and again, and files that are spoilt."""

import logging
import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

log = logging.getLogger(__name__)

ROOT = Path(__file__).parents[2]

EARLIER, LATER = 0.6, 1.08
"""The next kill comes sooner where the work was done before this one, a little later where not."""


@dataclass(frozen=True, slots=True)
class Kill:
    """What a child had said when it was killed, and the moment of `time.monotonic`."""

    said: tuple[str, ...]
    at: float

    @property
    def is_inside(self) -> bool:
        """Whether it came in the middle of a piece of work."""
        return self.said[-1:] != ("done",)


def killed(
    rounds: int,
    seed: int,
    latest_s: float,
    work: str,
    *arguments: str,
    lines: int | None = None,
    opening_s: float = 0.0,
    victim: str = "tests.storage.victim",
) -> Iterator[Kill]:
    """Kill a child of the victim again and again; yields after each kill.

    A kill comes within `latest_s` of the child's first line; where `lines` is given, of any of so
    many, and within `opening_s` where none of them is waited for. It comes sooner while the work
    proves to be done before.
    """
    chance, within_s, inside = random.Random(seed), latest_s, 0
    program = subprocess.Popen(
        [sys.executable, "-m", victim, work, *arguments],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    )
    assert program.stdin is not None
    assert program.stdout is not None
    try:
        for _ in range(rounds):
            program.stdin.write("go\n")
            program.stdin.flush()
            said, child = list[str](), 0
            wanted = 1 if lines is None else chance.randrange(lines)
            while not child or len(said) < wanted:
                line = program.stdout.readline()
                assert line, "the program that works ended by itself"
                if line.startswith("child"):
                    child = int(line.split()[1])
                else:
                    said.append(line.strip())
            # Not a wait for anything: the kill comes at any moment of the work.
            time.sleep(chance.uniform(0.0, within_s if wanted else max(opening_s, within_s)))
            os.kill(child, signal.SIGKILL)
            at = time.monotonic()
            for line in iter(program.stdout.readline, "gone\n"):
                assert line, "the program that works ended by itself"
                said.append(line.strip())
            kill = Kill(tuple(said), at)
            within_s = min(latest_s, within_s * (LATER if kill.is_inside else EARLIER))
            inside += kill.is_inside
            yield kill
    finally:
        log.info("%s: %s of %s kills came in the middle of it", work, inside, rounds)
        program.stdin.close()
        program.stdout.close()
        program.wait()


def spoil(path: Path, mark: bytes = b'"check_key":"secondary"', pages: int = 2) -> None:
    """Overwrite pages in the middle of those of a closed shop file that hold a text."""
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA journal_mode = DELETE")
        (size,) = connection.execute("PRAGMA page_size").fetchone()
    data = path.read_bytes()
    holding = [at for at in range(0, len(data), size) if mark in data[at : at + size]]
    chance = random.Random(7)
    with path.open("r+b") as file:
        for at in holding[len(holding) // 2 :][:pages]:
            file.seek(at)
            file.write(chance.randbytes(size))
