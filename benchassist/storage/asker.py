"""What the window asks of a server, without waiting for one that does not answer.

Whatever is asked in the window's own thread is done in another, and waited for only while the
server answers somebody; what is asked again and again is answered as it was last time.
"""

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from concurrent.futures import Future, ThreadPoolExecutor, wait
from gettext import gettext as _
from typing import Any, Final, TypeVar

from benchassist.errors import StoreError
from benchassist.storage.watch import Watch

Answer = TypeVar("Answer")

THREADS: Final = 4
KEPT: Final = 64
"""Answers that are kept."""
AT_HAND_S: Final = 0.025
"""How long a fresh answer is waited for where the last one is at hand."""


class Asker:
    """Call `close` at the end."""

    def __init__(self, watch: Watch, is_away: Callable[[], bool]) -> None:
        self._watch = watch
        self._is_away = is_away
        self._pool = ThreadPoolExecutor(THREADS, thread_name_prefix="shop reader")
        self._lock = threading.Lock()
        self._last: OrderedDict[Hashable, object] = OrderedDict()
        self._asked: dict[Hashable, Future[Any]] = {}

    def close(self) -> None:
        """What was asked and not answered is given up."""
        self._pool.shutdown(cancel_futures=True)

    def later(self, work: Callable[[], None]) -> None:
        """Have something done beside the window's questions; nobody waits for it."""
        self._pool.submit(work)

    def ask(self, read: Callable[[], Answer], key: Hashable = None) -> Answer:
        """Return what `read` gives; under a `key` also what it gave the last time.

        Raises StoreError where no answer comes, and whatever `read` raises.
        """
        if self._is_away() or threading.current_thread() is not threading.main_thread():
            return read()
        future = self._begun(read, key)
        with self._lock:
            known = key is not None and key in self._last
        if known:
            came = _came(future, AT_HAND_S)
        else:
            came = self._watch.wait(lambda limit: self._is_away() or _came(future, limit))
        try:
            if came and future.done():
                return future.result()
        except StoreError:
            if not known and not self._is_away():
                raise
        if self._is_away():
            return read()
        with self._lock:
            if key is not None and key in self._last:
                answer: Any = self._last[key]
                return answer  # type: ignore[no-any-return]
        raise StoreError(_("the shop's server does not answer: try again in a moment"))

    def _begun(self, read: Callable[[], Answer], key: Hashable) -> "Future[Answer]":
        """Ask, or wait on for what was asked before under the same key."""
        if key is None:
            return self._pool.submit(read)
        with self._lock:
            before = self._asked.get(key)
            if before is not None and not before.done():
                return before
            future = self._pool.submit(read)
            self._asked[key] = future
        future.add_done_callback(lambda done: self._keep(key, done))
        return future

    def _keep(self, key: Hashable, done: "Future[Any]") -> None:
        with self._lock:
            if self._asked.get(key) is done:
                del self._asked[key]
            if done.cancelled() or done.exception() is not None:
                return
            self._last[key] = done.result()
            self._last.move_to_end(key)
            while len(self._last) > KEPT:
                self._last.popitem(last=False)


def _came(future: "Future[Any]", limit: float) -> bool:
    """Whether there is an answer, or an error, within so many seconds."""
    return bool(wait((future,), limit).done)
