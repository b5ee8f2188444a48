"""Visits from another shop: taken in whole and once, or refused in one line."""

import json
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from benchassist.core.entry import Entry, Noted
from benchassist.core.visit import VisitHeader
from benchassist.errors import InputError, StoreError
from benchassist.storage import open_store, parcel
from benchassist.storage.exchange import export_visit, export_visits
from benchassist.storage.intake import Taking
from benchassist.storage.json_shape import shape_of
from benchassist.storage.parcel import read_parcels
from benchassist.storage.store import SqlStore
from tests.storage.case import Scribe, header, machine, settled
from tests.storage.killing import killed
from tests.storage.run_case import heat_run, log, recorded, run_header
from tests.storage.shop_rows import emptied, rows
from tests.storage.test_exchange import whole_visit
from tests.storage.test_process import sound
from tests.storage.test_run_export import run_visit

Document = dict[str, Any]
HOSTILE = (
    "<b>&amp;</b>",
    "=1+1",
    "'; DROP TABLE visit; --",
    "a\tb\nc\x1b[2J",
    "\u202eright to left\u202c",
    "\N{PILE OF POO} " * 100,
)


@pytest.fixture
def other(tmp_path: Path) -> Iterator[SqlStore]:
    """Return another shop, from which visits come."""
    with open_store(tmp_path / "other.sqlite") as opened:
        yield opened


def keep(store: SqlStore, visit: VisitHeader, *entries: Entry) -> None:
    """Write a visit as the program does."""
    tickets = [store.submit_visit(visit)]
    if entries:
        tickets.append(store.submit(*entries))
    settled(store, *tickets)


def told(store: SqlStore, *visits: VisitHeader) -> str:
    """Return the text of an export."""
    document = export_visits([store.visit(v.id) for v in visits], store.run_record)
    return json.dumps(document, ensure_ascii=False, indent=1) + "\n"


def taken_in(store: SqlStore, folder: Path, text: str) -> Taking:
    """Import a document from a file of its text."""
    file = folder / "came.json"
    file.write_text(text, "utf-8")
    return store.take_in(read_parcels(file)).wait()


def refused(folder: Path, content: bytes | str) -> str:
    """Return why a file is refused: one line that names it."""
    file = folder / "came.json"
    file.write_bytes(content.encode() if isinstance(content, str) else content)
    with pytest.raises(InputError) as error:
        read_parcels(file)
    said = str(error.value)
    assert "\n" not in said
    assert said.startswith(f"{file}: ")
    return said.removeprefix(f"{file}: ")


# --- what comes in --------------------------------------------------------------------------------


def test_a_visit_with_everything_comes_over_without_loss(
    store: SqlStore, other: SqlStore, tmp_path: Path
) -> None:
    """Exported, imported and exported again, the file is the same to the last byte."""
    visit, entries = whole_visit()
    keep(other, visit, *entries)
    with_run, _entries = run_visit_of(other, "0002")
    sent = told(other, visit, with_run)
    taking = taken_in(store, tmp_path, sent)
    assert taking == Taking(imported=2)
    assert told(store, visit, with_run) == sent
    assert store.visits()[0].machine == other.visits()[0].machine


def run_visit_of(store: SqlStore, number: str) -> tuple[VisitHeader, tuple[Entry, ...]]:
    """Return a visit on file with a run and its samples, under a number of its own."""
    if number == "0001":
        return run_visit(store)
    visit = header(number)
    entries = tuple(heat_run(Scribe(visit), recorded(store, log(40_000).readings())))
    keep(store, visit, *entries)
    return visit, entries


def test_a_long_run_is_kept_as_its_recorder_keeps_it(
    store: SqlStore, other: SqlStore, tmp_path: Path
) -> None:
    """Samples, and what a plot of them asks for, are the same in either shop."""
    visit, entries = run_visit_of(other, "0001")
    run_id = entries[0].run_id  # type: ignore[union-attr]
    taken_in(store, tmp_path, told(other, visit))
    for shop in (store, other):
        assert shop.run_channels(run_id) == ("A", "B")
    asked = {"start_s": 0.0, "end_s": 2000.0, "buckets": 37}
    here, there = (s.run_envelope(run_id, "A", **asked) for s in (store, other))
    for ours, theirs in zip(here, there, strict=True):
        assert np.array_equal(ours, theirs)


