"""Draws every page and state to a folder: `python -m tests.ui.gallery FOLDER [WORD...]`."""

import os
import sys
from collections.abc import Iterator
from pathlib import Path

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QApplication

from benchassist.ui.look import Theme
from benchassist.ui.page import Turn
from benchassist.ui.shell import Habits, Shell
from tests.ui.desks import FakeCounter, desks_of
from tests.ui.findings_views import FINDINGS_STATES
from tests.ui.log_views import LOG_STATES
from tests.ui.run_views import RUN_STATES
from tests.ui.spec_shop import spec_desk
from tests.ui.views import (
    BENCH_STATES,
    COUNTER,
    COUNTER_FOUND,
    COUNTER_FULL,
    COUNTER_THREE,
    MATCHES,
    METERS_FOUND,
    METERS_FOUND_MANY,
    METERS_LISTENING,
    METERS_LIVE,
    METERS_MATCHED,
    METERS_OFF,
    METERS_STRANGER,
    METERS_TWINS,
    METERS_WRONG,
)

BIG = ("steadying", "cannot_tell", "look", "cautioned_reading", "typing", "stale")
COUNTERS = (
    ("empty", COUNTER, ""),
    ("none", COUNTER, "zzz"),
    ("found", COUNTER_FOUND, "tallow"),
    ("three", COUNTER_THREE, "tallow"),
    ("full", COUNTER_FULL, ""),
)
METERS = (
    ("off", METERS_OFF),
    ("live", METERS_LIVE),
    ("wrong", METERS_WRONG),
    ("listening", METERS_LISTENING),
    ("found", METERS_FOUND),
    ("found-many", METERS_FOUND_MANY),
    ("stranger", METERS_STRANGER),
    ("twins", METERS_TWINS),
    ("matched", METERS_MATCHED),
)
SIZES = {"768": QSize(1366, 768), "1080": QSize(1920, 1080)}


def window(size: QSize, theme: Theme, **given: object) -> Shell:
    """A loaded window of that size."""
    shell = Shell(lambda: desks_of(**given), Habits(theme=theme))  # type: ignore[arg-type]
    shell.resize(size)
    shell.show()
    shell.load()
    return shell


def bench_shots(size: QSize, theme: Theme) -> Iterator[tuple[str, Shell]]:
    """The bench in every state, big and with its strip where that differs."""
    for name, view in BENCH_STATES.items():
        shell = window(size, theme, bench=view)
        shell.turn(Turn(page="bench", visit_id="v1"))
        if name in {"typing", "typing_cautioned"}:
            shell.bench.entry.field.setText("4.38")
            shell.bench.show_view(view)
        yield f"bench-{name}", shell
        if name in BIG:
            shell.bench.press("V")
            yield f"bench-{name}-big", shell
        if name == "steadying":
            shell.bench.press("V")
            shell.bench.press("S")
            yield f"bench-{name}-strip", shell
        shell.close()


def run_shots(size: QSize, theme: Theme) -> Iterator[tuple[str, Shell]]:
    """The bench on a run, in every stage, big where it runs."""
    for name, view in RUN_STATES.items():
        shell = window(size, theme, bench=view)
        shell.turn(Turn(page="bench", visit_id="v1"))
        yield f"run-{name}", shell
        if name in {"heat-running", "engine-running", "drill"}:
            shell.bench.press("V")
            yield f"run-{name}-big", shell
        shell.close()


def log_shots(size: QSize, theme: Theme) -> Iterator[tuple[str, Shell]]:
    """A log from elsewhere: asked for, read, looked into."""
    shell = window(size, theme)
    shell.turn(Turn(page="log"))
    yield "log-heat", shell
    shell.log.form.write("path", "/home/rp/logs/throttle_of_the_orchard_sprayer.csv")
    shell.log.form.go(1)
    shell.log.press("2")
    yield "log-speed", shell
    shell.close()
    for name, view in LOG_STATES.items():
        shell = window(size, theme, log=view)
        shell.turn(Turn(page="log"))
        yield f"log-{name}", shell
        if name in {"break", "many"}:
            shell.log.press("PgDown")
            shell.log.press("PgDown")
            shell.log.press("Down")
            yield f"log-{name}-near", shell
        shell.close()


def findings_shots(size: QSize, theme: Theme) -> Iterator[tuple[str, Shell]]:
    """The findings: the front, every room, every form; a cursor where there are rows."""
    for name, view in FINDINGS_STATES.items():
        shell = window(size, theme, findings=view)
        shell.turn(Turn(page="bench", visit_id="v1"))
        shell.turn(Turn(page="findings"))
        yield f"findings-{name}", shell
        if name in {"many", "cause", "evidence"}:
            for _row in range(7 if name == "many" else 1):
                shell.findings.press("Down")
            yield f"findings-{name}-cursor", shell
        if name == "evidence":
            for _row in range(20):
                shell.findings.press("Down")
            yield f"findings-{name}-end", shell
        if name == "form-part":
            shell.findings.problem = "part number '': type what is printed on it"
            shell.findings.show_view(view)
            yield f"findings-{name}-wrong", shell
        shell.close()


