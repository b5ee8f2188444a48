"""No room: a file may not grow any further, as on a full disk or under a quota. All say so."""

import resource
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from benchassist.assembly import Place, keeping, record
from benchassist.core.entry import Noted
from benchassist.core.record import Refused, Stored
from benchassist.errors import BenchError
from benchassist.services.settings import Settings, SettingsFile
from benchassist.storage import open_store
from benchassist.storage.photo_shelf import PhotoShelf
from tests.core.pictures import png
from tests.storage.case import Scribe, header, settled

ROOM = 16 * 1024


@contextmanager
def no_room(room: int = ROOM) -> Iterator[None]:
    """While it lasts no file of this process grows past so many bytes."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (room, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


@pytest.fixture
def place(tmp_path: Path) -> Place:
    """Return a shop with a visit in it."""
    made = Place(str(tmp_path / "shop.sqlite"), tmp_path / "home", named=True)
    with open_store(made.shop) as store:
        visit = header()
        note = Noted(stamp=Scribe(visit).stamp(), text="as found " * 4000)
        settled(store, store.submit_visit(visit), store.submit(note))
    return made


def test_what_is_taken_waits_for_room(place: Place) -> None:
    """Refused in one line that does not speak of damage; handed over again, it is stored."""
    with open_store(place.shop) as store:
        (summary,) = store.visits()
        visit, entries = store.visit(summary.id)
        note = Noted(stamp=Scribe(visit, after=1).stamp(), text="while it was full " * 2000)
        with no_room():
            (said,) = settled(store, store.submit(note))
        assert isinstance(said, Refused)
        assert "disk" in said.why
        assert "damaged" not in said.why
        (said,) = settled(store, store.submit(note))
        assert isinstance(said, Stored)
        assert store.visit(visit.id) == (visit, (*entries, note))


def export(place: Place) -> None:
    """Visits into a file."""
    with no_room():
        record.write_export(place, ["0001"], place.home.parent / "out.json")


def back_up(place: Place) -> None:
    """The shop into a backup."""
    with no_room():
        keeping.back_up(place, place.home.parent / "backup.sqlite")


def restore(place: Place) -> None:
    """A backup into a shop that is not there yet."""
    keeping.back_up(place, place.home.parent / "sound.sqlite")
    fresh = Place(str(place.home.parent / "fresh.sqlite"), place.home, named=True)
    exchange = keeping.look_at(fresh, place.home.parent / "sound.sqlite")
    with no_room():
        keeping.restore(fresh, exchange)


def settings(place: Place) -> None:
    """The settings into their file."""
    with no_room(16):
        SettingsFile(place.home / "settings.json").write(Settings())


def photo(place: Place) -> None:
    """A photo onto the shelf."""
    with no_room(16):
        PhotoShelf(place.home / "photos").keep(png(), "image/png")


@pytest.mark.parametrize(
    "write", [export, back_up, restore, settings, photo], ids=lambda write: write.__name__
)
def test_what_has_no_room_is_one_line_and_leaves_nothing(
    place: Place, write: Callable[[Place], None]
) -> None:
    """No half of a file stays under a name that counts, and the shop is as it was."""
    with open_store(place.shop, read_only=True) as store:
        before = [store.visit(v.id) for v in store.visits()]
    with pytest.raises(BenchError) as error:
        write(place)
    assert "\n" not in str(error.value)
    left = {p.name for p in place.home.parent.iterdir()}
    assert not left & {"out.json", "backup.sqlite"}
    assert not (place.home / "settings.json").exists()
    with open_store(place.shop, read_only=True) as store:
        assert [store.visit(v.id) for v in store.visits()] == before