def test_importing_twice_changes_nothing(store: SqlStore, other: SqlStore, tmp_path: Path) -> None:
    """And says so: nothing is doubled."""
    visit, _entries = run_visit_of(other, "0001")
    sent = told(other, visit)
    assert taken_in(store, tmp_path, sent) == Taking(imported=1)
    assert taken_in(store, tmp_path, sent) == Taking(unchanged=1)
    assert told(store, visit) == sent
    assert len(store.visits()) == 1


def test_an_export_of_an_earlier_program_has_no_runs(
    store: SqlStore, other: SqlStore, tmp_path: Path
) -> None:
    """A document without runs and repair is taken in; with its samples, later, they are added."""
    visit, _entries = run_visit_of(other, "0001")
    document = json.loads(told(other, visit))
    old = {k: v for k, v in document.items() if k not in ("runs", "repair")}
    assert taken_in(store, tmp_path, json.dumps(old)) == Taking(imported=1)
    assert taken_in(store, tmp_path, json.dumps(old)) == Taking(unchanged=1)
    assert taken_in(store, tmp_path, told(other, visit)) == Taking(imported=1)
    assert told(store, visit) == told(other, visit)


def test_a_visit_that_went_on_elsewhere_is_gone_on_with(
    store: SqlStore, other: SqlStore, tmp_path: Path
) -> None:
    """What is missing here is added; an older export of it changes nothing."""
    visit = header()
    scribe = Scribe(visit)
    first, second = scribe.taken(), scribe.taken(9300.0)
    keep(other, visit, first)
    early = told(other, visit)
    assert taken_in(store, tmp_path, early).imported == 1
    settled(other, other.submit(second))
    assert taken_in(store, tmp_path, told(other, visit)) == Taking(imported=1)
    assert store.visit(visit.id) == (visit, (first, second))
    assert taken_in(store, tmp_path, early) == Taking(unchanged=1)
    # The visit goes on here as if it had always been here.
    settled(store, store.submit(scribe.taken(9200.0)))
    assert len(store.visit(visit.id)[1]) == 3


def test_a_visit_worked_on_in_two_places_is_refused_by_its_number(
    store: SqlStore, other: SqlStore, tmp_path: Path
) -> None:
    """In one line; what is here stays, and the other visits of the file come in."""
    visit, fine = header("0007"), header("0008")
    keep(store, visit, Scribe(visit).taken(9000.0))
    keep(other, visit, Scribe(visit).taken(9001.0))
    keep(other, fine)
    before = store.visit(visit.id)
    taking = taken_in(store, tmp_path, told(other, visit, fine))
    assert (taking.imported, taking.unchanged) == (1, 0)
    (line,) = taking.conflicts
    assert line == "visit 0007 is on file and says something else: the one on file stays"
    assert store.visit(visit.id) == before


def test_entries_of_another_visit_are_a_conflict(
    store: SqlStore, other: SqlStore, tmp_path: Path
) -> None:
    """An entry is on file once: the visit that brings it again is not begun."""
    ours, theirs = header("0001"), header("0002")
    entry = Scribe(ours).taken()
    keep(store, ours, entry)
    keep(other, theirs, replace(entry, stamp=replace(entry.stamp, visit_id=theirs.id)))
    taking = taken_in(store, tmp_path, told(other, theirs))
    assert "entries that are on file in another visit" in taking.conflicts[0]
    assert [v.id for v in store.visits()] == [ours.id]


def test_other_samples_of_a_run_are_a_conflict(
    store: SqlStore, other: SqlStore, tmp_path: Path
) -> None:
    """Samples on file are never replaced."""
    visit, _entries = run_visit_of(other, "0001")
    document = json.loads(told(other, visit))
    taken_in(store, tmp_path, json.dumps(document))
    document["runs"][0]["samples"]["channels"][0]["values"][3] = 1.0
    (line,) = taken_in(store, tmp_path, json.dumps(document)).conflicts
    assert line.startswith("visit 0001 has other samples of a run on file")
    assert told(store, visit) == told(other, visit)


