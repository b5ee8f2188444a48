"""Readings and verdicts said aloud by the platform's own voice."""

import shutil
import sys
from collections.abc import Callable, Sequence

from PySide6.QtCore import QObject

from benchassist.core.plain_text import plain
from benchassist.ui.child import Child

SAID = "BENCHASSIST_SAID"
"""The environment's name for the text: there nothing in it can be taken for a command."""
WINDOWS_VOICE = (
    "Add-Type -AssemblyName System.Speech; "
    f"(New-Object System.Speech.Synthesis.SpeechSynthesizer).Speak($env:{SAID})"
)
POWERSHELL = ("powershell", "-NoProfile", "-NonInteractive", "-Command", WINDOWS_VOICE)
VOICES = (
    # Without --wait it returns at once; its own server lets a newer text end an older one.
    ("spd-say", "--priority", "text", "--"),
    ("espeak-ng", "--"),
    ("espeak", "--"),
    ("say", "--"),
)


def voices() -> tuple[Sequence[str], ...]:
    """The voices of this computer in the order to try them; the text comes last, or in `SAID`."""
    known = (POWERSHELL,) if sys.platform == "win32" else VOICES
    found = ((shutil.which(name), options) for name, *options in known)
    return tuple((path, *options) for path, options in found if path)


class Voice(QObject):
    """Says sentences; a newer one takes the place of one still being said."""

    def __init__(
        self,
        *,
        found: Callable[[], Sequence[Sequence[str]]] = voices,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._found = found
        self.child = Child(self)

    def say(self, text: str) -> bool:
        """Begin to say it; False where this computer has no voice."""
        text, found = plain(text), self._found()
        by_name = sys.platform == "win32"
        commands = [(*voice, *(() if by_name else (text,))) for voice in found]
        self.child.run(commands, given={SAID: text})
        return bool(found)
