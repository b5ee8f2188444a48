"""A customer's personal data is found and erased; what was measured stays to the last bit."""

import json
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from benchassist.core.entry import (
    Closed,
    Did,
    Entry,
    Interview,
    Looked,
    Machine,
    Noted,
    PartFitted,
    PartMarked,
    PhotoAdded,
    PhotoRemoved,
    Skipped,
    SwapTried,
)
from benchassist.core.holding import Erased
from benchassist.core.photo import Photo
from benchassist.core.procedure import Answer, Question
from benchassist.core.swap import Fitted, Trial
from benchassist.core.trace import ERASED, fold
from benchassist.core.visit import VisitHeader
from benchassist.errors import InputError, StoreError
from benchassist.storage import erasure, open_store
from benchassist.storage.exchange import export_visits
from benchassist.storage.parcel import read_parcels
from benchassist.storage.place import ShopFile, place_of
from benchassist.storage.shop_file import connect
from benchassist.storage.store import SqlStore
from tests.storage.case import OPENED, PROCEDURE, Scribe, header, machine, settled
from tests.storage.run_case import heat_run
from tests.storage.test_exchange import whole_visit
from tests.storage.test_move import rows_of

NOW = OPENED + timedelta(days=400)
NAME, PHONE = "Ada Müller", "555-0142"
TRACES = ("müller", "mueller", "muller", "ada ", "555-0142", "5550142", "555 0142")
ASKED = replace(
    PROCEDURE,
    questions=(
        Question(key="touched", text="What was touched last?"),
        Question(key="how", text="How?", answers=(Answer(key="ada", text="Slowly"),)),
    ),
)
PHOTO = "ab" * 32
SHARED = "cd" * 32


def told_visit(number: str, of: Machine, **fields: Any) -> tuple[VisitHeader, tuple[Entry, ...]]:  # noqa: ANN401
    """Return a visit in which the customer is named wherever people type."""
    interview = Interview(
        complaint="quits_hot",
        words="Ada says it quits, call 555 0142",
        answers=(("touched", "plug, by Mr Müller"), ("how", "ada")),
    )
    visit = replace(header(number, of=of), interview=interview, procedure=ASKED, **fields)
    scribe = Scribe(visit)
    stamp = scribe.stamp
    reading = scribe.taken()
    entries: list[Entry] = [
        reading,
        Noted(stamp=stamp(), text="ADA MUELLER wants it by noon"),
        Did(stamp=stamp(), check_key="secondary", text="wire that Müller's son cut, mended"),
        scribe.taken(9500.0),
        Skipped(stamp=stamp(), check_key="cap", reason="Ada took it home"),
        SwapTried(
            stamp=stamp(),
            part="coil",
            trial=Trial(fitted=Fitted.NEW, fault=False, cycles=3),
            bundled=("plug of Ada", "lead"),
        ),
        PartFitted(stamp=stamp(), part="coil", name="coil, brought by Ada Müller", number="C-12"),
        PartMarked(
            stamp=stamp(), check_key="secondary", entry_id=reading.stamp.id, reason="Ada's spare"
        ),
        PhotoAdded(
            stamp=stamp(),
            digest=PHOTO,
            media="image/jpeg",
            width=4,
            height=3,
            caption="Ada Müller, coil",
        ),
        PhotoAdded(
            stamp=stamp(), digest=SHARED, media="image/jpeg", width=4, height=3, caption="tab"
        ),
        *heat_run(scribe),
    ]
    entries.append(
        PhotoRemoved(stamp=stamp(), entry_id=entries[8].stamp.id, reason="shows Ada Müller")
    )
    entries += [
        Looked(stamp=stamp(), check_key="stop_wire", answer_key="yes"),
        Closed(stamp=stamp(), summary="Told Müller: 555 01 42"),
    ]
    return visit, tuple(entries)


def keep(store: SqlStore, visit: VisitHeader, *entries: Entry) -> None:
    """Write a visit as the program does."""
    tickets = [store.submit_visit(visit)]
    if entries:
        tickets.append(store.submit(*entries))
    settled(store, *tickets)


def photo(digest: str) -> Photo:
    """Return a photo on file."""
    return Photo(digest=digest, media="image/jpeg", size=9, thumbnail=b"\xff\xd8small")


