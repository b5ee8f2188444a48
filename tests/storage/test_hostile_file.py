"""Files that are none, never end or unpack to more than there is room for: refused in one line."""

import gzip
import io
import os
import struct
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from benchassist.assembly import Place, keeping
from benchassist.errors import BenchError, InputError
from benchassist.services.runs.analysis import HEAT
from benchassist.services.runs.file import RunReading
from benchassist.specbook.loader import gathered
from benchassist.storage import chunk, open_store
from benchassist.storage.chunk import Chunk, pack_chunk, unpack_chunk
from benchassist.storage.parcel import read_parcels
from tests.storage.case import header, settled


def pipe(folder: Path) -> Path:
    """A pipe that nobody writes to."""
    path = folder / "pipe.toml"
    os.mkfifo(path)
    return path


def endless(_folder: Path) -> Path:
    """A device that never ends."""
    return Path("/dev/zero")


def link_to_endless(folder: Path) -> Path:
    """A link to it."""
    path = folder / "link.toml"
    path.symlink_to("/dev/zero")
    return path


def loop(folder: Path) -> Path:
    """A link to itself."""
    path = folder / "loop.toml"
    path.symlink_to(path)
    return path


def a_folder(folder: Path) -> Path:
    """A folder."""
    path = folder / "folder.toml"
    path.mkdir()
    return path


def gone(folder: Path) -> Path:
    """A file that is not there, under a name over two lines that steers a terminal."""
    return folder / "..\\..\n\x1b[2J.toml"


NO_FILES = (pipe, endless, link_to_endless, loop, a_folder, gone)


def as_import(path: Path) -> None:
    """Named as an export to take in."""
    read_parcels(path)


def as_log(path: Path) -> None:
    """Named as a log from elsewhere."""
    reading = RunReading(path, HEAT)
    for _share in reading.parts():
        pass
    reading.result()


def as_shop(path: Path) -> None:
    """Named as the shop's file."""
    with open_store(path, read_only=True):
        pass


def as_backup(path: Path) -> None:
    """Named as a backup to restore."""
    keeping.look_at(Place(str(path.parent / "shop.sqlite"), path.parent, named=True), path)


@pytest.mark.parametrize("make", NO_FILES, ids=lambda make: make.__name__)
@pytest.mark.parametrize("way", [as_import, as_log, as_shop, as_backup])
def test_what_is_no_file_is_refused(
    tmp_path: Path, way: Callable[[Path], None], make: Callable[[Path], Path]
) -> None:
    """Nothing is waited for, nothing is read without end."""
    with pytest.raises(BenchError) as error:
        way(make(tmp_path))
    assert str(error.value)


@pytest.mark.parametrize("make", NO_FILES[:-1], ids=lambda make: make.__name__)
def test_a_profile_that_is_no_file_is_left_out(
    tmp_path: Path, make: Callable[[Path], Path]
) -> None:
    """The book opens without it and says so."""
    folder = tmp_path / "profiles" / "meters"
    folder.mkdir(parents=True)
    made = make(folder)
    if made.parent != folder:
        made = folder / "device.toml"
        made.symlink_to("/dev/zero")
    shelf = gathered(tmp_path / "profiles")
    assert [fault.path for fault in shelf.faults] == [made]


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 100_000,
        "a = " + "9" * 5000,
        "a = " + "{a=" * 50_000,
        "\ufeff\x00",
        "a" * 5 * 2**20,
        'key = "x"\nkey = "y"\n',
    ],
    ids=["nesting", "number", "tables", "nul", "large", "twice"],
)
def test_a_profile_that_is_a_bomb_is_left_out(tmp_path: Path, text: str) -> None:
    """Nested too deep, a number of thousands of digits, megabytes: a fault of that file."""
    folder = tmp_path / "meters"
    folder.mkdir()
    (folder / "mine.toml").write_text(text, "utf-8")
    (fault,) = gathered(tmp_path).faults
    assert fault.path == folder / "mine.toml"
    assert len(str(fault)) < 500


def zipped() -> bytes:
    """A zip archive."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as archive:
        archive.writestr("../../visits.json", "{}")
    return made.getvalue()


@pytest.mark.parametrize(
    "content",
    [
        gzip.compress(b"{}" * 1000),
        zipped(),
        '{"format": "benchassist-visit"}'.encode("utf-16"),
        '{"format": "benchassist-visit"}'.encode("utf-32"),
        b"\xef\xbb\xbf{}",
        b'{"format": ' * 30 + b"1" + b"}" * 30,
        b'{"format": "benchassist-visit", "version": ' + b"9" * 18 + b"}",
        b'{"format": "benchassist-visit", "version": 1e308}',
        b'{"format": "benchassist-visit", "version": 1, "visit": {"slip_number": "'
        + b"\\u001b[2J" * 1000
        + b'"}}',
    ],
    ids=["gz", "zip", "utf-16", "utf-32", "bom", "nested", "whole", "large", "terminal"],
)
def test_another_kind_of_file_is_no_export(tmp_path: Path, content: bytes) -> None:
    """One line that can be shown, whatever the file says."""
    file = tmp_path / "came.json"
    file.write_bytes(content)
    with pytest.raises(InputError) as error:
        read_parcels(file)
    assert str(error.value).isprintable()
    assert len(str(error.value)) < 300 + len(str(file))


def test_samples_that_unpack_to_gigabytes_are_damaged() -> None:
    """No more is unpacked than samples are told, and no more are told than a chunk has."""
    count = 1000
    ticks = np.cumsum(np.arange(count, dtype=np.int64) % 7 + 1)
    sound = pack_chunk(Chunk(ticks, np.full(count, 1.5), np.zeros(count, np.uint16)))
    over = np.zeros(1, np.bool_)
    assert len(unpack_chunk(sound, over)) == count
    huge = bytearray(sound)
    struct.pack_into("<I", huge, 1, 2**32 - 1)
    with pytest.raises(ValueError, match="samples"):
        unpack_chunk(bytes(huge), over)
    bomb = zlib.compress(bytes(2**24), 9)
    first = struct.pack("<qqB", 0, 0, 1) + struct.pack("<I", len(bomb)) + bomb
    sizes = struct.unpack_from("<BIIII", sound)
    rest = sound[chunk.HEAD.size + sizes[2] :]
    spoilt = chunk.HEAD.pack(sizes[0], count, len(first), sizes[3], sizes[4]) + first + rest
    with pytest.raises(ValueError, match="another length"):
        unpack_chunk(spoilt, over)


def test_a_name_that_leads_elsewhere_stays_a_name(tmp_path: Path) -> None:
    """Ids and numbers with the signs of a path are kept as text: no file is named by them."""
    file = tmp_path / "in" / "shop.sqlite"
    file.parent.mkdir()
    with open_store(file) as store:
        visit = header("../../0001")
        settled(store, store.submit_visit(visit))
        assert store.visit("../../0001")[0] == visit
    assert {p.name for p in tmp_path.iterdir()} == {"in"}
