"""Draws every page and state to a folder: `python tests/ui/gallery.py FOLDER [WORD...]`."""

import os
import sys
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parent)]

from desks import FakeCounter, desks_of
from PySide6.QtCore import QSize
from PySide6.QtWidgets import QApplication
from views import BENCH_STATES, COUNTER, COUNTER_FOUND, COUNTER_FULL, COUNTER_THREE
from views import METERS_LIVE, METERS_OFF, METERS_WRONG

from benchassist.ui.look import Theme
from benchassist.ui.page import Turn
from benchassist.ui.shell import Habits, Shell

SIZES = {"768": QSize(1366, 768), "1080": QSize(1920, 1080)}


def shots(size: QSize, theme: Theme):  # noqa: ANN201
    """Pairs of name and a window that shows that page and state."""

    def window(**given: object) -> Shell:
        shell = Shell(lambda: desks_of(**given), Habits(theme=theme))
        shell.resize(size)
        shell.show()
        shell.load()
        return shell

    for name, view in BENCH_STATES.items():
        shell = window(bench=view)
        shell.turn(Turn(page="bench", visit_id="v1"))
        if name == "typing":
            shell.bench.entry.field.setText("4.38")
            shell.bench.show_view(view)
        yield f"bench-{name}", shell
        if name in {"steadying", "cannot_tell", "look", "cautioned_reading", "typing", "stale"}:
            shell.bench.press("V")
            yield f"bench-{name}-big", shell
        if name in {"steadying", "cautioned"}:
            shell = window(bench=view)
            shell.turn(Turn(page="bench", visit_id="v1"))
            shell.bench.press("S")
            yield f"bench-{name}-strip", shell
    skeleton = Shell(lambda: desks_of(), Habits(theme=theme))
    skeleton._painted = True
    skeleton.resize(size)
    skeleton.show()
    yield "counter-loading", skeleton
    for name, view, query in (
        ("empty", COUNTER, ""),
        ("none", COUNTER, "zzz"),
        ("found", COUNTER_FOUND, "tallow"),
        ("three", COUNTER_THREE, "tallow"),
        ("full", COUNTER_FULL, ""),
    ):
        shell = window(counter=FakeCounter(view))
        shell.counter.search.field.setText(query)
        if name == "three":
            shell.counter._move(1)
        yield f"counter-{name}", shell
    for name, view in (("off", METERS_OFF), ("live", METERS_LIVE), ("wrong", METERS_WRONG)):
        shell = window(meters=view)
        shell.turn(Turn(page="meters"))
        yield f"meters-{name}", shell
    shell = window()
    shell.turn(Turn(page="new_machine"))
    shell.new_machine.boxes[1].field.setText("Tallow Hill Cider Orchard")
    yield "new-machine", shell
    shell = window()
    shell.turn(Turn(page="interview", machine_id="m1"))
    yield "interview-complaint", shell
    shell.interview.press("1")
    yield "interview-words", shell
    shell.interview._answer("quits after about 25 min, restarts when cool")
    shell.interview._answer("25")
    yield "interview-choice", shell
    shell = window()
    shell.turn(Turn(page="help"))
    yield "keys", shell
    shell = window(bench=BENCH_STATES["closed"])
    shell.turn(Turn(page="bench", visit_id="v1"))
    shell.turn(Turn(page="print"))
    yield "print", shell


def main(folder: Path, *words: str) -> None:
    """Draw them all, or those whose names hold one of the words."""
    app = QApplication([])
    folder.mkdir(parents=True, exist_ok=True)
    for size_name, size in SIZES.items():
        for theme in (Theme.LIGHT, Theme.DARK):
            for name, shell in shots(size, theme):
                full = f"{name}-{theme}-{size_name}"
                if not words or any(word in full for word in words):
                    app.processEvents()
                    shell.grab().save(str(folder / f"{full}.png"))


if __name__ == "__main__":
    main(Path(sys.argv[1]), *sys.argv[2:])
