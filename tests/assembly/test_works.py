"""The shop's records from the window: everything on real files, and on a server, end to end."""

import json
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from benchassist.assembly import Place
from benchassist.assembly.keeping import shelf_of
from benchassist.assembly.works import Works
from benchassist.core.entry import Noted, PhotoAdded
from benchassist.core.photo import Photo
from benchassist.errors import StepError
from benchassist.services.record.records import Records
from benchassist.services.record.records_view import RecordsStage
from benchassist.storage import open_store
from benchassist.storage.dump_file import look_into as look_into_dump
from benchassist.storage.integrity import look_into
from benchassist.storage.photo_shelf import PhotoShelf
from benchassist.ui.field_box import FieldBox
from benchassist.ui.shell import Shell
from tests.services.records_case import settle
from tests.storage.case import Scribe, header, machine, settled
from tests.storage.killing import spoil
from tests.storage.test_backup import fill

JPEG = "image/jpeg"


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)])
def place(request: pytest.FixtureRequest, tmp_path: Path, qapp: QApplication) -> Place:
    """Return a shop with a few visits, on a file and on a server."""
    assert qapp is QApplication.instance()
    url = request.param == "postgresql"
    shop = request.getfixturevalue("postgres_url") if url else str(tmp_path / "shop.sqlite")
    with open_store(shop) as store:
        for number in range(1, 6):
            fill(store, f"{number:04d}", 5)
    return Place(shop, tmp_path / "home")


@pytest.fixture
def works(place: Place) -> Iterator[Works]:
    """Return the shop at work."""
    at_work = Works(place)
    assert at_work.desks().records is not None
    yield at_work
    at_work.end()


def records_of(works: Works) -> Records:
    """Return the records' desk, with what was looked at."""
    asked = works.desks().records
    assert asked is not None
    desk = asked()
    assert isinstance(desk, Records)
    if works.keeper is not None and is_file(works):
        # It has looked, and made the backup of the day.
        works.keeper._rested.wait()
    desk.begin()
    settle(desk)
    return desk


def done(desk: Records) -> tuple[str, ...]:
    """Let the work end; what came of it."""
    settle(desk)
    assert not desk.view().error, desk.view().error
    assert desk.view().stage is RecordsStage.DONE
    return desk.view().lines


def is_file(works: Works) -> bool:
    """Whether the shop is a file."""
    return "://" not in works._place.shop


def test_what_the_shop_is_is_counted(works: Works) -> None:
    """On either kind of database."""
    told = dict(records_of(works).view().sheet.pairs)
    assert told["Visits"].startswith("5, the newest of 1 Mar 2025")
    assert told["Machines"] == "5"
    assert told["Tables"] == "revision 0004"
    assert ("Size" in told) is is_file(works)
    expected = "at this start: whole" if is_file(works) else "the server looks after it"
    assert told["Looked through"] == expected


def test_a_backup_is_made_and_listed(works: Works, place: Place) -> None:
    """While the shop is open; it is the newest of the list, and the one of its day."""
    desk = records_of(works)
    before = {kept.file for kept in shelf_of(place).kept()}
    desk.back_up()
    lines = done(desk)
    assert lines[0].startswith("Backed up and verified: 5 visits")
    desk.leave()
    (row,) = desk.view().rows
    assert row.key == lines[1]
    assert Path(row.key) not in before
    assert row.title.startswith("today ")


def test_a_restore_puts_the_shop_back_and_opens_it_again(works: Works, place: Place) -> None:
    """What was written since is gone from it, and kept aside; the desks are made anew."""
    desk, shop = records_of(works), works.shop
    desk.back_up()
    done(desk)
    backup = shelf_of(place).kept()[-1].file
    settled(shop.store, shop.store.submit_visit(header("0006")))  # type: ignore[arg-type]
    desk.look_at(backup)
    settle(desk)
    told = dict(desk.view().sheet.pairs)
    assert told["Would be gone from the shop"] == "1 visit (0006)"
    desk.submit({"typed": "restore"})
    assert done(desk)[0] == "Restored: 5 visits"
    assert desk.view().renewals == 1
    assert works.shop is not shop
    desks = works.desks()
    assert [card.visit_id for card in desks.counter.view("").slips] == [
        v.id for v in works.shop.store.visits(open_only=True)
    ]
    assert len(works.shop.store.visits()) == 5
    aside = next(k for k in shelf_of(place).kept() if k.why == "before-restore")
    contents = look_into(aside.file) if is_file(works) else look_into_dump(aside.file).contents
    assert contents.visits == 6
    settled(works.shop.store, works.shop.store.submit_visit(header("0007")))  # type: ignore[arg-type]


