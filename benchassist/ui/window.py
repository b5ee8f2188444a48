"""Running the window: with its event loop for a person, or offscreen for the guided visit.

Nothing is imported here that the first paint could do without.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QApplication, QWidget

from benchassist.errors import BenchError
from benchassist.ui.front import Front

if TYPE_CHECKING:
    from benchassist.services.desk import Desks
    from benchassist.services.settings import Settings
    from benchassist.ui.driver import Stage

NAME = "benchassist"


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
    front = front_window(load, read, keep)
    front.show()
    return app.exec()


def front_window(
    load: Callable[[], Desks],
    read: Callable[[], Settings],
    keep: Callable[[Settings], None],
) -> Front:
    """The window, not yet shown: it paints itself before anything else is imported."""
    settings = read()

    def remember(theme: str, pedal_key: str) -> None:
        from dataclasses import replace

        keep(replace(read(), theme=theme, pedal_key=pedal_key))

    def furnish(window: QWidget) -> QWidget:
        from benchassist.ui.shell import Habits, Shell

        habits = Habits(theme=settings.theme, pedal_key=settings.pedal_key, keep=remember)
        return Shell(load, habits, window)

    return Front(furnish, theme=settings.theme)


def offscreen_application() -> QApplication:
    """An application whose windows nobody sees."""
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    return application()


@contextmanager
def offscreen_window(load: Callable[[], Desks]) -> Iterator[Stage]:
    """A window of 1366 by 768 with its desks loaded, closed at the end."""
    from benchassist.ui.driver import Stage
    from benchassist.ui.shell import Habits, Shell

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
