"""One visit, one bench: leases, their tokens, and what becomes of a write without one."""

import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from benchassist.core.entry import Entry
from benchassist.core.lease import Granted, Lease
from benchassist.core.record import Refused, Stored
from benchassist.core.visit import Visit, VisitHeader
from benchassist.storage import lease, open_store
from benchassist.storage.benches import LETTER
from benchassist.storage.lease import LASTS
from benchassist.storage.presence import Alive, Presence, look_for
from benchassist.storage.store import SqlStore
from tests.storage.case import PATIENCE, Scribe, header, settled

NOON = datetime(2025, 3, 1, 12, 0, tzinfo=UTC)


class Clocks:
    """The database's clock and the one that never goes back, both moved by hand."""

    def __init__(self) -> None:
        self.now, self.moment = NOON, 1000.0

    def pass_by(self, seconds: float) -> None:
        """Time passes as it does."""
        self.now += timedelta(seconds=seconds)
        self.moment += seconds


@pytest.fixture
def clocks(monkeypatch: pytest.MonkeyPatch) -> Clocks:
    """Clocks in hand, and programs of which nothing is known: as on other computers."""
    made = Clocks()
    monkeypatch.setattr(lease, "now_of", lambda _connection: made.now)
    monkeypatch.setattr(lease, "moment", lambda: made.moment)
    monkeypatch.setattr(lease, "look_for", lambda _holder: Alive.UNKNOWN)
    return made


@pytest.fixture
def shops(location: str) -> Iterator[tuple[SqlStore, SqlStore]]:
    """Two benches, A and B, of one shop."""
    with open_store(location) as one, open_store(location) as other:
        one.benches.wear("A", "")
        other.benches.wear("B", "")
        yield one, other


def until(told: Callable[[], object]) -> None:
    """Wait for something to come true."""
    limit = time.monotonic() + PATIENCE
    while not told():
        assert time.monotonic() < limit, "it never came true"
        threading.Event().wait(0.002)


def opened(store: SqlStore) -> VisitHeader:
    """A visit on file."""
    visit = header()
    settled(store, store.submit_visit(visit))
    return visit


def written(store: SqlStore, *entries: Entry) -> Stored | Refused:
    """What became of entries that were handed in together."""
    (said,) = settled(store, store.submit(*entries))
    return said


def put_down(store: SqlStore, visit_id: str) -> None:
    """Leave a visit, and wait until that is written."""
    store.benches._give_back([visit_id]).answer(PATIENCE)


def renewed(store: SqlStore) -> None:
    """Have a bench be heard of."""
    renewal = store.benches._renewal
    assert renewal is not None
    due = renewal.due_s
    renewal.due_s = 0.0
    store.writing.wake()
    while renewal.due_s in (0.0, due):
        pass


def test_a_visit_is_worked_by_one_bench_at_a_time(shops: tuple[SqlStore, SqlStore]) -> None:
    """The second is told who has it and since when; once it is left there, it is the second's."""
    a, b = shops
    visit = opened(a)
    assert isinstance(a.benches.take_up(visit.id), Granted)
    told = b.benches.take_up(visit.id)
    assert isinstance(told, Lease)
    assert (told.visit_id, told.bench, told.here) == (visit.id, "A", True)
    assert 0.0 < told.free_in <= LASTS.total_seconds()
    assert [one.bench for one in b.benches.elsewhere().values()] == ["A"]
    assert a.benches.elsewhere() == {}
    assert (a.benches.holds(visit.id), b.benches.holds(visit.id)) == (True, False)
    put_down(a, visit.id)
    assert isinstance(b.benches.take_up(visit.id), Granted)
    assert a.benches.elsewhere()[visit.id].bench == "B"


def test_a_bench_that_was_alone_meanwhile_goes_on_with_what_it_knows(
    shops: tuple[SqlStore, SqlStore],
) -> None:
    """What is in memory is old once another bench had the visit, or wrote a note in it."""
    a, b = shops
    visit = opened(a)
    scribe = Scribe(visit)
    assert a.benches.take_up(visit.id) == Granted(stale=True)
    assert written(a, scribe.taken()) == Stored(2)
    put_down(a, visit.id)
    assert a.benches.take_up(visit.id) == Granted(stale=False)
    put_down(a, visit.id)
    assert isinstance(written(b, scribe.taken()), Stored)
    assert a.benches.take_up(visit.id) == Granted(stale=True)
    put_down(a, visit.id)
    assert b.benches.take_up(visit.id) == Granted(stale=True)
    put_down(b, visit.id)
    assert a.benches.take_up(visit.id) == Granted(stale=True)