@pytest.fixture
def ada(store: SqlStore) -> Machine:
    """Return a machine of the customer's with two visits, and one of somebody else beside it."""
    own, other = machine("K7", unit="Ada's tiller"), machine("B2", customer="Bo", phone="1")
    settled(store, store.submit_photo(photo(PHOTO)), store.submit_photo(photo(SHARED)))
    keep(store, *_spread(told_visit("0001", own)))
    keep(store, header("0002", of=own, day=9))
    theirs = header("0003", of=other, day=3)
    stamp = Scribe(theirs).stamp
    spoken = replace(theirs.interview, words="as on the tiller of Ada Müller")
    keep(
        store,
        replace(theirs, interview=spoken),
        Noted(stamp=stamp(), text="Müller & Co plug; ask Ada Müller"),
        Noted(stamp=stamp(), text="call 555 0142\tor Bo"),
        PhotoAdded(
            stamp=stamp(), digest=SHARED, media="image/jpeg", width=4, height=3, caption="ok"
        ),
    )
    return own


def _spread(told: tuple[VisitHeader, tuple[Entry, ...]]) -> tuple[Any, ...]:
    visit, entries = told
    return visit, *entries


def erase(store: SqlStore, *machines: Machine, photos: bool = True) -> Erased:
    """Erase, and return what came of it."""
    return store.erase([m.id for m in machines], NOW, photos=photos).wait()


def everything(location: str) -> str:
    """Return every text a shop's tables hold, as names are compared."""
    return fold(json.dumps(_plain(rows_of(location)), ensure_ascii=False))


def _plain(rows: Any) -> Any:  # noqa: ANN401
    return [[str(v) for v in row.values()] for table in rows.values() for row in table.values()]


# --- find ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "exact"),
    [
        ("Ada Müller", True),
        ("ada  muller", True),
        ("müll", False),
        ("ada", False),
        ("0142", False),
        ("555 0142", True),
        ("ADA 555", False),
    ],
)
def test_a_customer_is_found_by_name_or_number(
    store: SqlStore, ada: Machine, words: str, exact: bool
) -> None:
    """Whole or in part; with all that is held, and where other machines' visits name them."""
    found = store.personal_data(words)
    (holding,) = found.holdings
    assert (holding.machine, holding.exact) == (ada, exact)
    assert (holding.names, holding.phones) == ((NAME,), (PHONE,))
    assert (holding.visits, holding.headers, holding.photos) == (2, 2, 2)
    told = {(m.where, m.slip_number) for m in holding.mentions}
    kinds = "interview noted did skipped swap_tried part_fitted part_marked photo_added "
    kinds += "photo_removed closed"
    assert told == {(kind, "0001") for kind in kinds.split()} | {("machine", "")}
    assert [m.text for m in found.elsewhere] == [
        "as on the tiller of Ada Müller",
        "Müller & Co plug; ask Ada Müller",
        "call 555 0142\tor Bo",
    ]
    assert {(m.slip_number, m.tag) for m in found.elsewhere} == {("0003", "B2")}


def test_a_customer_of_before_is_found(store: SqlStore, ada: Machine) -> None:
    """The machine was sold; its visits still say whose it was."""
    settled(store, store.submit_machine(replace(ada, customer="Cy Orr", phone="77777")))
    (holding,) = store.personal_data("Ada Müller").holdings
    assert holding.names == ("Cy Orr", NAME)
    assert holding.exact
    assert [h.machine.id for h in store.personal_data("cy orr").holdings] == [ada.id]


def test_exact_ones_come_first(store: SqlStore, ada: Machine) -> None:
    """Then by tag."""
    settled(store, store.submit_machine(machine("A1", customer="Ada Müllerin", phone="")))
    assert [h.machine.tag for h in store.personal_data("Ada Müller").holdings] == [ada.tag, "A1"]


def test_too_little_or_too_much_is_refused(store: SqlStore, ada: Machine) -> None:
    """In one line; nothing found is nothing found."""
    assert ada
    for words in ("", " ", "a", "-", "."):
        with pytest.raises(InputError, match="name a customer or a phone number"):
            store.personal_data(words)
    assert store.personal_data("Nobody Here").holdings == ()
    assert store.personal_data("Nobody Here").elsewhere == ()
    tickets = [store.submit_machine(machine(f"T{n}", customer="Fleet")) for n in range(51)]
    settled(store, *tickets)
    with pytest.raises(InputError, match="fits 51 machines: type more of the name"):
        store.personal_data("fleet")


# --- erase --------------------------------------------------------------------------------------


