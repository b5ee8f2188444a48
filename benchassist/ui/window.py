"""Running the window: with its event loop for a person, or offscreen for the guided visit."""

import os
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

from PySide6.QtCore import QEvent, QEventLoop, QKeyCombination
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QApplication

from benchassist.errors import BenchError
from benchassist.services.desk import Desks
from benchassist.services.settings import Settings
from benchassist.ui.page import Turn
from benchassist.ui.shell import Habits, Shell

NAME = "benchassist"
PUMP_MS = 20


def application() -> QApplication:
    """The one application of this process; offscreen by itself where there is no display."""
    running = QApplication.instance()
    if isinstance(running, QApplication):
        return running
    if sys.platform.startswith("linux") and not (
        os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    ):
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    made = QApplication([NAME])
    made.setApplicationName(NAME)
    made.setDesktopFileName("bench-assistant")
    return made


def run_window(
    load: Callable[[], Desks],
    read: Callable[[], Settings],
    keep: Callable[[Settings], None],
) -> int:
    """Show the window and stay until it is closed. Raises InputError for damaged settings."""
    app = application()
    settings = read()

    def remember(theme: str, pedal_key: str) -> None:
        keep(replace(read(), theme=theme, pedal_key=pedal_key))

    habits = Habits(theme=settings.theme, pedal_key=settings.pedal_key, keep=remember)
    shell = Shell(load, habits)
    shell.show()
    return app.exec()


class Stage:
    """A window that a program drives the way a person does: keys in, pictures out."""

    def __init__(self, shell: Shell) -> None:
        self.shell = shell

    def pump(self, seconds: float, until: Callable[[], bool] = lambda: False) -> bool:
        """Let the window run until something holds, at most so long; whether it came to hold."""
        end = time.monotonic() + seconds
        while not until():
            if time.monotonic() >= end:
                return False
            QGuiApplication.processEvents(QEventLoop.ProcessEventsFlag.AllEvents, PUMP_MS)
            time.sleep(PUMP_MS / 4000.0)
        return True

    def press(self, key: str, text: str = "") -> None:
        """Press a key by its name ('Space', 'Ctrl+L'), on what has the focus."""
        combination = _combination(key)
        target = QApplication.focusWidget() or self.shell
        typed = text or (key if len(key) == 1 else "")
        for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
            event = QKeyEvent(
                kind, combination.key(), combination.keyboardModifiers(), typed.lower()
            )
            QApplication.sendEvent(target, event)

    def type(self, text: str) -> None:
        """Type a text, a key at a time."""
        for character in text:
            target = QApplication.focusWidget() or self.shell
            combination = _combination(character)
            event = QKeyEvent(
                QEvent.Type.KeyPress,
                combination.key(),
                combination.keyboardModifiers(),
                character,
            )
            QApplication.sendEvent(target, event)

    def go(self, page: str, visit_id: str = "") -> None:
        """Bring a page to the front."""
        self.shell.turn(Turn(page=page, visit_id=visit_id))

    def shot(self, path: Path) -> None:
        """A picture of the window as it stands."""
        self.shell.page.refresh()
        if not self.shell.grab().save(str(path)):
            raise BenchError(f"{path}: the picture cannot be written")


def _combination(key: str) -> QKeyCombination:
    sequence: Any = QKeySequence(key)  # its stub leaves out that it can be indexed
    combination: QKeyCombination = sequence[0]
    return combination


def offscreen_application() -> QApplication:
    """An application whose windows nobody sees."""
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    return application()


@contextmanager
def offscreen_window(load: Callable[[], Desks]) -> Iterator[Stage]:
    """A window of 1366 by 768 with its desks loaded, closed at the end."""
    offscreen_application()
    shell = Shell(load, Habits(theme="light"))
    shell.resize(1366, 768)
    shell.show()
    stage = Stage(shell)
    try:
        if not stage.pump(30.0, lambda: shell.desks is not None):
            raise BenchError("the window did not load within 30 s")
        yield stage
    finally:
        shell.close()
        shell.deleteLater()
        stage.pump(0.1)
