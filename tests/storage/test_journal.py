"""A server that is lost: what is taken is kept on this computer, and delivered once, in order."""

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import replace
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from sqlalchemy import func, select

from benchassist.core.entry import Closed, Entry, RunEnded, Struck, Taken
from benchassist.core.lease import Granted, Lease
from benchassist.core.record import Refused, Stored
from benchassist.core.visit import Visit, VisitHeader
from benchassist.errors import BenchError, NotFoundError, ShopFileError, StoreError
from benchassist.storage import open_store, schema
from benchassist.storage.compaction import Leftovers, compact
from benchassist.storage.served_store import MORE_THAN_READS, POLLED, READS, ServedStore
from benchassist.storage.store import SqlStore
from benchassist.storage.watch import SILENCE_S
from tests.postgres import PostgresServer, command, programs
from tests.storage.case import PATIENCE, Scribe, header, machine, settled
from tests.storage.proxy import Proxy
from tests.storage.run_case import assert_same, heat_run, log, put_all, run_header
from tests.storage.test_writer import backends_ended

pytestmark = [pytest.mark.postgres, pytest.mark.usefixtures("hasty")]


@pytest.fixture
def hasty(monkeypatch: pytest.MonkeyPatch) -> None:
    """Look often, and give up soon."""
    monkeypatch.setattr("benchassist.storage.watch.PERIOD_S", 0.03)
    monkeypatch.setattr("benchassist.storage.stock.PERIOD_S", 0.03)
    monkeypatch.setattr("benchassist.storage.writer.JOURNAL_PATIENCE_SECONDS", 0.1)
    monkeypatch.setattr("benchassist.storage.engine.WRITE_PATIENCE_S", 0.3)
    monkeypatch.setattr("benchassist.storage.engine.READ_PATIENCE_S", 0.5)
    monkeypatch.setattr("benchassist.storage.delivery.FIRST_PAUSE", 0.05)


@pytest.fixture
def proxy(postgres_server: PostgresServer) -> Iterator[Proxy]:
    """The way to the server."""
    with Proxy(postgres_server) as way:
        yield way


class Line:
    """A database, the way to it, and benches on it."""

    def __init__(self, proxy: Proxy, url: str, home: Path) -> None:
        self.proxy, self.server_url, self.home = proxy, url, home
        self.url = proxy.url(urlsplit(url).path.strip("/"))
        self._stack = ExitStack()

    def bench(self, letter: str = "A") -> ServedStore:
        """A bench that reaches the server by the proxy, and has a journal."""
        store = open_store(self.url, journals=self.home / letter)
        assert isinstance(store, ServedStore)
        self._stack.callback(store.close)
        store.benches.wear(letter, letter)
        return store

    def other(self, letter: str = "B") -> SqlStore:
        """A bench at the server itself."""
        store = self._stack.enter_context(open_store(self.server_url))
        store.benches.wear(letter, letter)
        return store

    def close(self) -> None:
        """Close every bench."""
        self._stack.close()


@pytest.fixture
def line(proxy: Proxy, postgres_url: str, tmp_path: Path) -> Iterator[Line]:
    """An empty shop on a server, and the way to it."""
    made = Line(proxy, postgres_url, tmp_path)
    yield made
    proxy.listen_again()
    made.close()


def until(told: Callable[[], object]) -> None:
    """Wait for something to come true."""
    limit = time.monotonic() + PATIENCE
    while not told():
        assert time.monotonic() < limit, "it never came true"
        threading.Event().wait(0.002)


def lost(store: SqlStore) -> None:
    """Wait until a bench knows that its server is lost."""
    until(lambda: store.benches.away is not None)


def back(store: SqlStore) -> None:
    """Wait until everything is delivered."""
    until(lambda: store.benches.away is None)


def read(store: SqlStore, visit_id: str) -> tuple[VisitHeader, tuple[Entry, ...]]:
    """What stands of a visit; asked for again where the server did not answer in a moment."""
    found = list[tuple[VisitHeader, tuple[Entry, ...]]]()

    def answered() -> bool:
        with suppress(StoreError):
            found.append(store.visit(visit_id))
        return bool(found)

    until(answered)
    return found[0]


def begun(store: SqlStore, number: str = "A-0001") -> tuple[VisitHeader, Scribe]:
    """A visit on a bench, with one reading in it."""
    visit = header(number)
    settled(store, store.submit_visit(visit))
    assert isinstance(store.benches.take_up(visit.id), Granted)
    read(store, visit.id)
    scribe = Scribe(visit)
    stored(store, scribe.taken())
    return visit, scribe