def test_nothing_of_the_customer_is_left(store: SqlStore, location: str, ada: Machine) -> None:
    """In no table, in no export, and nothing finds the machine by name; by its tag it is found."""
    assert all(trace in everything(location) for trace in ("ada muller", "555-0142"))
    erased = erase(store, ada)
    assert (erased.tags, erased.visits, erased.lingers) == (("K7",), 2, "")
    assert (erased.photos, erased.shared) == ((PHOTO,), 1)
    left = everything(location)
    assert not [trace for trace in TRACES if fold(trace) in left.replace("muller & co", "")]
    assert store.personal_data("Ada Müller").holdings == ()
    found = store.machine(ada.id)
    assert found == replace(ada, customer="", phone="", unit=f"{ERASED} tiller")
    assert store.find("müller", 9).machines == ()
    assert [m.tag for m in store.find("K7", 9).machines] == ["K7"]
    for visit in store.visits():
        told = export_visits([store.visit(visit.id)], store.run_record)
        text = fold(json.dumps(told, ensure_ascii=False)).replace("muller & co", "")
        assert not [trace for trace in TRACES if fold(trace) in text]


def test_the_technical_record_stays_to_the_last_bit(
    store: SqlStore, location: str, ada: Machine
) -> None:
    """Ids, order, times, every reading, verdict and band; of words only what told who it was."""
    before = rows_of(location)
    erase(store, ada)
    after = rows_of(location)
    touched = {"search_tail", "search_place", "photo"}
    for table in after.keys() - touched:
        assert after[table].keys() == before[table].keys()
    said = {
        "machine": {"customer", "phone", "unit", "erased_at"},
        "visit": {"header", "words"},
        "entry": {"body"},
        "part_mark": {"reason"},
    }
    for table in after.keys() - touched:
        for key, row in after[table].items():
            same = row.keys() - said.get(table, set())
            assert {n: row[n] for n in same} == {n: before[table][key][n] for n in same}
    words = {"text", "reason", "bundled", "name", "caption", "summary"}
    for key, row in after["entry"].items():
        old, new = json.loads(before["entry"][key]["body"]), json.loads(row["body"])
        assert {n: v for n, v in new.items() if n not in words} == {
            n: v for n, v in old.items() if n not in words
        }
        if row["kind"] in {"taken", "run_started", "run_ended", "run_marked", "looked"}:
            assert row["body"] == before["entry"][key]["body"]
    for key, row in after["visit"].items():
        old, new = json.loads(before["visit"][key]["header"]), json.loads(row["header"])
        for part in (old, new):
            part["interview"].pop("words")
            answers = part["interview"]["answers"]
            part["interview"]["answers"] = [a for a in answers if a[0] != "touched"]
            part["machine"] |= {"customer": "", "phone": "", "unit": ""}
        assert new == old
    visit, entries = store.visit("0001")
    assert dict(visit.interview.answers) == {"touched": f"plug, by Mr {ERASED}", "how": "ada"}
    assert [e.text for e in entries if isinstance(e, Noted)] == [f"{ERASED} wants it by noon"]
    assert [e.caption for e in entries if isinstance(e, PhotoAdded)] == ["", ""]


def test_photos_may_be_kept(store: SqlStore, location: str, ada: Machine) -> None:
    """Then their captions lose the name and nothing else."""
    erased = erase(store, ada, photos=False)
    assert (erased.photos, erased.shared) == ((), 0)
    assert set(store.photos([PHOTO, SHARED])) == {PHOTO, SHARED}
    _visit, entries = store.visit("0001")
    captions = [e.caption for e in entries if isinstance(e, PhotoAdded)]
    assert captions == [f"{ERASED}, coil", "tab"]
    assert "ada muller" not in everything(location)


def test_a_photo_of_another_machine_stays(store: SqlStore, ada: Machine) -> None:
    """Only those of which this machine has the last entry go."""
    erase(store, ada)
    assert set(store.photos([PHOTO, SHARED])) == {SHARED}


def test_a_second_time_finds_nothing_more(store: SqlStore, location: str, ada: Machine) -> None:
    """And names the photos again, whose originals a crash may have left."""
    erase(store, ada)
    before = rows_of(location)
    again = erase(store, ada)
    assert (again.words, again.photos) == (0, (PHOTO,))
    after = rows_of(location)
    assert after == before


def test_several_machines_at_once(store: SqlStore, location: str, ada: Machine) -> None:
    """All of them in one transaction."""
    second = machine("K8")
    keep(store, header("0009", of=second))
    erased = erase(store, ada, second)
    assert erased.tags == ("K7", "K8")
    assert "555-0142" not in everything(location)