def test_what_is_written_beside_waits_for_the_bench_that_has_the_visit(
    shops: tuple[SqlStore, SqlStore],
) -> None:
    """A note from elsewhere is refused while a bench works, and nothing of it is written."""
    a, b = shops
    visit = opened(a)
    a.benches.take_up(visit.id)
    said = written(b, Scribe(visit).taken())
    assert isinstance(said, Refused)
    assert not said.final
    assert "on bench A" in said.why
    assert a.visit(visit.id) == (visit, ())
    put_down(a, visit.id)
    assert isinstance(written(b, Scribe(visit).taken()), Stored)


def test_an_older_token_is_refused(shops: tuple[SqlStore, SqlStore], clocks: Clocks) -> None:
    """A bench that was not heard of for a minute loses the visit; what it writes is refused."""
    a, b = shops
    visit = opened(a)
    a.benches.take_up(visit.id)
    first = Scribe(visit).taken()
    assert isinstance(written(a, first), Stored)
    clocks.pass_by(LASTS.total_seconds() - 1.0)
    assert isinstance(b.benches.take_up(visit.id), Lease)
    clocks.pass_by(1.0)
    assert isinstance(b.benches.take_up(visit.id), Granted)
    said = written(a, Scribe(visit, after=1).taken())
    assert isinstance(said, Refused)
    assert said.final
    assert "bench B has taken this visit over" in said.why
    assert "\n" not in said.why
    assert a.benches.lost_to(visit.id) == "B"
    assert not a.benches.holds(visit.id)
    assert b.visit(visit.id) == (visit, (first,))
    assert isinstance(written(b, Scribe(visit, after=1).taken()), Stored)


def test_a_bench_that_is_heard_of_keeps_its_visit(
    shops: tuple[SqlStore, SqlStore], clocks: Clocks
) -> None:
    """Renewed in time it lasts; a renewal also finds that another has the visit by now."""
    a, b = shops
    visit = opened(a)
    a.benches.take_up(visit.id)
    for _ in range(3):
        clocks.pass_by(LASTS.total_seconds() - 1.0)
        renewed(a)
        assert isinstance(b.benches.take_up(visit.id), Lease)
    clocks.pass_by(LASTS.total_seconds())
    assert isinstance(b.benches.take_up(visit.id), Granted)
    renewed(a)
    assert a.benches.lost_to(visit.id) == "B"


def test_a_lease_that_ran_out_and_nobody_took_is_still_ours(
    shops: tuple[SqlStore, SqlStore], clocks: Clocks
) -> None:
    """A computer that slept over its lease goes on, where nobody was there meanwhile."""
    a, b = shops
    visit = opened(a)
    a.benches.take_up(visit.id)
    clocks.pass_by(3600.0)
    assert b.benches.elsewhere() == {}
    assert isinstance(written(a, Scribe(visit).taken()), Stored)
    renewed(a)
    assert isinstance(b.benches.take_up(visit.id), Lease)


@pytest.mark.parametrize("back", [timedelta(hours=2), timedelta(days=4000)])
def test_a_clock_that_was_set_back_makes_no_lease_eternal(
    shops: tuple[SqlStore, SqlStore], clocks: Clocks, back: timedelta
) -> None:
    """A lease written by a later clock is believed for as long as leases last, and no longer."""
    a, b = shops
    visit = opened(a)
    a.benches.take_up(visit.id)
    clocks.now -= back
    told = b.benches.take_up(visit.id)
    assert isinstance(told, Lease)
    assert told.free_in == LASTS.total_seconds()
    clocks.pass_by(20.0)
    assert b.benches.elsewhere()[visit.id].free_in == LASTS.total_seconds() - 20.0
    clocks.pass_by(LASTS.total_seconds() - 20.0)
    assert b.benches.elsewhere() == {}
    assert isinstance(b.benches.take_up(visit.id), Granted)


def test_a_visit_that_was_put_down_is_free_whatever_the_clock_says(
    shops: tuple[SqlStore, SqlStore], clocks: Clocks
) -> None:
    """Also by a clock that was set back behind the time at which it was put down."""
    a, b = shops
    visit = opened(a)
    a.benches.take_up(visit.id)
    put_down(a, visit.id)
    clocks.now -= timedelta(days=1)
    assert b.benches.elsewhere() == {}
    assert isinstance(b.benches.take_up(visit.id), Granted)