def stored(store: SqlStore, *entries: Entry) -> tuple[Entry, ...]:
    """Hand entries in, each by itself; all are acknowledged as stored."""
    for entry in entries:
        (said,) = settled(store, store.submit(entry))
        assert isinstance(said, Stored), said
    return entries


def in_hand(store: ServedStore, visit: VisitHeader, entries: int) -> None:
    """Wait until so many entries of a visit would be here without the server; -1: none of it."""
    until(lambda: store._journal.hand.entries_of(visit.id) == entries)


def numbers(store: SqlStore) -> list[str]:
    """Slip numbers, in the order in which visits were opened."""
    return [v.slip_number for v in sorted(store.visits(), key=lambda v: v.slip_number)]


# --- kept and delivered ---------------------------------------------------------------------------


def test_what_is_taken_while_the_server_is_lost_is_delivered_once_and_in_order(line: Line) -> None:
    """The bench goes on where it was; afterwards the server has the visit as it stood here."""
    a, there = line.bench(), line.other()
    visit, scribe = begun(a)
    with line.proxy.cut():
        kept = stored(a, scribe.taken(), scribe.taken(8800.0))
        away = a.benches.away
        assert away is not None
        assert (away.readings, away.entries, away.runs) == (2, 2, 0)
        assert len(a.visit(visit.id)[1]) == 3
        assert a.visits()[0].slip_number == "A-0001"
        assert len(there.visit(visit.id)[1]) == 1
    back(a)
    delivered = a.benches.delivered
    assert delivered is not None
    assert (delivered.readings, delivered.apart, delivered.renumbered) == (2, (), ())
    more = stored(a, scribe.taken())
    assert there.visit(visit.id)[1][1:] == (*kept, *more)
    with there._engines.reader.connect() as connection:
        count = connection.scalar(select(func.count()).select_from(schema.taken))
    assert count == 4
    assert a._journal.away is None
    with a._journal.engines.reader.connect() as connection:
        assert connection.scalar(select(func.count()).select_from(schema.visit)) == 0


def test_a_server_that_falls_silent_is_not_waited_for(line: Line) -> None:
    """A reading is stored, and the counter answers, while not one byte comes from the server."""
    a = line.bench()
    visit, scribe = begun(a)
    assert numbers(a) == ["A-0001"]
    with line.proxy.silent():
        assert numbers(a) == ["A-0001"]  # as it was the last time
        kept = stored(a, scribe.taken())
        assert numbers(a) == ["A-0001"]
        assert a.visit(visit.id)[1][-1:] == kept
        assert isinstance(a.benches.take_up(visit.id), Granted)
    back(a)
    assert line.other().visit(visit.id)[1][-1:] == kept


def test_what_nobody_has_asked_before_is_refused_while_the_server_is_silent(line: Line) -> None:
    """One line instead of a window that stands still."""
    a = line.bench()
    visit, _scribe = begun(a)
    a.watch._lost = lambda _error: None  # nothing goes over to the journal
    with (
        line.proxy.silent(),
        pytest.raises(StoreError, match=r"does not answer|cannot be reached") as refused,
    ):
        a.machine(visit.machine.id)
    assert "\n" not in str(refused.value)


def test_a_slow_server_is_not_lost(line: Line) -> None:
    """With every packet late the bench works on the server, and reads what is there."""
    a = line.bench()
    visit, scribe = begun(a)
    line.proxy.delay_s = 0.01
    kept = stored(a, scribe.taken(), scribe.taken())
    assert a.visit(visit.id)[1][-2:] == kept
    assert a.benches.away is None
    line.proxy.delay_s = 0.0


def test_an_answer_of_a_slow_server_is_waited_for(line: Line) -> None:
    """Once it is known to be slow it is not taken for a silent one, and what it says is there."""
    a = line.bench()
    visit, _scribe = begun(a)
    line.proxy.delay_s = 0.06
    until(lambda: a.watch._usual_s > SILENCE_S)
    assert a.machine(visit.machine.id) == visit.machine
    line.proxy.delay_s = 0.0
    assert a.benches.away is None


def test_a_lock_that_lasts_keeps_nobody_waiting(line: Line) -> None:
    """What another program holds on the server goes into the journal, and there later."""
    a, there = line.bench(), line.other()
    visit, scribe = begun(a)
    with there._engines.writer.connect() as connection:  # type: ignore[union-attr]
        transaction = connection.begin()
        connection.exec_driver_sql("LOCK TABLE entry IN EXCLUSIVE MODE")
        kept = stored(a, scribe.taken())
        assert a.benches.away is not None
        transaction.rollback()
    back(a)
    assert there.visit(visit.id)[1][-1:] == kept


