"""The real program on a real screen: `python -m tests.end_to_end.screen_run HOME PICTURE`.

Opens the window as the command without arguments does, makes a machine and a visit by keys, writes
a picture of the window and closes it. Prints the page it ended on.
"""

import sys
from collections.abc import Callable, Iterator
from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

from benchassist.assembly import place_of
from benchassist.assembly.opening import open_window
from benchassist.ui.driver import Stage
from benchassist.ui.front import Front
from benchassist.ui.shell import Shell

LOOK_MS = 50
LONGEST_MS = 40_000
CARD = ("M-001", "Amberley Nursery", "", "Yard washer", "", "")


def shell() -> Shell | None:
    """The window's inside, once it is there and loaded."""
    for window in QApplication.topLevelWidgets():
        inside = window.inside if isinstance(window, Front) else None
        if isinstance(inside, Shell) and inside.desks is not None:
            if window.isActiveWindow():
                return inside
            window.activateWindow()  # this screen has no window manager to give it the keys
    return None


def keys(stage: Stage, picture: Path) -> Iterator[Callable[[], bool]]:
    """Press keys; yields what must come to hold before the next are pressed."""
    pages = stage.shell.pages
    stage.press("F2")
    yield lambda: stage.shell.page is pages["new_machine"]
    for words in CARD:
        if words and words != CARD[0]:
            stage.type(words)
        stage.press("Return")
    stage.press("1")
    stage.press("Return")
    yield lambda: stage.shell.page is pages["interview"]
    stage.press("1")
    while stage.shell.page is pages["interview"]:
        stage.press("Down")
    yield lambda: stage.shell.page is pages["bench"]
    stage.press("Return")  # the part is at shop temperature
    yield lambda: stage.shell.bench.view is not None and stage.shell.bench.view.title != ""
    stage.shot(picture)
    name = next(name for name, page in pages.items() if page is stage.shell.page)
    sys.stdout.write(f"{QApplication.platformName()} {name}\n")
    sys.stdout.flush()


def main(home: str, picture: str) -> int:
    """Run the program with a timer that presses its keys."""
    steps: list[Iterator[Callable[[], bool]]] = []
    waits: list[Callable[[], bool]] = []

    def look() -> None:
        inside = shell()
        if inside is None or (waits and not waits[-1]()):
            return
        steps[:] = steps or [keys(Stage(inside), Path(picture))]
        following = next(steps[0], None)
        if following is None:
            inside.window().close()
        else:
            waits[:] = [following]

    from benchassist.ui.window import application

    application()
    timer = QTimer()
    timer.timeout.connect(look)
    timer.start(LOOK_MS)
    QTimer.singleShot(LONGEST_MS, lambda: QApplication.exit(3))
    return open_window(place_of(None, home))


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
