"""A disk is never filled: looked at before a copy is begun, and old backups give way."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from benchassist.assembly import Place, keeping
from benchassist.storage import open_store, room
from benchassist.storage.integrity import look_into
from benchassist.storage.room import FLOOR, SPARE, Disk, NoRoomError, allowance, require_room
from benchassist.storage.rotation import Shelf
from tests.storage.disks import disk, filling
from tests.storage.killing import spoil
from tests.storage.test_backup import fill

NOW = datetime(2025, 3, 14, 8, 0, tzinfo=UTC)
DAY = timedelta(days=1)
MB = 10**6
SIZE = 4096
"""Bytes of a backup here."""


@pytest.fixture
def shelf(tmp_path: Path) -> Shelf:
    """Return the empty shelf of a shop."""
    folder = tmp_path / "backups"
    folder.mkdir()
    return Shelf(folder, "/home/ada/shop.sqlite")


def put(shelf: Shelf, days: float, why: str = "", *, pages: int = 1) -> Path:
    """Put a backup of so many days ago on the shelf, as long as its head says."""
    file = shelf.name(NOW - days * DAY, why=why)
    head = b"SQLite format 3\x00" + SIZE.to_bytes(2, "big") + bytes(10) + pages.to_bytes(4, "big")
    file.write_bytes(head.ljust(SIZE * pages, b"\0"))
    return file


def there(files: dict[int, Path]) -> set[int]:
    """Which of the files are there still."""
    return {day for day, file in files.items() if file.exists()}


# --- what a shelf may take ------------------------------------------------------------------------


def test_a_shelf_may_take_a_quarter(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of what would be free without it, however much of that it has taken; a small one anything."""
    for taken in (0, 10_000 * MB, 20_000 * MB):
        disk(monkeypatch, 80_000 * MB - taken)
        assert allowance(tmp_path, taken) == 20_000 * MB
    disk(monkeypatch, 0)
    assert allowance(tmp_path, 10 * MB) == FLOOR