def test_a_restart_of_the_server_costs_nothing(line: Line) -> None:
    """Connections that were ended are made again; nothing goes into the journal."""
    a = line.bench()
    visit, scribe = begun(a)
    backends_ended(line.proxy.server, line.server_url)
    kept = stored(a, scribe.taken())
    assert a.visit(visit.id)[1][-1:] == kept


def test_a_server_that_is_stopped_and_started_again(line: Line) -> None:
    """The real thing: readings are taken all the while, and all of them are there."""
    a = line.bench()
    visit, scribe = begun(a)
    control = programs()
    assert control is not None
    folder = line.proxy.server.folder
    program = (str(control / "pg_ctl"), "-D", str(folder / "data"), "-w", "-l", str(folder / "log"))
    restart = threading.Thread(target=command, args=(*program, "-m", "fast", "restart"))
    restart.start()
    kept = list[Entry]()
    while restart.is_alive():
        kept += stored(a, scribe.taken())
    restart.join()
    # It may be this one that finds the line cut: the bench is back a moment later.
    kept += stored(a, scribe.taken())
    back(a)
    assert line.other().visit(visit.id)[1][1:] == tuple(kept)


def test_a_server_without_a_free_connection_is_lost_for_a_while(line: Line) -> None:
    """It is no refusal: there is one again by and by."""
    name, server = urlsplit(line.server_url).path.strip("/"), line.proxy.server
    server.execute(f"CREATE ROLE clerk_of_{name} LOGIN")
    server.execute(f"ALTER DATABASE {name} OWNER TO clerk_of_{name}")
    line.url = line.url.replace("bench@", f"clerk_of_{name}@")
    a = line.bench()
    visit, scribe = begun(a)
    server.execute(f"ALTER ROLE clerk_of_{name} CONNECTION LIMIT 0")
    backends_ended(server, line.server_url)
    kept = stored(a, scribe.taken())
    away = a.benches.away
    assert away is not None
    assert "too many connections" in away.why
    assert away.said == ""
    server.execute(f"ALTER ROLE clerk_of_{name} CONNECTION LIMIT -1")
    back(a)
    assert line.other().visit(visit.id)[1][-1:] == kept


def test_a_server_that_lets_nobody_in_any_more_is_told_in_its_words(line: Line) -> None:
    """What is taken is kept until somebody has mended that."""
    a = line.bench()
    visit, scribe = begun(a)
    name = urlsplit(line.server_url).path.strip("/")
    server = line.proxy.server
    server.execute(f"ALTER DATABASE {name} ALLOW_CONNECTIONS false")
    backends_ended(server, line.server_url)
    kept = stored(a, scribe.taken())
    away = a.benches.away
    assert away is not None
    assert "not currently accepting connections" in away.said
    server.execute(f"ALTER DATABASE {name} ALLOW_CONNECTIONS true")
    back(a)
    assert line.other().visit(visit.id)[1][-1:] == kept


def test_an_answer_that_was_lost_keeps_a_reading_once(line: Line) -> None:
    """The server has the reading, the bench never heard of it: it is kept here and there once."""
    a, there = line.bench(), line.other()
    visit, scribe = begun(a)
    line.proxy.lose_answers()
    kept = stored(a, scribe.taken(), scribe.taken())
    line.proxy.listen_again()
    back(a)
    assert there.visit(visit.id)[1][1:] == kept


def test_everything_goes_over_when_nothing_was_asked(line: Line) -> None:
    """The watch finds the loss by itself, and the return."""
    a = line.bench()
    with line.proxy.cut():
        lost(a)
        assert a.visits() == ()
    back(a)


def test_a_visit_that_another_bench_began_is_in_hand_once_it_was_read(line: Line) -> None:
    """All of it is here when the server is not."""
    there = line.other()
    visit, scribe = begun(there, "B-0001")
    stored(there, scribe.taken(), scribe.taken())
    there.benches.put_down([visit.id])
    a = line.bench()
    until(lambda: isinstance(a.benches.take_up(visit.id), Granted))
    before = read(a, visit.id)
    with line.proxy.cut():
        lost(a)
        assert a.visit(visit.id) == before
        kept = stored(a, scribe.taken())
    back(a)
    assert there.visit(visit.id) == (before[0], (*before[1], *kept))