def test_a_new_holder_waits_for_what_is_just_being_written(
    shops: tuple[SqlStore, SqlStore], clocks: Clocks
) -> None:
    """A write that began under the old token is there when the new holder looks, or never."""
    a, b = shops
    visit = opened(a)
    a.benches.take_up(visit.id)
    clocks.pass_by(LASTS.total_seconds())
    answers: list[object] = []
    taking = threading.Thread(target=lambda: answers.append(b.benches.take_up(visit.id)))
    with a._engines.writer.connect() as connection, connection.begin():  # type: ignore[union-attr]
        a.leases.fence(connection, visit.id)
        taking.start()
        assert answers == []
    taking.join(PATIENCE)
    assert [type(answer) for answer in answers] == [Granted]


@contextmanager
def killed_bench(location: str, visit_id: str) -> Iterator[None]:
    """Another program takes a visit up and is killed in the middle of the block."""
    program = subprocess.Popen(
        [sys.executable, "-m", "tests.storage.lease_victim", location, visit_id],
        stdout=subprocess.PIPE,
        text=True,
        cwd=Path(__file__).resolve().parents[2],
    )
    try:
        assert program.stdout is not None
        assert program.stdout.readline() == "taken\n"
        yield
    finally:
        program.kill()
        program.wait()
        program.stdout.close()  # type: ignore[union-attr]


def test_what_a_killed_program_had_on_is_free_at_once_on_its_computer(location: str) -> None:
    """Its lock died with it; while it runs it is another window."""
    with open_store(location) as store:
        visit = opened(store)
        with killed_bench(location, visit.id):
            told = store.benches.take_up(visit.id)
            assert isinstance(told, Lease)
            assert told.here
        assert store.benches.elsewhere() == {}
        assert isinstance(store.benches.take_up(visit.id), Granted)


def test_a_closed_program_has_nothing_on(location: str) -> None:
    """Closing gives everything back."""
    with open_store(location) as store:
        visit = opened(store)
        with open_store(location) as other:
            other.benches.take_up(visit.id)
        assert isinstance(store.benches.take_up(visit.id), Granted)


def test_a_new_visit_is_ones_own_before_it_is_stored(shops: tuple[SqlStore, SqlStore]) -> None:
    """It is asked for without waiting, and is on that bench at once."""
    a, b = shops
    visit = header()
    assert a.benches.take_up(visit.id, new=True) == Granted(stale=False)
    assert a.benches.holds(visit.id)
    settled(a, a.submit_visit(visit))
    assert isinstance(b.benches.take_up(visit.id), Lease)


@pytest.mark.postgres
def test_another_window_of_this_computer_shares_its_letter(postgres_url: str) -> None:
    """Nothing is said of it, and it is that window's when the other has ended."""
    with open_store(postgres_url) as other:
        with open_store(postgres_url) as one:
            one.benches.wear("window", "B")
            until(lambda: one.benches.holds(LETTER + "B"))
            other.benches.wear("window", "B")
            claim = other.benches._letter
            assert claim is not None
            until(lambda: claim.due_s > 0.0)
            assert other.benches.letter_user == ""
            assert not other.benches.holds(LETTER + "B")
        claim.due_s = 0.0
        other.writing.wake()
        until(lambda: other.benches.holds(LETTER + "B"))


