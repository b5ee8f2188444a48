"""Two benches in the window's words: who has a visit, what is lost, what is kept apart."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from benchassist.core.away import Away, Delivered
from benchassist.core.entry import Entry, Noted, Taken
from benchassist.core.lease import Granted, Lease, TakeUp
from benchassist.core.record import Found
from benchassist.core.visit import Visit, VisitHeader
from benchassist.errors import StepError, StoreError
from benchassist.services.bench.pen import RETRY_AFTER, Pen
from benchassist.services.front.away_text import away_text, delivered_text
from benchassist.services.front.lease_text import held_text
from benchassist.services.receipt import Receipts
from benchassist.services.settings import Settings
from benchassist.services.settings_page import SettingsPage
from benchassist.services.shop import Shop
from benchassist.services.slips.slips import slip_of
from benchassist.units import UnitChoice
from tests.core.entries import header
from tests.services.fakes import FakeStore
from tests.services.rig import FakeBook, FakePrinter, ShopRig
from tests.services.test_shop import typed_at_secondary

AT = datetime(2026, 6, 9, 8, 42, tzinfo=UTC)
CLOCK = AT.astimezone().strftime("%H:%M")


class FakeBenches:
    """Other benches, and a server, played by hand."""

    def __init__(self) -> None:
        self.leases: dict[str, Lease] = {}
        self.held: set[str] = set()
        self.stale: set[str] = set()
        self.lost: dict[str, str] = {}
        self.renamed: dict[str, tuple[str, str]] = {}
        self.worn: tuple[str, str] = ("", "")
        self.letter_user = ""
        self.on_server = False
        self.away: Away | None = None
        self.delivered: Delivered | None = None

    def wear(self, name: str, letter: str) -> None:
        self.worn = name, letter

    def take_up(self, visit_id: str, *, new: bool = False) -> TakeUp:
        if visit_id in self.leases:
            assert not new
            return self.leases[visit_id]
        self.held.add(visit_id)
        self.lost.pop(visit_id, None)
        stale = visit_id in self.stale
        self.stale.discard(visit_id)
        return Granted(stale)

    def holds(self, visit_id: str) -> bool:
        return visit_id in self.held

    def lost_to(self, visit_id: str) -> str:
        return self.lost.get(visit_id, "")

    def put_down(self, visit_ids: Iterable[str]) -> None:
        self.held -= set(visit_ids)

    def elsewhere(self) -> Mapping[str, Lease]:
        return self.leases

    def kept_apart(self, visit_id: str) -> tuple[str, str] | None:
        return self.renamed.get(visit_id)


class BenchesRig(ShopRig):
    """A shop with other benches."""

    def __init__(self, home: Path) -> None:
        super().__init__(home)
        self.benches = FakeBenches()
        self.shop = Shop(
            store=self.store,
            book=FakeBook(),
            room=self.room,
            printer=FakePrinter(),
            clock=self.clock,
            settings_file=self.file,
            benches=self.benches,
        )

    def elsewhere(self, visit_id: str, *, here: bool = False) -> None:
        """Bench B has a visit."""
        self.benches.leases[visit_id] = Lease(
            visit_id=visit_id, bench="B", since=AT, free_in=39.6, here=here
        )


@pytest.fixture
def rig(tmp_path: Path) -> BenchesRig:
    """A shop with another bench."""
    return BenchesRig(tmp_path)


def left(rig: BenchesRig) -> None:
    """The counter is in front for a tick."""
    rig.shop.counter.tick()


def test_a_visit_on_another_bench_is_refused_in_one_line(rig: BenchesRig) -> None:
    """Which bench, since when, and what to do; the counter says where it is, the slip is there."""
    visit_id = rig.visit()
    rig.shop.bench(visit_id)
    left(rig)
    rig.elsewhere(visit_id)
    with pytest.raises(StepError) as refused:
        rig.shop.bench(visit_id)
    assert str(refused.value) == (
        f"Visit 0001 is on bench B since {CLOCK}. Leave it there first; "
        "if that bench is off, wait a minute."
    )
    (card,) = rig.shop.counter.view("").slips
    assert card.place_text == "step 1 of 4 · on bench B"
    assert card.elsewhere
    assert rig.shop.slip(visit_id).title == "Job slip 0001"


def test_another_window_of_this_computer_is_called_one() -> None:
    """It cannot be switched off, so nothing is said of that."""
    lease = Lease(visit_id="v", bench="B", since=AT, free_in=60.0, here=True)
    assert held_text("0411", lease) == (
        f"Visit 0411 is open in another window of this program since {CLOCK}. Leave it there first."
    )


def test_findings_of_a_visit_on_another_bench_can_be_looked_at(rig: BenchesRig) -> None:
    """Nothing can be written there, and why stands in the banner."""
    visit_id = rig.visit()
    rig.shop.bench(visit_id)
    left(rig)
    rig.elsewhere(visit_id)
    findings = rig.shop.findings(visit_id)
    assert "on bench B" in findings.view().banner
    bench = findings._bench
    with pytest.raises(StepError, match="on bench B"):
        bench.pen.write(lambda stamp: Noted(stamp=stamp, text="x"))
    assert rig.store.entries.get(visit_id, []) == []


def test_a_visit_is_put_down_once_the_counter_is_in_front_and_all_is_in_ink(
    rig: BenchesRig,
) -> None:
    """Not before: what is in pencil is still this bench's to write."""
    rig.store.at_once = False
    visit_id = rig.visit()
    bench = rig.shop.bench(visit_id)
    left(rig)
    assert rig.benches.holds(visit_id)
    rig.store.commit()
    left(rig)
    assert not rig.benches.holds(visit_id)
    assert rig.shop.bench(visit_id) is bench
    assert rig.benches.holds(visit_id)