def test_a_machine_that_is_not_there_leaves_all_as_it_was(
    store: SqlStore, location: str, ada: Machine
) -> None:
    """Also the machines named beside it."""
    before = rows_of(location)
    with pytest.raises(StoreError, match="no machine"):
        erase(store, ada, machine("X"))
    assert rows_of(location) == before
    settled(store, store.submit_machine(machine("Y1")))


def test_a_shop_that_is_only_read_or_closed_erases_nothing(location: str) -> None:
    """It says so."""
    with open_store(location) as store:
        keep(store, header())
        machine_id = store.machines()[0].id
    with pytest.raises(StoreError, match="closed"):
        store.erase([machine_id], NOW, photos=True)
    with open_store(location, read_only=True) as reading:
        with pytest.raises(StoreError, match="for reading only"):
            reading.erase([machine_id], NOW, photos=True)
        assert reading.personal_data("ada").holdings


def test_readings_go_on_beside_it(store: SqlStore, ada: Machine) -> None:
    """What is taken while it is erased is kept in its turn."""
    visit = header("0011", of=machine("Z"))
    scribe = Scribe(visit)
    tickets = [store.submit_visit(visit), store.submit(scribe.taken())]
    eraser = store.erase([ada.id], NOW, photos=True)
    tickets.append(store.submit(scribe.taken()))
    settled(store, *tickets)
    assert eraser.wait().visits == 2
    assert len(store.visit(visit.id)[1]) == 2


def raw_bytes(location: str) -> bytes:
    """Return all the bytes of a shop file and what lies beside it."""
    place = place_of(location)
    assert isinstance(place, ShopFile)
    folder = place.path.parent
    return b"".join(p.read_bytes() for p in sorted(folder.iterdir()) if p.is_file())


def test_the_file_itself_holds_nothing_of_it(tmp_path: Path) -> None:
    """Not in pages that are free, not in its log; not what was said before and changed since."""
    location = str(tmp_path / "shop.sqlite")
    with open_store(location) as store:
        own = machine("K7")
        keep(store, *_spread(told_visit("0001", own)))
        many = [header(f"{n:04d}", of=own, day=n) for n in range(2, 60)]
        settled(store, *(store.submit_visit(v) for v in many))
        marks = [
            b"muller",
            "üller".encode(),
            "Möller".encode(),
            b"555-0142",
            b"555 0142",
            b"MUELLER",
        ]
    with closing(sqlite3.connect(location)) as connection, connection:
        # What an earlier program wrote, and changed since without clearing it away.
        connection.execute("PRAGMA secure_delete = OFF")
        rows = [(f"M{n}", "Ada Möller", "", "", "", "", "", "") for n in range(300)]
        connection.executemany(
            "INSERT INTO machine (id, customer, tag, phone, unit, engine, serial, engine_class)"
            " VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
            rows,
        )
        connection.commit()
        connection.execute("DELETE FROM machine WHERE id LIKE 'M%'")
    assert [mark for mark in marks if mark not in raw_bytes(location)] == []
    with open_store(location) as store:
        assert store.visits()
        erased = erase(store, own)
        assert erased.lingers == ""
        # As it lies on disk while the program is still at work.
        copies = [(p, p.read_bytes()) for p in tmp_path.iterdir()]
        for path, data in copies:
            assert not [m for m in marks if m in data], path
    assert not [mark for mark in marks if mark in raw_bytes(location)]


