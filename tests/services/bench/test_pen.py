"""The pen: whatever the store says in whatever order, all ends in ink, in order, once."""

from typing import Any

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from benchassist.core.entry import Entry, Machine, MovedTo, Noted
from benchassist.core.record import Acknowledgement
from benchassist.core.visit import Visit
from benchassist.errors import StepError
from benchassist.services.bench.pen import RETRY_AFTER, Pen
from benchassist.services.receipt import Receipts
from tests.core.entries import header
from tests.services.fakes import FakeClock, FakeStore


def note(text: str) -> Any:  # noqa: ANN401 - a maker of entries, as the pen takes it
    """A maker of a note."""
    return lambda stamp: Noted(stamp=stamp, text=text)


class Late(FakeStore):
    """A store whose writer and whose answers come when the test says so, answers in any order."""

    def __init__(self) -> None:
        super().__init__(at_once=False)
        self.undelivered: list[Acknowledgement] = []

    def write_next(self, *, why: str = "") -> None:
        """The writer takes the next submission."""
        self.why = why
        self.commit(1)
        self.why = ""
        self.undelivered.extend(super().acknowledgements())

    def acknowledgements(self) -> list[Acknowledgement]:
        """What was delivered."""
        said, self._said = list(self._said), []
        return said

    def deliver(self, order: list[Acknowledgement]) -> None:
        """These answers arrive, in this order."""
        for said in order:
            self.undelivered.remove(said)
        self._said.extend(order)


class AnyOrder(RuleBasedStateMachine):
    """Two writers share a store that refuses at will and answers late, in any order."""

    def __init__(self) -> None:
        super().__init__()
        self.clock = FakeClock()
        self.store = Late()
        self.receipts = Receipts(self.store)
        self.visit = Visit(header())
        self.pen = Pen(self.visit, self.store, self.receipts, self.clock, new=True)
        self.inked: list[Entry] = []
        self.machines: dict[int, Machine] = {}
        self.known: set[int] = set()
        self.count = 0

    @rule()
    def write(self) -> None:
        """The technician does something."""
        self.count += 1
        self.pen.write(note(f"note {self.count}"))

    @rule()
    def refuse_a_step(self) -> None:
        """What the visit does not allow leaves nothing written."""
        before = self.visit.entries
        with pytest.raises(StepError):
            self.pen.write(lambda stamp: MovedTo(stamp=stamp, check_key="nowhere"))
        assert self.visit.entries == before

    @rule()
    def another_writes(self) -> None:
        """The counter hands in a machine over the same store."""
        machine = Machine(id=f"m{len(self.machines)}", tag=f"T-{len(self.machines)}")
        self.machines[self.store.submit_machine(machine)] = machine

    @rule(why=st.sampled_from(("", "", "the disk is full")))
    def writer_goes_on(self, why: str) -> None:
        """The writer takes the next submission, or is refused it."""
        self.store.write_next(why=why)

    @rule(data=st.data())
    def answers_arrive(self, data: st.DataObject) -> None:
        """Some answers come, in any order."""
        order = data.draw(st.permutations(self.store.undelivered))
        self.store.deliver(order[: data.draw(st.integers(0, len(order)))])

    @rule()
    def settle(self) -> None:
        """A tick of the bench."""
        self.inked += self.pen.settle()

    @rule()
    def other_asks(self) -> None:
        """A tick of the counter."""
        self.known |= {said.ticket for said in self.receipts.claim(self.machines)}

    @rule(seconds=st.sampled_from((0.1, RETRY_AFTER)))
    def time_passes(self, seconds: float) -> None:
        """Time for another try comes."""
        self.clock.pass_by(seconds)

    @invariant()
    def ink_is_on_disk(self) -> None:
        """What was called ink is stored; the rest stands in pencil; nothing turns to ink twice."""
        stored = self.store.entries.get(self.visit.header.id, [])
        ids = [entry.stamp.id for entry in self.inked]
        assert len(ids) == len(set(ids))
        assert all(entry in stored for entry in self.inked)
        pencilled = self.pen.pencilled
        assert pencilled.isdisjoint(ids)
        assert pencilled | set(ids) == {e.stamp.id for e in self.visit.entries}

    @invariant()
    def disk_is_in_order(self) -> None:
        """What is stored is the beginning of what was written, nothing twice, no hole."""
        stored = self.store.entries.get(self.visit.header.id, [])
        assert stored == list(self.visit.entries[: len(stored)])

    def teardown(self) -> None:
        """Once the store works again, everything ends in ink and everyone has an answer."""
        for _ in range(6):
            self.store.commit()
            self.store.undelivered.extend(self.store._said)
            self.store._said.clear()
            self.store.deliver(self.store.undelivered[::-1])
            self.settle()
            self.other_asks()
            self.clock.pass_by(RETRY_AFTER)
        assert self.pen.all_in_ink
        assert self.pen.trouble == ""
        assert self.store.entries.get(self.visit.header.id, []) == list(self.visit.entries)
        assert self.visit.header.id in self.store.headers
        assert self.known == set(self.machines)