def spec_shots(size: QSize, theme: Theme) -> Iterator[tuple[str, Shell]]:
    """The spec book: found, nothing found, every kind of form, faults, kept and taken back."""
    shell = window(size, theme, spec=spec_desk())
    shell.turn(Turn(page="spec"))
    page = shell.spec
    yield "spec-list", shell
    for word in ("zzz", "accuracy", "strength low oil", "speeds", "weight", "generator rated"):
        page.finder.field.setText(word)
        page.press("PgDown")
        yield f"spec-found-{word.replace(' ', '-')}", shell
        page.press("Enter")
        if page.form is not None:
            yield f"spec-form-{word.replace(' ', '-')}", shell
            page.press("Esc")
    page.finder.field.setText("coil secondary horizontal")
    page.press("Enter")
    page.boxes[0].field.setText("13 kohm..6 kohm")
    page.boxes[1].field.setText("Workshop manual \u202e")
    page.submit()
    yield "spec-wrong", shell
    page.boxes[0].field.setText("6 kohm..12 kohm")
    page.boxes[1].field.setText("Workshop manual, green edition, page 4-12")
    page.boxes[3].choose("maker")
    page.submit()
    yield "spec-kept", shell
    page.press("Enter")
    yield "spec-own", shell
    page.press("Esc")
    page.press("Ctrl+Z")
    yield "spec-undone", shell
    shell.close()


def page_shots(size: QSize, theme: Theme) -> Iterator[tuple[str, Shell]]:
    """Every other page."""
    loading = Shell(desks_of, Habits(theme=theme))
    loading._painted = True
    loading.resize(size)
    loading.show()
    yield "counter-loading", loading
    for name, found, query in COUNTERS:
        shell = window(size, theme, counter=FakeCounter(found))
        shell.counter.search.field.setText(query)
        if name == "three":
            shell.counter._move(1)
        yield f"counter-{name}", shell
    for name, metering in METERS:
        shell = window(size, theme, meters=metering)
        shell.turn(Turn(page="meters"))
        if name.startswith("found"):
            shell.meters.press("U")
        yield f"meters-{name}", shell
    shell = window(size, theme, meters=METERS_LIVE)
    shell.turn(Turn(page="meters"))
    shell.meters.press("S")
    yield "meters-thermometer", shell
    for name, (view, typed) in MATCHES.items():
        shell = window(size, theme, meters=METERS_LIVE, match=view)
        shell.turn(Turn(page="match"))
        shell.match.field.setText(typed)
        yield f"match-{name}", shell
    shell = window(size, theme)
    shell.turn(Turn(page="match", second=True))
    yield "match-thermometer", shell
    yield from form_shots(size, theme)


def form_shots(size: QSize, theme: Theme) -> Iterator[tuple[str, Shell]]:
    """Forms, the keys, the slip."""
    shell = window(size, theme, bench=BENCH_STATES["closed"])
    shell.turn(Turn(page="new_machine"))
    shell.new_machine.boxes[1].field.setText("Tallow Hill Cider Orchard")
    yield "new-machine", shell
    shell.turn(Turn(page="interview", machine_id="m1"))
    yield "interview-complaint", shell
    shell.interview.press("1")
    yield "interview-words", shell
    shell.interview._answer("quits after about 25 min, restarts when cool")
    shell.interview._answer("25")
    yield "interview-choice", shell
    shell = window(size, theme)
    shell.turn(Turn(page="settings"))
    yield "settings", shell
    shell.settings.boxes[7].field.setText("wide")
    shell.settings.submit()
    shell.settings._go(9)
    shell.settings.press("2")
    yield "settings-wrong", shell
    shell.turn(Turn(page="help"))
    yield "keys", shell
    shell.keys.press("V")
    yield "keys-voiceless", shell
    shell.keys.press("H")
    yield "keys-hearing", shell
    shell.turn(Turn(page="bench", visit_id="v1"))
    shell.turn(Turn(page="print"))
    yield "print", shell
    shell.turn(Turn(page="tags", machine_id="m1"))
    shell.tags.boxes[2].field.setText("4")
    shell.tags.boxes[3].field.setText("7")
    yield "tags", shell
    shell.tags._choose(shell.tags.boxes[1], "single-62x29")
    yield "tags-single", shell
    shell.tags._choose(shell.tags.boxes[1], "a4-3x8")
    shell.tags.boxes[2].field.setText("x")
    yield "tags-wrong", shell


def shots(size: QSize, theme: Theme) -> Iterator[tuple[str, Shell]]:
    """Pairs of name and a window that shows that page and state."""
    yield from bench_shots(size, theme)
    yield from page_shots(size, theme)
    yield from findings_shots(size, theme)
    yield from log_shots(size, theme)
    yield from spec_shots(size, theme)


def main(folder: Path, *words: str) -> None:
    """Draw them all, or those whose names hold one of the words."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
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