def test_a_restore_another_program_bars_leaves_the_shop_at_work(
    works: Works, place: Place, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The line says what to close; the shop is open again, as it was."""
    monkeypatch.setattr("benchassist.storage.server_hold.GONE_S", 0.5)
    desk = records_of(works)
    desk.back_up()
    done(desk)
    backup = shelf_of(place).kept()[-1].file
    with open_store(place.shop, read_only=True) as other:
        assert other.visits()
        desk.look_at(backup)
        settle(desk)
        desk.submit({"typed": "restore"})
        settle(desk)
    assert "another program has the shop" in desk.view().error
    assert len(works.shop.store.visits()) == 5
    settled(works.shop.store, works.shop.store.submit_visit(header("0006")))  # type: ignore[arg-type]


def test_a_damaged_shop_is_restored_from_the_window(place: Place) -> None:
    """It was only read until then; after it, it is worked on as ever."""
    if "://" in place.shop:
        pytest.skip("a server looks after its own")
    works = Works(place)
    desk = records_of(works)
    desk.back_up()
    done(desk)
    backup = shelf_of(place).kept()[-1].file
    works.close()
    spoil(Path(place.shop))
    assert works.desks()
    desk = records_of(works)
    assert dict(desk.view().sheet.pairs)["Looked through"] == "damaged: restore a backup"
    desk.look_at(backup)
    settle(desk)
    assert "damaged" in dict(desk.view().sheet.pairs)["The shop now holds"]
    desk.submit({"typed": "restore"})
    assert done(desk)[0] == "Restored: 5 visits"
    store = works.shop.store
    settled(store, store.submit_visit(header("0006")))  # type: ignore[arg-type]
    assert works.keeper is not None
    works.keeper._looked.wait()
    desk.begin()
    settle(desk)
    assert dict(desk._shop_sheet().pairs)["Looked through"] == "at this start: whole"
    works.end()


def test_visits_go_out_and_come_in(works: Works, tmp_path: Path) -> None:
    """All of them to a folder, a machine's to a table; in again, they are on file already."""
    desk, out = records_of(works), tmp_path / "out"
    desk.ask(RecordsStage.EXPORT)
    desk.submit({"path": str(out)})
    assert done(desk) == ("Exported: 5 visits", f"1 file in {out}")
    desk.drop((out,))
    assert done(desk) == ("Nothing changed: 5 on file already",)
    document = json.loads((out / "visits-0001.json").read_text("utf-8"))
    other = tmp_path / "other.json"
    with open_store(tmp_path / "other.sqlite") as store:
        fill(store, "0001", 2)
    second = Works(Place(str(tmp_path / "other.sqlite"), tmp_path / "second"))
    there = records_of(second)
    there.ask(RecordsStage.EXPORT)
    there.submit({"path": str(tmp_path / "theirs")})
    done(there)
    second.end()
    document["visits"][0]["record"]["header"]["shop"] = "Elsewhere"
    other.write_text(json.dumps(document), "utf-8")
    desk.drop((tmp_path / "theirs", other))
    lines = done(desk)
    assert lines[0] == "1 imported, 4 on file already"
    assert lines[1].endswith("is on file and says something else: the one on file stays")
    assert lines[2] == "visit 0001 is kept as 0001-2: its number was taken"
    desk.ask(RecordsStage.EXPORT)
    tag = works.shop.store.machines()[0].tag
    desk.submit({"path": str(tmp_path / "t"), "shape": "table", "tag": tag})
    settle(desk)
    # Every machine of these visits has one tag.
    assert "machines have the tag" in desk.view().error


def test_a_bad_file_is_one_line(works: Works, tmp_path: Path) -> None:
    """Nothing is imported; the form stays."""
    desk, bad = records_of(works), tmp_path / "bad.json"
    bad.write_text("{", "utf-8")
    desk.ask(RecordsStage.IMPORT)
    desk.submit({"path": str(bad)})
    settle(desk)
    assert desk.view().stage is RecordsStage.IMPORT
    assert desk.view().error.startswith(str(bad))
    assert "\n" not in desk.view().error


def test_an_import_can_be_stopped(
    works: Works, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was taken in stays, each visit whole; the rest is left."""
    from benchassist.storage import intake

    monkeypatch.setattr("benchassist.assembly.shop_records.STEP_S", 0.01)
    going, real = threading.Event(), intake.take_in
    with open_store(tmp_path / "other.sqlite") as store:
        for number in range(11, 21):
            fill(store, f"{number:04d}", 2)
    second = Works(Place(str(tmp_path / "other.sqlite"), tmp_path / "second"))
    there = records_of(second)
    there.ask(RecordsStage.EXPORT)
    there.submit({"path": str(tmp_path / "theirs")})
    done(there)
    second.end()
    seen = list[int]()

    def slow(*given: object) -> object:
        seen.append(1)
        if len(seen) == 4:
            going.wait()
        return real(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(intake, "take_in", slow)
    desk = records_of(works)
    desk.drop((tmp_path / "theirs",))
    job = desk._job
    assert job is not None
    while not job.share:
        pass
    desk.leave()
    job._thread.join()
    going.set()
    settle(desk)
    assert desk.view().note == "Stopped. What was taken in stays, each visit whole"
    # The writer ends with the visit it was at.
    settled(works.shop.store, works.shop.store.submit_visit(header("0099")))  # type: ignore[arg-type]
    kept = works.shop.store.visits()
    assert 0 < len(kept) - 6 < 10


def test_a_customer_is_erased_from_the_window(works: Works, place: Place) -> None:
    """The photo's file too; the backups are named, then replaced; the desks show nobody."""
    store, own = works.shop.store, machine("Q1", customer="Orla Wick", phone="555 7788")
    shelf = PhotoShelf(place.home / "photos")
    digest = shelf.keep(b"\xff\xd8\xff a picture", JPEG)
    visit = header("0050", of=own)
    scribe = Scribe(visit)
    settled(
        store,  # type: ignore[arg-type]
        store.submit_visit(visit),
        store.submit_photo(Photo(digest=digest, media=JPEG, size=9, thumbnail=b"\xff\xd8")),
        store.submit(
            Noted(stamp=scribe.stamp(), text="Orla wants it"),
            PhotoAdded(stamp=scribe.stamp(), digest=digest, media=JPEG, width=1, height=1),
        ),
    )
    desk = records_of(works)
    desk.back_up()
    done(desk)
    desk.ask(RecordsStage.FIND)
    desk.submit({"typed": "wick"})
    settle(desk)
    (row,) = desk.view().rows
    desk.choose(row.key)
    desk.submit({"typed": "q1", "backups": "erase"})
    lines = done(desk)
    assert lines[0] == "Erased at 1 visit; 1 text now read [erased]"
    assert "1 photo removed" in lines
    assert not shelf.holds(digest)
    (kept,) = shelf_of(place).kept()
    assert b"Orla" not in kept.file.read_bytes()
    assert store.visit("0050")[0].machine.customer == ""
    counter = works.desks().counter
    assert counter.view("orla").machines == ()
    assert counter.view("Q1").machines[0].customer != "Orla Wick"


def test_work_under_way_bars_what_would_pull_the_ground_away(works: Works) -> None:
    """A visit that is not all on disk; of another machine it bars no erasure."""
    store = works.shop.store
    visit = store.visits()[0]
    bench = works.shop.bench(visit.id)
    bench.pen.write(lambda stamp: Noted(stamp=stamp, text="a word"))
    assert works.shop.floor.under_way() == (
        f"slip {visit.slip_number} is not all on disk yet: wait a moment"
    )
    assert works.shop.floor.under_way((visit.machine.id,))
    assert works.shop.floor.under_way(("another",)) == ""
    desk = records_of(works)
    desk.ask(RecordsStage.FIND)
    desk.submit({"typed": "ada"})
    settle(desk)
    desk.choose(visit.machine.id)
    with pytest.raises(StepError, match="not all on disk yet"):
        desk.submit({"typed": visit.machine.tag})
    while works.shop.floor.under_way():
        works.shop.settle()


def test_the_window_goes_on_with_what_was_restored(place: Place, qtbot: QtBot) -> None:
    """By its keys: F10, the backup, the word; the counter then shows the shop as it was."""
    if "://" in place.shop:
        pytest.skip("the page is the same, what is beneath it is tested above")
    works = Works(place)
    desk = records_of(works)
    desk.back_up()
    done(desk)
    desk.leave()
    settled(works.shop.store, works.shop.store.submit_visit(header("0006")))  # type: ignore[arg-type]
    shell = Shell(works.desks)
    qtbot.addWidget(shell)
    shell.show()
    shell.load()
    shell._timer.stop()
    assert len(shell.counter._view.slips) == 6

    def reaches(stage: RecordsStage) -> None:
        def there() -> bool:
            shell.tick()
            return shell.records.shown.stage is stage

        qtbot.waitUntil(there, timeout=20_000)

    shell.counter.press("F10")
    shell.records.press("Down")
    shell.records.press("Enter")
    reaches(RecordsStage.LOOK)
    box = shell.records.boxes[0]
    assert isinstance(box, FieldBox)
    box.field.setText("restore")
    shell.records.submit()
    reaches(RecordsStage.DONE)
    assert shell.records.lines.accessibleName().startswith("Restored: 5 visits")
    shell.records.press("Enter")
    shell.records.press("Esc")
    assert shell.page is shell.counter
    shell.tick()
    assert len(shell.counter._view.slips) == 5
    shell.close()
    works.end()
