"""What the window remembers, and how it is heard."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from benchassist.ui.cue import Cue
from benchassist.ui.look import Theme


def silent(cue: Cue) -> None:
    """No sound."""


def mute(text: str) -> bool:
    """No voice: whatever the text is, it is not said."""
    del text
    return False


def hushed() -> None:
    """Nothing sounds that would have to stop."""


def forget(habits: Habits) -> None:
    """Keep nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Habits:
    """What the window remembers and how it is heard.

    `keep` is called with every change of the first four. `speak` says whether there is a voice to
    say it; `hush` ends what still sounds when the window closes.
    """

    theme: str = Theme.SYSTEM
    pedal_key: str = ""
    sounds: bool = True
    spoken: bool = False
    keep: Callable[[Habits], None] = forget
    sound: Callable[[Cue], None] = silent
    speak: Callable[[str], bool] = mute
    hush: Callable[[], None] = hushed