@pytest.mark.postgres
def test_a_letter_that_another_bench_has_is_noticed(
    postgres_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a server two benches of one letter know of each other; another letter is no trouble."""
    monkeypatch.setattr(lease, "look_for", lambda _holder: Alive.UNKNOWN)
    with ExitStack() as stack:
        a, b, c = (stack.enter_context(open_store(postgres_url)) for _ in range(3))
        a.benches.wear("B (window)", "B")
        until(lambda: a.benches.holds(LETTER + "B"))
        b.benches.wear("C", "C")
        c.benches.wear("B (door)", "B")
        until(lambda: b.benches.holds(LETTER + "C") and c.benches.letter_user)
        assert (a.benches.letter_user, b.benches.letter_user) == ("", "")
        assert c.benches.letter_user == "B (window)"
        c.benches.wear("D", "D")
        until(lambda: c.benches.holds(LETTER + "D"))
        assert c.benches.letter_user == ""


@pytest.mark.postgres
def test_a_letter_is_asked_for_until_it_is_free(
    postgres_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the other bench chooses another, nothing is said any more, and it is this one's."""
    monkeypatch.setattr("benchassist.storage.benches.RENEW_S", 0.01)
    monkeypatch.setattr(lease, "look_for", lambda _holder: Alive.UNKNOWN)
    with ExitStack() as stack:
        a, b, c = (stack.enter_context(open_store(postgres_url)) for _ in range(3))
        a.benches.wear("window", "B")
        until(lambda: a.benches.holds(LETTER + "B"))
        b.benches.wear("door", "B")
        until(lambda: b.benches.letter_user == "window")
        a.benches.wear("window", "A")
        until(lambda: b.benches.holds(LETTER + "B"))
        assert b.benches.letter_user == ""
        c.benches.wear("yard", "B")
        until(lambda: c.benches.letter_user == "door")


def test_a_number_that_was_used_meanwhile_says_so(shops: tuple[SqlStore, SqlStore]) -> None:
    """The refusal tells that it is the number alone."""
    a, b = shops
    opened(a)
    (said,) = settled(b, b.submit_visit(header()))
    assert isinstance(said, Refused)
    assert said.number_used
    assert not said.final


def test_presence_ends_with_its_program() -> None:
    """Held while it is open; nothing is left of a program that closed; other ids are unknown."""
    presence = Presence()
    assert look_for(presence.id) is Alive.HERE
    presence.close()
    assert look_for(presence.id) is Alive.UNKNOWN
    assert look_for("../../etc/passwd") is Alive.UNKNOWN


class Benches(RuleBasedStateMachine):
    """Three benches on one shop file, with clocks that jump and programs that fall silent."""

    def __init__(self) -> None:
        super().__init__()
        self.stack = ExitStack()
        self.clocks = Clocks()
        self.patch = self.stack.enter_context(pytest.MonkeyPatch.context())
        self.patch.setattr(lease, "now_of", lambda _connection: self.clocks.now)
        self.patch.setattr(lease, "moment", lambda: self.clocks.moment)
        self.patch.setattr(lease, "look_for", lambda _holder: Alive.UNKNOWN)

    @initialize()
    def open(self) -> None:
        """A shop, and a visit that nobody has on."""
        folder = self.stack.enter_context(_folder())
        self.stores = [self.stack.enter_context(open_store(folder / "shop.db")) for _ in range(3)]
        for name, store in zip("ABC", self.stores, strict=True):
            store.benches.wear(name, "")
        self.visit = opened(self.stores[0])
        self.known: list[list[Entry]] = [[], [], []]
        self.stored: list[Entry] = []

    @rule(who=st.integers(0, 2))
    def take(self, who: int) -> None:
        """A bench asks; where it may go on it has everything that was stored."""
        answer = self.stores[who].benches.take_up(self.visit.id)
        if not isinstance(answer, Granted):
            return
        if answer.stale:
            self.known[who] = list(self.stores[who].visit(self.visit.id)[1])
        if self.known[who] != self.stored:
            # Somebody has set the clock on, and it does not know yet.
            entry = Scribe(self.visit, after=len(self.known[who])).taken()
            said = written(self.stores[who], entry)
            assert isinstance(said, Refused)
            assert said.final

    @rule(who=st.integers(0, 2))
    def write(self, who: int) -> None:
        """A bench that believes it has the visit writes in it."""
        store = self.stores[who]
        if not store.benches.holds(self.visit.id):
            return
        entry = Scribe(self.visit, after=len(self.known[who])).taken()
        said = written(store, entry)
        if isinstance(said, Stored):
            assert self.known[who] == self.stored
            self.known[who].append(entry)
            self.stored.append(entry)
        else:
            assert said.final

    @rule(who=st.integers(0, 2))
    def leave(self, who: int) -> None:
        """A bench puts the visit down."""
        if self.visit.id in self.stores[who].leases.held:
            put_down(self.stores[who], self.visit.id)

    @rule(who=st.integers(0, 2))
    def be_heard_of(self, who: int) -> None:
        """A bench renews what it has."""
        store = self.stores[who]
        with store.writing._engine.connect() as connection:
            store.leases.renew(connection)

    @rule(seconds=st.sampled_from((1.0, 30.0, 61.0)))
    def time_passes(self, seconds: float) -> None:
        """Programs sleep through it."""
        self.clocks.pass_by(seconds)

    @rule(hours=st.sampled_from((-50.0, -1.0, 1.0, 50.0)))
    def clock_jumps(self, hours: float) -> None:
        """Somebody sets it."""
        self.clocks.now += timedelta(hours=hours)

    @invariant()
    def the_visit_is_whole(self) -> None:
        """What was acknowledged is there, in order, and nothing else."""
        if hasattr(self, "stores"):
            found = Visit(*self.stores[0].visit(self.visit.id)).entries
            assert list(found) == self.stored

    def teardown(self) -> None:
        """Close."""
        self.stack.close()


@contextmanager
def _folder() -> Iterator[Path]:
    import tempfile

    with tempfile.TemporaryDirectory() as name:
        yield Path(name)


Benches.TestCase.settings = settings(max_examples=25, stateful_step_count=25)
TestBenches = Benches.TestCase