def test_a_slip_number_that_is_taken_gets_a_suffix(
    store: SqlStore, other: SqlStore, tmp_path: Path
) -> None:
    """Two shops both count from 0001; the shop's own count goes on as before."""
    ours, theirs, more = header("0001"), header("0001"), header("0001")
    keep(store, ours)
    keep(other, theirs)
    sent = told(other, theirs)
    taking = taken_in(store, tmp_path, sent)
    assert taking.renumbered == ["visit 0001 is kept as 0001-2: its number was taken"]
    assert store.visit("0001")[0] == ours
    assert store.visit("0001-2")[0] == replace(theirs, slip_number="0001-2")
    assert store.next_slip_number() == "0002"
    assert taken_in(store, tmp_path, sent) == Taking(unchanged=1)
    # Sent back, it is known by what it is and not by its number.
    assert taken_in(other, tmp_path, told(store, theirs)) == Taking(unchanged=1)
    with open_store(tmp_path / "third.sqlite") as third:
        keep(third, more)
        assert (
            taken_in(store, tmp_path, told(third, more))
            .renumbered[0]
            .endswith("0001-3: its number was taken")
        )


def test_a_machine_of_the_same_id_is_the_same_machine(
    store: SqlStore, other: SqlStore, tmp_path: Path
) -> None:
    """What is said of it here stays, what is blank here is filled in."""
    here = machine("K7", phone="", customer="Ada Müller-Lind")
    settled(store, store.submit_machine(here))
    there = replace(here, phone="555-0199", customer="A. Müller", serial="")
    visit = header(of=there)
    keep(other, visit)
    taken_in(store, tmp_path, told(other, visit))
    (kept,) = store.machines()
    assert kept == replace(here, phone="555-0199")
    assert store.find("5550199", 9).machines == (kept,)
    assert store.visit(visit.id)[0].machine == there


def test_of_a_new_machine_the_newest_visit_says_what_it_is(
    store: SqlStore, other: SqlStore, tmp_path: Path
) -> None:
    """Whatever their order in the file."""
    old = machine("K7", phone="1", engine="")
    new = replace(old, phone="2")
    visits = header("0001", of=replace(old, engine="L160")), header("0002", of=new, day=3)
    for visit in visits:
        keep(other, visit)
    taken_in(store, tmp_path, told(other, *visits))
    (kept,) = store.machines()
    assert (kept.phone, kept.engine) == ("2", "L160")


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_stays_text(
    store: SqlStore, other: SqlStore, tmp_path: Path, text: str
) -> None:
    """In every field that takes one it comes over as it is."""
    visit = replace(
        header(of=machine(text, customer=text, phone=text, unit=text, engine=text, serial=text)),
        shop=text,
        done_by=text,
    )
    note = Noted(stamp=Scribe(visit).stamp(), text=text)
    keep(other, visit, note)
    sent = told(other, visit)
    assert taken_in(store, tmp_path, sent).imported == 1
    assert store.visit(visit.id) == (visit, (note,))
    assert told(store, visit) == sent


def test_a_name_of_a_megabyte_comes_over(tmp_path: Path, other: SqlStore) -> None:
    """Long is not wrong."""
    visit = header(of=machine(customer="ä" * 2**20))
    keep(other, visit)
    with open_store(tmp_path / "long.sqlite") as store:
        assert taken_in(store, tmp_path, told(other, visit)).imported == 1
        assert store.machines()[0] == visit.machine


def test_a_closed_shop_takes_nothing_in(tmp_path: Path, other: SqlStore) -> None:
    """What is asked of a closed shop is refused; what waits when it closes is given up."""
    visit = header()
    keep(other, visit)
    (tmp_path / "x.json").write_text(told(other, visit), "utf-8")
    parcels = read_parcels(tmp_path / "x.json")
    with open_store(tmp_path / "shop.sqlite") as store:
        pass
    with pytest.raises(StoreError, match="closed"):
        store.take_in(parcels)


