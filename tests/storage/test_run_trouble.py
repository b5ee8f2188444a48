"""Runs while the disk is full, the shop is locked or the server is gone."""

import logging
import sqlite3
from collections.abc import Callable
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from sqlalchemy import Connection

from benchassist.core.record import Stored
from benchassist.core.run import RunGap
from benchassist.errors import ShopFileError
from benchassist.storage import inlet, open_store, recorder, shop_file, track
from benchassist.storage.inlet import Portion
from benchassist.storage.recorder import Recorder
from benchassist.storage.store import SqlStore
from tests.postgres import PostgresServer
from tests.storage.case import PATIENCE, Scribe, header, settled
from tests.storage.run_case import Log, assert_same, log, put_all, reading, run_header
from tests.storage.test_writer import backends_ended, locked, lost_connection, raw


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Return where a shop file can be made."""
    return tmp_path / "shop.db"


@pytest.fixture
def hasty(monkeypatch: pytest.MonkeyPatch) -> None:
    """Wait for no lock, and try again at once."""
    monkeypatch.setattr(shop_file, "BUSY_SECONDS", 0.0)
    monkeypatch.setattr(recorder, "FIRST_PAUSE", 0.001)
    monkeypatch.setattr(recorder, "LONGEST_PAUSE", 0.01)


def troubled(recording: Recorder) -> str:
    """Return why samples are not on disk, as soon as it is known."""
    return until(lambda: recording.trouble)


def until(told: Callable[[], str]) -> str:
    """Return what is told, as soon as anything is."""
    while not (words := told()):
        pass
    return words


def cleared(recording: Recorder) -> None:
    """Wait until everything is on disk, and nothing is told any more."""
    assert recording.flushed(PATIENCE)
    while recording.trouble:
        pass


def begun(store: SqlStore, expected: Log) -> tuple[str, Recorder]:
    """Begin a run with a log's first half on disk."""
    run = run_header()
    recording = store.record(run, {})
    half = len(expected.t_s) // 2
    put_all(recording, Log(expected.t_s[:half], expected.value[:half]).readings())
    assert recording.flushed(PATIENCE)
    return run.id, recording


def put_rest(recording: Recorder, expected: Log) -> None:
    """Put a log's second half."""
    half = len(expected.t_s) // 2
    put_all(recording, Log(expected.t_s[half:], expected.value[half:]).readings())


@pytest.mark.usefixtures("hasty")
def test_a_locked_shop_loses_nothing(path: Path) -> None:
    """While another program holds the shop, samples wait, say why, and come in order once."""
    expected = log(2000)
    with open_store(path) as store:
        run_id, recording = begun(store, expected)
        with locked(path):
            put_rest(recording, expected)
            why = troubled(recording)
            assert "is locked by another program" in why
            assert "\n" not in why
            assert not recording.flushed(0.0)
        cleared(recording)
        assert_same(store.run_samples(run_id, "A"), expected)
        assert store.run_gaps(run_id) == ()
        recording.close()


@pytest.mark.usefixtures("hasty")
def test_a_full_disk_loses_nothing(path: Path) -> None:
    """On a full disk samples wait in memory; with room again they are written."""
    expected = log(8000)
    with open_store(path) as store:
        run_id, recording = begun(store, expected)
        (pages,) = raw(store).execute("PRAGMA page_count").fetchone()
        raw(store).execute(f"PRAGMA max_page_count = {pages + 1}")
        put_rest(recording, expected)
        assert "the disk is full: make room" in troubled(recording)
        raw(store).execute("PRAGMA max_page_count = 1000000")
        cleared(recording)
        assert_same(store.run_samples(run_id, "A"), expected)
        recording.close()


@pytest.mark.usefixtures("hasty")
def test_a_shop_that_became_read_only_says_so(path: Path) -> None:
    """Where the shop may not be written any more the samples wait and say why."""
    expected = log(500)
    with open_store(path) as store:
        run_id, recording = begun(store, expected)
        raw(store).execute("PRAGMA query_only = ON")
        put_rest(recording, expected)
        assert "is read-only: make it writable" in troubled(recording)
        raw(store).execute("PRAGMA query_only = OFF")
        cleared(recording)
        assert_same(store.run_samples(run_id, "A"), expected)
        recording.close()


