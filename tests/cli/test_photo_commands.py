"""Photos without a window: exported bare and without Qt, taken in, printed on the slip."""

import hashlib
import json
import shutil
from base64 import b64decode
from pathlib import Path
from uuid import uuid4

import jsonschema
import numpy as np
import pytest
from PIL import Image

from benchassist.core.entry import PhotoAdded, Stamp
from benchassist.core.photo import Photo
from benchassist.storage import open_store
from benchassist.storage.exchange import visit_json_schema
from benchassist.storage.photo_shelf import PhotoShelf
from tests.cli.conftest import DemoShop
from tests.cli.program import Program
from tests.core import pictures
from tests.end_to_end.paper import pages_of, poppler


@pytest.fixture
def photographed(shop: DemoShop, tmp_path: Path) -> tuple[Path, Path, str]:
    """The demo's shop with a photo on its newest visit: the file, the home, the visit."""
    file, home, visit = tmp_path / "shop.sqlite", tmp_path / "home", shop.visits[-1]
    shutil.copy(shop.file, file)
    data = pictures.jpeg(pictures.picture(640, 480), 6, planted=True)
    digest = PhotoShelf(home / "photos").keep(data, "image/jpeg")
    with open_store(file) as store:
        _header, entries = store.visit(visit)
        last = entries[-1].stamp
        entry = PhotoAdded(
            stamp=Stamp(id=str(uuid4()), visit_id=visit, seq=last.seq + 1, at=last.at),
            digest=digest,
            media="image/jpeg",
            width=480,
            height=640,
            caption="=coil, crack by tab",
        )
        small = PhotoShelf(home).stripped(pictures.jpeg(pictures.picture(32, 24)))
        row = Photo(digest=digest, media="image/jpeg", size=len(data), thumbnail=small)
        for ticket in (store.submit_photo(row), store.submit(entry)):
            said = store.wait(30.0)
            assert said is not None
            assert said.ticket == ticket
    return file, home, visit


def test_an_export_carries_photos_bare_and_needs_no_qt(
    program: Program, photographed: tuple[Path, Path, str], tmp_path: Path
) -> None:
    """Place and camera stay in the shop; the document fits the package's schema."""
    file, home, visit = photographed
    out = tmp_path / "out.json"
    done = program("visits", "export", visit, "--out", out, "--shop", file, "--home", home)
    assert (done.code, done.err) == (0, "")
    assert not done.has_loaded("PySide6")
    text = out.read_text("utf-8")
    document = json.loads(text)
    jsonschema.validate(document, visit_json_schema())
    (photo,) = document["photos"]
    data = b64decode(photo["copy"]["data"])
    assert hashlib.sha256(data).hexdigest() == photo["copy"]["digest"] != photo["digest"]
    assert [word for word in pictures.PLANTED if word in data or word in text.encode()] == []


def test_another_shop_takes_them_in_once_and_exports_the_same(
    program: Program, photographed: tuple[Path, Path, str], tmp_path: Path
) -> None:
    """Its home has the copy; a second import changes nothing."""
    file, home, visit = photographed
    out, back = tmp_path / "out.json", tmp_path / "back.json"
    program("visits", "export", visit, "--out", out, "--shop", file, "--home", home)
    there = ("--shop", tmp_path / "there.sqlite", "--home", tmp_path / "there")
    first = program("visits", "import", out, "--json", *there)
    assert (first.code, first.json["imported"]) == (0, 1)
    lying = sorted((tmp_path / "there" / "photos").rglob("*.jpg"))
    assert len(lying) == 1
    again = program("visits", "import", out, "--json", *there)
    assert (again.code, again.json["imported"], again.json["unchanged"]) == (0, 0, 1)
    assert sorted((tmp_path / "there" / "photos").rglob("*.jpg")) == lying
    assert not again.has_loaded("PySide6")
    program("visits", "export", visit, "--out", back, *there)
    assert back.read_text("utf-8") == out.read_text("utf-8")


def test_the_slip_shows_the_photo_upright_in_grey(
    program: Program, photographed: tuple[Path, Path, str], tmp_path: Path
) -> None:
    """One page, one picture more than the tag's code, nothing of the camera in the file."""
    file, home, visit = photographed
    pdf = tmp_path / "slip.pdf"
    done = program("slip", visit, "--out", pdf, "--shop", file, "--home", home)
    assert (done.code, done.err) == (0, "")
    assert pages_of(pdf) == 1
    poppler("pdfimages", "-png", pdf, tmp_path / "printed")
    (printed,) = tmp_path.glob("printed-*.png")
    with Image.open(printed) as image:
        assert image.size == (480, 640)
        assert np.ptp(np.asarray(image.convert("RGB")).astype(int), axis=2).max() == 0
    assert "=coil, crack by tab" in poppler("pdftotext", "-layout", pdf, "-")
    assert [word for word in pictures.PLANTED if word in pdf.read_bytes()] == []


def test_without_its_home_the_thumbnail_goes(
    program: Program, photographed: tuple[Path, Path, str], tmp_path: Path
) -> None:
    """Exported on another bench of the shop, the document says that the file is not there."""
    file, _home, visit = photographed
    out = tmp_path / "out.json"
    done = program(
        "visits", "export", visit, "--out", out, "--shop", file, "--home", tmp_path / "b"
    )
    assert done.code == 0
    (photo,) = json.loads(out.read_text("utf-8"))["photos"]
    assert photo["copy"] is None
    assert b64decode(photo["thumbnail"]).startswith(b"\xff\xd8")