def test_a_shop_that_is_held_takes_nothing_in(store: SqlStore, tmp_path: Path) -> None:
    """Neither entries nor visits from elsewhere; each says why."""
    visit = header()
    with open_store(tmp_path / "other.sqlite") as other:
        keep(other, visit)
        sent = told(other, visit)
    store.hold("the shop file is damaged")
    ticket = store.submit_visit(visit)
    (said,) = settled(store, ticket)
    assert getattr(said, "why", "") == "the shop file is damaged"
    assert taken_in(store, tmp_path, sent).failure == "the shop file is damaged"
    assert store.visits() == ()


# --- what is refused ------------------------------------------------------------------------------


@pytest.fixture
def document(other: SqlStore) -> Document:
    """Return a good document with a run."""
    visit, _entries = run_visit_of(other, "0001")
    read: Document = json.loads(told(other, visit))
    return read


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "the file is empty"),
        (b" \n", "the file is empty"),
        (b"tag,customer\nK7,Ada\n", "not JSON (line 1)"),
        (b"\x89PNG\r\n\x1a\n\x00", "not text in UTF-8"),
        (b"{}", "not an export of visits"),
        (b"[]", "not an export of visits"),
        (b'"benchassist-visit"', "not an export of visits"),
        (b'{"format": "benchassist-visit", "version": 2}', "update this program first"),
        (b'{"format": "benchassist-visits", "version": 9, "visits": 0}', "update this program"),
        (b'{"format": "benchassist-visit", "version": "1"}', "does not say a version"),
        (b'{"format": "benchassist-visit", "version": true}', "does not say a version"),
        (b'{"format": "benchassist-visits", "version": 1}', "no list of visits"),
        (b'{"format": "benchassist-visits", "version": 1, "visits": [3]}', "not a visit"),
        (b'{"format": "benchassist-visit", "version": 1}', "cannot be read"),
        (b'{"a": 1, "a": 2}', "'a' stands twice"),
        (b'{"a": NaN}', "NaN is not a number"),
        (b'{"a": -Infinity}', "-Infinity is not a number"),
        (b'{"a": 1e999}', "1e999 is not a number"),
        (b'{"a": ' + b"9" * 5000 + b"}", "is not a number"),
        (b"[" * 100_000, "nested too deep"),
        (b'{"a":' * 100_000 + b"1" + b"}" * 100_000, "nested too deep"),
        (b"[" + b"{}," * 5_000_001 + b"{}]", "too full"),
        (b"[" + b'"",' * 15_000_001 + b"1]", "too full"),
        (b'"' + b'\\"' * 1_000_000, "not JSON"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_a_file_that_is_no_export_is_refused(tmp_path: Path, content: bytes, words: str) -> None:
    """In one line that says what is wrong with it."""
    assert words in refused(tmp_path, content)


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.999])
def test_a_file_that_is_cut_short_says_so(tmp_path: Path, document: Document, share: float) -> None:
    """Wherever it was cut."""
    text = json.dumps(document)
    assert "cut short" in refused(tmp_path, text[: int(len(text) * share)])


