"""A machine's visits with all their entries, read at once."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import create_engine, event, text

from benchassist.core.entry import Noted
from benchassist.core.visit import VisitHeader
from benchassist.errors import BenchError
from benchassist.storage import open_store
from benchassist.storage.store import SqlStore
from tests.storage.case import Scribe, header, machine, settled
from tests.storage.killing import spoil

PAGE = 4096


def kept(store: SqlStore, *headers: VisitHeader, note: str = "") -> None:
    """Store visits with two readings each, and a note."""
    for visit in headers:
        scribe = Scribe(visit)
        store.submit_visit(visit)
        entries = [scribe.taken(), scribe.taken(9500.0)]
        text_of_note = f"{visit.slip_number} {note}"
        ticket = store.submit(*entries, Noted(stamp=scribe.stamp(), text=text_of_note))
        settled(store, ticket - 1, ticket)


def of_one_machine(count: int) -> list[VisitHeader]:
    """Headers of so many visits of one machine, a day apart."""
    own = machine()
    return [header(f"{n:04d}", of=own, day=n) for n in range(1, count + 1)]


def test_it_is_every_visit_as_it_is_read_alone(store: SqlStore) -> None:
    """Oldest first, whatever the order of writing; another machine's are not in it."""
    first, second, third = of_one_machine(3)
    kept(store, third, first, header("0009"), second)
    history = store.history(first.machine.id)
    assert [h.slip_number for h, _entries in history.visits] == ["0001", "0002", "0003"]
    assert history.visits == tuple(store.visit(h.id) for h in (first, second, third))
    assert history.unread == ()
    assert store.history("no such machine").visits == ()


def test_what_is_known_already_is_left_out(store: SqlStore) -> None:
    """The others come with all their entries."""
    first, second, third = of_one_machine(3)
    kept(store, first, second, third)
    history = store.history(first.machine.id, but=(second.id, "no such visit"))
    assert history.visits == (store.visit(first.id), store.visit(third.id))


def test_a_visit_that_cannot_be_read_is_named(store: SqlStore, location: str) -> None:
    """A record of a newer program, or a torn one, hides no other visit."""
    first, second, third = of_one_machine(3)
    kept(store, first, second, third)
    engine = create_engine(location if "://" in location else f"sqlite:///{location}")
    with engine.begin() as connection:
        spoil = text("UPDATE entry SET body = '{' WHERE visit_id = :visit AND seq = 2")
        connection.execute(spoil, {"visit": second.id})
    engine.dispose()
    history = store.history(first.machine.id)
    assert history.visits == (store.visit(first.id), store.visit(third.id))
    assert history.unread == ("0002",)


def test_more_visits_are_no_more_questions(store: SqlStore) -> None:
    """Of two visits or of nine, the same statements are sent."""
    asked: list[str] = []
    few, many = of_one_machine(2), [header(f"1{n:03d}", of=machine("K8"), day=n) for n in range(9)]
    many = [header(h.slip_number, of=many[0].machine, day=n) for n, h in enumerate(many)]
    kept(store, *few, *many)
    store.history(few[0].machine.id)
    event.listen(
        store._engines.reader, "before_cursor_execute", lambda *said: asked.append(said[2])
    )
    store.history(few[0].machine.id)
    after_few = len(asked)
    store.history(many[0].machine.id)
    assert len(asked) == 2 * after_few


def test_a_damaged_page_hides_no_other_visit(tmp_path: Path) -> None:
    """Of a file with a page that cannot be read, the visits that stand elsewhere are given."""
    path = tmp_path / "shop.db"
    visits = of_one_machine(5)
    with open_store(path) as store:
        kept(store, *visits, note="long " * 700)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA journal_mode = DELETE")
    data = bytearray(path.read_bytes())
    at = data.index(b"0003 long") // PAGE * PAGE
    data[at : at + PAGE] = bytes([255]) * PAGE
    path.write_bytes(data)
    with open_store(path, read_only=True) as store:
        history = store.history(visits[0].machine.id)
        assert "0003" in history.unread
        assert {h.slip_number for h, _e in history.visits} | set(history.unread) == {
            h.slip_number for h in visits
        }
        assert len(history.visits) >= 3
        assert all(kept_visit == store.visit(kept_visit[0].id) for kept_visit in history.visits)


def test_entries_on_a_spoilt_page_cost_their_visits_alone(tmp_path: Path) -> None:
    """The driver gives up in the middle of them: asked for by itself, such a visit says so."""
    path, headers = tmp_path / "shop.sqlite", of_one_machine(40)
    with open_store(path) as store:
        kept(store, *headers, note="upon this page")
    spoil(path, b"upon this page")
    with open_store(path, read_only=True) as store:
        history = store.history(headers[0].machine.id)
        assert 0 < len(history.unread) < 10
        assert len(history.visits) + len(history.unread) == 40
        for visit in headers:
            if visit.slip_number in history.unread:
                with pytest.raises(BenchError, match="is damaged or cannot be read"):
                    store.visit(visit.id)
