"""A search on a port in a thread of its own, so that no window waits for it."""

import logging
import threading
from collections import deque
from collections.abc import Callable
from typing import Final

from benchassist.core.link import ListeningEnd, ListeningItem, ListeningOn
from benchassist.errors import PortError
from benchassist.meters.search import Search
from benchassist.meters.translation import _

RELEASE_S: Final = 0.3
"""Longer than one read: a port that is being read is released by then."""

LOG: Final = logging.getLogger(__name__)
MakeSearch = Callable[[threading.Event, Callable[[ListeningOn], None]], Search]


class Scout:
    """Runs one search. Its thread starts when it is made; `close` ends it."""

    def __init__(self, port: str, make_search: MakeSearch) -> None:
        self._port = port
        self._stop = threading.Event()
        self._items: deque[ListeningItem] = deque()
        self._search = make_search(self._stop, self._items.append)
        self._thread = threading.Thread(target=self._run, name=f"scout {port}", daemon=True)
        self._thread.start()

    def drain(self) -> tuple[ListeningItem, ...]:
        """What came since the last call, its end the last of all; never blocks."""
        items: list[ListeningItem] = []
        while self._items:
            items.append(self._items.popleft())
        return tuple(items)

    def close(self) -> None:
        """End it. Waits as long as one read at most; a port still being opened is closed later."""
        self._stop.set()
        self._thread.join(RELEASE_S)

    def _run(self) -> None:
        self._items.append(self._end())

    def _end(self) -> ListeningEnd:
        try:
            found = self._search.run()
        except PortError as error:
            return ListeningEnd(port=self._port, detail=str(error))
        except Exception:
            LOG.exception("listening on %s", self._port)
            return ListeningEnd(
                port=self._port, detail=_("Listening failed: choose the family by hand")
            )
        return ListeningEnd(port=self._port, proposals=found, heard=self._search.heard > 0)
