"""The chores of the writer's thread: which is due, and how they end."""

import logging
import time
from collections.abc import Callable
from typing import Final

from benchassist.storage.chore import Chore, Portable

PATIENCE_SECONDS: Final = 5.0
"""How long a write is tried again while the shop is locked or out of reach."""

FINISH_SECONDS: Final = 30.0
"""How long closing may go on writing what is in hand."""

FIRST_PAUSE: Final = 0.05
LONGEST_PAUSE: Final = 0.8

log = logging.getLogger(__name__)


class Chores:
    """Those that are not done. `work` does a piece of one, and says whether it could be done."""

    def __init__(self, work: Callable[[Chore], bool]) -> None:
        self._work = work
        self._left: list[Chore] = []

    def add(self, chore: Chore, *, away: bool) -> None:
        """Another one; `away`: what can be done away from the server is done there for now."""
        if away and isinstance(chore, Portable):
            chore.moved(away=True)
        self._left.append(chore)

    def move(self, *, away: bool) -> None:
        """The server is lost, or back."""
        for chore in self._left:
            if isinstance(chore, Portable):
                chore.moved(away=away)

    def wait_s(self) -> float | None:
        """Seconds until one is due, None where there is none."""
        due_s = min((chore.due_s for chore in self._left), default=None)
        return None if due_s is None else max(0.0, due_s - time.monotonic())

    def work_one_piece(self) -> None:
        """A piece of the one that is due first, if any is."""
        due = min(self._left, key=lambda chore: chore.due_s, default=None)
        if due is not None and due.due_s <= time.monotonic():
            self._work(due)
            self._drop_done()

    def finish(self) -> None:
        """What is in hand goes to disk; where that cannot be, after a while it is given up."""
        for chore in self._left:
            chore.close()
        begin_s = time.monotonic()
        limit_s = begin_s + FINISH_SECONDS
        while self._left and time.monotonic() < limit_s:
            if not self._work(self._left[0]):
                limit_s = min(limit_s, begin_s + PATIENCE_SECONDS)
            self._drop_done()
            time.sleep(min(self.wait_s() or 0.0, LONGEST_PAUSE))
        if self._left:
            log.warning("the last samples of a run could not be written")

    def _drop_done(self) -> None:
        self._left = [chore for chore in self._left if not chore.is_done]
