"""The sounds of the bench, through whatever player the platform has; else the system's beep."""

import shutil
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QApplication

from benchassist.ui.child import Child
from benchassist.ui.cue import Cue
from benchassist.ui.tune import wav_of

PLAYERS = (("pw-play",), ("paplay",), ("aplay", "-q"), ("afplay",))
WINDOWS_PLAYER = "import sys, winsound; winsound.PlaySound(sys.argv[1], winsound.SND_FILENAME)"


def players() -> tuple[Sequence[str], ...]:
    """The players of this computer in the order to try them; the file's path comes last."""
    if sys.platform == "win32":
        return ((sys.executable, "-I", "-c", WINDOWS_PLAYER),)
    found = ((shutil.which(name), options) for name, *options in PLAYERS)
    return tuple((path, *options) for path, options in found if path)


class Sounds(QObject):
    """Plays cues; a newer one ends the one before. Nothing is said of a missing device."""

    def __init__(
        self,
        folder: Path,
        *,
        found: Callable[[], Sequence[Sequence[str]]] = players,
        beep: Callable[[], None] = QApplication.beep,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._folder = folder
        self._found = found
        self._beep = beep
        self.child = Child(self)

    def play(self, cue: Cue) -> None:
        """Begin to play a cue."""
        try:
            path = wav_of(cue, self._folder)
        except OSError:  # a full or forbidden cache folder: the beep is heard all the same
            self._beep()
            return
        commands = [(*player, str(path)) for player in self._found()]
        self.child.run(commands, failed=self._beep)
