"""Long work in a thread of its own, that says how far it is and can be stopped."""

from collections.abc import Callable
from threading import Event

from benchassist.services.errand import Errand, Outcome

Progress = Callable[[int, int], None]
"""Is told how much is done and how much there is in all; what it raises ends the work."""


class StoppedError(Exception):
    """The work was stopped in the middle; what it had begun is gone, or safe."""


class Job(Errand[Outcome]):
    """An errand that is told how to say how far it is: there it ends once it is stopped."""

    def __init__(self, work: Callable[[Progress], Outcome], name: str) -> None:
        self._stopped = Event()
        self.share: float | None = None
        """How much is done, 0 to 1; None while that is not known."""
        super().__init__(lambda: work(self._told), name)

    @property
    def stopping(self) -> bool:
        """Whether it was told to stop."""
        return self._stopped.is_set()

    def stop(self) -> None:
        """End at the next step. Nothing waits for it."""
        self._stopped.set()

    def close(self, timeout: float | None = None) -> None:
        """Stop, and wait for the thread."""
        self.stop()
        super().close(timeout)

    def _told(self, done: int, whole: int) -> None:
        if self._stopped.is_set():
            raise StoppedError
        self.share = min(1.0, done / max(whole, 1))
