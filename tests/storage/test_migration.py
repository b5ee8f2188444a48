"""A shop of every earlier revision, with data, is brought up and holds what it held."""

import hashlib
import json
import subprocess
import sys
from pathlib import Path

import pytest
from sqlalchemy import text

from benchassist.core.visit import Visit
from benchassist.errors import ShopFileError
from benchassist.storage import open_store
from benchassist.storage.codec import encode, to_text
from benchassist.storage.exchange import export_summary, export_visit
from benchassist.storage.run_record import record_account
from benchassist.storage.schema import HEAD
from tests.storage.case import Scribe, header, settled
from tests.storage.killing import ROOT
from tests.storage.old_shop import OLD, bare_engine, lay, lay_many, migrated, revision_of
from tests.storage.run_case import reading, recorded
from tests.storage.shop_rows import cleared, columns, rows
from tests.storage.test_process import sound


def assert_told(old: object, new: object, where: str = "") -> None:
    """Everything an old document says is said by the new one, which may say more."""
    match old:
        case dict():
            assert isinstance(new, dict), where
            for name, value in old.items():
                assert name in new, f"{where}.{name}"
                assert_told(value, new[name], f"{where}.{name}")
        case list():
            assert isinstance(new, list), where
            assert len(old) == len(new), where
            for number, (one, other) in enumerate(zip(old, new, strict=True)):
                assert_told(one, other, f"{where}[{number}]")
        case _:
            assert old == new, where


@pytest.mark.parametrize("at", OLD)
def test_a_shop_of_every_revision_reads_the_same_once_brought_up(location: str, at: str) -> None:
    """Visits, runs, exports and the counter's list are what they were; work goes on in it."""
    old = lay(location, at)
    assert revision_of(location) == at
    with open_store(location) as store:
        for header_, entries in old.visits:
            assert store.visit(header_.id) == (header_, entries)
            assert store.visit(header_.slip_number) == (header_, entries)
        listed = store.visits()
        told = [json.loads(json.dumps(export_summary(v))) for v in listed]
        assert_told(list(old.listed), told)
        for run in old.runs:
            assert record_account(store.run_record(run.header.id)) == record_account(run)
        for document, (visit, _entries) in zip(old.documents, old.visits, strict=True):
            said = json.loads(json.dumps(export_visit(*store.visit(visit.id), store.run_record)))
            if at == "0003":
                del said["record"]["entries"][len(document["record"]["entries"]) :]
            assert_told(document, said)
        assert {v.id for v in store.visits(open_only=True)} == {
            v.id for v, entries in old.visits if not Visit(v, entries).closed
        }
        still_open, entries = next(v for v in old.visits if not Visit(*v).closed)
        fresh = header(store.next_slip_number())
        more = Scribe(still_open, after=len(entries)).taken()
        settled(store, store.submit_visit(fresh), store.submit(more))
        run_id = recorded(store, [reading(1.0)])
    with open_store(location) as store:
        assert store.visit(still_open.id)[1][-1] == more
        assert store.visit(fresh.id) == (fresh, ())
        assert len(store.run_samples(run_id, "A")) == 1
    assert revision_of(location) == HEAD
    assert sound(location)


def test_a_migrated_visit_is_as_one_written_now(location: str, tmp_path: Path) -> None:
    """Header, procedure and causes stand in the same words under the same digests."""
    old = lay(location, "0002")
    open_store(location).close()
    with open_store(tmp_path / "fresh.sqlite") as store:
        for visit, entries in old.visits:
            settled(store, store.submit_visit(visit), store.submit(*entries))
    here = {row["id"]: row for row in columns(location, "visit")}
    fresh = {row["id"]: row for row in columns(str(tmp_path / "fresh.sqlite"), "visit")}
    assert here.keys() == fresh.keys()
    texts = {row["digest"]: row["body"] for row in columns(location, "frozen")}
    assert all(hashlib.sha256(b.encode()).hexdigest() == d for d, b in texts.items())
    alike = 0
    for visit, _entries in old.visits:
        one, other = here[visit.id], fresh[visit.id]
        assert str(one["closed_at"])[:26] == str(other["closed_at"])[:26]
        now = encode(visit)
        del now["apart_of"]
        # A header of a still older program lacks more, and keeps its words.
        if old.headers[visit.id] == to_text(now):
            alike += 1
            for name in ("header", "procedure_digest", "causes_digest"):
                assert one[name] == other[name]
    assert alike >= 3
    # Six visits of two procedures' wordings at most, and one book of causes.
    assert len(texts) <= 3


