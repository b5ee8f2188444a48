"""Where originals lie: untouched, named by nothing but their digests, whole or not there."""

import hashlib
import os
import subprocess
import sys
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from benchassist.core.photo import PhotoCopy
from benchassist.errors import InputError, StoreError
from benchassist.storage.photo_shelf import PhotoShelf
from tests.core import pictures


@pytest.fixture
def shelf(tmp_path: Path) -> PhotoShelf:
    """A shelf whose folder is not there yet."""
    return PhotoShelf(tmp_path / "home" / "photos")


def copy_of(shelf: PhotoShelf, data: bytes) -> PhotoCopy:
    """What another shop would send of a photo."""
    bare = shelf.stripped(data)
    digest, own = (hashlib.sha256(d).hexdigest() for d in (data, bare))
    return PhotoCopy(original=digest, digest=own, media=shelf.look_at(data).media, data=bare)


def test_an_original_lies_untouched_under_its_digest(shelf: PhotoShelf, tmp_path: Path) -> None:
    """In a folder of its first two digits, ending as its kind does; kept twice it lies once."""
    for make, suffix in ((pictures.jpeg, "jpg"), (pictures.png, "png"), (pictures.webp, "webp")):
        data = make(planted=True)
        digest = hashlib.sha256(data).hexdigest()
        assert not shelf.holds(digest)
        assert shelf.read(digest) is None
        for _time in range(2):
            assert shelf.keep(data, shelf.look_at(data).media) == digest
        lies = tmp_path / "home" / "photos" / digest[:2] / f"{digest}.{suffix}"
        assert lies.read_bytes() == data
        assert list(lies.parent.iterdir()) == [lies]
        found = shelf.read(digest)
        assert found is not None
        assert (found.data, found.whole) == (data, True)


def test_a_copy_leaves_bare_and_is_read_as_one(shelf: PhotoShelf, tmp_path: Path) -> None:
    """It lies under both digests, is known by the original's, and goes on as it came."""
    data = pictures.jpeg(orientation=6, planted=True)
    digest = shelf.keep(data, "image/jpeg")
    sent = shelf.copy(digest)
    assert sent == copy_of(shelf, data)
    other = PhotoShelf(tmp_path / "other")
    other.keep_copy(sent)
    found = other.read(digest)
    assert found is not None
    assert (found.data, found.whole) == (sent.data, False)
    assert other.copy(digest) == sent
    # The original itself comes later and is what is read from then on.
    other.keep(data, "image/jpeg")
    found = other.read(digest)
    assert found is not None
    assert found.whole


def test_a_copy_does_not_replace_what_is_there(shelf: PhotoShelf) -> None:
    """Neither an original nor another copy."""
    data = pictures.jpeg(planted=True)
    digest = shelf.keep(data, "image/jpeg")
    other = shelf.stripped(pictures.png())
    shelf.keep_copy(
        PhotoCopy(
            original=digest,
            digest=hashlib.sha256(other).hexdigest(),
            media="image/png",
            data=other,
        )
    )
    found = shelf.read(digest)
    assert found is not None
    assert found.data == data


def test_a_bare_original_is_its_own_copy(shelf: PhotoShelf) -> None:
    """Where there was nothing to take away, what comes is the original."""
    data = shelf.stripped(pictures.png())
    shelf.keep_copy(copy_of(shelf, data))
    found = shelf.read(hashlib.sha256(data).hexdigest())
    assert found is not None
    assert found.whole


@pytest.mark.parametrize("name", ["../../outside", "a" * 63, "A" * 64, "", "/etc/passwd", "*" * 64])
def test_no_name_leads_anywhere_else(shelf: PhotoShelf, tmp_path: Path, name: str) -> None:
    """A digest that is none is nothing's name, on the way in and on the way out."""
    data = shelf.stripped(pictures.jpeg())
    own = hashlib.sha256(data).hexdigest()
    before = sorted(tmp_path.rglob("*"))
    for original, digest in ((name, own), (own, name)):
        with pytest.raises(InputError):
            shelf.keep_copy(
                PhotoCopy(original=original, digest=digest, media="image/jpeg", data=data)
            )
    assert not shelf.holds(name)
    assert shelf.read(name) is None
    shelf.discard(name)
    assert sorted(tmp_path.rglob("*")) == before


