"""Photos on the slip: the newest of the visit, from their files or what the shop keeps of them."""

from pathlib import Path

import pytest

from benchassist.core.entry import PhotoAdded
from benchassist.core.visit import Visit
from benchassist.errors import InputError
from benchassist.services.slips.photo import MOST_BYTES, PRINT_SIDE, PhotoPrints, slip_photos
from benchassist.services.slips.slips import slip_of
from benchassist.units import UnitChoice
from tests.core import pictures
from tests.services.photo_rig import FakeEye, PhotoRig


@pytest.fixture
def rig(tmp_path: Path) -> PhotoRig:
    """A shop that keeps photos."""
    return PhotoRig(tmp_path)


def with_photos(rig: PhotoRig, folder: Path, count: int) -> Visit:
    """A visit with so many photos, each another picture; the last two have captions."""
    machine = rig.machine()
    visit_id = rig.opened(machine)
    desk = rig.photos(machine)
    for i in range(count):
        path = folder / f"{i}.png"
        path.write_bytes(pictures.png(pictures.picture(40 + i)))
        desk.add_files([path], f"photo {i}" if i >= count - 2 else "")
        rig.until(desk, lambda: not desk.strip().busy_text)
    return rig.shop.visit(visit_id)


def test_the_newest_three_stand_on_the_slip(rig: PhotoRig, tmp_path: Path) -> None:
    """Newest first, made small for print; one without words says its day."""
    visit = with_photos(rig, tmp_path, 5)
    slip = rig.shop.slip(visit.header.id)
    assert [p.caption for p in slip.photos] == ["photo 4", "photo 3", "Photo of 9 Jun 2026"]
    assert all(p.data.startswith(b"reduced to %d" % PRINT_SIDE) for p in slip.photos)
    assert [(p.width, p.height) for p in slip.photos] == [(44, 32), (43, 32), (42, 32)]


def test_without_pictures_a_slip_has_none(rig: PhotoRig, tmp_path: Path) -> None:
    """As the commands make it that do not decode."""
    assert slip_of(with_photos(rig, tmp_path, 1), UnitChoice()).photos == ()


def test_one_out_of_sight_is_not_printed(rig: PhotoRig, tmp_path: Path) -> None:
    """The one before it comes up."""
    visit = with_photos(rig, tmp_path, 2)
    desk = rig.photos(visit.header.machine.id)
    desk.remove(desk.strip().tiles[0].entry_id)
    assert [p.caption for p in rig.shop.slip(visit.header.id).photos] == ["photo 0"]


@pytest.mark.parametrize("why", ["elsewhere", "damaged", "huge", "unreadable"])
def test_the_thumbnail_stands_in(
    rig: PhotoRig, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, why: str
) -> None:
    """Where the original lies on another bench, is damaged, very large or cannot be decoded."""
    visit = with_photos(rig, tmp_path, 1)
    (entry,) = [e for e in visit.entries if isinstance(e, PhotoAdded)]
    kept = rig.store.kept_photos[entry.digest]
    (file,) = (tmp_path / "photos").glob("*/*.png")
    match why:
        case "elsewhere":
            file.unlink()
        case "damaged":
            file.write_bytes(b"rotten")
        case "huge":
            large = type(kept)(
                digest=kept.digest,
                media=kept.media,
                size=MOST_BYTES + 1,
                thumbnail=kept.thumbnail,
            )
            rig.store.kept_photos[entry.digest] = large
        case _:

            def refuse(_eye: FakeEye, _data: bytes, _side: int) -> bytes:
                raise InputError("the picture cannot be read")

            monkeypatch.setattr(FakeEye, "reduced", refuse)
    prints = PhotoPrints(rig.store, rig.shelf, FakeEye())
    (photo,) = slip_photos(visit, prints)
    assert photo.data == kept.thumbnail


def test_nothing_to_show_is_left_out(rig: PhotoRig, tmp_path: Path) -> None:
    """A photo of which nothing is on file here takes no room."""
    visit = with_photos(rig, tmp_path, 2)
    (first, _second) = [e for e in visit.entries if isinstance(e, PhotoAdded)]
    del rig.store.kept_photos[first.digest]
    next((tmp_path / "photos").glob(f"*/{first.digest}.png")).unlink()
    prints = PhotoPrints(rig.store, rig.shelf, FakeEye())
    assert [p.caption for p in slip_photos(visit, prints)] == ["photo 1"]


def test_a_picture_is_decoded_once(
    rig: PhotoRig, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The slip is asked for whenever its page is opened."""
    visit = with_photos(rig, tmp_path, 3)
    made: list[int] = []

    def reduced(_eye: FakeEye, data: bytes, _side: int) -> bytes:
        made.append(len(data))
        return data

    monkeypatch.setattr(FakeEye, "reduced", reduced)
    for _time in range(3):
        assert len(rig.shop.slip(visit.header.id).photos) == 3
    assert len(made) == 3
