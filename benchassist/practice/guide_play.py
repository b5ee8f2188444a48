"""What the guided visit does with its own hands: keys, waiting, pictures."""

from collections.abc import Callable
from pathlib import Path
from typing import Final, Protocol

from benchassist.errors import BenchError
from benchassist.practice.session import PracticeSession
from benchassist.services.bench.bench import Bench

PATIENCE_S: Final = 30.0


class Window(Protocol):
    """A window that can be driven and photographed."""

    def pump(self, seconds: float, until: Callable[[], bool] = ...) -> bool:
        """Let it run until something holds, at most so long."""
        ...

    def press(self, key: str, text: str = "") -> None:
        """Press a key by its name."""
        ...

    def type(self, text: str) -> None:
        """Type a text."""
        ...

    def go(self, page: str, visit_id: str = "") -> None:
        """Bring a page to the front."""
        ...

    def shot(self, path: Path) -> None:
        """A picture of the window."""
        ...


class Play:
    """One visit of a session in a window, its pictures numbered in a folder."""

    def __init__(self, session: PracticeSession, window: Window, screens: Path) -> None:
        self.session = session
        self.practice = session.practice
        self.window = window
        self.visit_id = session.visit_id
        self._screens = screens
        self._shots = 0

    @property
    def bench(self) -> Bench:
        """The bench of the visit."""
        return self.session.shop.bench(self.visit_id)

    def submit(self, key: str, text: str) -> None:
        """Press the key that asks for a line, type it, press Enter."""
        self.window.press(key)
        self.window.type(text)
        self.window.press("Return")

    def wait(self, what: str, until: Callable[[], bool], *, patience_s: float = PATIENCE_S) -> None:
        """Let the window run until something holds. Raises BenchError where it does not come to."""
        if not self.window.pump(patience_s, until):
            view = self.bench.view()
            raise BenchError(
                f"the guided visit waited {patience_s:.0f} s for {what} at '{view.title}': "
                f"{view.number.state}, {view.banner or view.number.jaw_word}"
            )

    def shot(self, name: str) -> None:
        """A picture of the window as it stands."""
        self._shots += 1
        self.window.shot(self._screens / f"{self._shots:02d}-{name}.png")