def test_an_open_visit_is_in_hand_though_it_was_never_on_this_bench(line: Line) -> None:
    """It is gone on with without the server, and what is written goes where it belongs."""
    there = line.other()
    visit, scribe = begun(there, "B-0001")
    there.benches.put_down([visit.id])
    a = line.bench()
    in_hand(a, visit, 1)
    with line.proxy.cut():
        lost(a)
        assert [v.slip_number for v in a.visits(open_only=True)] == ["B-0001"]
        assert isinstance(a.benches.take_up(visit.id), Granted)
        kept = stored(a, scribe.taken())
    back(a)
    kept += stored(a, scribe.taken())
    assert there.visit(visit.id)[1][1:] == kept
    assert numbers(there) == ["B-0001"]
    assert isinstance(there.benches.take_up(visit.id), Lease)


def test_what_another_bench_has_on_is_not_in_hand(line: Line) -> None:
    """Also where it was here before: it is on that bench when the server is lost."""
    a, there = line.bench(), line.other()
    visit, scribe = begun(a)
    a.benches.put_down([visit.id])
    until(lambda: isinstance(there.benches.take_up(visit.id), Granted))
    in_hand(a, visit, -1)
    with line.proxy.cut():
        lost(a)
        with pytest.raises(StoreError, match="only visits that were on this bench"):
            a.benches.take_up(visit.id)
    back(a)
    stored(there, scribe.taken())
    there.benches.put_down([visit.id])
    in_hand(a, visit, 2)


def test_what_was_in_hand_and_left_as_it_was_is_no_news(line: Line) -> None:
    """Another bench has gone on with it meanwhile, and goes on."""
    there = line.other()
    visit, scribe = begun(there, "B-0001")
    there.benches.put_down([visit.id])
    a = line.bench()
    in_hand(a, visit, 1)
    with line.proxy.cut():
        lost(a)
        until(lambda: isinstance(there.benches.take_up(visit.id), Granted))
        stored(there, scribe.taken())
    back(a)
    stored(there, scribe.taken())
    assert numbers(there) == ["B-0001"]
    assert a.benches.delivered is not None
    assert a.benches.delivered.apart == ()


def test_what_is_taken_while_it_is_delivered_is_delivered_too(line: Line) -> None:
    """The bench goes on; the journal is emptied only when nothing in it is news."""
    a, there = line.bench(), line.other()
    visit, scribe = begun(a)
    with line.proxy.cut():
        lost(a)
        for number in range(2, 14):
            other = header(f"A-{number:04d}", day=1)
            settled(a, a.submit_visit(other))
            stored(a, Scribe(other).taken())
        kept = list(stored(a, scribe.taken()))
        line.proxy.delay_s = 0.002
    while a.benches.away is not None:
        kept += stored(a, scribe.taken())
    line.proxy.delay_s = 0.0
    assert len(kept) > 3
    kept += stored(a, scribe.taken())
    assert there.visit(visit.id)[1][1:] == tuple(kept)
    assert len(there.visits()) == 13


# --- new visits, machines, numbers ----------------------------------------------------------------


def test_new_machines_and_visits_are_begun_without_the_server(line: Line) -> None:
    """They carry the bench's own numbers, go on from the last, and keep their samples."""
    a, there = line.bench(), line.other()
    begun(a, a.next_slip_number("A"))
    card = machine("K8", unit="Chain saw")
    with line.proxy.cut():
        lost(a)
        settled(a, a.submit_machine(card))
        visits = []
        for _ in range(2):
            visits.append(header(a.next_slip_number("A"), of=card))
            settled(a, a.submit_visit(visits[-1]))
            assert a.benches.take_up(visits[-1].id, new=True) == Granted(stale=False)
            stored(a, Scribe(visits[-1]).taken())
        assert numbers(a) == ["A-0001", "A-0002", "A-0003"]
        assert there.next_slip_number("A") == "A-0002"
    back(a)
    assert numbers(there) == ["A-0001", "A-0002", "A-0003"]
    assert there.machine(card.id) == card
    assert all(a.benches.holds(visit.id) for visit in visits)
    assert isinstance(there.benches.take_up(visits[0].id), Lease)


