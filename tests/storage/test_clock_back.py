"""A clock that is set back: what is kept stays in the order in which it was written."""

import json
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from benchassist.core.entry import Closed, Entry, Looked, Noted
from benchassist.core.record import Stored
from benchassist.core.visit import Visit
from benchassist.storage import open_store
from benchassist.storage.exchange import export_visits
from benchassist.storage.parcel import read_parcels
from benchassist.storage.store import SqlStore
from tests.storage.case import Scribe, header, machine, settled

BACK = (timedelta(minutes=1), timedelta(days=1), timedelta(days=10_000))


def set_back(entry: Entry, back: timedelta) -> Entry:
    """The same entry, as a clock that was set back would stamp it."""
    return replace(entry, stamp=replace(entry.stamp, at=entry.stamp.at - back))


@pytest.mark.parametrize("back", BACK, ids=str)
def test_a_visit_goes_on_in_order(store: SqlStore, tmp_path: Path, back: timedelta) -> None:
    """Readings after it follow those before it, also once exported and taken in elsewhere."""
    visit = header()
    scribe = Scribe(visit)
    entries = (
        scribe.taken(9400.0),
        set_back(scribe.taken(9500.0), back),
        set_back(Noted(stamp=scribe.stamp(), text="the clock was set"), back),
        set_back(Looked(stamp=scribe.stamp(), check_key="stop_wire", answer_key="yes"), back),
        set_back(Closed(stamp=scribe.stamp(), summary="done"), back),
    )
    tickets = store.submit_visit(visit), *(store.submit(entry) for entry in entries)
    assert all(isinstance(said, Stored) for said in settled(store, *tickets))
    assert store.visit(visit.id) == (visit, entries)
    assert [e.reading.value for e in Visit(visit, entries).taken("secondary")] == [9400.0, 9500.0]
    file = tmp_path / "out.json"
    file.write_text(json.dumps(export_visits([store.visit(visit.id)])), "utf-8")
    with open_store(tmp_path / "other.sqlite") as other:
        assert other.take_in(read_parcels(file)).wait().imported == 1
        assert other.visit(visit.id) == (visit, entries)


@pytest.mark.parametrize("back", BACK, ids=str)
def test_a_visit_opened_after_it_is_another_visit(store: SqlStore, back: timedelta) -> None:
    """It gets the next number and is listed; the machine has both, each with its own date."""
    of = machine()
    first = header("0001", of=of)
    settled(store, store.submit_visit(first))
    number = store.next_slip_number()
    assert number == "0002"
    second = replace(header(number, of=of), opened_at=first.opened_at - back)
    settled(store, store.submit_visit(second))
    assert store.next_slip_number() == "0003"
    assert {v.id for v in store.visits(machine_id=of.id)} == {first.id, second.id}
    assert {v.id for v in store.visits(open_only=True)} == {first.id, second.id}
