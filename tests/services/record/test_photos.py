"""Photos of a machine: read beside everything else, kept untouched, shown newest first."""

import threading
from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from benchassist.core.entry import Closed, PhotoAdded, PhotoRemoved
from benchassist.errors import InputError, NotFoundError, StepError
from benchassist.services.bench.pen import RETRY_AFTER
from benchassist.services.record.photos import LONGEST_CAPTION, Photos
from tests.core import pictures
from tests.services.fakes import FakeStore
from tests.services.photo_rig import FakeEye, PhotoRig


@pytest.fixture
def rig(tmp_path: Path) -> PhotoRig:
    """A shop that keeps photos."""
    return PhotoRig(tmp_path)


def files(folder: Path, *numbers: int) -> Sequence[Path]:
    """Photos as files, each another picture."""
    found = []
    for number in numbers:
        path = folder / f"photo {number}.jpg"
        path.write_bytes(pictures.jpeg(pictures.picture(48 + number), 6, planted=True))
        found.append(path)
    return found


def added(rig: PhotoRig, visit_id: str) -> list[PhotoAdded]:
    """What is written of photos on a visit."""
    return [e for e in rig.store.entries.get(visit_id, ()) if isinstance(e, PhotoAdded)]


def add(rig: PhotoRig, desk: Photos, paths: Sequence[Path], caption: str = "") -> None:
    """Add files and wait until they are in."""
    desk.add_files(paths, caption)
    rig.until(desk, lambda: not desk.strip().busy_text)


def test_a_photo_is_kept_untouched_then_written_down(rig: PhotoRig, tmp_path: Path) -> None:
    """Its file lies under its digest, the entry has its size the right way up, a tile shows it."""
    machine = rig.machine()
    visit = rig.opened(machine)
    desk = rig.photos(machine)
    assert desk.strip().empty_text == "No photos yet. Drag one here, or paste it."
    (path,) = files(tmp_path, 0)
    add(rig, desk, [path], "  coil,  crack by tab ")

    (entry,) = added(rig, visit)
    assert (entry.width, entry.height, entry.media) == (32, 48, "image/jpeg")
    assert entry.caption == "coil, crack by tab"
    lies = tmp_path / "photos" / entry.digest[:2] / f"{entry.digest}.jpg"
    assert lies.read_bytes() == path.read_bytes()
    assert rig.store.kept_photos[entry.digest].thumbnail.startswith(b"small ")
    strip = desk.strip()
    (tile,) = strip.tiles
    assert tile.text == "Today: coil, crack by tab"
    assert (tile.missing, tile.note, tile.thumbnail) == (
        False,
        "",
        rig.store.kept_photos[entry.digest].thumbnail,
    )
    assert (strip.said, strip.fresh, strip.goes_to) == ("Photo added", tile.entry_id, "slip 0001")
    assert desk.large(tile.entry_id).load().data == path.read_bytes()


def test_several_at_once_go_in_in_order_and_faults_are_told(rig: PhotoRig, tmp_path: Path) -> None:
    """Each is told by its name; what is no picture does not keep the others out."""
    machine = rig.machine()
    visit = rig.opened(machine)
    desk = rig.photos(machine)
    good = files(tmp_path, 1, 2, 3)
    bad = tmp_path / "notes.txt"
    bad.write_text("no picture")
    add(rig, desk, [good[0], bad, tmp_path / "gone.jpg", tmp_path, good[1], good[2]])

    assert len(added(rig, visit)) == 3
    strip = desk.strip()
    assert [tile.width for tile in strip.tiles] == [32, 32, 32]
    assert [tile.height for tile in strip.tiles] == [51, 50, 49]
    assert strip.trouble.startswith("notes.txt: this is not a picture: choose a JPEG")
    assert "gone.jpg: there is no such file" in strip.trouble
    assert strip.trouble.endswith("; 1 more")
    assert "\n" not in strip.trouble


def test_a_photo_that_is_there_is_said_and_not_added_twice(rig: PhotoRig, tmp_path: Path) -> None:
    """The same file, in one go or later, on this visit or an earlier one."""
    machine = rig.machine()
    first = rig.opened(machine)
    desk = rig.photos(machine)
    (path,) = files(tmp_path, 0)
    add(rig, desk, [path, path])
    assert desk.strip().said == "Photo added. photo 0.jpg: there already, not added twice"
    second = rig.opened(machine)
    rig.until(desk, lambda: desk.strip().goes_to == "slip 0002")
    desk.add_image(path.read_bytes())
    rig.until(desk, lambda: "there already" in desk.strip().said)
    assert desk.strip().said.startswith("The pasted picture: there already")
    assert (len(added(rig, first)), len(added(rig, second))) == (1, 0)