def test_a_twenty_years_shop_leaves_a_common_disk_free(
    shelf: Shelf, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Backups of 2.9 GB where 100 GB were free: the eight newest stay, of what were ten."""
    monkeypatch.setattr("benchassist.storage.rotation.size_of", lambda f: f.exists() * 2_900 * MB)
    files = {day: put(shelf, day) for day in (*range(7), 12, 19, 26)}
    disk(monkeypatch, 100_000 * MB - 10 * 2_900 * MB)
    shelf.thin(NOW)
    assert there(files) == {*range(7), 12}


def test_the_weeks_go_before_the_days(shelf: Shelf, monkeypatch: pytest.MonkeyPatch) -> None:
    """The oldest first, until the shelf has room; what never goes stays beyond it."""
    monkeypatch.setattr(room, "FLOOR", 0)
    files = {day: put(shelf, day) for day in (*range(7), 12, 19, 26)}
    changed = [put(shelf, day, "before-restore") for day in (30, 9, 8)]
    for quarter, stay, stay_changed in (
        (12, {*range(7), 12, 19}, [True, True, True]),
        (11, {*range(7), 12, 19}, [False, True, True]),
        (10, {*range(7), 12}, [False, True, True]),
        (9, {*range(7)}, [False, True, True]),
        (5, {0, 1, 2, 3}, [False, False, True]),
        (2, {0}, [False, False, True]),
        (0, {0}, [False, False, True]),
    ):
        taken = SIZE * sum(1 for _file in shelf.folder.iterdir())
        disk(monkeypatch, max(0, 4 * SIZE * quarter - taken))
        shelf.thin(NOW)
        assert there(files) == stay, quarter
        assert [file.exists() for file in changed] == stay_changed, quarter


def test_what_was_saved_of_damage_pushes_out_no_sound_one(
    shelf: Shelf, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where room is short it goes first, once there is a sound one."""
    monkeypatch.setattr(room, "FLOOR", 0)
    sound = [put(shelf, day) for day in (3, 2, 1)]
    saved = [put(shelf, day / 10, "salvaged") for day in range(5)]
    shelf.thin(NOW, by_room=False)
    assert [file.exists() for file in saved] == [True] * 3 + [False] * 2
    disk(monkeypatch, 4 * SIZE * 3 - SIZE * 6)
    shelf.thin(NOW)
    assert all(file.exists() for file in sound)
    assert not any(file.exists() for file in saved)


def test_what_lies_beside_a_damaged_one_goes_with_it(
    shelf: Shelf, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its log counts as part of it."""
    monkeypatch.setattr(room, "FLOOR", 0)
    old = put(shelf, 9, "damaged")
    log = Path(f"{old}-wal")
    log.write_bytes(bytes(100))
    put(shelf, 8, "before-restore")
    put(shelf, 0)
    assert [kept.bytes for kept in shelf.kept()] == [SIZE + 100, SIZE, SIZE]
    disk(monkeypatch, 0)
    assert shelf.thin(NOW) == [old]
    assert not log.exists()


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(
        st.tuples(st.integers(-400, 100), st.sampled_from(["", "", "", "before-0004", "damaged"])),
        min_size=1,
        max_size=40,
        unique=True,
    ),
    st.integers(0, 50),
    st.integers(0, 50),
)
def test_the_last_good_one_always_stays(
    tmp_path_factory: pytest.TempPathFactory,
    monkeypatch: pytest.MonkeyPatch,
    made: list[tuple[int, str]],
    free: int,
    need: int,
) -> None:
    """Whatever lies there, however little is free, however much is wanted."""
    monkeypatch.setattr(room, "FLOOR", 0)
    monkeypatch.setattr(room, "SPARE", 0)
    shelf = Shelf(tmp_path_factory.mktemp("shelf"), "shop.sqlite")
    for hours, why in made:
        put(shelf, -hours / 24, why)
    by_day = [k for k in shelf.kept() if not k.why and k.moment <= NOW + DAY]
    changed = [k for k in shelf.kept() if k.why]
    disk(monkeypatch, filling(shelf.folder, SIZE * (free + len(made))))
    before = len(shelf.kept())
    gone = shelf.make_room(NOW, SIZE * need)
    assert not gone or room.lacking(shelf.folder, SIZE * need) == 0
    assert len(shelf.kept()) == before - len(gone)
    shelf.thin(NOW)
    left = shelf.kept()
    assert left
    assert by_day[-1:] == [k for k in left if k in by_day][-1:]
    assert changed[-1:] == [k for k in left if k in changed][-1:]


# --- before a copy is begun -----------------------------------------------------------------------


def test_old_ones_give_way_to_a_new_one(shelf: Shelf, monkeypatch: pytest.MonkeyPatch) -> None:
    """As few as do; where all that may go would not do, none goes."""
    files = {day: put(shelf, day) for day in range(7)}
    disk(monkeypatch, filling(shelf.folder, SPARE + 8 * SIZE))
    assert shelf.make_room(NOW, SIZE) == []
    assert shelf.make_room(NOW, 3 * SIZE) == [files[6], files[5]]
    assert shelf.make_room(NOW, 8 * SIZE) == []
    assert there(files) == set(range(5))
    assert shelf.make_room(NOW, 7 * SIZE, but=files[4]) == []
    assert shelf.make_room(NOW, 6 * SIZE, but=files[4]) == [files[3], files[2], files[1]]


def test_one_that_was_cut_short_is_not_the_last_good_one(
    shelf: Shelf, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The newest that is as long as it says stays in its place."""
    sound, cut = put(shelf, 1), put(shelf, 0, pages=2)
    cut.write_bytes(cut.read_bytes()[:-1])
    disk(monkeypatch, filling(shelf.folder, SPARE + 3 * SIZE))
    shelf.make_room(NOW, 2 * SIZE)
    assert sound.exists()
    assert not cut.exists()


def test_folders_of_one_disk_need_it_together(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The line has the figures."""
    disk(monkeypatch, 1_000 * MB)
    require_room((tmp_path / "a", 400 * MB), (tmp_path / "b", 400 * MB))
    with pytest.raises(NoRoomError) as error:
        require_room((tmp_path / "a", 500 * MB), (tmp_path / "b", 500 * MB))
    assert str(error.value) == (
        f"no room in {tmp_path / 'a'}: 1.0 GB would be written there, 1.0 GB are free and "
        "100.0 MB must stay free: make room there, or choose another disk"
    )
    monkeypatch.setattr(room, "disk_of", lambda f: Disk(600 * MB, hash(f.name)))
    require_room((tmp_path / "a", 500 * MB), (tmp_path / "b", 500 * MB))


def test_a_system_that_does_not_tell_bars_nothing(
    shelf: Shelf, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Then the disk itself refuses, as ever."""
    monkeypatch.setattr(room, "disk_of", lambda _folder: None)
    put(shelf, 0)
    require_room((shelf.folder, 10**15))
    assert shelf.make_room(NOW, 10**15) == []
    assert allowance(shelf.folder, 10**15) is None


def test_the_real_disk_is_asked(tmp_path: Path) -> None:
    """Also of a folder that is not there yet."""
    found, later = room.disk_of(tmp_path), room.disk_of(tmp_path / "not" / "yet")
    assert found is not None
    assert later is not None
    assert found.free > 0
    assert found.device == later.device == tmp_path.stat().st_dev


# --- the program ----------------------------------------------------------------------------------


@pytest.fixture
def place(tmp_path: Path) -> Place:
    """Return a shop with a few visits."""
    with open_store(tmp_path / "shop.sqlite") as store:
        for number in range(1, 6):
            fill(store, f"{number:04d}", 5)
    return Place(str(tmp_path / "shop.sqlite"), tmp_path / "home")


def test_without_room_no_backup_is_begun(place: Place, monkeypatch: pytest.MonkeyPatch) -> None:
    """One line with figures, here or elsewhere; the last good one stays and nothing is left."""
    first = keeping.back_up(place, None)
    disk(monkeypatch, SPARE)
    for to in (None, place.home / "b.sqlite"):
        with pytest.raises(NoRoomError, match=r"^no room in .*: .* would be written there, "):
            keeping.back_up(place, to)
    assert [kept.file for kept in keeping.shelf_of(place).kept()] == [first.file]
    assert not list(place.home.rglob("*.new*"))
    assert not (place.home / "b.sqlite").exists()


def test_a_restore_has_room_first(place: Place, monkeypatch: pytest.MonkeyPatch) -> None:
    """For the copy aside and for the pages it overwrites; the shop is as it was, and the backup."""
    kept = keeping.back_up(place, None)
    with open_store(place.shop) as store:
        fill(store, "0006", 5)
    exchange = keeping.look_at(place, kept.file)
    size = Path(place.shop).stat().st_size
    disk(monkeypatch, SPARE + size + size // 2)
    with pytest.raises(NoRoomError):
        keeping.restore(place, exchange)
    assert look_into(Path(place.shop)).visits == 6
    assert kept.file.exists()
    disk(monkeypatch, SPARE + 3 * size)
    assert keeping.restore(place, exchange).aside is not None
    assert look_into(Path(place.shop)).visits == 5


def test_a_damaged_shop_is_saved_only_where_there_is_room(
    place: Place, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And the sound backups before it stay."""
    sound = keeping.back_up(place, None)
    spoil(Path(place.shop))
    disk(monkeypatch, SPARE)
    with pytest.raises(NoRoomError):
        keeping.back_up(place, None)
    assert sound.file.exists()
