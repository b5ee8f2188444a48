import logging
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from sqlalchemy import Connection
from sqlalchemy.exc import OperationalError

from benchassist.core.record import Refused, Stored
from benchassist.core.visit import Visit
from benchassist.storage import open_store, shop_file
from benchassist.storage.ledger import Work
from benchassist.storage.store import SqlStore
from tests.postgres import PostgresServer
from tests.storage.case import Scribe, header, settled


@contextmanager
def locked(path: Path) -> Iterator[None]:
    """Hold the write lock of a shop file as another program would."""
    other = sqlite3.connect(path, isolation_level=None)
    try:
        other.execute("BEGIN IMMEDIATE")
        yield
        other.execute("ROLLBACK")
    finally:
        other.close()


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Return where a shop file can be made."""
    return tmp_path / "shop.db"


@pytest.fixture
def hasty(monkeypatch: pytest.MonkeyPatch) -> None:
    """Wait for no lock, so that a refusal comes at once."""
    monkeypatch.setattr(shop_file, "BUSY_SECONDS", 0.0)
    monkeypatch.setattr("benchassist.storage.writer.PATIENCE_SECONDS", 0.0)


def test_a_write_waits_out_a_lock(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A write that finds the shop locked by another program is made once the lock is gone."""
    monkeypatch.setattr(shop_file, "BUSY_SECONDS", 0.0)
    with open_store(path) as store:
        visit = header()
        settled(store, store.submit_visit(visit))
        pauses: list[float] = []
        monkeypatch.setattr("benchassist.storage.writer.time.sleep", pauses.append)
        with locked(path):
            entry = Scribe(visit).taken()
            ticket = store.submit(entry)
            while len(pauses) < 3:
                assert store.wait(0.001) is None
        assert settled(store, ticket) == [Stored(ticket)]
        assert store.visit(visit.id) == (visit, (entry,))
        assert pauses[:3] == sorted(pauses[:3])


@pytest.mark.usefixtures("hasty")
def test_a_lasting_lock_refuses_in_one_line_and_the_writer_goes_on(path: Path) -> None:
    """While another program holds the shop, a write is refused; handed in again it is stored."""
    with open_store(path) as store:
        visit = header()
        settled(store, store.submit_visit(visit))
        entry = Scribe(visit).taken()
        with locked(path):
            (said,) = settled(store, store.submit(entry))
            assert isinstance(said, Refused)
            assert "is locked by another program: close that" in said.why
            assert "\n" not in said.why
            assert store.visit(visit.id) == (visit, ())
        ticket = store.submit(entry)
        assert settled(store, ticket) == [Stored(ticket)]
        assert store.visit(visit.id) == (visit, (entry,))


@pytest.mark.usefixtures("hasty")
def test_closing_while_the_shop_is_out_of_reach_ends(path: Path) -> None:
    """Closing answers everything in hand, also where nothing can be written."""
    store = open_store(path)
    visit = header()
    settled(store, store.submit_visit(visit))
    with locked(path):
        scribe = Scribe(visit)
        tickets = [store.submit(scribe.taken()) for _ in range(5)]
        store.close()
    said = store.acknowledgements()
    assert [s.ticket for s in said] == tickets
    assert all(isinstance(s, Refused) for s in said)


def raw(store: SqlStore) -> sqlite3.Connection:
    """Return the writer's own connection."""
    assert store._writer is not None
    assert store._writer._connection is not None
    connection = store._writer._connection.connection.driver_connection
    assert isinstance(connection, sqlite3.Connection)
    return connection


def test_a_full_disk_refuses_and_loses_nothing(path: Path) -> None:
    """On a full disk the reading is refused with what to do; what was stored before stays."""
    with open_store(path) as store:
        visit = header()
        settled(store, store.submit_visit(visit))
        (pages,) = raw(store).execute("PRAGMA page_count").fetchone()
        raw(store).execute(f"PRAGMA max_page_count = {pages + 2}")
        scribe, kept = Scribe(visit), []
        for _ in range(40):
            entry = scribe.taken()
            (said,) = settled(store, store.submit(entry))
            if isinstance(said, Refused):
                break
            kept.append(entry)
        else:
            pytest.fail("the disk never filled")
        assert "the disk is full: make room" in said.why
        assert store.visit(visit.id) == (visit, tuple(kept))
        raw(store).execute("PRAGMA max_page_count = 1000000")
        ticket = store.submit(entry)
        assert settled(store, ticket) == [Stored(ticket)]
        assert store.visit(visit.id) == (visit, (*kept, entry))


