"""A program that was left open while another bench brought the shop to a newer revision."""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing
from pathlib import Path

import pytest
from sqlalchemy import create_engine, select, text

from benchassist.core.record import Refused, Stored
from benchassist.errors import BenchError, StoreError
from benchassist.storage import open_store, schema
from benchassist.storage.head import OtherRevisionError
from benchassist.storage.schema import HEAD
from benchassist.storage.served_store import ServedStore
from benchassist.storage.store import SqlStore
from tests.storage.case import PATIENCE, Scribe, header, machine, settled
from tests.storage.run_case import reading, run_header
from tests.storage.shop_rows import rows
from tests.storage.test_journal import back, begun, lost, stored, until

NEWER = (
    "another bench has brought the shop to a newer revision: close and update this program, pencil "
    "is lost"
)


def changed(location: str, *statements: str) -> None:
    """What another program does to a shop in one transaction."""
    if "://" not in location:
        with closing(sqlite3.connect(location, isolation_level=None)) as other:
            for statement in ("BEGIN IMMEDIATE", *statements, "COMMIT"):
                other.execute(statement)
        return
    engine = create_engine(location)
    with engine.begin() as connection:
        for statement in statements:
            connection.execute(text(statement))
    engine.dispose()


def revised(location: str, to: str = "0009", *statements: str) -> None:
    """Another program brings the shop to another revision."""
    changed(location, f"UPDATE alembic_version SET version_num = '{to}'", *statements)  # noqa: S608 - ours


REBUILT = (
    "ALTER TABLE search_tail RENAME TO search_end",
    "ALTER TABLE visit RENAME COLUMN words TO said",
)


def test_nothing_is_written_into_a_shop_that_moved_on(location: str) -> None:
    """Whatever it is, it is refused in one line that says what to do; the tables stay as they are.

    Were the tables as they were, the rows would fit, and the newer program could not know of them.
    """
    with open_store(location) as store:
        store.benches.wear("A", "A")
        visit = header("0001")
        settled(store, store.submit_visit(visit))
        recording = store.record(run_header(visit.id), {})
        assert recording.flushed(PATIENCE)
        revised(location)
        before = rows(location)
        scribe = Scribe(visit)
        tickets = (
            store.submit(scribe.taken()),
            store.submit_visit(header("0002")),
            store.submit_machine(machine("M-2")),
        )
        assert [s.why for s in settled(store, *tickets) if isinstance(s, Refused)] == [NEWER] * 3
        recording.put(reading(1.0))
        until(lambda: recording.trouble)
        assert recording.trouble == NEWER
        with pytest.raises(StoreError, match="newer revision"):
            store.benches.take_up(visit.id)
        assert rows(location) == before
        with pytest.raises(OtherRevisionError):
            store.briefs()
    assert rows(location) == before


def test_what_was_refused_is_taken_once_the_shop_is_back(location: str) -> None:
    """A restore by hand, say: what is in pencil is handed over again, and turns to ink."""
    with open_store(location) as store:
        visit = header()
        settled(store, store.submit_visit(visit))
        entry = Scribe(visit).taken()
        revised(location)
        (said,) = settled(store, store.submit(entry))
        assert isinstance(said, Refused)
        assert not said.final
        revised(location, HEAD)
        (said,) = settled(store, store.submit(entry))
        assert isinstance(said, Stored)
        assert store.visit(visit.id) == (visit, (entry,))


def asks(store: SqlStore, visit_id: str) -> tuple[Callable[[], object], ...]:
    """What a window asks of a shop."""
    return (
        lambda: store.find("tiller", 3),
        lambda: store.visits(open_only=True),
        lambda: store.visit(visit_id),
        lambda: store.briefs(open_only=True),
    )


def test_what_cannot_be_read_any_more_is_no_damage(location: str) -> None:
    """Tables that are others by now: the line does not send anybody to a backup."""
    with open_store(location) as store:
        visit = header()
        settled(store, store.submit_visit(visit))
        revised(location, "0009", *REBUILT)
        lines = list[str]()
        for ask in asks(store, visit.id):
            try:
                ask()
            except StoreError as error:
                lines.append(str(error))
        assert lines
        assert set(lines) == {NEWER}


def test_whoever_looks_for_news_hears_of_it_at_once(location: str) -> None:
    """Though every table is still as this program knows it."""
    with open_store(location) as store:
        settled(store, store.submit_visit(header()))
        assert len(store.briefs()) == 1
        revised(location)
        with pytest.raises(StoreError) as refused:
            store.briefs()
        assert str(refused.value) == NEWER
        assert len(store.visits()) == 1


def test_a_shop_that_went_back_is_opened_again(location: str) -> None:
    """A dump of before, put back under a program that was left open."""
    with open_store(location) as store:
        settled(store, store.submit_visit(header("0001")))
        revised(location, "0003")
        (said,) = settled(store, store.submit_visit(header("0002")))
        assert isinstance(said, Refused)
        assert said.why == (
            f"the shop is of revision 0003, this program's is {HEAD}: close this program and open "
            "it again"
        )