def test_a_tag_that_two_benches_gave_is_told(line: Line) -> None:
    """Each was free as far as could be seen from where it was given."""
    a, there = line.bench(), line.other()
    card = machine("K8", unit="Chain saw")
    with line.proxy.cut():
        lost(a)
        settled(a, a.submit_machine(card))
        settled(a, a.submit_machine(machine("K9")))
        settled(there, there.submit_machine(machine("K8", unit="Pump")))
    back(a)
    assert len(there.machines_of_tag("K8")) == 2
    assert a.benches.delivered is not None
    assert a.benches.delivered.tags == ("K8",)


def test_machines_are_counted_on_from_the_server_s(line: Line) -> None:
    """A free tag is looked for past those that cannot be seen, after a new start as well."""
    there = line.other()
    for number in range(1, 8):
        settled(there, there.submit_machine(machine(f"M-{number:03d}")))
    a = line.bench()
    until(lambda: a._journal.machines == 7)
    with line.proxy.cut():
        lost(a)
        assert a.machine_count() == 7
        settled(a, a.submit_machine(machine("M-008")))
        a.close()
        assert line.bench().machine_count() == 8


def test_numbers_go_on_from_the_server_s_last(line: Line) -> None:
    """Also where this bench has opened no visit since it was started."""
    there = line.other("A")
    settled(there, there.submit_visit(header("A-0007")))
    a = line.bench()
    until(lambda: a._journal.serials.get("A") == 7)
    with line.proxy.cut():
        lost(a)
        assert a.next_slip_number("A") == "A-0008"
        a.close()
        assert line.bench().next_slip_number("A") == "A-0008"


def test_a_machine_that_was_changed_meanwhile_is_changed_on_the_server(line: Line) -> None:
    """What is typed on the card while the server is away is there afterwards."""
    a, there = line.bench(), line.other()
    visit, _scribe = begun(a)
    changed = replace(visit.machine, phone="555-0199", customer="Ada Muller")
    with line.proxy.cut():
        lost(a)
        settled(a, a.submit_machine(changed))
    back(a)
    assert there.machine(changed.id) == changed


def test_a_number_that_is_used_on_the_server_is_given_another(line: Line) -> None:
    """Two benches of one letter: the visit is kept under a number beside it, and that is said."""
    a, there = line.bench(), line.other("A")
    with line.proxy.cut():
        lost(a)
        visit = header("A-0001")
        settled(a, a.submit_visit(visit))
        a.benches.take_up(visit.id, new=True)
        settled(there, there.submit_visit(header("A-0001")))
    back(a)
    assert numbers(there) == ["A-0001", "A-0001-2"]
    assert a.benches.delivered is not None
    assert a.benches.delivered.renumbered == (("A-0001", "A-0001-2"),)
    assert a.benches.kept_apart(visit.id) == ("A-0001-2", "")
    entry = Scribe(visit).taken()
    stored(a, entry)
    assert there.visit("A-0001-2")[1] == (entry,)


# --- the program ends -----------------------------------------------------------------------------


def test_a_program_that_ends_meanwhile_leaves_everything_for_the_next(line: Line) -> None:
    """It opens without the server, goes on, and delivers what both have kept."""
    first = line.bench()
    visit, scribe = begun(first)
    with line.proxy.cut():
        kept = stored(first, scribe.taken())
        first.close()
        second = line.bench()
        assert second.benches.away is not None
        assert second.benches.away.readings == 1
        assert isinstance(second.benches.take_up(visit.id), Granted)
        assert second.visit(visit.id)[1][1:] == kept
        kept += stored(second, scribe.taken())
        assert second.next_slip_number("A") == "A-0002"
    back(second)
    assert line.other().visit(visit.id)[1][1:] == kept
    stored(second, scribe.taken())


def test_what_was_left_is_delivered_at_the_next_start(line: Line) -> None:
    """The server is there: nobody has to do anything."""
    first = line.bench()
    visit, scribe = begun(first)
    with line.proxy.cut():
        kept = stored(first, scribe.taken())
        first.close()
    second = line.bench()
    back(second)
    assert line.other().visit(visit.id)[1][1:] == kept


def test_a_server_that_was_never_open_from_here_is_an_error(line: Line) -> None:
    """A mistyped address opens no shop that is none."""
    with (
        line.proxy.cut(),
        pytest.raises(ShopFileError, match="cannot be reached") as refused,
    ):
        line.bench()
    assert "\n" not in str(refused.value)


def test_a_server_that_lets_nobody_in_is_an_error(line: Line) -> None:
    """Nor does one that refuses the name or the password, however well it is known."""
    line.bench().close()
    wrong = line.url.replace("bench@", "nobody@")
    with pytest.raises(ShopFileError, match='role "nobody" does not exist') as refused:
        open_store(wrong, journals=line.home / "A")
    assert str(refused.value).endswith(
        "check the user, the password and the database in the shop's address"
    )


