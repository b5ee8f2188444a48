"""Photos on their way from shop to shop: without place and camera, whole, once, and bounded."""

import hashlib
import json
from base64 import b64decode, b64encode
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from benchassist.core.entry import Entry, PhotoAdded, PhotoRemoved
from benchassist.core.photo import Photo
from benchassist.core.photo_log import photos_of
from benchassist.core.visit import VisitHeader
from benchassist.errors import InputError
from benchassist.storage import open_store, photo_text
from benchassist.storage.exchange import export_visits, visit_json_schema
from benchassist.storage.intake import Taking
from benchassist.storage.parcel import read_parcels
from benchassist.storage.photo_account import PhotoPost
from benchassist.storage.photo_shelf import PhotoShelf
from benchassist.storage.store import SqlStore
from tests.core import pictures
from tests.storage.case import Scribe, header, settled

SCHEMA = Draft202012Validator(visit_json_schema())
Document = dict[str, Any]


def small(data: bytes) -> bytes:
    """A small picture as the shop keeps it, here of the same size."""
    image = pictures.picture(16, 12)
    return photo_text.stripped(pictures.jpeg(image)) if data else b""


@dataclass
class Bench:
    """A shop and the folder of its photos."""

    store: SqlStore
    shelf: PhotoShelf

    def add(self, scribe: Scribe, data: bytes, *, caption: str = "", lies: bool = True) -> Entry:
        """Add a photo as the program does; `lies` false: on another bench."""
        facts = self.shelf.look_at(data)
        digest = hashlib.sha256(data).hexdigest()
        if lies:
            assert self.shelf.keep(data, facts.media) == digest
        photo = Photo(digest=digest, media=facts.media, size=len(data), thumbnail=small(data))
        width, height = facts.upright
        entry = PhotoAdded(
            stamp=scribe.stamp(),
            digest=digest,
            media=facts.media,
            width=width,
            height=height,
            caption=caption,
        )
        settled(self.store, self.store.submit_photo(photo), self.store.submit(entry))
        return entry

    def told(self, *visits: VisitHeader, room: int | None = None) -> Document:
        """An export, as it stands in its file."""
        post = PhotoPost(self.store.photos, self.shelf.copy)
        if room is not None:
            post.room = room
        document = export_visits(
            [self.store.visit(v.id) for v in visits], self.store.run_record, post
        )
        read: Document = json.loads(json.dumps(document, allow_nan=False))
        return read

    def take_in(self, folder: Path, document: Document) -> Taking:
        """Import it."""
        file = folder / "came.json"
        file.write_text(json.dumps(document), "utf-8")
        return self.store.take_in(read_parcels(file), self.shelf.keep_copy).wait()


@pytest.fixture
def here(store: SqlStore, tmp_path: Path) -> Bench:
    """The shop that takes in."""
    return Bench(store, PhotoShelf(tmp_path / "here"))


@pytest.fixture
def there(tmp_path: Path) -> Iterator[Bench]:
    """The shop from which visits come."""
    with open_store(tmp_path / "there.sqlite") as opened:
        yield Bench(opened, PhotoShelf(tmp_path / "there"))


@pytest.fixture
def visit(there: Bench) -> VisitHeader:
    """A visit with a photo of each kind, one of which lies on another bench, and one removed."""
    made = header()
    settled(there.store, there.store.submit_visit(made))
    scribe = Scribe(made)
    there.add(scribe, pictures.jpeg(orientation=6, planted=True), caption="<b>coil</b>")
    there.add(scribe, pictures.png(planted=True))
    there.add(scribe, pictures.webp(orientation=3, planted=True), lies=False)
    gone = there.add(scribe, pictures.jpeg(pictures.picture(20, 20), planted=True))
    removed = PhotoRemoved(stamp=scribe.stamp(), entry_id=gone.stamp.id)
    settled(there.store, there.store.submit(removed))
    return made