AnyOrder.TestCase.settings = settings(max_examples=150, stateful_step_count=40)
TestAnyOrder = AnyOrder.TestCase


@pytest.fixture
def visit() -> Visit:
    """A visit just opened."""
    return Visit(header())


def test_a_header_refused_first_takes_nothing_with_it(visit: Visit) -> None:
    """The visit itself is refused, then what was written in it: both are handed over again."""
    store, clock = FakeStore(at_once=False), FakeClock()
    store.why = "the disk is full"
    pen = Pen(visit, store, Receipts(store), clock, new=True)
    pen.write(note("first"))
    store.commit()
    assert pen.settle() == ()
    assert pen.trouble == "the disk is full"
    pen.write(note("second"))
    store.why = ""
    clock.pass_by(RETRY_AFTER)
    assert pen.settle() == ()
    store.commit()
    assert [e.text for e in pen.settle() if isinstance(e, Noted)] == ["first", "second"]
    assert store.visit(visit.header.id) == (visit.header, visit.entries)


def test_a_disk_that_comes_back_between_two_writes_leaves_no_hole(visit: Visit) -> None:
    """The second entry waits for the first that was refused before it."""
    store, clock = FakeStore(at_once=False), FakeClock()
    pen = Pen(visit, store, Receipts(store), clock, new=True)
    store.commit()
    pen.settle()
    pen.write(note("first"))
    pen.write(note("second"))
    store.why = "the disk is full"
    store.commit(1)
    store.why = ""
    store.commit()
    pen.settle()
    assert store.entries.get(visit.header.id, []) == []
    clock.pass_by(RETRY_AFTER)
    pen.settle()
    store.commit()
    pen.settle()
    assert pen.all_in_ink
    assert store.entries[visit.header.id] == list(visit.entries)


def test_nothing_is_tried_again_before_its_time(visit: Visit) -> None:
    """A full disk is not asked at every tick."""
    store, clock = FakeStore(), FakeClock()
    store.why = "the disk is full"
    pen = Pen(visit, store, Receipts(store), clock, new=True)
    for _ in range(20):
        pen.settle()
    assert store._ticket == 1
    clock.pass_by(RETRY_AFTER)
    pen.settle()
    assert store._ticket == 2


def test_closing_hands_over_once_more_without_waiting(visit: Visit) -> None:
    """At the end of the program nobody waits two seconds: what was refused is handed over now."""
    store, clock = FakeStore(at_once=False), FakeClock()
    pen = Pen(visit, store, Receipts(store), clock, new=True)
    pen.write(note("first"))
    store.why = "the disk is full"
    store.commit(1)
    pen.write(note("second"))
    store.why = ""
    pen.hand_over()
    store.close()
    assert store.visit(visit.header.id) == (visit.header, visit.entries)


def test_closing_with_all_in_ink_hands_nothing_over(visit: Visit) -> None:
    """What is on disk is left alone."""
    store = FakeStore()
    pen = Pen(visit, store, Receipts(store), FakeClock(), new=True)
    pen.write(note("first"))
    pen.settle()
    before = store._ticket
    pen.hand_over()
    assert store._ticket == before
