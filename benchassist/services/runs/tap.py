"""Where readings pass while a run is on: at the meters' readers to disk, at the window to the run.

A stalled window loses nothing: what goes to disk has not waited for anyone to look. And whichever
page empties an inbox, the run is told what was in it.
"""

import threading
from collections.abc import Callable, Sequence
from dataclasses import replace

from benchassist.core.reading import LinkItem, Reading
from benchassist.errors import StepError
from benchassist.services.needs import Recording
from benchassist.services.translation import _

Watcher = Callable[[float, Sequence[LinkItem]], None]
"""Told what a link said, and the clock's moment from which its readings count their seconds."""


class Tap:
    """Given to the meters' room as its sink; all but the call itself in the window's thread."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._opened: dict[str, float] = {}
        self._recording: Recording | None = None
        self._at = 0.0
        self._watchers: list[Watcher] = []

    def __call__(self, reading: Reading) -> None:
        """A reading as it comes, at its reader's thread."""
        with self._lock:
            opened = self._opened.get(reading.channel)
            if self._recording is None or opened is None:
                return
            t_s = opened + reading.t_s - self._at
            if t_s >= 0.0:
                self._recording.put(replace(reading, t_s=t_s))

    def opened(self, channel: str, at: float) -> None:
        """A link opens on a channel: the moment of the program's clock its readings count from."""
        with self._lock:
            self._opened[channel] = at

    # --- to disk ----------------------------------------------------------------------------------

    @property
    def busy(self) -> bool:
        """Whether a run is being recorded."""
        return self._recording is not None

    def begin(self, recording: Recording, at: float) -> None:
        """From here on everything goes to a recording, in seconds since `at`.

        Raises StepError while another run is recorded.
        """
        with self._lock:
            if self._recording is not None:
                raise StepError(_("another visit has a run on: end that one first"))
            self._recording, self._at = recording, at

    def end(self) -> None:
        """Nothing more goes to the recording; it is closed."""
        with self._lock:
            recording, self._recording = self._recording, None
        if recording is not None:
            recording.close()

    # --- to the run -------------------------------------------------------------------------------

    def watch(self, watcher: Watcher) -> None:
        """Tell somebody everything that is drained from now on."""
        self._watchers.append(watcher)

    def unwatch(self, watcher: Watcher) -> None:
        """Tell them no more."""
        self._watchers = [one for one in self._watchers if one != watcher]

    def drained(self, channel: str, items: Sequence[LinkItem]) -> None:
        """An inbox was emptied, for whatever page."""
        for watcher in tuple(self._watchers):
            watcher(self._opened[channel], items)
