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
from tests.services.good_bin import CAPS
from tests.ui.desks import FakeCounter, desks_of
from tests.ui.findings_views import FINDINGS_STATES
from tests.ui.lease_views import COUNTER_STATES, HELD, LEASE_STATES
from tests.ui.log_views import LOG_STATES
from tests.ui.machine_views import MACHINE_STATES
from tests.ui.migration_views import BENCHES as NEWER_BENCHES
from tests.ui.migration_views import COUNTERS as NEWER_COUNTERS
from tests.ui.migration_views import VIEWS as MIGRATIONS
from tests.ui.migration_views import begun, failed
from tests.ui.photo_views import FakePhotos, photo_states
from tests.ui.records_views import EDITS, RECORD_STATES, records_desk, settle
from tests.ui.run_views import RUN_STATES
from tests.ui.spec_shop import good_caps, good_coils, odd_caps, spec_desk
from tests.ui.views import (
    BENCH_STATES,
    COUNTER,
    COUNTER_CLOSE,
    COUNTER_FOUND,
    COUNTER_FULL,
    COUNTER_MORE,
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
    ("more", COUNTER_MORE, "ta"),
    ("close", COUNTER_CLOSE, "talwo"),
    ("full", COUNTER_FULL, ""),
    *COUNTER_STATES,
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
    """A loaded window of that size, of a shop with records."""
    given = {"records": records_desk()[0]} | given
    shell = Shell(lambda: desks_of(**given), Habits(theme=theme))  # type: ignore[arg-type]
    shell.resize(size)
    shell.show()
    shell.load()
    return shell


def bench_shots(size: QSize, theme: Theme) -> Iterator[tuple[str, Shell]]:
    """The bench in every state, big and with its strip where that differs."""
    for name, view in (BENCH_STATES | LEASE_STATES).items():
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


def machine_shots(size: QSize, theme: Theme) -> Iterator[tuple[str, Shell]]:
    """The machine file: its front for every past, every room, a note typed, a refusal."""
    for name, view in MACHINE_STATES.items():
        shell = window(size, theme, machine=view)
        shell.turn(Turn(page="machine", machine_id="m1"))
        if name.startswith("runs"):
            shell.machine.press("R")
        yield f"machine-{name}", shell
        if name in {"forty", "thirty", "odd"}:
            for _step in range(7):
                shell.machine.press("Left")
                shell.machine.press("Down")
            yield f"machine-{name}-older", shell
        if name in {"four", "forty", "odd", "units", "right-to-left"}:
            shell.machine.press("Space")
            yield f"machine-{name}-closer", shell
            shell.machine.press("Esc")
            shell.machine.press("F")
            yield f"machine-{name}-parts", shell
            shell.machine.press("Esc")
        if name in {"four", "long"}:
            shell.machine.press("N")
            yield f"machine-{name}-note", shell
            shell.machine.press("Esc")
            shell.machine.problem = "this machine has no visit to note it on: open one first"
            shell.machine.show_view(view)
            yield f"machine-{name}-refused", shell
        shell.close()


def photo_shots(size: QSize, theme: Theme) -> Iterator[tuple[str, Shell]]:
    """The photos of a machine: in every state, one of them large, a caption typed."""
    for name, strip in photo_states().items():
        shell = window(size, theme, photos=FakePhotos(strip))
        shell.turn(Turn(page="photos", machine_id="m1"))
        yield f"photos-{name}", shell
        if name == "seven":
            for _step in range(5):
                shell.photos.press("Right")
            yield f"photos-{name}-older", shell
            shell.photos.press("Enter")
            yield f"photos-{name}-large", shell
            shell.photos.press("Esc")
            shell.photos.press("C")
            yield f"photos-{name}-caption", shell
            shell.photos.perform("leave")
            shell.photos.press("Del")
            yield f"photos-{name}-remove", shell
            shell.photos.hover(True)
            yield f"photos-{name}-dragged", shell
        shell.close()


def bin_shots(size: QSize, theme: Theme) -> Iterator[tuple[str, Shell]]:
    """The shop's own parts in the spec book: none, nine, fourteen, odd ones, a reason asked."""
    for name, words, visits in (
        ("nine", "5 kΩ cap", good_caps(*CAPS[:9])),
        ("fourteen", "secondary horizontal coil 13", good_coils()),
        ("odd", "5 kΩ cap", odd_caps()),
    ):
        shell = window(size, theme, spec=spec_desk(None, *visits))
        shell.turn(Turn(page="spec"))
        page = shell.spec
        page.finder.field.setText(words)
        yield f"bin-{name}-list", shell
        page.press("Ctrl+G")
        yield f"bin-{name}", shell
        if name == "odd":
            page.press("PgDown")
            page.press("PgDown")
            yield f"bin-{name}-end", shell
            page.press("Up")
            page.press("X")
            yield f"bin-{name}-reason", shell
            page.bin.reason.field.setText(" ")
            page.perform("reason")
            yield f"bin-{name}-no-reason", shell
        if name == "fourteen":
            page.press("Ctrl+Enter")
            yield f"bin-{name}-adopted", shell
            page.press("Esc")
            yield f"bin-{name}-back", shell
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
    yield from migration_shots(size, theme)
    for name, found, query in COUNTERS:
        shell = window(size, theme, counter=FakeCounter(found))
        shell.counter.search.field.setText(query)
        if name == "three":
            shell.counter._move(1)
        yield f"counter-{name}", shell
        if name == "on-benches":
            shell.counter.problem = HELD
            shell.counter.refresh()
            yield "counter-held", shell
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


def migration_shots(size: QSize, theme: Theme) -> Iterator[tuple[str, Shell]]:
    """A shop that is brought up to date before it opens; what stands there where that failed."""
    for name, view in MIGRATIONS.items():
        shell = Shell(desks_of, Habits(theme=theme), first=begun(view))
        shell.resize(size)
        shell.show()
        shell.load()
        yield f"migration-{name}", shell
        shell.close()
    shell = Shell(desks_of, Habits(theme=theme), first=failed)
    shell.resize(size)
    shell.show()
    shell.load()
    shell.tick()
    yield "migration-failed", shell
    shell.close()
    for name, bench in NEWER_BENCHES.items():
        shell = window(size, theme, bench=bench)
        shell.turn(Turn(page="bench", visit_id="v1"))
        yield f"newer-{name}-bench", shell
        shell.close()
    for name, counter in NEWER_COUNTERS.items():
        shell = window(size, theme, counter=FakeCounter(counter))
        yield f"newer-{name}-counter", shell
        shell.close()


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
    shell.tags.boxes[1].chosen.emit("single-62x29")
    yield "tags-single", shell
    shell.tags.boxes[1].chosen.emit("a4-3x8")
    shell.tags.boxes[2].field.setText("x")
    yield "tags-wrong", shell


def records_shots(size: QSize, theme: Theme) -> Iterator[tuple[str, Shell]]:
    """The shop's records in every stage, and a machine that is edited."""
    for name, given, act in RECORD_STATES:
        desk, keeping = records_desk(**given)
        shell = window(size, theme, records=desk)
        shell.turn(Turn(page="records"))
        act(desk)
        settle(desk, waits=keeping.waits)
        shell.records.refresh()
        if name in {"cursor", "found"}:
            shell.records.press("Down")
        yield f"records-{name}", shell
        keeping.go.set()
        desk.close()
        shell.close()
    for name, edit in EDITS.items():
        shell = window(size, theme, edit=edit)
        shell.turn(Turn(page="machine_edit", machine_id="m1"))
        if edit.refusal:
            shell.edit_machine.submit()
        yield f"edit-machine{name}", shell
        shell.close()


def shots(size: QSize, theme: Theme) -> Iterator[tuple[str, Shell]]:
    """Pairs of name and a window that shows that page and state."""
    yield from bench_shots(size, theme)
    yield from page_shots(size, theme)
    yield from findings_shots(size, theme)
    yield from log_shots(size, theme)
    yield from machine_shots(size, theme)
    yield from photo_shots(size, theme)
    yield from spec_shots(size, theme)
    yield from bin_shots(size, theme)
    yield from records_shots(size, theme)


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