def test_another_window_has_no_journal(line: Line) -> None:
    """The same home, the same server: it works, and says what it cannot do."""
    line.bench()
    other = open_store(line.url, journals=line.home / "A")
    try:
        assert "another window" in other.remark
        assert not isinstance(other, ServedStore)
        assert other.visits() == ()
    finally:
        other.close()


def test_a_damaged_journal_is_set_aside(line: Line) -> None:
    """The shop opens all the same, and the file is kept."""
    line.bench().close()
    (path,) = (line.home / "A").glob("*.sqlite")
    path.write_bytes(b"no database" * 1000)
    line.bench()
    assert len(list((line.home / "A").glob("*-damaged-*.sqlite"))) == 1


def test_a_visit_that_was_not_in_hand_cannot_be_gone_on_with(line: Line) -> None:
    """It is on the server alone."""
    a, there = line.bench(), line.other()
    with line.proxy.cut():
        lost(a)
        visit, _scribe = begun(there, "B-0001")
        with pytest.raises(StoreError, match="only visits that were on this bench"):
            a.benches.take_up(visit.id)


# --- runs -----------------------------------------------------------------------------------------


def test_a_run_goes_on_across_the_loss(line: Line) -> None:
    """Samples before, during and after are one run, each there once, with no gap."""
    expected = log(3000)
    a, there = line.bench(), line.other()
    visit, _scribe = begun(a)
    run = run_header(visit.id)
    recording = a.record(run, {})
    readings = list(expected.readings())
    put_all(recording, readings[:1000])
    assert recording.flushed(PATIENCE)
    with line.proxy.cut():
        lost(a)
        put_all(recording, readings[1000:2000])
        assert recording.flushed(PATIENCE)
        assert a.benches.away is not None
        assert a.benches.away.runs == 1
        assert len(a.run_samples(run.id, "A")) == 1000  # what is here of the run that is on
    back(a)
    put_all(recording, readings[2000:])
    recording.close()
    assert recording.flushed(PATIENCE)
    assert_same(there.run_samples(run.id, "A"), expected)
    assert there.run_gaps(run.id) == ()


def test_samples_whose_answer_was_lost_are_there_once(line: Line) -> None:
    """Also where another program has gathered them on the server before they came again."""
    expected = log(2000)
    a, there = line.bench(), line.other()
    visit, scribe = begun(a)
    run = run_header(visit.id)
    recording = a.record(run, {})
    readings = list(expected.readings())
    put_all(recording, readings[:1000])
    assert recording.flushed(PATIENCE)
    # Only the run's own transactions are left.
    a.watch.close()
    until(lambda: not any(isinstance(chore, Leftovers) for chore in a.writing._chores._left))
    line.proxy.lose_answer_to_commit()
    put_all(recording, readings[1000:])
    until(lambda: len(there.run_samples(run.id, "A")) > 1000)
    stored(a, scribe.taken())
    assert recording.flushed(PATIENCE)
    with there._engines.writer.connect() as connection, connection.begin():  # type: ignore[union-attr]
        while compact(connection, run.id, "A"):
            pass
    assert a._journal.away is not None
    assert a._journal.away.runs == 1
    line.proxy.listen_again()
    a._deliver()
    back(a)
    recording.close()
    assert recording.flushed(PATIENCE)
    assert_same(there.run_samples(run.id, "A"), expected)


def test_a_run_that_was_begun_and_ended_meanwhile_is_delivered_whole(line: Line) -> None:
    """And can be looked at here before."""
    expected = log(2000, opens=(700, 701))
    a, there = line.bench(), line.other()
    visit, scribe = begun(a)
    with line.proxy.cut():
        lost(a)
        run = run_header(visit.id)
        recording = a.record(run, {})
        put_all(recording, expected.readings())
        recording.close()
        assert recording.flushed(PATIENCE)
        stored(a, *heat_run(scribe, run.id))
        assert_same(a.run_samples(run.id, "A"), expected)
    back(a)
    assert_same(there.run_samples(run.id, "A"), expected)
    assert any(isinstance(e, RunEnded) for e in there.visit(visit.id)[1])


