import json
from dataclasses import replace
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from benchassist.core.entry import (
    Closed,
    Entry,
    Looked,
    OptionChosen,
    PartFitted,
    PartMarked,
    Struck,
    Taken,
)
from benchassist.core.record import Stored
from benchassist.core.visit import Visit, VisitHeader
from benchassist.storage import open_store
from benchassist.storage.exchange import export_visits, visit_json_schema
from benchassist.storage.parcel import read_parcels
from benchassist.storage.store import SqlStore
from tests.marks import marks_of
from tests.storage.case import CAP, Scribe, header, machine, settled


def keep(store: SqlStore, visit: VisitHeader, *entries: Entry) -> None:
    """Have a visit and its entries stored."""
    tickets = [store.submit_visit(visit), *map(store.submit, entries)]
    assert settled(store, *tickets) == [Stored(ticket) for ticket in tickets]


def mark(scribe: Scribe, of: Entry, key: str = "secondary", *, reason: str = "") -> PartMarked:
    """Known good; with a reason: set aside."""
    return PartMarked(
        stamp=scribe.stamp(),
        check_key=key,
        entry_id=of.stamp.id,
        good=not reason,
        reason=reason,
    )


def test_a_shop_without_marks_has_none(store: SqlStore) -> None:
    """Nor for a check nobody knows."""
    visit = header()
    keep(store, visit, Scribe(visit).taken())
    assert store.part_marks("secondary") == ()
    assert store.part_marks("no such") == ()


def test_a_mark_comes_with_reading_visit_and_machine(store: SqlStore) -> None:
    """All that a band is learned from, in one record."""
    visit = header("0007")
    scribe = Scribe(visit)
    taken = scribe.taken(9400.0)
    said = mark(scribe, taken)
    keep(store, visit, taken, said)
    (found,) = store.part_marks("secondary")
    assert found.taken == taken
    assert (found.machine_id, found.machine_tag) == (visit.machine.id, "K7")
    assert (found.slip_number, found.engine_class, found.option_key) == ("0007", "A", "")
    assert (found.part, found.renewals, found.struck) == ("secondary", 0, False)
    assert (found.good, found.reason, found.marked_at) == (True, "", said.stamp.at)
    assert store.part_marks("cap") == ()


def test_the_latest_mark_of_a_reading_counts(store: SqlStore) -> None:
    """Set aside with its reason, and taken up again; each reading by itself."""
    visit = header()
    scribe = Scribe(visit)
    one, other = scribe.taken(9400.0), scribe.taken(9500.0)
    entries: list[Entry] = [one, other, mark(scribe, one), mark(scribe, other)]
    entries += [mark(scribe, one, reason="lead still on"), mark(scribe, other, reason="x")]
    entries += [mark(scribe, other)]
    keep(store, visit, *entries)
    found = {m.taken.stamp.id: (m.good, m.reason) for m in store.part_marks("secondary")}
    assert found == {one.stamp.id: (False, "lead still on"), other.stamp.id: (True, "")}


def test_a_closed_visit_s_reading_can_be_marked(store: SqlStore) -> None:
    """The mark is written behind the closing."""
    visit = header()
    scribe = Scribe(visit)
    taken = scribe.taken(5000.0, check_key="cap", band=CAP)
    closed = Closed(stamp=scribe.stamp())
    keep(store, visit, taken, closed, mark(scribe, taken, "cap"))
    assert [m.good for m in store.part_marks("cap")] == [True]
    assert Visit(*store.visit(visit.id)).closed


def test_the_marking_that_held_then_goes_with_it(store: SqlStore) -> None:
    """A cap of one marking is never among those of another."""
    visit = header()
    scribe = Scribe(visit)
    before = scribe.taken(4900.0, check_key="cap", band=CAP)
    chosen = OptionChosen(stamp=scribe.stamp(), option_group="cap", option_key="5k")
    five = scribe.taken(5000.0, check_key="cap", band=CAP)
    again = OptionChosen(stamp=scribe.stamp(), option_group="cap", option_key="")
    unsaid = scribe.taken(5100.0, check_key="cap", band=CAP)
    other = OptionChosen(stamp=scribe.stamp(), option_group="cap", option_key="unmarked")
    none = scribe.taken(5200.0, check_key="cap", band=CAP)
    readings = (before, five, unsaid, none)
    marks = [mark(scribe, one, "cap") for one in readings]
    written: list[Entry] = sorted([*readings, chosen, again, other], key=_seq)
    keep(store, visit, *written, *marks)
    assert [m.option_key for m in store.part_marks("cap")] == ["", "5k", "", "unmarked"]


def _seq(entry: Entry) -> int:
    return entry.stamp.seq


def test_parts_are_told_apart_by_what_was_fitted_before(store: SqlStore) -> None:
    """Across a machine's visits; another machine's parts, and other parts, do not count."""
    own, strange = machine(), machine("K8")
    first, second, elsewhere = (
        header(of=own),
        header("0002", of=own, day=9),
        header("0003", of=strange),
    )
    one, two, three = Scribe(first), Scribe(second), Scribe(elsewhere)
    old = one.taken(9100.0)
    fitted = PartFitted(stamp=one.stamp(), part="coil", name="Coil", check_key="secondary")
    beside = PartFitted(stamp=one.stamp(), part="plug", name="Plug")
    new = one.taken(9200.0)
    keep(store, first, old, fitted, beside, new, mark(one, old), mark(one, new))
    later = two.taken(9210.0)
    keep(store, second, later, mark(two, later))
    lonely = three.taken(9300.0)
    keep(store, elsewhere, lonely, mark(three, lonely))
    found = {m.taken.stamp.id: m.renewals for m in store.part_marks("secondary")}
    assert found == {old.stamp.id: 0, new.stamp.id: 1, later.stamp.id: 1, lonely.stamp.id: 0}
    names = {m.name for m in store.part_marks("secondary")}
    assert len(names) == 3


