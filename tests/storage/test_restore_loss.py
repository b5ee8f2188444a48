"""What a restore would take from the shop is told by number before it does."""

from pathlib import Path

import pytest

from benchassist.errors import ShopFileError
from benchassist.storage import open_store
from benchassist.storage.backup import back_up
from benchassist.storage.restore import Exchange, look_at
from benchassist.storage.restore_loss import Loss, loss_of
from tests.storage.case import Scribe, header, settled
from tests.storage.killing import spoil
from tests.storage.test_backup import fill


def test_what_came_since_the_backup_is_named(tmp_path: Path) -> None:
    """Visits by number, oldest first; lines on visits that are in it are counted. Only read."""
    path = tmp_path / "Müller's shop #1.sqlite"
    with open_store(path) as store:
        first = fill(store, "0001", 3)
        fill(store, "0002", 3)
        backup = back_up(path, tmp_path / "b#.sqlite").file
        fill(store, "0003", 3)
        fill(store, "0004", 3)
        scribe = Scribe(store.visit(first)[0], after=3)
        settled(store, store.submit(*(scribe.taken() for _ in range(5))))
    seen = look_at(backup, path)
    before = path.read_bytes(), backup.read_bytes()
    assert loss_of(seen) == Loss(("0003", "0004"), 5)
    assert loss_of(look_at(path, backup)) == Loss()
    assert (path.read_bytes(), backup.read_bytes()) == before


def test_a_shop_that_is_not_there_or_damaged_loses_what_nobody_knows(tmp_path: Path) -> None:
    """It is not asked."""
    path = tmp_path / "shop.sqlite"
    with open_store(path) as store:
        fill(store, "0001", 100)
    backup = back_up(path, tmp_path / "b.sqlite").file
    assert loss_of(look_at(backup, tmp_path / "new.sqlite")) == Loss()
    spoil(path)
    assert loss_of(look_at(backup, path)) == Loss()


def test_a_file_that_went_away_is_one_line(tmp_path: Path) -> None:
    """Pulled out between the look and the question."""
    path = tmp_path / "shop.sqlite"
    with open_store(path) as store:
        settled(store, store.submit_visit(header()))
    backup = back_up(path, tmp_path / "b.sqlite").file
    seen: Exchange = look_at(backup, path)
    backup.unlink()
    with pytest.raises(ShopFileError) as error:
        loss_of(seen)
    assert "\n" not in str(error.value)
