"""Which backups stay, and when the next is due."""

import os
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.storage.rotation import Shelf

NOW = datetime(2025, 3, 14, 8, 0, tzinfo=UTC)
DAY = timedelta(days=1)


@pytest.fixture
def shelf(tmp_path: Path) -> Shelf:
    """Return the empty shelf of a shop."""
    return Shelf(tmp_path, "/home/ada/shop #1.sqlite")


def put(shelf: Shelf, moment: datetime, why: str = "") -> Path:
    """Put a backup on the shelf."""
    file = shelf.name(moment, why=why)
    file.touch()
    return file


def test_seven_days_and_four_weeks_stay(shelf: Shelf) -> None:
    """Of a backup a day over two months, the newest of each day and week that counts."""
    files = {day: put(shelf, NOW - day * DAY) for day in range(60)}
    shelf.thin(NOW)
    # 14 March 2025 is a Friday: the weeks' newest are it and the Sundays before it.
    assert {d for d, f in files.items() if f.exists()} == {*range(7), 5, 12, 19}


def test_of_a_day_the_newest_stays(shelf: Shelf) -> None:
    """Ten backups of one morning make way for the last of them."""
    files = [put(shelf, NOW + timedelta(minutes=m)) for m in range(10)]
    assert shelf.thin(NOW) == files[:-1]
    assert [k.file for k in shelf.kept()] == files[-1:]


def test_those_before_a_change_stay_beside(shelf: Shelf) -> None:
    """Five of them; they push out none made by day and do not make the next one late."""
    daily = put(shelf, NOW - 3 * DAY)
    changed = [put(shelf, NOW - timedelta(hours=h), "before-restore") for h in range(8)]
    assert shelf.is_due(NOW)
    shelf.thin(NOW)
    assert daily.exists()
    assert [f.exists() for f in changed] == [True] * 5 + [False] * 3


def test_the_next_is_due_after_a_day(shelf: Shelf) -> None:
    """And where the clock was set back, at once."""
    assert shelf.is_due(NOW)
    put(shelf, NOW)
    assert not shelf.is_due(NOW + timedelta(hours=23))
    assert shelf.is_due(NOW + DAY)
    assert shelf.is_due(NOW - 365 * DAY)


def test_backups_of_a_clock_that_ran_ahead_push_out_none(shelf: Shelf) -> None:
    """A month of a year to come: what is made now stays, and the last five of those beside it."""
    ahead = [put(shelf, NOW + (300 + day) * DAY) for day in range(30)]
    made = [put(shelf, NOW - day * DAY) for day in range(7)]
    shelf.thin(NOW)
    assert all(file.exists() for file in made)
    assert [file for file in ahead if file.exists()] == ahead[-5:]
    assert not shelf.is_due(NOW)


def test_other_files_stay(shelf: Shelf, tmp_path: Path) -> None:
    """What another shop's backups, or a person, put there is left alone."""
    others = [
        put(Shelf(tmp_path, "/home/bo/shop #1.sqlite"), NOW - 99 * DAY),
        tmp_path / "shop.sqlite",
        tmp_path / f"{shelf.prefix}copy.sqlite",
        tmp_path / f"{shelf.prefix}20251399-000000-000000.sqlite",
    ]
    for file in others:
        file.touch()
    put(shelf, NOW)
    assert shelf.thin(NOW) == []
    assert all(file.exists() for file in others)


def test_what_was_never_finished_goes(shelf: Shelf, tmp_path: Path) -> None:
    """After some hours; one that is being written stays."""
    begun = tmp_path / f"{shelf.name(NOW).name}.99-1.new"
    old = tmp_path / f"{shelf.name(NOW - DAY).name}.98-1.new-journal"
    for file, moment in ((begun, NOW), (old, NOW - DAY)):
        file.touch()
        os.utime(file, (moment.timestamp(), moment.timestamp()))
    assert shelf.thin(NOW) == [old]
    assert begun.exists()


def test_a_folder_that_is_not_there_is_empty(tmp_path: Path) -> None:
    """Nothing is kept in it, the next is due."""
    shelf = Shelf(tmp_path / "none", "shop.sqlite")
    assert (shelf.kept(), shelf.thin(NOW), shelf.is_due(NOW)) == ([], [], True)


@given(st.lists(st.integers(0, 24 * 200), min_size=1, max_size=80, unique=True))
def test_the_newest_always_stays(
    tmp_path_factory: pytest.TempPathFactory, hours: list[int]
) -> None:
    """Whatever there is: at most eleven, the newest among them, and thinning again removes none."""
    shelf = Shelf(tmp_path_factory.mktemp("shelf"), "shop.sqlite")
    for hour in hours:
        put(shelf, NOW - timedelta(hours=hour))
    newest = shelf.kept()[-1]
    shelf.thin(NOW)
    assert shelf.kept()[-1] == newest
    assert len(shelf.kept()) <= 11
    assert shelf.thin(NOW) == []
