"""What a reader thread has for the rest of the program: bounded, in order, never blocking."""

import threading
from collections import deque
from typing import Final

from benchassist.core.reading import Gap, LinkChange, LinkItem

CAPACITY: Final = 4096


class Inbox:
    """Items in the order they happened. What does not fit is dropped from the old end.

    What was dropped shows as one Gap in its place; the last state dropped is told all the same.
    """

    def __init__(self, channel: str, capacity: int = CAPACITY) -> None:
        self._channel = channel
        self._items: deque[LinkItem] = deque()
        self._capacity = capacity
        self._lock = threading.Lock()
        self._lost: tuple[float, float] | None = None
        self._lost_change: LinkChange | None = None

    def put(self, *items: LinkItem) -> None:
        """Add items, making room at the old end."""
        with self._lock:
            self._items.extend(items)
            while len(self._items) > self._capacity:
                self._drop(self._items.popleft())

    def drain(self) -> tuple[LinkItem, ...]:
        """Everything since the last call; never blocks for longer than a copy takes."""
        with self._lock:
            items, self._items = self._items, deque()
            lost, self._lost = self._lost, None
            change, self._lost_change = self._lost_change, None
        if lost is None:
            return tuple(items)
        gap = Gap(channel=self._channel, start_s=lost[0], end_s=lost[1], reason="overflow")
        return (gap, *(() if change is None else (change,)), *items)

    def _drop(self, item: LinkItem) -> None:
        start, end = (item.start_s, item.end_s) if isinstance(item, Gap) else (item.t_s, item.t_s)
        if isinstance(item, LinkChange):
            self._lost_change = item
        self._lost = (start if self._lost is None else self._lost[0], end)