def test_a_closed_visit_takes_a_photo_and_a_machine_without_one_does_not(
    rig: PhotoRig, tmp_path: Path
) -> None:
    """It goes to the open visit, else the newest; without a visit there is nowhere to put it."""
    machine = rig.machine()
    desk = rig.photos(machine)
    with pytest.raises(StepError, match="open one first"):
        desk.add_files(files(tmp_path, 0))
    visit = rig.opened(machine)
    bench = rig.shop.bench(visit)
    bench.pen.write(lambda stamp: Closed(stamp=stamp))
    rig.shop.settle()
    assert rig.shop.visit(visit).closed
    rig.until(desk, lambda: desk.strip().goes_to == "slip 0001")
    add(rig, desk, files(tmp_path, 0))
    assert len(added(rig, visit)) == 1


def test_a_visit_that_is_not_on_file_yet_takes_a_photo(tmp_path: Path) -> None:
    """Opened a moment ago, its bench is asked: the photo waits for it and is not lost."""
    rig = PhotoRig(tmp_path, store=FakeStore(at_once=False))
    machine = rig.machine()
    rig.store.commit()
    visit = rig.visit(machine)
    rig.shop.bench(visit)
    desk = rig.photos(machine, visit)
    desk.add_files(files(tmp_path, 0))
    assert rig.store.photo_log(machine) == ()

    def shown() -> bool:
        rig.store.commit()
        rig.shop.settle()
        return bool(desk.strip().tiles) and not desk.strip().tiles[0].pencilled

    rig.until(desk, shown)
    assert len(added(rig, visit)) == 1
    assert desk.strip().trouble == ""


def test_on_a_bench_it_is_of_the_step_at_work(rig: PhotoRig, tmp_path: Path) -> None:
    """The step's name is its caption until another is typed; the bench's pen numbers the entry."""
    visit = rig.visit()
    bench = rig.shop.bench(visit)
    desk = rig.photos("", visit)
    add(rig, desk, files(tmp_path, 0))
    (entry,) = added(rig, visit)
    assert (entry.check_key, entry.caption) == ("coil_secondary", "Secondary")
    assert bench.visit.entries[-1] is entry
    desk.say(desk.strip().tiles[0].entry_id, "crack by the tab")
    assert desk.strip().tiles[0].text == "Today: crack by the tab"
    assert [type(e).__name__ for e in bench.visit.entries[-3:]] == [
        "PhotoAdded",
        "PhotoAdded",
        "PhotoRemoved",
    ]


def test_a_caption_keeps_the_photos_place_and_time(rig: PhotoRig, tmp_path: Path) -> None:
    """Said next year of last year's photo, it is still last year's; the newest comes first."""
    machine = rig.machine()
    rig.opened(machine)
    desk = rig.photos(machine)
    add(rig, desk, files(tmp_path, 0), "as it came in")
    rig.clock.start += timedelta(days=40)
    add(rig, desk, files(tmp_path, 1))
    assert [tile.text for tile in desk.strip().tiles] == ["Today", "9 Jun 2026: as it came in"]
    rig.clock.start += timedelta(days=400)
    add(rig, desk, files(tmp_path, 2), "plug")
    desk.say(desk.strip().tiles[2].entry_id, "cap and lead")
    rig.until(desk, lambda: not any(tile.pencilled for tile in desk.strip().tiles))
    assert [tile.text for tile in desk.strip().tiles] == [
        "Today: plug",
        "2026",
        "2026: cap and lead",
    ]
    with pytest.raises(InputError, match="up to 120"):
        desk.say(desk.strip().tiles[2].entry_id, "x" * (LONGEST_CAPTION + 1))


def test_a_photo_taken_out_of_sight_stays_on_file_and_can_come_back(
    rig: PhotoRig, tmp_path: Path
) -> None:
    """Nothing is deleted; adding the file again shows it again."""
    machine = rig.machine()
    visit = rig.opened(machine)
    desk = rig.photos(machine)
    (path,) = files(tmp_path, 0)
    add(rig, desk, [path])
    (tile,) = desk.strip().tiles
    desk.remove(tile.entry_id)
    assert desk.strip().tiles == ()
    assert any(isinstance(e, PhotoRemoved) for e in rig.store.entries[visit])
    assert rig.shelf.holds(added(rig, visit)[0].digest)
    with pytest.raises(NotFoundError):
        desk.large(tile.entry_id)
    add(rig, desk, [path])
    assert len(desk.strip().tiles) == 1


def test_an_original_on_another_bench_is_said(rig: PhotoRig, tmp_path: Path) -> None:
    """Its small picture shows here; a file that was damaged is said to be."""
    machine = rig.machine()
    visit = rig.opened(machine)
    desk = rig.photos(machine)
    add(rig, desk, files(tmp_path, 0))
    digest = added(rig, visit)[0].digest
    lies = tmp_path / "photos" / digest[:2] / f"{digest}.jpg"
    lies.write_bytes(b"rotten")
    (tile,) = desk.strip().tiles
    large = desk.large(tile.entry_id).load()
    assert large.data == rig.store.kept_photos[digest].thumbnail
    assert large.note == "The original’s file is damaged: this is its small picture"
    lies.unlink()
    other = rig.photos(machine)
    (tile,) = other.strip().tiles
    assert (tile.missing, tile.note) == (True, "The original is on another computer")
    assert other.large(tile.entry_id).load().note.startswith("The original is on another computer")