def test_a_run_whose_beginning_is_on_the_server_is_not_told_from_its_end(line: Line) -> None:
    """A program that was killed in mid-run finishes it when the whole of it can be read."""
    a = line.bench()
    visit, scribe = begun(a)
    run = run_header(visit.id)
    recording = a.record(run, {})
    readings = list(log(1000).readings())
    stored(a, heat_run(scribe, run.id)[0])
    put_all(recording, readings[:500])
    assert recording.flushed(PATIENCE)
    with line.proxy.cut():
        lost(a)
        put_all(recording, readings[500:])
        assert recording.flushed(PATIENCE)
        a.close()
        again = line.bench()
        with pytest.raises(NotFoundError, match="began on the server"):
            again.run_samples(run.id, "A")
        with pytest.raises(BenchError, match="began on the server"):
            again.benches.take_up(visit.id)
    back(again)
    assert isinstance(again.benches.take_up(visit.id), Granted)
    assert len(again.run_samples(run.id, "A")) == 1000


# --- two benches, apart ---------------------------------------------------------------------------


@contextmanager
def gone_on_with(there: SqlStore, visit: VisitHeader) -> Iterator[Scribe]:
    """Another bench takes the visit over, once its lease has run out, and leaves it at the end."""
    until(lambda: isinstance(there.benches.take_up(visit.id), Granted))
    entries = there.visit(visit.id)[1]
    yield Scribe(visit, after=len(entries))
    there.benches.put_down([visit.id])


