"""Originals that go along with a backup: each once, held against its digest, all or none."""

import hashlib
from pathlib import Path

import pytest

from benchassist.errors import StoreError
from benchassist.storage.photo_cargo import Carried, carry, folder_beside, still_to_carry
from benchassist.storage.photo_shelf import PhotoShelf
from tests.core import pictures

DATA = tuple(pictures.jpeg(pictures.picture(20 + n, 16), planted=True) for n in range(4))
DIGESTS = tuple(hashlib.sha256(data).hexdigest() for data in DATA)


@pytest.fixture
def home(tmp_path: Path) -> PhotoShelf:
    """Return the shelf of a home with four photos."""
    shelf = PhotoShelf(tmp_path / "home" / "photos")
    for data in DATA:
        shelf.keep(data, "image/jpeg")
    return shelf


@pytest.fixture
def stick(tmp_path: Path) -> PhotoShelf:
    """Return the shelf of a stick whose folder is not there yet."""
    return PhotoShelf(folder_beside(tmp_path / "stick" / "b.sqlite"))


def files(tmp_path: Path) -> list[Path]:
    """What lies on the stick."""
    return sorted(f for f in (tmp_path / "stick").rglob("*") if f.is_file())


def test_they_lie_beside_the_backup_as_at_home(
    home: PhotoShelf, stick: PhotoShelf, tmp_path: Path
) -> None:
    """Untouched; a second time none is copied, a new one is."""
    assert sum(still_to_carry(home, stick, DIGESTS[:3])) == sum(map(len, DATA[:3]))
    assert carry(home, stick, DIGESTS[:3]) == Carried(copied=3)
    folder = tmp_path / "stick" / "benchassist-photos"
    lying = [folder / digest[:2] / f"{digest}.jpg" for digest in DIGESTS[:3]]
    assert files(tmp_path) == sorted(lying)
    assert [file.read_bytes() for file in lying] == list(DATA[:3])
    before = [file.stat().st_mtime_ns for file in lying]
    assert still_to_carry(home, stick, DIGESTS) == [len(DATA[3])]
    assert carry(home, stick, DIGESTS) == Carried(copied=1, there=3)
    assert [file.stat().st_mtime_ns for file in lying] == before


def test_one_that_was_harmed_there_is_copied_anew(
    home: PhotoShelf, stick: PhotoShelf, tmp_path: Path
) -> None:
    """Whatever its length; nothing is believed without its digest."""
    carry(home, stick, DIGESTS)
    file = files(tmp_path)[0]
    whole = file.read_bytes()
    file.write_bytes(bytes(len(whole)))
    assert carry(home, stick, DIGESTS) == Carried(copied=1, there=3)
    assert file.read_bytes() == whole


def test_one_that_is_nowhere_is_counted(home: PhotoShelf, stick: PhotoShelf) -> None:
    """So is one that was harmed at home; one that only the stick has is there."""
    carry(home, stick, DIGESTS[:1])
    for digest in DIGESTS[:2]:
        home.discard(digest)
    assert carry(home, stick, [*DIGESTS, "a" * 64]) == Carried(copied=2, there=1, absent=2)


def test_they_come_back(home: PhotoShelf, stick: PhotoShelf, tmp_path: Path) -> None:
    """The missing and the harmed, to where they lay."""
    carry(home, stick, DIGESTS)
    home.discard(DIGESTS[0])
    lies = tmp_path / "home" / "photos" / DIGESTS[1][:2] / f"{DIGESTS[1]}.jpg"
    lies.write_bytes(b"harmed")
    assert len(still_to_carry(stick, home, DIGESTS)) == 2
    assert carry(stick, home, DIGESTS) == Carried(copied=2, there=2)
    found = [home.read(digest) for digest in DIGESTS]
    assert [one.data for one in found if one is not None] == list(DATA)


def test_a_copy_goes_along_until_the_original_does(
    home: PhotoShelf, stick: PhotoShelf, tmp_path: Path
) -> None:
    """What came from another shop instead of it is taken as it lies; it displaces no original."""
    other = PhotoShelf(tmp_path / "other")
    sent = home.copy(DIGESTS[0])
    assert sent is not None
    other.keep_copy(sent)
    assert carry(other, stick, DIGESTS[:1]) == Carried(copied=1)
    found = stick.read(DIGESTS[0])
    assert found is not None
    assert not found.whole
    assert carry(home, stick, DIGESTS[:1]) == Carried(copied=1)
    assert carry(other, stick, DIGESTS[:1]) == Carried(there=1)
    found = stick.read(DIGESTS[0])
    assert found is not None
    assert found.whole
    # Erased, neither is left.
    stick.discard(DIGESTS[0])
    assert files(tmp_path) == []


def test_what_ends_it_takes_back_what_was_copied(
    home: PhotoShelf, stick: PhotoShelf, tmp_path: Path
) -> None:
    """What was there before stays."""
    carry(home, stick, DIGESTS[:1])
    before, told = files(tmp_path), list[tuple[int, int]]()

    def end(done: int, whole: int) -> None:
        told.append((done, whole))
        if done == 3:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        carry(home, stick, DIGESTS, end)
    assert told == [(0, 4), (1, 4), (2, 4), (3, 4)]
    assert files(tmp_path) == before


def test_a_disk_that_does_not_keep_it_is_told(
    home: PhotoShelf, stick: PhotoShelf, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was written is read again; what is not the same is not left there."""
    real = PhotoShelf._write

    def write(shelf: PhotoShelf, file: Path, data: bytes) -> None:
        real(shelf, file, data)
        if file.stem == max(DIGESTS):
            file.write_bytes(data[:-1])

    monkeypatch.setattr(PhotoShelf, "_write", write)
    with pytest.raises(StoreError, match="not written as it is"):
        carry(home, stick, DIGESTS)
    assert files(tmp_path) == []
