"""Photos go along to the place of a backup, come back from it, and are erased from it."""

import hashlib
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from uuid import uuid4

import pytest
from PySide6.QtWidgets import QApplication

from benchassist.assembly import Place, keeping, open_shop, records
from benchassist.assembly.keeping import shelf_of
from benchassist.core.entry import PhotoAdded, Stamp
from benchassist.core.photo import Photo
from benchassist.core.photo_log import photos_of
from benchassist.errors import InputError
from benchassist.storage import open_store
from benchassist.storage.integrity import look_into
from benchassist.storage.photo_cargo import Carried
from benchassist.storage.photo_shelf import PhotoShelf
from benchassist.storage.room import SPARE, NoRoomError
from benchassist.storage.store import SqlStore
from tests.core import pictures
from tests.storage.case import header, machine, settled
from tests.storage.disks import disk
from tests.storage.killing import spoil

JPEG = "image/jpeg"
TAGS = ("K1", "K2")


def photo(number: int) -> bytes:
    """A picture, as its camera wrote it."""
    return pictures.jpeg(pictures.picture(24 + number, 18), planted=True)


def digest(number: int) -> str:
    """What it is known by."""
    return hashlib.sha256(photo(number)).hexdigest()


def add_photo(store: SqlStore, home: Path, visit_id: str, number: int) -> None:
    """Put a photo on a visit, its original into the home folder."""
    data = photo(number)
    PhotoShelf(home / "photos").keep(data, JPEG)
    row = Photo(digest=digest(number), media=JPEG, size=len(data), thumbnail=photo(0)[:64])
    settled(store, store.submit_photo(row))
    _header, entries = store.visit(visit_id)
    seq = entries[-1].stamp.seq + 1 if entries else 1
    stamp = Stamp(id=str(uuid4()), visit_id=visit_id, seq=seq, at=_header.opened_at)
    added = PhotoAdded(
        stamp=stamp, digest=row.digest, media=JPEG, width=24, height=18, caption="as found"
    )
    settled(store, store.submit(added))


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Place:
    """Return a shop on a file and on a server: two machines, two photos each."""
    url = request.param == "postgresql"
    shop = request.getfixturevalue("postgres_url") if url else str(tmp_path / "shop.sqlite")
    with open_store(shop) as store:
        for number, tag in enumerate(TAGS):
            visit = header(f"{number:04d}", of=machine(tag, customer=f"Orla Wick {tag}"))
            settled(store, store.submit_visit(visit))
            for part in (0, 1):
                add_photo(store, tmp_path / "home", visit.id, 2 * number + part)
    return Place(shop, tmp_path / "home")


def on_file(place: Place) -> None:
    """Leave the servers out, where the same is done beneath."""
    if place.on_server:
        pytest.skip("tested with a file")


@pytest.fixture
def stick(tmp_path: Path) -> Path:
    """Return a disk that is taken away."""
    folder = tmp_path / "stick"
    folder.mkdir()
    return folder


def beside(stick: Path) -> set[str]:
    """The digests of the originals on it."""
    return {file.stem for file in (stick / "benchassist-photos").rglob("*.jpg")}


def home_of(place: Place) -> PhotoShelf:
    """Where the originals lie."""
    return PhotoShelf(place.home / "photos")


ALL = {digest(number) for number in range(4)}


def test_they_go_along_to_a_place_that_is_named(place: Place, stick: Path) -> None:
    """To a new file or into a folder; only the missing ones are copied, and nothing is in doubt."""
    shares = list[float]()
    made = keeping.back_up(place, stick / "b.sqlite", lambda d, w: shares.append(d / w))
    assert made.photos == Carried(copied=4)
    assert beside(stick) == ALL
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    again = keeping.back_up(place, stick)
    assert again.file.parent == stick
    assert again.photos == Carried(there=4)
    assert again.dumped is place.on_server


def test_they_stay_at_home_where_they_are_not_asked_for(place: Place, stick: Path) -> None:
    """Among the backups by day there is none: they would be on the same disk."""
    assert keeping.back_up(place, None).photos is None
    assert keeping.back_up(place, stick / "b.sqlite", photos=False).photos is None
    assert not list(place.home.rglob("benchassist-photos"))
    assert beside(stick) == set()


def test_those_that_are_not_here_are_counted(place: Place, stick: Path) -> None:
    """They lie on the bench that added them."""
    home_of(place).discard(digest(3))
    made = keeping.back_up(place, stick / "b.sqlite")
    assert made.photos == Carried(copied=3, absent=1)


