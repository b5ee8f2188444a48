"""The tags of a whole shop: every machine is read once, however long one chooses."""

from pathlib import Path

from benchassist.core.entry import Machine
from tests.services.fakes import FakeStore
from tests.services.rig import ShopRig
from tests.services.tags.test_print import CHOSEN, desk, printed


class CountingStore(FakeStore):
    """Counts how often it is asked for every machine."""

    def __init__(self) -> None:
        super().__init__()
        self.asked = 0

    def machines(self) -> tuple[Machine, ...]:
        self.asked += 1
        return super().machines()


def test_a_shop_s_machines_are_read_once(tmp_path: Path) -> None:
    """Labels, first free one and copies are chosen key by key; another page reads them anew."""
    store = CountingStore()
    rig = ShopRig(tmp_path, store=store)
    rig.machine("M-001", customer="N. Moor")
    page = desk(rig)
    every = CHOSEN | {"which": "every"}
    assert printed(page.preview(every).job) == ["M-001"]
    rig.machine("M-002", customer="N. Moor")
    assert printed(page.preview(every | {"copies": "2"}).job) == ["M-001"] * 2
    assert store.asked == 1
    assert printed(desk(rig).preview(every).job) == ["M-001", "M-002"]