def test_a_file_that_is_too_large_is_not_parsed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A gigabyte of blanks costs nothing but a look."""
    file = tmp_path / "came.json"
    with file.open("wb") as grown:
        grown.truncate(2**30)
    monkeypatch.setattr(parcel, "_parsed", lambda _data: pytest.fail("it was parsed"))
    with pytest.raises(InputError, match="larger than 256 MB"):
        read_parcels(file)


def test_what_is_no_file_is_refused(tmp_path: Path) -> None:
    """A folder, a name that is not there, a device that never ends."""
    for path in (tmp_path, tmp_path / "none.json", Path("/dev/zero"), Path("a\x00b")):
        with pytest.raises(InputError) as error:
            read_parcels(path)
        assert "\n" not in str(error.value)


def no_check(document: Document) -> None:
    """A procedure without a step."""
    document["record"]["header"]["procedure"]["checks"] = []


def hole(document: Document) -> None:
    """An entry is missing."""
    del document["record"]["entries"][1]


def doubled(document: Document) -> None:
    """Two entries of one id."""
    first, second, *_rest = document["record"]["entries"]
    second["stamp"]["id"] = first["stamp"]["id"]


def stranger(document: Document) -> None:
    """An entry of another visit."""
    document["record"]["entries"][0]["stamp"]["visit_id"] = "x"


def no_visit_id(document: Document) -> None:
    """An id that no column takes."""
    document["record"]["header"]["id"] = "x" * 37


def no_number(document: Document) -> None:
    """A slip number over two lines."""
    document["record"]["header"]["slip_number"] = "0001\n0002"


def nul(document: Document) -> None:
    """A character no database keeps."""
    document["record"]["header"]["shop"] = "a\x00b"


def surrogate(document: Document) -> None:
    """Half a character."""
    document["record"]["header"]["shop"] = "a\ud800b"


def unknown_kind(document: Document) -> None:
    """An entry that is not known here."""
    document["record"]["entries"][0]["kind"] = "guessed"


def unknown_field(document: Document) -> None:
    """Something a newer program wrote."""
    document["record"]["header"]["colour"] = "red"


def far_away(document: Document) -> None:
    """A time that is none in UTC."""
    document["record"]["entries"][0]["stamp"]["at"] = "0001-01-01T00:00:00+14:00"


def foreign_run(document: Document) -> None:
    """Samples of a run of another visit."""
    document["runs"][0]["samples"]["run"]["visit_id"] = "x"


def endless_span(document: Document) -> None:
    """A span that would fill any memory."""
    document["runs"][0]["samples"]["channels"][0]["spans"] = [[0, 10**15]]


def backwards(document: Document) -> None:
    """Time that goes back."""
    document["runs"][0]["samples"]["channels"][0]["steps"][5] = -1


def wrapped(document: Document) -> None:
    """Time that goes round."""
    document["runs"][0]["samples"]["channels"][0]["steps"][5] = 2**59


def words(document: Document) -> None:
    """Text where numbers stand."""
    document["runs"][0]["samples"]["channels"][0]["values"][0] = "6500"


def twice(document: Document) -> None:
    """A channel that stands twice."""
    document["runs"][0]["samples"]["channels"] *= 2


def run_is_list(document: Document) -> None:
    """Runs of another shape."""
    document["runs"] = [[1]]


def samples_are_text(document: Document) -> None:
    """Samples of another shape."""
    document["runs"][0]["samples"] = "many"


MISFITS = (
    no_check,
    hole,
    doubled,
    stranger,
    no_visit_id,
    no_number,
    nul,
    surrogate,
    unknown_kind,
    unknown_field,
    far_away,
    foreign_run,
    endless_span,
    backwards,
    wrapped,
    words,
    twice,
    run_is_list,
    samples_are_text,
)


@pytest.mark.parametrize("spoil", MISFITS, ids=lambda spoil: spoil.__name__)
def test_a_visit_that_does_not_fit_is_refused(
    tmp_path: Path, document: Document, spoil: Callable[[Document], None]
) -> None:
    """By its number, with the good one beside it left out too: nothing is taken in by halves."""
    good = json.loads(json.dumps(document))
    spoil(document)
    bundle = {"format": "benchassist-visits", "version": 1, "visits": [good, document]}
    assert refused(tmp_path, json.dumps(bundle)).startswith("visit 0001 cannot be read: ")


@settings(max_examples=80, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_any_spoilt_document_is_taken_or_refused(data: st.DataObject, tmp_path: Path) -> None:
    """Whatever is put in whatever place: one line, or a visit that can be written."""
    document: Any = json.loads(json.dumps(export_visit(*whole_visit())))
    place: Any = document["record"]
    while True:
        keys = list(place) if isinstance(place, dict) else list(range(len(place)))
        key = data.draw(st.sampled_from(keys))
        if not isinstance(place[key], dict | list) or not place[key] or data.draw(st.booleans()):
            break
        place = place[key]
    place[key] = data.draw(
        st.sampled_from([None, True, -1, 2**62, 1e308, "", "x", [], {}, [[]], {"kind": "taken"}])
    )
    file = tmp_path / "came.json"
    file.write_text(json.dumps(document), "utf-8")
    said = ""
    try:
        came = read_parcels(file)
    except InputError as error:
        said, came = str(error), ()
    assert "\n" not in said
    with open_store(tmp_path / "shop.sqlite") as store:
        assert not store.take_in(came).wait().failure


@given(st.binary(max_size=200))
def test_the_shape_of_any_bytes_is_found(data: bytes) -> None:
    """Whatever they are."""
    assert shape_of(data).parts >= 0


@given(
    st.recursive(
        st.none() | st.text(max_size=5) | st.integers(),
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner),
        max_leaves=20,
    )
)
def test_the_shape_is_what_parsing_finds(value: object) -> None:
    """As deep and as many as the parsed value has."""

    def depth(part: object) -> int:
        inner = (
            part.values() if isinstance(part, dict) else part if isinstance(part, list) else None
        )
        return 0 if inner is None else 1 + max(map(depth, inner), default=0)

    shape = shape_of(json.dumps(value, ensure_ascii=False).encode())
    assert shape.deepest == depth(value)
    assert not shape.is_open


def test_a_run_begun_nowhere_is_not_taken_in(tmp_path: Path, document: Document) -> None:
    """Samples stand in the visit that began their run."""
    document["runs"][0]["samples"]["run"]["id"] = run_header().id
    assert "a run that it has not begun" in refused(tmp_path, json.dumps(document))


# --- ended in the middle of it --------------------------------------------------------------------


def killed_in_mid_import(location: str, folder: Path, rounds: int, seed: int) -> list[int]:
    """Kill a program that imports; after each kill every visit is there whole or not at all.

    The next import completes it. Returns how many visits were in after each kill.
    """
    file, counts = folder / "many.json", list[int]()
    with open_store(folder / "source.sqlite") as source:
        visits = [run_visit_of(source, "0002")[0]]
        for number in range(3, 15):
            visit = header(f"{number:04d}")
            scribe = Scribe(visit)
            keep(source, visit, *(scribe.taken() for _ in range(12)))
            visits.append(visit)
        file.write_text(told(source, *visits), "utf-8")
    parcels = read_parcels(file)
    with open_store(location) as store:
        assert store.take_in(parcels).wait().imported == len(visits)
    whole = rows(location)
    for _kill in killed(rounds, seed, 0.25, "import", location, str(file)):
        assert sound(location)
        here = rows(location)
        ids = {row["id"] for row in here["visit"]}
        # A machine comes with its visit, what is searched and a text that is kept once too.
        machines = {row["machine_id"] for row in here["visit"]}
        assert {row["id"] for row in here["machine"]} == machines
        for table, key, known in (
            ("visit", "id", ids),
            *((table, "visit_id", ids) for table in ("entry", "taken", "part_mark")),
            ("search_place", "machine_id", machines),
        ):
            assert here[table] == [row for row in whole[table] if row[key] in known], table
        for table in ("run", "run_dial", "run_tail", "run_chunk", "run_bins", "run_gap"):
            assert here[table] == (whole[table] if visits[0].id in ids else []), table
        counts.append(len(ids))
        if len(counts) % 5 == 0:
            with open_store(location) as store:
                taking = store.take_in(parcels).wait()
                assert taking.imported + taking.unchanged == len(visits)
            assert rows(location) == whole
        emptied(location)
    return counts


def test_a_kill_in_mid_import_leaves_whole_visits(location: str, tmp_path: Path) -> None:
    """Killed with -9 thirty times, the next import completes what is missing."""
    counts = killed_in_mid_import(location, tmp_path, 30, seed=8)
    assert len(counts) == 30
    assert sum(count < 13 for count in counts) >= 15


@pytest.mark.long
@pytest.mark.timeout(1800)
def test_three_hundred_kills_in_mid_import(location: str, tmp_path: Path) -> None:
    """The same, three hundred times."""
    counts = killed_in_mid_import(location, tmp_path, 300, seed=9)
    assert len(counts) == 300
    assert set(counts) >= {0, 5, 10, 13}