def test_a_lock_at_the_look_is_waited_for(location: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A migration that is undone: what came meanwhile is written after it, in order."""
    monkeypatch.setattr("benchassist.storage.shop_file.BUSY_SECONDS", 0.05)
    with open_store(location) as store:
        visit = header()
        settled(store, store.submit_visit(visit))
        entry = Scribe(visit).taken()
        if "://" in location:
            engine = create_engine(location)
            with engine.connect() as other, other.begin() as begun_there:
                other.execute(text("SELECT version_num FROM alembic_version FOR UPDATE"))
                ticket = store.submit(entry)
                assert store.wait(0.2) is None
                begun_there.rollback()
            engine.dispose()
        else:
            with closing(sqlite3.connect(location, isolation_level=None)) as file:
                file.execute("BEGIN IMMEDIATE")
                ticket = store.submit(entry)
                assert store.wait(0.2) is None
                file.execute("ROLLBACK")
        assert store.wait(PATIENCE) == Stored(ticket)


# --- a bench of a server, with its journal --------------------------------------------------------


@pytest.fixture
def bench(
    postgres_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Callable[[], ServedStore]]:
    """Open the shop as a bench does, again and again with the same journal."""
    monkeypatch.setattr("benchassist.storage.watch.PERIOD_S", 0.03)
    monkeypatch.setattr("benchassist.storage.writer.JOURNAL_PATIENCE_SECONDS", 0.1)
    monkeypatch.setattr("benchassist.storage.delivery.FIRST_PAUSE", 0.05)
    monkeypatch.setattr(
        "benchassist.storage.engine.PROMPT_OPTIONS",
        {"connect_timeout": "2", "options": "-c lock_timeout=100ms -c timezone=UTC"},
    )
    with ExitStack() as stack:

        def opened() -> ServedStore:
            store = open_store(postgres_url, journals=tmp_path)
            assert isinstance(store, ServedStore)
            stack.callback(store.close)
            store.benches.wear("A", "A")
            return store

        yield opened


def outdated(store: ServedStore) -> bool:
    """Whether a bench knows that its program is too old."""
    away = store.benches.away
    return away is not None and away.outdated


def test_a_bench_of_a_server_keeps_what_it_takes_until_it_is_updated(
    bench: Callable[[], ServedStore], postgres_url: str
) -> None:
    """Nothing reaches the server; the program of the newer revision delivers all of it, once."""
    store = bench()
    visit, scribe = begun(store)
    revised(postgres_url)
    before = rows(postgres_url)
    kept = stored(store, scribe.taken(), scribe.taken(8800.0))
    until(lambda: outdated(store))
    kept += stored(store, scribe.taken())
    away = store.benches.away
    assert away is not None
    assert (away.readings, away.outdated, away.said) == (3, True, "")
    assert away.why == NEWER
    assert store.visit(visit.id)[1][1:] == kept
    store.close()
    assert rows(postgres_url) == before
    # The program that is opened next is of the shop's revision.
    revised(postgres_url, HEAD)
    updated = bench()
    back(updated)
    engine = create_engine(postgres_url)
    with engine.connect() as connection:
        e = schema.entry.c
        ids = connection.scalars(select(e.id).where(e.visit_id == visit.id).order_by(e.seq)).all()
    engine.dispose()
    assert ids[1:] == [entry.stamp.id for entry in kept]


def test_a_migration_under_way_sends_a_bench_to_its_journal(
    bench: Callable[[], ServedStore], postgres_url: str
) -> None:
    """It goes on there, and hears how the migration ended: by news, or with the server back."""
    store = bench()
    visit, scribe = begun(store)
    engine = create_engine(postgres_url)
    for version in (HEAD, "0009"):
        with engine.connect() as other, other.begin():
            other.execute(text("SELECT version_num FROM alembic_version FOR UPDATE"))
            lost(store)
            assert not outdated(store)
            kept = stored(store, scribe.taken())
            other.execute(text(f"UPDATE alembic_version SET version_num = '{version}'"))  # noqa: S608 - ours
        if version == HEAD:
            back(store)
            assert store.visit(visit.id)[1][-1:] == kept
        else:
            until(lambda: outdated(store))
    engine.dispose()


def test_an_older_program_is_not_opened_on_it(
    bench: Callable[[], ServedStore], postgres_url: str
) -> None:
    """What its journal has stays there, for the program that is updated."""
    store = bench()
    _visit, scribe = begun(store)
    revised(postgres_url)
    until(lambda: outdated(store))
    stored(store, scribe.taken())
    store.close()
    with pytest.raises(BenchError, match="newer than this program"):
        bench()
    revised(postgres_url, HEAD)
    updated = bench()
    back(updated)
    delivered = updated.benches.delivered
    assert delivered is not None
    assert delivered.readings == 1