def test_a_visit_that_another_bench_had_meanwhile_is_read_anew(rig: BenchesRig) -> None:
    """What that bench wrote stands on the page, and the next entry follows on it."""
    visit_id = rig.visit()
    bench = rig.shop.bench(visit_id)
    typed_at_secondary(rig, visit_id)
    left(rig)
    theirs = replace(
        rig.store.entries[visit_id][-1],
        stamp=replace(rig.store.entries[visit_id][-1].stamp, id="theirs", seq=3),
    )
    rig.store.entries[visit_id].append(theirs)
    rig.benches.stale.add(visit_id)
    assert rig.shop.visit(visit_id).entries[-1] == theirs
    again = rig.shop.bench(visit_id)
    assert again is not bench
    assert again.visit.entries[-1] == theirs
    assert [e.stamp.id for e in again.visit.entries if isinstance(e, Taken)][-1] == "theirs"


def test_a_visit_that_was_taken_over_says_so_and_keeps_nothing(rig: BenchesRig) -> None:
    """The line stands on the bench; a write is refused for good; left, the bench is read anew."""
    visit_id = rig.visit()
    bench = rig.shop.bench(visit_id)
    bench.tick()
    rig.benches.lost[visit_id] = "B"
    assert "Bench B has taken this visit over" in bench.view().banner
    rig.store.why = "bench B has taken this visit over"
    rig.store.final = True
    bench.act("submit", "")
    bench.tick()
    with pytest.raises(StepError, match="bench B has taken"):
        bench.pen.write(lambda stamp: Noted(stamp=stamp, text="once more"))
    tickets = rig.store._ticket
    rig.clock.pass_by(10 * RETRY_AFTER)
    bench.tick()
    assert rig.store._ticket == tickets
    rig.store.why, rig.store.final = "", False
    left(rig)
    again = rig.shop.bench(visit_id)
    assert again is not bench
    assert again.visit.entries == ()


def test_what_is_kept_apart_is_said_on_bench_and_slip(rig: BenchesRig) -> None:
    """The bench goes on under its new number."""
    visit_id = rig.visit()
    bench = rig.shop.bench(visit_id)
    bench.tick()
    rig.benches.renamed[visit_id] = ("0001-2", visit_id)
    banner = bench.view().banner
    assert bench.visit.header.slip_number == "0001-2"
    assert banner.startswith("Another bench went on with visit 0001 meanwhile")
    assert "0001-2" in banner
    assert any(
        line.startswith("Worked apart from 0001") for line in rig.shop.slip(visit_id).conditions
    )