def test_what_the_store_refuses_is_tried_again(tmp_path: Path) -> None:
    """Said while it lasts; the entry comes only after what the shop keeps of the photo."""
    rig = PhotoRig(tmp_path, store=FakeStore(at_once=False))
    machine = rig.machine()
    rig.store.commit()
    visit = rig.opened(machine)
    desk = rig.photos(machine)
    rig.store.why = "the disk is full"
    desk.add_files(files(tmp_path, 0))

    def refused() -> bool:
        rig.store.commit()
        return desk.strip().trouble == "the disk is full"

    rig.until(desk, refused)
    assert added(rig, visit) == []
    rig.store.why = ""
    rig.clock.pass_by(RETRY_AFTER)

    def written() -> bool:
        rig.store.commit()
        return bool(added(rig, visit)) and not desk.strip().tiles[0].pencilled

    rig.until(desk, written)
    assert desk.strip().trouble == ""
    assert set(rig.store.kept_photos) == {added(rig, visit)[0].digest}


def test_a_folder_that_cannot_be_written_is_told(rig: PhotoRig, tmp_path: Path) -> None:
    """In one line with the photo's name, and nothing is written down."""
    machine = rig.machine()
    visit = rig.opened(machine)
    (tmp_path / "photos").write_text("a file where the folder should be")
    desk = rig.photos(machine)
    add(rig, desk, files(tmp_path, 0))
    assert desk.strip().trouble.startswith("photo 0.jpg: the photo cannot be kept in ")
    assert added(rig, visit) == []
    assert rig.store.kept_photos == {}


def test_another_page_in_front_loses_no_photo(rig: PhotoRig, tmp_path: Path) -> None:
    """The shop goes on with what was begun; a desk made later shows it."""
    machine = rig.machine()
    visit = rig.opened(machine)
    rig.photos(machine).add_files(files(tmp_path, 0, 1))
    for _tick in range(2000):
        rig.shop.counter.tick()
        rig.shop.settle()
        if len(added(rig, visit)) == 2:
            break
        threading.Event().wait(0.002)
    assert len(rig.photos(machine).strip().tiles) == 2


def test_closing_the_shop_brings_in_what_was_begun(rig: PhotoRig, tmp_path: Path) -> None:
    """All of them, before the store stops."""
    machine = rig.machine()
    visit = rig.opened(machine)
    rig.photos(machine).add_files(files(tmp_path, 0, 1, 2))
    rig.shop.close()
    assert len(added(rig, visit)) == 3
    assert {e.digest for e in added(rig, visit)} == set(rig.store.kept_photos)


def test_the_window_goes_on_while_a_photo_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Decoding happens in another thread; a tick does not wait for it."""
    rig = PhotoRig(tmp_path)
    machine = rig.machine()
    rig.opened(machine)
    go, threads = threading.Event(), list[str]()

    def slow(_eye: FakeEye, _data: bytes) -> bytes:
        threads.append(threading.current_thread().name)
        assert go.wait(20.0)
        return b"small"

    monkeypatch.setattr(FakeEye, "thumbnail", slow)
    desk = rig.photos(machine)
    desk.add_files(files(tmp_path, 0))
    for _tick in range(5):
        desk.tick()
        assert desk.strip().busy_text == "Reading the photo"
    go.set()
    rig.until(desk, lambda: len(desk.strip().tiles) == 1)
    assert threads == ["photo"]


def test_a_strip_that_did_not_change_is_the_same(rig: PhotoRig, tmp_path: Path) -> None:
    """So that a page which asks thirty times a second costs nothing."""
    machine = rig.machine()
    rig.opened(machine)
    desk = rig.photos(machine)
    add(rig, desk, files(tmp_path, 0))
    rig.until(desk, lambda: not desk.strip().tiles[0].pencilled)
    strip = desk.strip()
    for _tick in range(50):
        rig.clock.pass_by(0.1)
        desk.tick()
        assert desk.strip() is strip


def test_another_benchs_photo_appears(rig: PhotoRig, tmp_path: Path) -> None:
    """A desk looks again for what another bench added."""
    machine = rig.machine()
    rig.opened(machine)
    one, other = rig.photos(machine), rig.photos(machine)
    add(rig, one, files(tmp_path, 0))
    rig.until(other, lambda: len(other.strip().tiles) == 1)
    assert replace(other.strip().tiles[0], pencilled=False) == replace(
        one.strip().tiles[0], pencilled=False
    )


def test_a_shop_without_photos_says_so(tmp_path: Path) -> None:
    """It has no desk for them."""
    rig = PhotoRig(tmp_path)
    rig.shop.photo_room = None
    assert rig.shop.desks().photos is None
    with pytest.raises(StepError):
        rig.shop.photos("m")