@pytest.mark.parametrize("down", ["0002", "0001"])
def test_a_migration_goes_back_without_loss(location: str, down: str) -> None:
    """Brought up and down again every row is what it was, a header with causes to the letter."""
    lay(location, down)
    before = rows(location)
    with bare_engine(location) as engine:
        migrated(engine, "head")
    assert rows(location).keys() > before.keys()
    with bare_engine(location) as engine:
        migrated(engine, down)
    after = rows(location)
    for shop in (before, after):
        for visit in shop["visit"]:
            told = json.loads(visit["header"])
            # Where there were none, an older program did not say so.
            visit["header"] = told if told.pop("causes", None) is None else visit["header"]
        shop["visit"].sort(key=lambda visit: visit["id"])
    assert after == before


def test_what_the_revision_before_cannot_hold_is_not_dropped(location: str) -> None:
    """A shop with marks, photos or erased machines refuses to go back, and stays as it is."""
    lay(location, "0003")
    before = rows(location)
    with bare_engine(location) as engine, pytest.raises(ValueError, match="cannot"):
        migrated(engine, "0002")
    assert rows(location) == before


@pytest.mark.parametrize("header_text", ["not JSON", "[]", '{"id":1}', "{}"])
def test_a_header_that_cannot_be_read_stops_nothing(location: str, header_text: str) -> None:
    """It was unreadable before; every other visit is brought up, and it stays as it is."""
    old = lay(location, "0002")
    lost = old.visits[1][0].id
    with bare_engine(location) as engine, engine.begin() as connection:
        connection.execute(
            text("UPDATE visit SET header = :header WHERE id = :id"),
            {"header": header_text, "id": lost},
        )
    with open_store(location) as store:
        with pytest.raises(ShopFileError, match="cannot be read"):
            store.visit(lost)
        for visit, entries in old.visits:
            if visit.id != lost:
                assert store.visit(visit.id) == (visit, entries)
        assert len(store.visits()) == len(old.visits)


OPENS = """
import sys
from benchassist.storage import open_store
open_store(sys.argv[1]).close()
# What `getrusage` says is that of the parent, where that is more.
print(next(line.split()[1] for line in open("/proc/self/status") if line.startswith("VmHWM")))
"""


def peak_of_opening(location: str, copies: int) -> int:
    """Return the most memory, in kilobytes, a program takes that brings up such a shop."""
    lay_many(location, "0001", copies)
    done = subprocess.run(
        [sys.executable, "-c", OPENS, location],
        check=True,
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    )
    assert revision_of(location) == HEAD
    return int(done.stdout)


@pytest.mark.long
@pytest.mark.timeout(1800)
def test_memory_does_not_grow_with_the_shop(location: str) -> None:
    """Fifty thousand visits are brought up in little more memory than six hundred."""
    small = peak_of_opening(location, 200)
    cleared(location)
    assert peak_of_opening(location, 17_000) <= small + 24 * 1024


def test_a_migration_that_fails_leaves_the_shop_as_it_was(location: str) -> None:
    """What is in its way is told in one line; once that is gone the shop is brought up."""
    old = lay(location, "0001")
    with bare_engine(location) as engine, engine.begin() as connection:
        # The search's own table comes with the last revision: everything before it is undone.
        connection.execute(text("CREATE TABLE search_tail (id INTEGER)"))
    before = rows(location)
    with pytest.raises(ShopFileError, match="search_tail") as refused:
        open_store(location)
    assert "\n" not in str(refused.value)
    assert rows(location) == before
    with bare_engine(location) as engine, engine.begin() as connection:
        connection.execute(text("DROP TABLE search_tail"))
    with open_store(location) as store:
        for visit, entries in old.visits:
            assert store.visit(visit.id) == (visit, entries)


def test_room_that_is_left_empty_is_given_back(tmp_path: Path) -> None:
    """A file of large procedures, kept once now, is no larger than what is in it."""
    path = tmp_path / "shop.sqlite"
    lay_many(str(path), "0002", 20)
    with bare_engine(str(path)) as engine, engine.begin() as connection:
        connection.execute(
            text("UPDATE visit SET header = replace(header, 'Quits hot', :long)"),
            {"long": "Quits hot " * 3000},
        )
    before = path.stat().st_size
    open_store(path).close()
    assert path.stat().st_size < before / 2
    assert sound(str(path))
