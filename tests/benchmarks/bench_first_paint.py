"""The program's first paint against that of an empty Qt window, each from a fresh process."""

import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from tests.benchmarks.figure import Aim, Figure, side_by_side

ROUNDS = 25


def figures() -> Iterator[Figure]:
    """Measure both in turns, from the start of the process to the end of the first paint."""
    with tempfile.TemporaryDirectory(prefix="bench-paint-") as folder:
        home = Path(folder)
        for what in ("", "--bare", "--ready"):  # writes byte code, makes the shop file
            window(what, home)
        first = side_by_side(lambda: window("", home), lambda: window("--bare", home), ROUNDS)
        ready = side_by_side(
            lambda: window("--ready", home), lambda: window("--bare", home), ROUNDS // 3
        )
    yield Figure(
        name="first paint",
        ours=first.ours,
        baseline=first.baseline,
        ratio=first.ratio,
        aim=Aim(1.3),
        note="start of the process to the first paint, against an empty QWidget; offscreen",
    )
    yield Figure(
        name="counter ready",
        ours=ready.ours,
        baseline=ready.baseline,
        ratio=ready.ratio,
        note="the same, until the shop file is open and the counter answers",
    )


def window(what: str, home: Path) -> None:
    """Run a window to its first paint, or to its readiness."""
    subprocess.run(
        [sys.executable, "-m", "tests.end_to_end.first_paint", *([what] * bool(what)), str(home)],
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
        stdout=subprocess.DEVNULL,
        check=True,
    )
