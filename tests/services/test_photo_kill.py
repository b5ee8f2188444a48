"""kill -9 at any moment while photos are added: what was shown is there, file, row and entry."""

import hashlib
import sys
from pathlib import Path

import pytest

from benchassist.core.entry import PhotoAdded
from benchassist.core.visit import Visit
from benchassist.storage import open_store
from tests.storage.case import header, settled
from tests.storage.killing import killed

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="forks")


@pytest.mark.parametrize(
    "rounds", [8, pytest.param(60, marks=pytest.mark.long, id="long")], ids=str
)
def test_no_entry_names_a_photo_that_is_not_there(tmp_path: Path, rounds: int) -> None:
    """The file lies whole under its digest before the row, the row before the entry."""
    shop, home = tmp_path / "shop.sqlite", tmp_path / "home"
    visit = header()
    with open_store(shop) as store:
        settled(store, store.submit_visit(visit))
    shown: set[str] = set()
    for kill in killed(
        rounds,
        11,
        0.4,
        "add",
        str(shop),
        str(home),
        visit.id,
        victim="tests.services.photo_victim",
        lines=3,
        opening_s=0.3,
    ):
        shown |= set(kill.said)
        with open_store(shop) as store:
            entries = Visit(*store.visit(visit.id)).entries
            added = [e for e in entries if isinstance(e, PhotoAdded)]
            rows = store.photos(e.digest for e in added)
        assert shown <= {e.stamp.id for e in added}
        assert len({e.digest for e in added}) == len(added)
        for entry in added:
            file = home / "photos" / entry.digest[:2] / f"{entry.digest}.png"
            assert hashlib.sha256(file.read_bytes()).hexdigest() == entry.digest
            assert rows[entry.digest].size == file.stat().st_size
    assert shown