def test_a_slip_of_its_own_says_of_which_and_by_whom() -> None:
    """A visit that was kept apart names the other slip and its bench."""
    apart = replace(header(), slip_number="B-0412-2", apart_of="the other", bench="B")
    first = slip_of(Visit(apart), UnitChoice()).conditions[0]
    assert first == "Worked apart from B-0412 on bench B: see that slip too."
    assert not any("apart" in line for line in slip_of(Visit(header()), UnitChoice()).conditions)


def test_a_lost_server_stands_on_bench_and_counter(rig: BenchesRig) -> None:
    """Since when, how much is kept, and at the counter that most of the shop is missing."""
    visit_id = rig.visit()
    bench = rig.shop.bench(visit_id)
    rig.benches.away = Away(since=AT, why="gone", readings=7, entries=9)
    line = f"Server lost since {CLOCK}: 7 readings kept on this computer, delivered when it is back"
    assert bench.view().banner == line
    assert rig.shop.counter.view("").banner == (
        f"Server lost since {CLOCK}: only what is on this computer shows. Kept for it: 7 readings"
    )
    rig.benches.away = None
    rig.benches.delivered = Delivered(at=rig.clock.now(), readings=7, entries=9)
    assert bench.view().banner == "Server back, delivered: 7 readings"
    rig.clock.pass_by(61.0)
    assert bench.view().banner == ""


@pytest.mark.parametrize(
    ("away", "says"),
    [
        (Away(since=AT, why=""), "what is taken is kept on this computer"),
        (Away(since=AT, why="", readings=1, runs=2), "1 reading and 2 runs kept"),
        (Away(since=AT, why="", entries=3), "3 entries kept"),
        (Away(since=AT, why="", said="no such role"), "Server refuses this bench since"),
    ],
)
def test_what_is_kept_is_counted_in_words(away: Away, says: str) -> None:
    """Readings and runs; where there are none, entries; where nothing, what will be."""
    assert says in away_text(away)


def test_numbers_that_changed_are_told_for_an_hour() -> None:
    """Every visit that has another number now, with the old one."""
    done = Delivered(
        at=AT, readings=2, apart=(("0412", "0412-2"),), renumbered=(("0413", "0413-2"),)
    )
    assert delivered_text(done, AT + timedelta(minutes=59)) == (
        "Server back, delivered: 2 readings; "
        "visit 0412 was gone on with elsewhere: this bench's part is 0412-2; "
        "visit 0413 is 0413-2 now: its number was taken"
    )
    assert delivered_text(done, AT + timedelta(minutes=61)) == ""


def test_the_counter_does_not_say_that_a_server_is_this_computer(rig: BenchesRig) -> None:
    """Where everything is kept is told as it is."""
    assert rig.shop.counter.view("").home_text == ""
    rig.benches.on_server = True
    assert rig.shop.counter.view("").home_text == "Everything is kept on the shop’s server."
    rig.benches.away = Away(since=AT, why="gone")
    assert rig.shop.counter.view("").home_text == (
        "Kept on this computer until the server is back."
    )


def test_what_is_not_found_here_may_be_on_a_server_that_is_away(rig: BenchesRig) -> None:
    """The counter does not say that there is no such machine."""
    assert rig.shop.counter.view("anvil").nothing_text == ""
    rig.benches.away = Away(since=AT, why="gone")
    told = rig.shop.counter.view("anvil").nothing_text
    assert told.startswith("Not on this computer; the server has the other machines.")


def test_a_tag_that_two_benches_gave_is_told_for_an_hour() -> None:
    """Which one, and where it is changed."""
    done = Delivered(at=AT, entries=2, tags=("M-003",))
    assert delivered_text(done, AT + timedelta(minutes=59)) == (
        "Server back, delivered: 2 entries; "
        "tag M-003 is on more than one machine: change one in its file (F9)"
    )


def test_the_letter_stands_on_slips_and_is_worn(rig: BenchesRig) -> None:
    """Kept in the settings, shown to the others with the bench's name."""
    page = SettingsPage(rig.file, rig.shop.furnish)
    page.keep({"bench_letter": "b", "bench_name": "by the door"})
    assert rig.benches.worn == ("B (by the door)", "B")
    visit_id = rig.visit()
    head = rig.shop.bench(visit_id).visit.header
    assert (head.slip_number, head.bench) == ("B-0001", "B (by the door)")