def test_a_copy_that_is_another_than_it_says_is_refused(shelf: PhotoShelf) -> None:
    """Its bytes are held against its digest."""
    with pytest.raises(InputError):
        shelf.keep_copy(
            PhotoCopy(original="0" * 64, digest="1" * 64, media="image/jpeg", data=b"other")
        )


def test_a_damaged_file_is_not_read_and_is_mended_by_adding_it_again(shelf: PhotoShelf) -> None:
    """Bytes that are not what the name says are nobody's photo."""
    data = pictures.jpeg()
    digest = shelf.keep(data, "image/jpeg")
    (file,) = shelf._files(digest)
    file.write_bytes(data[:-1])
    assert shelf.holds(digest)
    assert shelf.read(digest) is None
    assert shelf.copy(digest) is None
    shelf.keep(data, "image/jpeg")
    assert shelf.read(digest) is not None


def test_a_discarded_photo_is_gone(shelf: PhotoShelf) -> None:
    """Whole or a copy."""
    digest = shelf.keep(pictures.jpeg(), "image/jpeg")
    shelf.discard(digest)
    assert not shelf.holds(digest)
    copy = copy_of(shelf, pictures.jpeg(planted=True))
    shelf.keep_copy(copy)
    shelf.discard(copy.original)
    assert not shelf.holds(copy.original)


def test_what_a_kill_left_half_written_goes(shelf: PhotoShelf, tmp_path: Path) -> None:
    """A day later with the next photo of that folder, or at once with its photo."""
    data = pictures.jpeg()
    digest = shelf.keep(data, "image/jpeg")
    room = tmp_path / "home" / "photos" / digest[:2]
    old, fresh = room / f"{digest}.jpg.7-7.new", room / f"{'f' * 64}.jpg.8-8.new"
    for begun in (old, fresh):
        begun.write_bytes(data[:99])
    os.utime(old, (0.0, 0.0))
    (room / f"{digest}.jpg").unlink()
    shelf.keep(data, "image/jpeg")
    assert not old.exists()
    assert fresh.exists()
    old.write_bytes(data[:99])
    shelf.discard(digest)
    assert list(room.iterdir()) == [fresh]


def test_a_folder_that_takes_nothing_is_told_in_one_line(tmp_path: Path) -> None:
    """A file where the folder should be; a disk that is full leaves nothing half written."""
    (tmp_path / "photos").write_text("in the way")
    with pytest.raises(StoreError, match=r"cannot be kept in .*photos"):
        PhotoShelf(tmp_path / "photos").keep(pictures.jpeg(), "image/jpeg")


def test_a_full_disk_leaves_nothing_behind(
    shelf: PhotoShelf, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Neither the photo nor what was begun of it."""

    def full(self: Path, _data: bytes) -> int:
        self.touch()
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(StoreError, match="No space left on device"):
        shelf.keep(pictures.jpeg(), "image/jpeg")
    assert [p for p in tmp_path.rglob("*") if p.is_file()] == []


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=25)
@given(data=st.binary(max_size=200), name=st.text(max_size=80))
def test_whatever_comes_stays_within_the_folder(
    shelf: PhotoShelf, tmp_path: Path, data: bytes, name: str
) -> None:
    """Every file that appears is named by digests."""
    with suppress(InputError):
        shelf.keep_copy(
            PhotoCopy(
                original=name,
                digest=hashlib.sha256(data).hexdigest(),
                media="image/jpeg",
                data=data,
            )
        )
    shelf.keep(data, "image/png")
    for file in tmp_path.rglob("*"):
        if file.is_file():
            assert file.parent.parent == tmp_path / "home" / "photos"
            assert set(file.stem) <= set("0123456789abcdef-")


def test_without_qt_or_a_database(tmp_path: Path) -> None:
    """A photo is stripped for the export with the standard library alone."""
    (tmp_path / "p.jpg").write_bytes(pictures.jpeg(planted=True))
    code = (
        "import sys; from pathlib import Path\n"
        "from benchassist.storage.photo_text import stripped\n"
        f"stripped(Path({str(tmp_path / 'p.jpg')!r}).read_bytes())\n"
        "assert not [m for m in sys.modules if m.startswith(('PySide6', 'PIL'))]\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
