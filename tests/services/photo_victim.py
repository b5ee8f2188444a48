"""Adds photos until it is killed: `python -m tests.services.photo_victim add SHOP HOME VISIT`.

Forks a child for every line on standard input, as `tests.storage.victim` does. A child prints the
digest of each photo as soon as a tile shows it in ink.
"""

import os
import sys
import time
from datetime import UTC, datetime
from itertools import count
from pathlib import Path

from benchassist.core.photo_file import stripped
from benchassist.services.bench.side_pen import SidePen
from benchassist.services.receipt import Receipts
from benchassist.services.record.photo_room import PhotoRoom
from benchassist.services.record.photos import Photos
from benchassist.storage import open_store
from benchassist.storage.photo_shelf import PhotoShelf
from tests.core import pictures


class SystemClock:
    """The computer's."""

    def monotonic(self) -> float:
        return time.monotonic()

    def now(self) -> datetime:
        return datetime.now(UTC)


class QuickEye:
    """Makes a small picture without a decoder."""

    small = stripped(pictures.jpeg(pictures.picture(16, 12)))

    def thumbnail(self, data: bytes) -> bytes:
        return self.small if data else b""

    def reduced(self, data: bytes, side: int) -> bytes:
        return self.small if data and side else b""


def add(shop: str, home: str, visit_id: str) -> None:
    """Add one photo after the other, each another picture, for ever."""
    store, clock = open_store(shop), SystemClock()
    receipts = Receipts(store)
    side = SidePen(store=store, receipts=receipts, clock=clock, bench_pen=lambda _visit: None)
    room = PhotoRoom(
        store=store,
        receipts=receipts,
        shelf=PhotoShelf(Path(home) / "photos"),
        eye=QuickEye(),
        side=side,
        clock=clock,
    )
    machine_id = store.visit(visit_id)[0].machine.id
    desk, told = Photos(room, machine_id), set[str]()
    for number in count(os.getpid() * 1000):
        desk.add_image(pictures.png(pictures.picture(20 + number % 40)) + str(number).encode())
        while True:
            desk.tick()
            inked = [tile for tile in desk.strip().tiles if not tile.pencilled]
            fresh = [tile for tile in inked if tile.entry_id not in told]
            for tile in fresh:
                told.add(tile.entry_id)
                sys.stdout.write(f"{tile.entry_id}\n")
                sys.stdout.flush()
            if fresh and not desk.strip().busy_text:
                break


def main(*arguments: str) -> None:
    """Fork a child for every line that comes."""
    for _line in sys.stdin:
        child = os.fork()
        if not child:
            add(*arguments)
        sys.stdout.write(f"child {child}\n")
        sys.stdout.flush()
        os.waitpid(child, 0)
        sys.stdout.write("gone\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main(*sys.argv[2:])
