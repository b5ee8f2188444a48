"""A shop with photos in a test's hands: a real shelf, an eye that decodes nothing."""

import threading
import time
from collections.abc import Callable
from pathlib import Path

from benchassist.services.record.photos import Photos
from benchassist.services.shop import Shop
from benchassist.storage.photo_shelf import PhotoShelf
from tests.services.fakes import FakeStore
from tests.services.rig import FakeBook, ShopRig

PATIENCE_S = 20.0


class FakeEye:
    """Makes a thumbnail without looking."""

    def thumbnail(self, data: bytes) -> bytes:
        return b"small " + data[:8]

    def reduced(self, data: bytes, side: int) -> bytes:
        return b"reduced to %d " % side + data[:8]


class PhotoRig(ShopRig):
    """A whole shop over fakes, its photos in a folder."""

    def __init__(self, home: Path, *, store: FakeStore | None = None) -> None:
        super().__init__(home, store=store)
        self.shelf = PhotoShelf(home / "photos")
        self.shop = Shop(
            store=self.store,
            book=FakeBook(),
            room=self.room,
            printer=self.printer,
            clock=self.clock,
            settings_file=self.file,
            shelf=self.shelf,
            eye=FakeEye(),
        )

    def opened(self, machine_id: str) -> str:
        """A visit that is open, on file and on no bench; its id."""
        visit_id = self.visit(machine_id)
        self.shop.bench(visit_id)
        self.store.commit()
        self.shop.furnish(self.shop.settings)
        return visit_id

    def until(self, desk: Photos, true: Callable[[], bool]) -> None:
        """Tick until something holds; time passes with the ticks."""
        end = time.monotonic() + PATIENCE_S
        while True:
            desk.tick()
            if true():
                return
            assert time.monotonic() < end, desk.strip()
            self.clock.pass_by(0.05)
            threading.Event().wait(0.002)

    def photos(self, machine_id: str, visit_id: str = "") -> Photos:
        """A machine's photos, read."""
        desk = self.shop.photos(machine_id, visit_id)
        self.until(desk, lambda: not desk.strip().busy_text)
        return desk
