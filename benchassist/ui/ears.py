"""Cues and sentences on their way to a sound and a voice, as the habits will have it."""

from collections.abc import Callable

from PySide6.QtCore import QObject, QTimer

from benchassist.ui.cue import Heard
from benchassist.ui.habits import Habits

AFTER_SOUND_MS = 400
"""The voice waits for the sound to be over."""


class Ears(QObject):
    """Plays a cue, then says its sentence; a newer one takes the place of both."""

    def __init__(self, habits: Callable[[], Habits], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._habits = habits
        self._sentence = ""
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.timeout.connect(lambda: self._habits().speak(self._sentence))

    def hear(self, heard: Heard) -> None:
        """Play and say it, as far as either is on."""
        habits = self._habits()
        if habits.sounds:
            habits.sound(heard.cue)
        if habits.spoken and heard.text:
            self._sentence = heard.text
            self._pause.start(AFTER_SOUND_MS if habits.sounds else 0)

    def close(self) -> None:
        """Nothing more, and what still sounds ends."""
        self._pause.stop()
        self._habits().hush()