def test_a_redone_reading_says_so(store: SqlStore) -> None:
    """By a key, or by the reading that took its place."""
    visit = header()
    scribe = Scribe(visit)
    one = scribe.taken(9000.0)
    struck = Struck(stamp=scribe.stamp(), check_key="secondary", entry_id=one.stamp.id)
    two = scribe.taken(9100.0)
    three = scribe.taken(9200.0, supersedes=two.stamp.id)
    marks = [mark(scribe, reading) for reading in (one, two, three)]
    keep(store, visit, one, struck, two, three, *marks)
    assert [m.struck for m in store.part_marks("secondary")] == [True, True, False]


def test_a_mark_on_nothing_taken_says_nothing(store: SqlStore) -> None:
    """A look, a reading of another step, an entry that is not there: taken in, and no part."""
    visit = header()
    scribe = Scribe(visit)
    looked = Looked(stamp=scribe.stamp(), check_key="stop_wire", answer_key="yes")
    cap = scribe.taken(5000.0, check_key="cap", band=CAP)
    ghost = replace(cap, stamp=replace(cap.stamp, id="00000000-0000-4000-8000-00000000dead"))
    marks = [mark(scribe, looked), mark(scribe, cap), mark(scribe, ghost)]
    keep(store, visit, looked, cap, *marks)
    assert store.part_marks("secondary") == ()


def test_marks_come_over_with_their_visit(store: SqlStore, tmp_path: Path) -> None:
    """Told in the export, kept by the import; one written later comes with the next import."""
    visit = header()
    scribe = Scribe(visit)
    taken = scribe.taken(9400.0)
    first = mark(scribe, taken)
    with open_store(tmp_path / "other.sqlite") as other:
        keep(other, visit, taken, first)
        came = sent(other, visit, tmp_path)
        assert came["checks"][0]["marks"] == [
            {
                "id": first.stamp.id,
                "seq": 2,
                "at": first.stamp.at.isoformat(),
                "reading": taken.stamp.id,
                "good": True,
                "reason": "",
            }
        ]
        store.take_in(read_parcels(tmp_path / "came.json")).wait()
        assert store.part_marks("secondary") == other.part_marks("secondary")
        (ticket,) = settled(other, other.submit(mark(scribe, taken, reason="wet boot")))
        assert isinstance(ticket, Stored)
        assert len(sent(other, visit, tmp_path)["checks"][0]["marks"]) == 2
        store.take_in(read_parcels(tmp_path / "came.json")).wait()
        store.take_in(read_parcels(tmp_path / "came.json")).wait()
        assert store.part_marks("secondary") == other.part_marks("secondary")
    assert [m.reason for m in store.part_marks("secondary")] == ["wet boot"]


def sent(store: SqlStore, visit: VisitHeader, folder: Path) -> dict[str, Any]:
    """Export a visit to a file; the document, which keeps the schema."""
    document = export_visits([store.visit(visit.id)])
    Draft202012Validator(visit_json_schema()).validate(document)
    (folder / "came.json").write_text(json.dumps(document, indent=1), "utf-8")
    return document


STEPS = st.lists(
    st.sampled_from(("take", "cap", "mark", "aside", "strike", "five", "none", "fit", "turn")),
    max_size=24,
)


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(steps=STEPS)
def test_the_store_says_what_the_visits_say(store: SqlStore, steps: list[str]) -> None:
    """In any order of readings, marks, redos, markings and fitted parts: as the fold of visits."""
    own = machine()
    number = len(store.visits())
    heads = [header(f"{number + i + 1:04d}", of=own, day=number + i) for i in range(2)]
    books = [Book(head) for head in heads]
    here = 0
    for place, step in enumerate(steps):
        if step == "turn":
            here = 1 - here
        else:
            books[here].play(step, place)
    for book in books:
        keep(store, book.visit.header, *book.visit.entries)
    for key in ("secondary", "cap"):
        found = {m.taken.stamp.id: m for m in store.part_marks(key) if m.machine_id == own.id}
        wanted = {m.taken.stamp.id: m for m in marks_of((b.visit for b in books), key)}
        assert found == wanted


class Book:
    """A visit that a drawn story is written into."""

    def __init__(self, head: VisitHeader) -> None:
        self.visit = Visit(head)
        self.scribe = Scribe(head)

    def play(self, step: str, place: int) -> None:
        """One step; what has nothing to stand on is passed over."""
        if (entry := self._entry(step, place)) is not None:
            self.visit.apply(entry)

    def _entry(self, step: str, place: int) -> Entry | None:
        readings = [e for e in self.visit.entries if isinstance(e, Taken)]
        target = readings[place % len(readings)] if readings else None
        match step:
            case "take":
                return self.scribe.taken(9000.0 + place)
            case "cap":
                return self.scribe.taken(5000.0 + place, check_key="cap", band=CAP)
            case "five" | "none":
                key = {"five": "5k", "none": ""}[step]
                return OptionChosen(stamp=self.scribe.stamp(), option_group="cap", option_key=key)
            case "fit":
                return PartFitted(stamp=self.scribe.stamp(), part="cap", name="Cap")
            case "strike" if target is not None and not self.visit.is_struck(target):
                return Struck(
                    stamp=self.scribe.stamp(),
                    check_key=target.check_key,
                    entry_id=target.stamp.id,
                )
            case "mark" | "aside" if target is not None:
                reason = "x" if step == "aside" else ""
                return mark(self.scribe, target, target.check_key, reason=reason)
        return None