def test_who_reads_the_file_meanwhile_is_told_of(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another program's look at the old state keeps the log; that is said, and passes with it."""
    monkeypatch.setattr(erasure, "CHECKPOINT_S", 0.1)
    location = tmp_path / "shop.sqlite"
    with open_store(location) as store:
        own = machine("K7")
        keep(store, *_spread(told_visit("0001", own)))
        other = connect(location, read_only=True)
        other.execute("BEGIN")
        assert other.execute("SELECT count(*) FROM visit").fetchone() == (1,)
        erased = erase(store, own)
        assert "another program is reading the shop file" in erased.lingers
        other.close()
    assert "Müller".encode() not in raw_bytes(str(location))


# --- afterwards ---------------------------------------------------------------------------------


def export_to(store: SqlStore, file: Path) -> Path:
    """Write every visit to a file."""
    visits = [store.visit(v.id) for v in store.visits()]
    file.write_text(json.dumps(export_visits(visits, store.run_record)), "utf-8")
    return file


def test_an_older_export_brings_nothing_back(
    store: SqlStore, location: str, ada: Machine, tmp_path: Path
) -> None:
    """It is no conflict, nothing is changed by it; nor does what goes on in it."""
    old = export_to(store, tmp_path / "old.json")
    erase(store, ada)
    before = rows_of(location)
    taking = store.take_in(read_parcels(old)).wait()
    assert (taking.imported, taking.unchanged, taking.conflicts) == (0, 3, [])
    assert rows_of(location) == before
    with open_store(tmp_path / "second.sqlite") as second:
        second.take_in(read_parcels(old)).wait()
        visit, entries = second.visit("0002")
        scribe = Scribe(visit, after=len(entries))
        later = header("0044", of=ada, day=30)
        settled(
            second,
            second.submit(scribe.taken(), Noted(stamp=scribe.stamp(), text="Ada Müller rang")),
            second.submit_visit(replace(later, machine=ada)),
        )
        newer = export_to(second, tmp_path / "newer.json")
    taking = store.take_in(read_parcels(newer)).wait()
    assert (taking.imported, taking.unchanged, taking.conflicts) == (2, 2, [])
    assert "ada muller" not in everything(location)
    assert [e.text for e in store.visit("0002")[1] if isinstance(e, Noted)] == [f"{ERASED} rang"]
    assert store.visit("0044")[0].machine.customer == ""
    assert store.machine(ada.id).customer == ""  # type: ignore[union-attr]


def test_an_erased_visit_is_no_conflict_where_the_name_still_stands(
    store: SqlStore, location: str, ada: Machine, tmp_path: Path
) -> None:
    """Another shop took the visits before; there they stay as they are."""
    with open_store(tmp_path / "second.sqlite") as second:
        second.take_in(read_parcels(export_to(store, tmp_path / "old.json"))).wait()
        erase(store, ada)
        before = rows_of(str(tmp_path / "second.sqlite"))
        taking = second.take_in(read_parcels(export_to(store, tmp_path / "new.json"))).wait()
        assert (taking.unchanged, taking.conflicts) == (3, [])
        assert rows_of(str(tmp_path / "second.sqlite")) == before
    assert "555-0142" not in everything(location)


def other_reading(document: dict[str, Any]) -> None:
    """Change a reading."""
    document["record"]["entries"][0]["reading"]["value"] = 1.0


def other_shop(document: dict[str, Any]) -> None:
    """Change who did it."""
    document["record"]["header"]["done_by"] = "S."


@pytest.mark.parametrize("change", [other_reading, other_shop])
def test_other_differences_are_still_conflicts(
    store: SqlStore, ada: Machine, tmp_path: Path, change: Callable[[dict[str, Any]], None]
) -> None:
    """An erasure hides nothing else."""
    file = tmp_path / "old.json"
    document = export_visits([store.visit("0001")], store.run_record)
    change(document)
    file.write_text(json.dumps(document), "utf-8")
    erase(store, ada)
    (line,) = store.take_in(read_parcels(file)).wait().conflicts
    assert line.startswith("visit 0001 is on file and says something else")


def test_a_customer_who_comes_again_is_kept(store: SqlStore, ada: Machine, tmp_path: Path) -> None:
    """What they tell the shop anew is no matter of the erasure; what they told before is."""
    old = export_to(store, tmp_path / "old.json")
    erase(store, ada)
    now = replace(ada, customer="Ada M.", phone="555 01")
    settled(store, store.submit_machine(now))
    later = header("0050", of=now, day=500)
    with open_store(tmp_path / "second.sqlite") as second:
        keep(second, later)
        new = export_to(second, tmp_path / "new.json")
    assert store.take_in(read_parcels(new)).wait().imported == 1
    assert store.take_in(read_parcels(old)).wait().conflicts == []
    assert store.visit("0050")[0].machine.customer == "Ada M."
    assert store.visit("0001")[0].machine.customer == ""
    assert store.machine(ada.id) == now


def test_a_whole_visit_is_read_as_before(store: SqlStore) -> None:
    """Everything that can be written down stands as it did, but for the name."""
    whole, entries = whole_visit()
    keep(store, whole, *entries)
    erase(store, whole.machine, photos=False)
    found, kept = store.visit("0001")
    assert kept == entries
    assert found == replace(whole, machine=replace(whole.machine, customer="", phone=""))


def test_erased_at_says_when(store: SqlStore, location: str, ada: Machine) -> None:
    """In the machine's row; a later change of the machine leaves it."""
    erase(store, ada)
    settled(store, store.submit_machine(replace(ada, customer="Cy")))
    assert rows_of(location)["machine"][(ada.id,)]["erased_at"] == NOW