def test_a_fault_of_the_program_is_answered_too(
    store: SqlStore, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """An error nobody foresaw refuses its submission, is logged, and the writer goes on."""
    visit = header()
    settled(store, store.submit_visit(visit))
    assert store._writer is not None

    def fail(connection: Connection, work: Work) -> None:
        raise ZeroDivisionError(f"{connection} {work}")

    entry = Scribe(visit).taken()
    with monkeypatch.context() as patch, caplog.at_level(logging.ERROR):
        patch.setattr(store._writer._ledger, "write", fail)
        (said,) = settled(store, store.submit(entry))
    assert isinstance(said, Refused)
    assert "ZeroDivisionError" in said.why
    assert [record.message for record in caplog.records] == ["the writer failed"]
    ticket = store.submit(entry)
    assert settled(store, ticket) == [Stored(ticket)]


def test_a_commit_whose_answer_was_lost_is_repeated_once(
    store: SqlStore, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the answer to a commit is lost, writing again keeps the reading once."""
    visit = header()
    settled(store, store.submit_visit(visit))
    assert store._writer is not None
    write = store._writer._ledger.write

    def write_and_lose(connection: Connection, work: Work) -> None:
        monkeypatch.setattr(store._writer._ledger, "write", write)  # type: ignore[union-attr]
        write(connection, work)
        raise lost_connection()

    monkeypatch.setattr(store._writer._ledger, "write", write_and_lose)
    entry = Scribe(visit).taken()
    ticket = store.submit(entry)
    assert settled(store, ticket) == [Stored(ticket)]
    assert store.visit(visit.id) == (visit, (entry,))


def lost_connection() -> Exception:
    """Return what SQLAlchemy raises when the server went away."""
    return OperationalError("COMMIT", {}, OSError("gone"), connection_invalidated=True)


def backends_ended(server: PostgresServer, url: str) -> None:
    """End every connection to a database, as a restart of the server would."""
    name = urlsplit(url).path.strip("/")
    server.execute(
        "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "  # noqa: S608 - our own name
        f"WHERE datname = '{name}'"
    )


@pytest.mark.postgres
def test_a_lost_server_connection_is_made_again(
    postgres_server: PostgresServer, postgres_url: str
) -> None:
    """When the server drops its connections, the next write and the next read find it again."""
    with open_store(postgres_url) as store:
        visit = header()
        settled(store, store.submit_visit(visit))
        store.visits()
        backends_ended(postgres_server, postgres_url)
        entry = Scribe(visit).taken()
        ticket = store.submit(entry)
        assert settled(store, ticket) == [Stored(ticket)]
        assert store.visit(visit.id) == (visit, (entry,))


@pytest.mark.postgres
@pytest.mark.usefixtures("hasty")
def test_a_server_that_stays_away_refuses_until_it_is_back(
    postgres_server: PostgresServer, postgres_url: str
) -> None:
    """Without the server a reading is refused in one line; with it again the reading is stored."""
    name = urlsplit(postgres_url).path.strip("/")
    with open_store(postgres_url) as store:
        visit = header()
        settled(store, store.submit_visit(visit))
        postgres_server.execute(f"ALTER DATABASE {name} ALLOW_CONNECTIONS false")
        backends_ended(postgres_server, postgres_url)
        scribe = Scribe(visit)
        first, second = scribe.taken(), scribe.taken()
        for said in settled(store, store.submit(first), store.submit(second)):
            assert isinstance(said, Refused)
            assert "reached (terminating" in said.why or "lets nobody into" in said.why
            assert "\n" not in said.why
        postgres_server.execute(f"ALTER DATABASE {name} ALLOW_CONNECTIONS true")
        ticket = store.submit(first, second)
        assert settled(store, ticket) == [Stored(ticket)]
        assert Visit(*store.visit(visit.id)).entries == (first, second)


def test_what_is_stored_is_synced(path: Path) -> None:
    """The writer commits in WAL mode with a full sync; readers cannot write."""
    with open_store(path) as store:
        settled(store, store.submit_visit(header()))
        assert raw(store).execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert raw(store).execute("PRAGMA synchronous").fetchone() == (2,)
        assert raw(store).execute("PRAGMA foreign_keys").fetchone() == (1,)
        with (
            store._engines.reader.connect() as reader,
            pytest.raises(OperationalError, match="readonly"),
        ):
            reader.exec_driver_sql("DELETE FROM entry")