def test_a_letter_that_another_bench_has_is_said_on_the_counter(rig: BenchesRig) -> None:
    """With what to do."""
    rig.benches.letter_user = "B (window)"
    assert rig.shop.counter.view("").banner.startswith("Bench B (window) has no letter either")
    rig.shop.furnish(Settings(bench_letter="B"))
    assert rig.shop.counter.view("").banner == (
        "Bench B (window) uses the letter B as well: choose another in the settings"
    )


def test_a_number_that_is_used_gives_way_to_the_next_by_itself() -> None:
    """Two benches were equally quick: the visit goes to the store under the next number."""
    store = FakeStore(at_once=False)
    taken = replace(header(), id="other", slip_number="B-0001")
    store.headers[taken.id] = taken
    visit = Visit(replace(header(), slip_number="B-0001"))
    pen = Pen(visit, store, Receipts(store), _Clock(), new=True)
    store.commit()
    pen.settle()
    assert visit.header.slip_number == "B-0002"
    store.commit()
    pen.settle()
    assert pen.all_in_ink
    assert store.headers[visit.header.id].slip_number == "B-0002"


class _Clock:
    def monotonic(self) -> float:
        """It stands still."""
        return 1.0

    def now(self) -> datetime:
        """The same."""
        return AT


def test_a_server_that_does_not_answer_leaves_the_counter_as_it_was(rig: BenchesRig) -> None:
    """The slips stay, a search finds nothing for now, and one line says why."""
    visit_id = rig.visit()
    rig.shop.bench(visit_id)
    left(rig)
    before = rig.shop.counter.view("")
    assert [card.visit_id for card in before.slips] == [visit_id]

    def find(words: str, limit: int) -> Found:
        raise StoreError(f"no answer for {words} ({limit})")

    rig.store.find = find  # type: ignore[method-assign]
    assert rig.shop.counter.view("Yard").nothing_text == "no answer for Yard (3)"
    rig.benches.on_server = True
    shown = rig.shop.counter.view("Yard")
    assert shown.slips == before.slips
    assert shown.machines == ()
    assert shown.banner.startswith("no answer for Yard")
    assert shown.nothing_text == "Not looked up yet: the server has not answered."


def test_a_last_visit_that_is_not_read_yet_is_not_said_not_to_be(
    rig: BenchesRig, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The card waits for the server; it does not read 'No visit yet'."""
    rig.benches.on_server = True
    visit_id = rig.visit()
    rig.shop.bench(visit_id)
    typed_at_secondary(rig, visit_id)
    left(rig)

    def unread(asked: str) -> tuple[VisitHeader, tuple[Entry, ...]]:
        raise StoreError(f"no answer for {asked}")

    monkeypatch.setattr(rig.store, "visit", unread)
    assert rig.shop.counter.view("Yard").nothing_text.startswith("Not looked up yet")
    monkeypatch.undo()
    (card,) = rig.shop.counter.view("Yard").machines
    assert card.last_lines != ()


def test_a_note_on_a_visit_that_is_elsewhere_comes_to_disk_once_it_is_left(rig: BenchesRig) -> None:
    """Whatever is in front here meanwhile."""
    visit_id, own_id = rig.visit(), rig.visit(rig.machine("M-002"))
    rig.shop.bench(visit_id)
    own = rig.shop.bench(own_id)
    own.tick()
    left(rig)
    rig.store.why = "the visit is on bench B"
    rig.shop.floor.side.write(visit_id, lambda stamp: Noted(stamp=stamp, text="she rang"))
    own.tick()
    assert rig.shop.floor.side.trouble == "the visit is on bench B"
    rig.store.why = ""
    rig.clock.pass_by(2 * RETRY_AFTER)
    for _ in range(2):
        own.tick()
    assert rig.shop.floor.side.pencilled == frozenset()
    assert [e.text for e in rig.store.entries[visit_id] if isinstance(e, Noted)] == ["she rang"]
