"""Running the window: with its event loop for a person, or offscreen for the guided visit.

Nothing is imported here that the first paint could do without.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QApplication, QWidget

from benchassist.errors import BenchError
from benchassist.ui.front import Front

if TYPE_CHECKING:
    from pathlib import Path

    from benchassist.services.desk import Desks
    from benchassist.services.front.migration_view import MigrationDesk
    from benchassist.services.settings import Settings
    from benchassist.ui.driver import Stage
    from benchassist.ui.habits import Habits

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
    theme: str = "system",
    *,
    fault_log: Path,
    first: Callable[[], MigrationDesk | None] | None = None,
) -> int:
    """Show the window and stay until it is closed; damaged settings are one line in it.

    `first` begins what must be done before `load`, nearly always nothing. A fault of the program
    itself goes into `fault_log` and is one line too.
    """
    from benchassist.ui.fault import watched

    app = application()
    front = front_window(load, read, keep, theme, first)
    with watched(fault_log, front.tell):
        front.show()
        return app.exec()


def front_window(
    load: Callable[[], Desks],
    read: Callable[[], Settings],
    keep: Callable[[Settings], None],
    theme: str = "system",
    first: Callable[[], MigrationDesk | None] | None = None,
) -> Front:
    """The window, not yet shown: it paints itself before anything else is imported.

    `read` is called after that first paint, which has only `theme` to go by.
    """

    def furnish(window: QWidget) -> QWidget:
        from benchassist.ui.habits import Habits
        from benchassist.ui.shell import Shell

        try:
            settings = read()
        except BenchError as error:
            return Shell(partial(_refuse, error), Habits(theme=theme), window)
        return Shell(load, _habits_of(settings, read, keep, window), window, first=first)

    return Front(furnish, theme=theme)


def _refuse(error: BenchError) -> Desks:
    raise error


def _habits_of(
    settings: Settings,
    read: Callable[[], Settings],
    keep: Callable[[Settings], None],
    window: QWidget,
) -> Habits:
    """What the settings say, with the sounds and the voice of this computer."""
    from platformdirs import user_cache_path

    from benchassist.ui.habits import Habits
    from benchassist.ui.sound import Sounds
    from benchassist.ui.voice import Voice

    sounds = Sounds(user_cache_path("benchassist", appauthor=False) / "sounds", parent=window)
    voice = Voice(parent=window)

    def remember(habits: Habits) -> None:
        from dataclasses import replace

        theme, pedal_key = str(habits.theme), habits.pedal_key
        sound, spoken = habits.sounds, habits.spoken
        kept = replace(read(), theme=theme, pedal_key=pedal_key, sound=sound, spoken=spoken)
        keep(kept)

    def hush() -> None:
        sounds.child.close()
        voice.child.close()

    return Habits(
        theme=settings.theme,
        pedal_key=settings.pedal_key,
        sounds=settings.sound,
        spoken=settings.spoken,
        keep=remember,
        sound=sounds.play,
        speak=voice.say,
        hush=hush,
    )


def offscreen_application() -> QApplication:
    """An application whose windows nobody sees."""
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    return application()


@contextmanager
def offscreen_window(load: Callable[[], Desks]) -> Iterator[Stage]:
    """A window of 1366 by 768 with its desks loaded, closed at the end."""
    from benchassist.ui.driver import Stage
    from benchassist.ui.habits import Habits
    from benchassist.ui.shell import Shell

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