def test_without_room_for_them_nothing_is_begun(
    place: Place, stick: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not even the shop's own copy: it is said beforehand."""
    (stick / "any").mkdir()
    alone = keeping.back_up(place, stick / "any" / "b.sqlite", photos=False).bytes
    monkeypatch.setattr("benchassist.storage.photo_shelf.PhotoShelf.lying", _huge)
    disk(monkeypatch, 50 * alone + 2 * SPARE)
    with pytest.raises(NoRoomError, match="no room in"):
        keeping.back_up(place, stick / "b.sqlite")
    assert [file.name for file in stick.iterdir()] == ["any"]
    assert keeping.back_up(place, stick / "b.sqlite", photos=False).photos is None


def _huge(shelf: PhotoShelf, digest: str) -> tuple[int, bool]:
    """As photos of a gigabyte would be, while they lie at home only."""
    there = shelf.holds(digest)
    return (10**9, True) if there else (0, False)


def test_what_ends_it_leaves_nothing(place: Place, stick: Path) -> None:
    """Neither the copy of the shop, which is whole by then, nor a photo."""

    def end(_done: int, _whole: int) -> None:
        if beside(stick):
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        keeping.back_up(place, stick / "b.sqlite", end)
    assert [file for file in stick.rglob("*") if file.is_file()] == []


def test_of_a_damaged_shop_they_go_along_too(place: Place, stick: Path) -> None:
    """With what can be read of it."""
    on_file(place)
    spoil(Path(place.shop), b'"kind":"photo_added"', 1)
    made = keeping.back_up(place, stick / "b.sqlite")
    assert made.lost
    assert made.photos is not None
    assert made.photos.copied == 4


# --- back -----------------------------------------------------------------------------------------


def test_the_missing_come_back(place: Place, stick: Path, tmp_path: Path) -> None:
    """On a new computer all of them, under their own digests; what is harmed on the disk is not."""
    on_file(place)
    made = keeping.back_up(place, stick / "b.sqlite")
    hurt = next((stick / "benchassist-photos").rglob(f"{digest(2)}.jpg"))
    hurt.write_bytes(b"harmed")
    new = Place(str(tmp_path / "new" / "shop.sqlite"), tmp_path / "new" / "home")
    done = keeping.restore(new, keeping.look_at(new, made.file))
    assert (done.aside, done.photos) == (None, Carried(copied=3, absent=1))
    assert {d for d in ALL if home_of(new).read(d) is not None} == ALL - {digest(2)}
    with open_store(new.shop, read_only=True) as store:
        entries = store.visit("0000")[1]
        assert [one.entry.digest for one in photos_of(entries)] == [digest(0), digest(1)]


def test_those_that_are_here_stay_as_they_are(place: Place, stick: Path) -> None:
    """Only what is missing is brought; a backup without any brings none. So of a dump."""
    made = keeping.back_up(place, stick / ("b.dump" if place.on_server else "b.sqlite"))
    home_of(place).discard(digest(0))
    done = keeping.restore(place, keeping.look_at(place, made.file))
    assert done.photos == Carried(copied=1, there=3)
    by_day = keeping.back_up(place, None)
    done = keeping.restore(place, keeping.look_at(place, by_day.file))
    assert done.photos == Carried(there=4)


def test_photos_that_do_not_come_back_are_told(place: Place, stick: Path) -> None:
    """The shop stands restored all the same."""
    on_file(place)
    made = keeping.back_up(place, stick / "b.sqlite")
    home_of(place).discard(digest(0))
    (place.home / "photos" / digest(0)[:2]).rmdir()
    (place.home / "photos" / digest(0)[:2]).write_text("", "utf-8")
    done = keeping.restore(place, keeping.look_at(place, made.file))
    assert done.photos is None
    assert done.note.startswith("its photos were not brought back: the photo cannot be kept in")
    assert look_into(Path(place.shop)).visits == 2


def test_a_backup_of_the_other_kind_says_how_it_comes_back(
    place: Place, stick: Path, tmp_path: Path
) -> None:
    """A shop file is moved to a server; a dump is no file's."""
    if not place.on_server:
        pytest.skip("a file's backups are of one kind")
    file, dump = (keeping.back_up(place, stick / name).file for name in ("b.sqlite", "b.dump"))
    with pytest.raises(InputError, match="benchassist move"):
        keeping.look_at(place, file)
    with pytest.raises(InputError, match="is a dump of a shop on a server: name that server"):
        keeping.look_at(replace(place, shop=str(tmp_path / "own.sqlite")), dump)


# --- erased ---------------------------------------------------------------------------------------


def test_a_customer_is_erased_from_a_backup_that_is_named(place: Place, stick: Path) -> None:
    """The file goes and their photos go from beside it, the other machine's stay."""
    keeping.back_up(place, stick / "b.sqlite")
    looked = records.look_at_erasure(place, ["K1"], [stick / "b.sqlite"])
    assert looked.elsewhere == (stick / "b.sqlite",)
    assert (stick / "b.sqlite").exists()
    done = records.erase(
        place, ["K1"], photos=True, drop_backups=False, elsewhere=[stick / "b.sqlite"]
    )
    assert done.removed == (stick / "b.sqlite",)
    assert done.notes == ()
    assert not (stick / "b.sqlite").exists()
    assert beside(stick) == {digest(2), digest(3)}
    # One of now stands for it.
    (kept,) = shelf_of(place).kept()
    assert b"Orla Wick K1" not in kept.file.read_bytes()


def test_a_folder_of_backups_is_named(place: Place, stick: Path) -> None:
    """Those in it that hold the machine go; what is none, and another shop's, stay."""
    for name in ("a.sqlite", "b.sqlite"):
        keeping.back_up(place, stick / name)
    (stick / "letter.txt").write_text("dear", "utf-8")
    with open_store(stick / "other.sqlite") as other:
        settled(other, other.submit_visit(header("0001")))
    done = records.erase(place, ["K1"], photos=True, drop_backups=False, elsewhere=[stick])
    assert set(done.removed) == {stick / "a.sqlite", stick / "b.sqlite"}
    # Another shop's log lies beside it, as it does while somebody has it open.
    left = {file.name for file in stick.iterdir() if not file.name.endswith(("-wal", "-shm"))}
    assert left == {"letter.txt", "other.sqlite", "benchassist-photos"}
    assert beside(stick) == {digest(2), digest(3)}


def test_photos_that_another_backup_there_holds_stay(place: Place, stick: Path) -> None:
    """It is said, until that is named too; so of a dump, which cannot be looked into."""
    last = "b.dump" if place.on_server else "b.sqlite"
    for name in ("a.sqlite", last):
        keeping.back_up(place, stick / name)
    first = records.erase(
        place, ["K1"], photos=True, drop_backups=False, elsewhere=[stick / "a.sqlite"]
    )
    assert first.removed == (stick / "a.sqlite",)
    (note,) = first.notes
    assert note.startswith("2 photos stay in")
    assert beside(stick) == ALL
    second = records.erase(place, ["K1"], photos=True, drop_backups=False, elsewhere=[stick / last])
    assert second.notes == ()
    assert beside(stick) == {digest(2), digest(3)}


def test_photos_that_are_kept_stay_there_too(place: Place, stick: Path) -> None:
    """The backup goes, for it has the name."""
    keeping.back_up(place, stick / "b.sqlite")
    records.erase(place, ["K1"], photos=False, drop_backups=True, elsewhere=[stick / "b.sqlite"])
    assert not (stick / "b.sqlite").exists()
    assert beside(stick) == ALL


def test_what_is_no_backup_of_them_is_refused(place: Place, stick: Path, tmp_path: Path) -> None:
    """Before anything is erased: another file, none, the shop itself, a folder without one."""
    letter, other = stick / "letter.txt", stick / "other.sqlite"
    letter.write_text("dear", "utf-8")
    with open_store(other) as store:
        settled(store, store.submit_visit(header("0001")))
    named = [letter, other, stick, tmp_path / "none.sqlite"]
    for file in named if place.on_server else [*named, Path(place.shop)]:
        with pytest.raises(InputError, match="no backup") as error:
            records.erase(place, ["K1"], photos=True, drop_backups=True, elsewhere=[file])
        assert "\n" not in str(error.value)
    with open_store(place.shop) as store:
        assert store.machines_of_tag("K1")[0].customer == "Orla Wick K1"
    assert letter.read_text("utf-8") == "dear"


def test_without_a_new_backup_the_old_ones_stay(
    place: Place, stick: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is erased is erased; the last good one is not removed for it."""
    keeping.back_up(place, stick / "b.sqlite")
    by_day = keeping.back_up(place, None)
    disk(monkeypatch, 0)
    done = records.erase(place, ["K1"], photos=True, drop_backups=True, elsewhere=[stick])
    assert done.erased is not None
    assert done.removed == ()
    assert done.notes[0].startswith("the backups stay: no room in")
    assert by_day.file.exists()
    assert (stick / "b.sqlite").exists()
    assert home_of(place).read(digest(0)) is None


# --- moved ----------------------------------------------------------------------------------------


@pytest.mark.postgres
def test_a_shop_that_is_moved_finds_them_on_this_bench(
    tmp_path: Path, postgres_url: str, qapp: QApplication
) -> None:
    """From a file to a server and back: they stay in the home folder, which is the bench's."""
    assert qapp is QApplication.instance()
    place, back = (Place(str(tmp_path / f"{n}.sqlite"), tmp_path / "home") for n in (1, 2))
    visit = header("0001", of=machine("K1"))
    with open_store(place.shop) as store:
        settled(store, store.submit_visit(visit))
        add_photo(store, place.home, visit.id, 1)
    moved = Place(postgres_url, place.home)
    records.move(place, moved.shop)
    records.move(moved, back.shop)
    for there in (moved, back):
        shop = open_shop(there)
        try:
            (shown,) = photos_of(shop.store.visit(visit.id)[1])
            kept = shop.store.photos([shown.entry.digest])
            found = home_of(there).read(shown.entry.digest)
            assert found is not None
            assert (found.whole, found.data) == (True, photo(1))
            assert kept[digest(1)].thumbnail == photo(0)[:64]
        finally:
            shop.close()
    with closing(sqlite3.connect(back.shop)) as file:
        assert file.execute("SELECT count(*) FROM photo").fetchone() == (1,)
