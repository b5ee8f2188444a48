"""What is said of a visit beside the work on it."""

import pytest

from benchassist.core.entry import Did, Entry, Noted, Stamp
from benchassist.core.visit import Visit
from benchassist.errors import NotFoundError, StepError
from benchassist.services.bench.pen import RETRY_AFTER, Pen
from benchassist.services.bench.side_pen import SidePen
from benchassist.services.receipt import Receipts
from tests.services.fakes import FakeClock, FakeStore
from tests.services.season import Season, kept


def noted(text: str = "guard cracked"):  # type: ignore[no-untyped-def]  # noqa: ANN201
    """A maker of a note."""

    def make(stamp: Stamp) -> Entry:
        return Noted(stamp=stamp, text=text)

    return make


class Rig:
    """A store with one closed visit, and the pen beside it."""

    def __init__(self) -> None:
        self.season = Season(2024)
        self.season.take("coil", 6500.0)
        self.store: FakeStore = kept(self.season.close())
        self.clock = FakeClock()
        self.receipts = Receipts(self.store)
        self.benches: dict[str, Pen] = {}
        self.side = SidePen(
            store=self.store,
            receipts=self.receipts,
            clock=self.clock,
            bench_pen=self.benches.get,
        )
        self.visit_id = self.season.visit.header.id

    @property
    def notes(self) -> list[str]:
        """The notes on disk."""
        return [e.text for e in self.store.entries[self.visit_id] if isinstance(e, Noted)]


def test_a_note_is_written_on_a_closed_visit() -> None:
    """It follows what is there and turns to ink when the store says so."""
    rig = Rig()
    rig.store.at_once = False
    entry = rig.side.write(rig.visit_id, noted())
    assert rig.side.pencilled == {entry.stamp.id}
    assert rig.side.visit(rig.visit_id).notes("") == ("guard cracked",)
    rig.store.commit()
    assert rig.side.settle() == (entry,)
    assert not rig.side.pencilled
    assert rig.notes == ["guard cracked"]


def test_two_notes_in_a_row_are_two_entries() -> None:
    """The second counts the first, which is not on disk yet."""
    rig = Rig()
    rig.store.at_once = False
    rig.side.write(rig.visit_id, noted("one"))
    rig.side.write(rig.visit_id, noted("two"))
    rig.store.commit()
    rig.side.settle()
    assert rig.notes == ["one", "two"]
    Visit(*rig.store.visit(rig.visit_id))


def test_what_a_closed_visit_does_not_allow_is_refused() -> None:
    """Work is no remark."""
    rig = Rig()
    with pytest.raises(StepError, match="closed"):
        rig.side.write(rig.visit_id, lambda stamp: Did(stamp=stamp, text="set"))
    with pytest.raises(NotFoundError):
        rig.side.write("nowhere", noted())
    assert not rig.side.pencilled


def test_a_visit_on_a_bench_is_written_by_that_bench() -> None:
    """Its pen numbers the entry; the pen beside it has nothing in hand."""
    rig = Rig()
    now = Season(2025)
    rig.store.submit_visit(now.visit.header)
    pen = Pen(now.visit, rig.store, rig.receipts, rig.clock)
    rig.benches[now.visit.header.id] = pen
    entry = rig.side.write(now.visit.header.id, noted())
    assert now.visit.entries[-1] is entry
    assert not rig.side.pencilled


def test_a_refused_note_is_handed_over_again_behind_what_came_meanwhile() -> None:
    """Another bench wrote first: both are kept, each once."""
    rig = Rig()
    rig.store.why = "the disk is full"
    rig.side.write(rig.visit_id, noted("mine"))
    rig.side.write(rig.visit_id, noted("mine too"))
    rig.side.settle()
    assert rig.side.trouble == "the disk is full"
    rig.store.why = ""
    visit = Visit(*rig.store.visit(rig.visit_id))
    theirs = Noted(
        stamp=Stamp(id="theirs", visit_id=rig.visit_id, seq=visit.next_seq, at=rig.clock.now()),
        text="theirs",
    )
    rig.store.submit(theirs)
    rig.side.settle()
    assert rig.notes == ["theirs"]
    rig.clock.pass_by(RETRY_AFTER)
    rig.side.settle()
    rig.side.settle()
    assert rig.notes == ["theirs", "mine", "mine too"]
    assert rig.side.trouble == ""
    Visit(*rig.store.visit(rig.visit_id))


def test_a_note_whose_answer_was_lost_is_kept_once() -> None:
    """It was written, and refused by word only."""
    rig = Rig()
    rig.store.why = "the server did not answer"
    entry = rig.side.write(rig.visit_id, noted())
    rig.side.settle()
    rig.store.why = ""
    rig.store.submit(entry)
    rig.side.hand_over()
    assert not rig.side.pencilled
    assert rig.notes == ["guard cracked"]