def test_photos_come_over_bare_and_go_on_as_they_came(
    here: Bench, there: Bench, visit: VisitHeader, tmp_path: Path
) -> None:
    """Exported, imported and exported again the document is the same; nothing planted is in it."""
    sent = there.told(visit)
    SCHEMA.validate(sent)
    assert here.take_in(tmp_path, sent) == Taking(imported=1)
    assert here.told(visit) == sent

    told = sent["photos"]
    assert [bool(photo["copy"]) for photo in told] == [True, True, False]
    assert [(photo["width"], photo["height"]) for photo in told] == [(32, 48), (48, 32), (48, 32)]
    for photo in told:
        assert here.store.photos([photo["digest"]]) == there.store.photos([photo["digest"]])
        for text in (photo["thumbnail"], (photo["copy"] or {"data": ""})["data"]):
            assert [word for word in pictures.PLANTED if word in b64decode(text)] == []
    text = json.dumps(sent).encode()
    assert [word for word in pictures.PLANTED if word in text or b64encode(word) in text] == []


def test_a_photo_keeps_its_originals_digest_and_says_it_is_a_copy(
    here: Bench, there: Bench, visit: VisitHeader, tmp_path: Path
) -> None:
    """Known by the one, checked by the other; the original replaces it when it comes."""
    here.take_in(tmp_path, there.told(visit))
    first = photos_of(here.store.visit(visit.id)[1])[0].entry
    found, whole = here.shelf.read(first.digest), there.shelf.read(first.digest)
    assert found is not None
    assert whole is not None
    assert not found.whole
    assert found.data == photo_text.stripped(whole.data)


def test_importing_twice_or_back_changes_nothing(
    here: Bench, there: Bench, visit: VisitHeader, tmp_path: Path
) -> None:
    """Neither the shop nor the folder; the originals of the shop it came from stay."""
    here.take_in(tmp_path, there.told(visit))
    before = sorted((p, p.stat().st_mtime_ns) for p in (tmp_path / "here").rglob("*"))
    assert here.take_in(tmp_path, there.told(visit)) == Taking(unchanged=1)
    assert sorted((p, p.stat().st_mtime_ns) for p in (tmp_path / "here").rglob("*")) == before
    assert there.take_in(tmp_path, here.told(visit)) == Taking(unchanged=1)
    first = photos_of(there.store.visit(visit.id)[1])[0].entry
    found = there.shelf.read(first.digest)
    assert found is not None
    assert found.whole


def test_a_file_that_was_missing_comes_with_a_second_import(
    here: Bench, there: Bench, visit: VisitHeader, tmp_path: Path
) -> None:
    """The visit is on file, its photo lies on another bench: the export brings it."""
    document = there.told(visit, room=0)
    assert [photo["copy"] for photo in document["photos"]] == [None, None, None]
    here.take_in(tmp_path, document)
    digest = document["photos"][0]["digest"]
    assert not here.shelf.holds(digest)
    assert here.take_in(tmp_path, there.told(visit)) == Taking(unchanged=1)
    assert here.shelf.holds(digest)


def test_an_export_has_room_for_so_much(there: Bench, visit: VisitHeader) -> None:
    """What does not fit goes small, and is counted."""
    first = there.shelf.copy(there.told(visit)["photos"][0]["digest"])
    assert first is not None
    post = PhotoPost(there.store.photos, there.shelf.copy, room=len(first.data))
    export_visits([there.store.visit(visit.id)], photos=post)
    assert post.left_out == 1


def test_an_export_of_an_earlier_program_has_no_photos(
    here: Bench, there: Bench, tmp_path: Path
) -> None:
    """It is taken in as ever."""
    made = header()
    settled(there.store, there.store.submit_visit(made))
    document = there.told(made)
    del document["photos"]
    assert here.take_in(tmp_path, document) == Taking(imported=1)


def test_a_stranger_cannot_give_a_photo_of_another_visit_a_face(
    here: Bench, there: Bench, tmp_path: Path
) -> None:
    """Its original lies on another bench: what a new visit brings under its name is not kept."""
    data = pictures.jpeg(orientation=6, planted=True)
    own, theirs = header("0001"), header("0002")
    settled(here.store, here.store.submit_visit(own))
    entry = here.add(Scribe(own), data, lies=False)
    settled(there.store, there.store.submit_visit(theirs))
    there.add(Scribe(theirs), data)
    document = there.told(theirs)
    other = photo_text.stripped(pictures.jpeg(pictures.picture().rotate(180), 6))
    document["photos"][0]["copy"] = copy_told(other)
    assert here.take_in(tmp_path, document) == Taking(imported=1)
    assert not here.shelf.holds(entry.digest)  # type: ignore[union-attr]