@pytest.mark.usefixtures("hasty")
def test_a_lock_that_lasts_is_a_gap_and_not_silence(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When memory is full the run says that it loses samples, and what is lost is a gap."""
    monkeypatch.setattr(inlet, "ROOM", 100)
    run = run_header()
    with open_store(path) as store:
        recording = store.record(run, {})
        recording.put(reading(0.0))
        assert recording.flushed(PATIENCE)
        with locked(path):
            for t_s in range(1, 201):
                recording.put(reading(float(t_s)))
            assert "memory is full, so the run now loses samples" in until(
                lambda: recording.trouble if "memory" in recording.trouble else ""
            )
        cleared(recording)
        recording.put(reading(300.0))
        cleared(recording)
        kept = [0.0, *map(float, range(1, 101)), 300.0]
        assert store.run_samples(run.id, "A").t_s.tolist() == kept
        assert store.run_gaps(run.id) == (
            RunGap(channel="A", start_s=100.0, end_s=300.0, reason="overflow"),
        )
        recording.close()


def test_a_commit_whose_answer_was_lost_is_repeated_once(
    store: SqlStore, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the answer to a commit is lost, what was in it is written again and kept once."""
    expected = log(1000)
    run_id, recording = begun(store, expected)
    free, lost = recording._inlet.free, list[Portion]()

    def committed(portion: Portion) -> None:
        """The next thing done after a commit."""
        lost.append(portion)
        if len(lost) <= 3:
            raise lost_connection()
        free(portion)

    monkeypatch.setattr(recording._inlet, "free", committed)
    put_rest(recording, expected)
    cleared(recording)
    assert len(lost) > 3
    assert lost[0] is lost[1] is lost[2] is lost[3]
    assert_same(store.run_samples(run_id, "A"), expected)
    recording.close()


def test_gathering_that_fails_keeps_no_sample_back(
    store: SqlStore, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """A fault in gathering the tail is logged, and samples go on being written."""
    monkeypatch.setattr(track, "GATHER_AT", 100)

    def fail(connection: Connection, run_id: str, channel: str) -> int:
        raise ZeroDivisionError(f"{connection} {run_id} {channel}")

    expected = log(5000)
    with monkeypatch.context() as patch, caplog.at_level(logging.WARNING):
        patch.setattr(recorder, "compact", fail)
        run_id, recording = begun(store, expected)
        put_rest(recording, expected)
        assert recording.flushed(PATIENCE)
        until(lambda: caplog.text)
    assert recording.trouble == ""
    assert "could not be gathered" in caplog.text
    assert_same(store.run_samples(run_id, "A"), expected)
    recording._gather_from_s = 0.0
    recording.close()


def test_a_fault_of_the_program_is_told_and_tried_again(
    store: SqlStore, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """An error nobody foresaw is logged and told; what was put is written once it is gone."""
    expected = log(400)
    run_id, recording = begun(store, expected)

    def fail(*_: object) -> None:
        raise ZeroDivisionError

    with monkeypatch.context() as patch, caplog.at_level(logging.ERROR):
        patch.setattr(recording, "_write", fail)
        put_rest(recording, expected)
        assert "ZeroDivisionError" in troubled(recording)
    cleared(recording)
    assert_same(store.run_samples(run_id, "A"), expected)
    recording.close()


def test_a_run_of_another_program_under_the_same_id_is_refused(
    location: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where two programs record one id, the one that comes second says so and adds nothing."""
    first, expected = run_header(), log(100)
    second = run_header(check_key="another")
    object.__setattr__(second, "id", first.id)
    with open_store(location) as ours, open_store(location) as theirs:
        recording = theirs.record(second, {})
        assert recording.flushed(PATIENCE)
        monkeypatch.setattr(ours, "_is_kept", lambda _run_id: False)
        refused = ours.record(first, {})
        refused.put(reading(1.0, 1.0))
        put_all(recording, expected.readings())
        assert recording.flushed(PATIENCE)
        assert "kept already, from another window" in troubled(refused)
        assert_same(theirs.run_samples(first.id, "A"), expected)
        refused.close()
        recording.close()


@pytest.mark.usefixtures("hasty")
def test_closing_while_the_shop_is_out_of_reach_ends(
    path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """Closing gives up after a while where nothing can be written, and the log says so."""
    monkeypatch.setattr("benchassist.storage.writer.PATIENCE_SECONDS", 0.05)
    monkeypatch.setattr("benchassist.storage.chores.PATIENCE_SECONDS", 0.05)
    store = open_store(path)
    run = run_header()
    recording = store.record(run, {})
    recording.put(reading(1.0))
    assert recording.flushed(PATIENCE)
    with locked(path), caplog.at_level(logging.WARNING):
        recording.put(reading(2.0))
        store.close()
    assert "the last samples of a run could not be written" in caplog.text
    with open_store(path) as store:
        assert store.run_samples(run.id, "A").t_s.tolist() == [1.0]


@pytest.mark.usefixtures("hasty")
def test_a_taken_reading_waits_no_longer_for_a_run(path: Path) -> None:
    """A reading taken while a run cannot be written is answered as if there were no run."""
    with open_store(path) as store:
        visit = header()
        settled(store, store.submit_visit(visit))
        run_id, recording = begun(store, log(100))
        scribe = Scribe(visit)
        with locked(path):
            recording.put(reading(1e3))
            troubled(recording)
        ticket = store.submit(scribe.taken())
        assert settled(store, ticket) == [Stored(ticket)]
        cleared(recording)
        assert len(store.run_samples(run_id, "A")) == 51
        recording.close()


@pytest.mark.postgres
def test_a_server_that_is_gone_for_a_while(
    postgres_server: PostgresServer, postgres_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without the server samples wait; with it again they are there once and in order."""
    monkeypatch.setattr(recorder, "LONGEST_PAUSE", 0.05)
    name = urlsplit(postgres_url).path.strip("/")
    expected = log(4000)
    with open_store(postgres_url) as store:
        run_id, recording = begun(store, expected)
        postgres_server.execute(f"ALTER DATABASE {name} ALLOW_CONNECTIONS false")
        backends_ended(postgres_server, postgres_url)
        put_rest(recording, expected)
        why = troubled(recording)
        assert "reached (terminating" in why or "lets nobody into" in why
        assert "\n" not in why
        postgres_server.execute(f"ALTER DATABASE {name} ALLOW_CONNECTIONS true")
        cleared(recording)
        assert_same(store.run_samples(run_id, "A"), expected)
        recording.close()


def test_damaged_samples_are_one_line(path: Path) -> None:
    """A chunk whose bytes are spoilt is told in one line that names the run."""
    run = run_header()
    with open_store(path) as store:
        put_all(store.record(run, {}), log(100).readings())
    connection = sqlite3.connect(path)
    connection.execute("UPDATE run_chunk SET body = x'010203'")
    connection.commit()
    connection.close()
    with open_store(path) as store:
        with pytest.raises(ShopFileError) as said:
            store.run_samples(run.id, "A")
        assert f"samples of the run '{run.id}' are damaged" in str(said.value)
        assert "\n" not in str(said.value)
