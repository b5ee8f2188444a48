"""Work done in a thread of its own, whose outcome is fetched and never sent."""

from collections.abc import Callable
from threading import Thread
from typing import Generic, TypeVar

Outcome = TypeVar("Outcome")


class Errand(Generic[Outcome]):
    """Starts when made. What the work raises is raised where its outcome is fetched."""

    def __init__(self, work: Callable[[], Outcome], name: str) -> None:
        self._work = work
        self._outcome: list[Outcome] = []
        self._error: BaseException | None = None
        self._thread = Thread(target=self._run, name=name, daemon=True)
        self._thread.start()

    @property
    def done(self) -> bool:
        """Whether the thread has ended."""
        return not self._thread.is_alive()

    def result(self) -> Outcome:
        """What came of it, once it is done. Raises whatever the work raised."""
        if self._error is not None:
            raise self._error
        return self._outcome[0]

    def wait(self, timeout: float | None) -> None:
        """Wait for the thread so many seconds; None: until it ends."""
        self._thread.join(timeout)

    def close(self, timeout: float | None = 5.0) -> None:
        """Wait for the thread."""
        self.wait(timeout)

    def _run(self) -> None:
        try:
            self._outcome.append(self._work())
        except Exception as error:  # noqa: BLE001  a thread's body: raised where it is fetched
            self._error = error
