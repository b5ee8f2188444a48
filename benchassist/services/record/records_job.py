"""Long work in a thread of its own, that says how far it is and can be stopped."""

from collections.abc import Callable
from threading import Event, Thread
from typing import Generic, TypeVar

from benchassist.services.record.records_need import Progress

Outcome = TypeVar("Outcome")


class StoppedError(Exception):
    """The work was stopped in the middle; what it had begun is gone, or safe."""


class Job(Generic[Outcome]):
    """Starts when made; what came of it is fetched, never sent."""

    def __init__(self, work: Callable[[Progress], Outcome], name: str) -> None:
        self._work = work
        self._stopped = Event()
        self._outcome: list[Outcome] = []
        self._error: BaseException | None = None
        self.share: float | None = None
        """How much is done, 0 to 1; None while that is not known."""
        self._thread = Thread(target=self._run, name=name, daemon=True)
        self._thread.start()

    @property
    def done(self) -> bool:
        """Whether the thread has ended."""
        return not self._thread.is_alive()

    @property
    def stopping(self) -> bool:
        """Whether it was told to stop."""
        return self._stopped.is_set()

    def stop(self) -> None:
        """End at the next step. Nothing waits for it."""
        self._stopped.set()

    def close(self) -> None:
        """Stop, and wait for the thread."""
        self.stop()
        self._thread.join()

    def result(self) -> Outcome:
        """What came of it, once it is done. Raises what the work raised."""
        if self._error is not None:
            raise self._error
        return self._outcome[0]

    def _run(self) -> None:
        try:
            self._outcome.append(self._work(self._told))
        except Exception as error:  # noqa: BLE001  a thread's body: raised where it is fetched
            self._error = error

    def _told(self, done: int, whole: int) -> None:
        if self._stopped.is_set():
            raise StoppedError
        self.share = min(1.0, done / max(whole, 1))
