"""Programs that are ended with kill -9 again and again, and files that are spoilt."""

import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from tests.storage.test_process import ROOT


def killed(rounds: int, seed: int, latest_s: float, *arguments: str) -> Iterator[list[str]]:
    """Kill a child of the victim within so long of its beginning; yield after each kill.

    What is yielded are the lines that the child has said.
    """
    chance = random.Random(seed)
    victim = subprocess.Popen(
        [sys.executable, "-m", "tests.storage.keep_victim", *arguments],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    )
    assert victim.stdin is not None
    assert victim.stdout is not None
    try:
        for _ in range(rounds):
            victim.stdin.write("go\n")
            victim.stdin.flush()
            said, child = list[str](), 0
            while not child or not said:
                line = victim.stdout.readline()
                assert line, "the program that works ended by itself"
                if line.startswith("child"):
                    child = int(line.split()[1])
                else:
                    said.append(line.strip())
            # Not a wait for anything: the kill comes at any moment of the work.
            time.sleep(chance.uniform(0.0, latest_s))
            os.kill(child, signal.SIGKILL)
            for line in iter(victim.stdout.readline, "gone\n"):
                assert line, "the program that works ended by itself"
                said.append(line.strip())
            yield said
    finally:
        victim.stdin.close()
        victim.stdout.close()
        victim.wait()


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