def copy_told(data: bytes) -> Document:
    """A copy as an export tells it."""
    return {
        "digest": hashlib.sha256(data).hexdigest(),
        "size": len(data),
        "data": b64encode(data).decode(),
    }


PATH = "../" * 21 + "x"
LARGE = b64encode(pictures.jpeg(pictures.picture(400, 300))).decode()
OTHER = b64encode(pictures.png()).decode()
UNTRUE: dict[str, tuple[Document, Document]] = {
    "not named": ({"digest": "1" * 64}, {}),
    "path": ({"digest": PATH}, {"digest": PATH}),
    "media": ({"media": "image/../../x"}, {"media": "image/../../x"}),
    "copy differs": ({"copy": copy_told(b"one") | {"data": OTHER}}, {}),
    "copy is another": ({"copy": copy_told(pictures.png())}, {}),
    "copy is none": ({"copy": copy_told(b"\xff\xd8 no picture")}, {}),
    "not base64": ({"copy": copy_told(b"") | {"data": "****"}}, {}),
    "copy is a number": ({"copy": 5}, {}),
    "thumbnail is large": ({"thumbnail": LARGE}, {}),
    "thumbnail is another kind": ({"thumbnail": OTHER}, {}),
    "thumbnail is endless": ({"thumbnail": "A" * 10_000_000}, {}),
    "size": ({"size": 2**40}, {}),
    "size is text": ({"size": "5"}, {}),
}
"""What is said of a photo that cannot be, and of its entry."""


def refused(bench: Bench, folder: Path, document: Document) -> None:
    """It is refused in one line that names the visit, before anything is written."""
    with pytest.raises(InputError, match="visit 0001 cannot be read: ") as error:
        bench.take_in(folder, document)
    assert "\n" not in str(error.value)
    assert bench.store.visits() == ()
    assert not (folder / "here").exists()


@pytest.mark.parametrize("how", UNTRUE)
def test_a_photo_that_is_not_what_it_says_is_refused(
    here: Bench, there: Bench, visit: VisitHeader, tmp_path: Path, how: str
) -> None:
    """Names that lead elsewhere, bytes that are none, others or too many."""
    document = there.told(visit)
    photo, entry = UNTRUE[how]
    document["photos"][0] |= photo
    first = next(e for e in document["record"]["entries"] if e["kind"] == "photo_added")
    first |= entry
    refused(here, tmp_path, document)


@pytest.mark.parametrize("photos", [{}, [[[]]], "twice", 5])
def test_a_list_of_photos_that_is_none_is_refused(
    here: Bench, there: Bench, visit: VisitHeader, tmp_path: Path, photos: object
) -> None:
    """Another shape, or the same photo twice."""
    document = there.told(visit)
    document["photos"] = document["photos"][:1] * 2 if photos == "twice" else photos
    refused(here, tmp_path, document)


def test_a_file_that_brings_a_place_is_taken_in_without(
    here: Bench, there: Bench, visit: VisitHeader, tmp_path: Path
) -> None:
    """Another program's export may not have stripped its photos: they are stripped on arrival."""
    document = there.told(visit)
    raw = pictures.jpeg(orientation=6, planted=True)
    photo = document["photos"][0]
    photo["copy"] = copy_told(raw)
    photo["thumbnail"] = b64encode(pictures.jpeg(planted=True)).decode()
    here.take_in(tmp_path, document)
    kept = b"".join(p.read_bytes() for p in (tmp_path / "here").rglob("*") if p.is_file())
    kept += here.store.photos([photo["digest"]])[photo["digest"]].thumbnail
    assert [word for word in pictures.PLANTED if word in kept] == []


def test_what_a_shop_keeps_of_a_photo_is_kept_once(there: Bench, visit: VisitHeader) -> None:
    """Handing it in again changes nothing; the log tells every visit's photos in order."""
    log = there.store.photo_log(visit.machine.id)
    assert [(v.visit_id, len(v.entries), v.closed) for v in log] == [(visit.id, 5, False)]
    digest = photos_of(log[0].entries)[0].entry.digest
    kept = there.store.photos([digest])[digest]
    again = Photo(digest=digest, media="image/png", size=1, thumbnail=b"other")
    settled(there.store, there.store.submit_photo(again))
    assert there.store.photos([digest, "f" * 64]) == {digest: kept}
