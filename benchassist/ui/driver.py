"""A window that a program drives the way a person does: keys in, pictures out."""

import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from PySide6.QtCore import QEvent, QEventLoop, QKeyCombination
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QApplication

from benchassist.errors import BenchError
from benchassist.ui.page import Turn
from benchassist.ui.shell import Shell

PUMP_MS = 20


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
