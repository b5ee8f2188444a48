"""Before a shop's tables are changed the shop is backed up, on either database."""

from pathlib import Path

import pytest

from benchassist.assembly import Place, open_store
from benchassist.assembly.keeping import shelf_of
from benchassist.errors import BenchError, ShopFileError
from benchassist.storage import open_store as open_shop_file
from benchassist.storage.exchange import export_visit
from benchassist.storage.integrity import look_into
from benchassist.storage.run_record import record_account
from benchassist.storage.schema import HEAD
from tests.storage.conftest import DATABASES
from tests.storage.killing import spoil
from tests.storage.old_shop import OLD, lay, revision_of
from tests.storage.shop_rows import rows


@pytest.fixture(params=DATABASES)
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Place:
    """Return a place where there is no shop yet, on either database."""
    if request.param == "sqlite":
        return Place(str(tmp_path / "shop.sqlite"), tmp_path / "home")
    return Place(request.getfixturevalue("postgres_url"), tmp_path / "home")


@pytest.mark.parametrize("at", OLD)
def test_a_migration_has_its_backup_first(place: Place, at: str) -> None:
    """A file of the old revision with everything in it, made once and kept beside the daily ones.

    Brought up itself, it is the shop as it is now.
    """
    old = lay(place.shop, at)
    before = rows(place.shop)
    for _ in range(2):
        with open_store(place) as store:
            assert len(store.visits()) == len(old.visits)
    (kept,) = shelf_of(place).kept()
    assert kept.why == f"before-{HEAD}"
    assert look_into(kept.file).revision == at
    assert {name: len(r) for name, r in rows(str(kept.file)).items()} == {
        name: len(r) for name, r in before.items()
    }
    assert revision_of(place.shop) == HEAD
    with open_shop_file(kept.file) as restored, open_store(place) as store:
        assert restored.visits() == store.visits()
        for visit, _entries in old.visits:
            told = restored.visit(visit.id)
            assert told == store.visit(visit.id)
            assert export_visit(*told, restored.run_record) == export_visit(
                *store.visit(visit.id), store.run_record
            )
        for run in old.runs:
            assert record_account(restored.run_record(run.header.id)) == record_account(run)


def test_where_no_backup_can_be_made_nothing_is_changed(place: Place) -> None:
    """One line says why; the shop is of its revision still, and holds what it held."""
    lay(place.shop, "0002")
    place.home.mkdir()
    (place.home / "backups").write_text("in the way")
    before = rows(place.shop)
    with pytest.raises(BenchError, match="backups") as refused:
        open_store(place)
    assert "\n" not in str(refused.value)
    assert rows(place.shop) == before


def test_without_its_backup_no_migration(tmp_path: Path) -> None:
    """A damaged file of an older revision is left as it is, and says what to do."""
    place = Place(str(tmp_path / "shop.sqlite"), tmp_path / "home")
    lay(place.shop, "0002")
    spoil(Path(place.shop), b'"check_key":"secondary"')
    before = Path(place.shop).read_bytes()
    with pytest.raises(ShopFileError, match="damaged"):
        open_store(place)
    assert Path(place.shop).read_bytes() == before