@pytest.fixture
def short(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leases run out at once, and nobody is known to be on this computer."""
    from datetime import timedelta

    from benchassist.storage.presence import Alive

    monkeypatch.setattr("benchassist.storage.lease.LASTS", timedelta(seconds=0.3))
    monkeypatch.setattr("benchassist.storage.lease.look_for", lambda _holder: Alive.UNKNOWN)


@pytest.mark.usefixtures("short")
def test_two_benches_that_worked_a_visit_apart_are_kept_side_by_side(line: Line) -> None:
    """The server has what each of them wrote; this bench goes on in its own."""
    a, there = line.bench(), line.other()
    visit, scribe = begun(a)
    first = a.visit(visit.id)[1]
    with line.proxy.cut():
        mine = stored(a, scribe.taken(7000.0), scribe.taken(7100.0))
        redo = Struck(stamp=scribe.stamp(), check_key="secondary", entry_id=mine[0].stamp.id)
        stored(a, redo)
        with gone_on_with(there, visit) as other:
            theirs = stored(there, other.taken(8000.0))
    back(a)
    assert there.visit(visit.id)[1] == (*first, *theirs)
    apart, entries = there.visit("A-0001-2")
    assert (apart.apart_of, apart.bench, apart.machine) == (visit.id, "A", visit.machine)
    assert [e.reading.value for e in entries if isinstance(e, Taken)] == [9400.0, 7000.0, 7100.0]
    # A visit of its own, sound in itself: what was redone in it is redone in it.
    beside = Visit(apart, entries)
    assert [t.reading.value for t in beside.taken("secondary")] == [9400.0, 7100.0]
    assert {e.stamp.id for e in entries}.isdisjoint(e.stamp.id for e in (*first, *mine))
    assert a.benches.delivered is not None
    assert a.benches.delivered.apart == (("A-0001", "A-0001-2"),)
    assert a.benches.kept_apart(visit.id) == ("A-0001-2", visit.id)
    # The bench is still at it, and knows nothing of other ids.
    assert a.benches.holds(visit.id)
    assert a.benches.take_up(visit.id) == Granted(stale=False)
    last = Struck(stamp=scribe.stamp(), check_key="secondary", entry_id=mine[1].stamp.id)
    stored(a, last, scribe.taken(7200.0))
    beside = Visit(*there.visit("A-0001-2"))
    assert [t.reading.value for t in beside.taken("secondary")] == [9400.0, 7200.0]
    a.benches.put_down([visit.id])
    assert a.benches.kept_apart(visit.id) is None
    until(lambda: isinstance(a.benches.take_up(visit.id), Granted))
    assert a.visit(visit.id)[1] == (*first, *theirs)


@pytest.mark.usefixtures("short")
def test_apart_is_told_once_however_often_it_is_delivered(line: Line) -> None:
    """A delivery that is made a second time, after a kill, finds the visit that it made."""
    a, there = line.bench(), line.other()
    visit, scribe = begun(a)
    with line.proxy.cut():
        stored(a, scribe.taken())
        with gone_on_with(there, visit) as other:
            stored(there, other.taken())
        (path,) = (line.home / "A").glob("*.sqlite")
        a.close()
        kept = path.read_bytes()
    back(line.bench())
    assert numbers(there) == ["A-0001", "A-0001-2"]
    before = there.visit("A-0001-2")
    line.close()
    path.write_bytes(kept)
    again = line.bench()
    back(again)
    assert numbers(again) == ["A-0001", "A-0001-2"]
    assert again.visit("A-0001-2") == before


@pytest.mark.usefixtures("short")
def test_a_bench_that_wrote_nothing_meanwhile_keeps_nothing_apart(line: Line) -> None:
    """It is told that the visit is another's, and what it writes now is refused."""
    a, there = line.bench(), line.other()
    visit, scribe = begun(a)
    with line.proxy.cut():
        lost(a)
        with gone_on_with(there, visit) as other:
            stored(there, other.taken())
    back(a)
    assert numbers(there) == ["A-0001"]
    assert a.benches.lost_to(visit.id)
    (said,) = settled(a, a.submit(scribe.taken()))
    assert isinstance(said, Refused)
    assert said.final


@pytest.mark.usefixtures("short")
def test_a_visit_that_is_on_another_bench_now_is_not_written_into(line: Line) -> None:
    """Also where that bench has written nothing yet: its next entry would collide."""
    a, there = line.bench(), line.other()
    visit, scribe = begun(a)
    with line.proxy.cut():
        stored(a, scribe.taken())
        until(lambda: isinstance(there.benches.take_up(visit.id), Granted))
        there.visit(visit.id)
        line.proxy.listen_again()
        while a.benches.away is not None:
            renew(there)
    assert len(there.visit(visit.id)[1]) == 1
    assert len(there.visit("A-0001-2")[1]) == 2
    stored(there, Scribe(visit, after=1).taken())


@pytest.mark.usefixtures("short")
def test_what_was_once_kept_apart_stays_so(line: Line) -> None:
    """Delivered again after the other bench has left the visit as it was: it is there once."""
    a, there = line.bench(), line.other()
    visit, scribe = begun(a)
    with line.proxy.cut():
        stored(a, scribe.taken())
        until(lambda: isinstance(there.benches.take_up(visit.id), Granted))
        (path,) = (line.home / "A").glob("*.sqlite")
        a.close()
        kept = path.read_bytes()
        line.proxy.listen_again()
        again = line.bench()
        while again.benches.away is not None:
            renew(there)
        again.close()
    there.benches.put_down([visit.id])
    path.write_bytes(kept)
    back(line.bench())
    assert len(there.visit(visit.id)[1]) == 1
    assert len(there.visit("A-0001-2")[1]) == 2


def renew(store: SqlStore) -> None:
    """Be heard of at once."""
    with store._engines.writer.connect() as connection:  # type: ignore[union-attr]
        store.leases.renew(connection)


@pytest.mark.usefixtures("short")
def test_a_visit_that_another_bench_had_and_left_as_it_was_goes_on(line: Line) -> None:
    """Nothing was written there: what was kept here follows on, and nothing stands apart."""
    a, there = line.bench(), line.other()
    visit, scribe = begun(a)
    with line.proxy.cut():
        kept = stored(a, scribe.taken())
        with gone_on_with(there, visit):
            pass
        until(lambda: visit.id not in there.benches.elsewhere())
    back(a)
    assert numbers(there) == ["A-0001"]
    assert there.visit(visit.id)[1][1:] == kept
    stored(a, scribe.taken())


# --- the rest of the shop -------------------------------------------------------------------------


def test_every_read_of_a_shop_knows_of_the_journal() -> None:
    """Whatever the store is asked goes through the window's patience; what it is told does not."""
    assert {"machine", "machines", "run_samples", "part_marks"} | POLLED <= set(READS)
    assert all(hasattr(SqlStore, name) for name in MORE_THAN_READS)
    for name in READS:
        assert getattr(ServedStore, name) is not getattr(SqlStore, name)
    for name in MORE_THAN_READS - {"visit", "highest_serial", "machine_count", "close"}:
        assert getattr(ServedStore, name) is getattr(SqlStore, name)


def test_a_closed_visit_stays_closed(line: Line) -> None:
    """Handed over while the server is away, it is closed there too."""
    a, there = line.bench(), line.other()
    visit, scribe = begun(a)
    with line.proxy.cut():
        lost(a)
        stored(a, Closed(stamp=scribe.stamp()))
        assert a.visits(open_only=True) == ()
    back(a)
    assert there.visits(open_only=True) == ()
    assert there.visits()[0].id == visit.id
