"""Bands of many marks are learned beside the window, which shows meanwhile what it has."""

import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from benchassist.core.entry import PartMarked
from benchassist.core.own_mark import MarkedReading
from benchassist.core.quantity import Quantity
from benchassist.errors import StoreError
from benchassist.services.bench.bench import Bench
from benchassist.services.record import learned_bands
from benchassist.services.record.band_look import Look
from benchassist.services.record.learned_bands import ASKED_AGAIN, KEPT_FOR, MOST_AT_ONCE
from tests.core import entries
from tests.services.fakes import FakeStore
from tests.services.good_bin import fill, past_visit
from tests.services.rig import ShopRig

MANY = tuple(4700.0 + 10.0 * i for i in range(60))
FIVE = entries.procedure().check("cap").options[0].band
PATIENCE_S = 20.0


class SlowStore(FakeStore):
    """Answers for marks only when it may; writes down in which thread it was asked."""

    def __init__(self) -> None:
        super().__init__()
        self.may = threading.Event()
        self.may.set()
        self.threads: list[threading.Thread] = []
        self.fault = ""

    def part_marks(self, check_key: str) -> tuple[MarkedReading, ...]:
        self.threads.append(threading.current_thread())
        assert self.may.wait(PATIENCE_S)
        if self.fault:
            raise StoreError(self.fault)
        return super().part_marks(check_key)


@pytest.fixture
def store() -> SlowStore:
    """A store with sixty good caps of a marking."""
    store = SlowStore()
    fill(store, *(past_visit(i, ohms) for i, ohms in enumerate(MANY)))
    return store


@pytest.fixture
def rig(tmp_path: Path, store: SlowStore) -> Iterator[ShopRig]:
    """A shop over it."""
    rig = ShopRig(tmp_path, store=store)
    store.threads.clear()
    yield rig
    store.may.set()
    rig.shop.close()


def caps(rig: ShopRig, engine_class: str = "a", marking: str = "5k") -> Look:
    """A look at the band of caps."""
    return rig.shop.own_bands.look(
        "cap", Quantity.RESISTANCE, engine_class=engine_class, option_key=marking, beside=FIVE
    )


def until(true: Callable[[], bool]) -> None:
    """Wait for what a thread comes to."""
    end = time.monotonic() + PATIENCE_S
    while not true():
        assert time.monotonic() < end
        threading.Event().wait(0.002)


def settled(rig: ShopRig) -> Look:
    """The look once nothing is coming any more."""
    until(lambda: not caps(rig).coming)
    return caps(rig)


def count(look: Look) -> int:
    """How many parts count."""
    return len(look.band.parts) if look.band is not None else 0


def parts_beside(bench: Bench) -> int:
    """How many parts make what stands beside the step."""
    return len(bench.own.parts) if bench.own is not None else 0


def test_few_marks_are_there_at_once(tmp_path: Path) -> None:
    """They are read where they are asked for."""
    store = SlowStore()
    fill(store, *(past_visit(i, ohms) for i, ohms in enumerate(MANY[:MOST_AT_ONCE])))
    rig = ShopRig(tmp_path, store=store)
    store.threads.clear()
    look = caps(rig)
    assert (count(look), look.coming) == (MOST_AT_ONCE, False)
    assert store.threads == [threading.current_thread()]


def test_many_come_beside_the_window(rig: ShopRig, store: SlowStore) -> None:
    """Nothing waits for the store; what comes is what waiting would have given."""
    store.may.clear()
    assert caps(rig) == caps(rig) == Look(coming=True)
    store.may.set()
    look = settled(rig)
    assert count(look) == len(MANY)
    assert threading.current_thread() not in store.threads
    assert len(store.threads) == 1
    store.threads.clear()
    assert caps(rig) == look
    rig.shop.own_bands.forget()
    waited = rig.shop.own_bands.band(
        "cap", Quantity.RESISTANCE, engine_class="a", option_key="5k", beside=FIVE
    )
    assert look.band == waited


def test_what_was_known_stands_meanwhile(rig: ShopRig, store: SlowStore) -> None:
    """After a while the marks are read anew: the band before stays in view until then."""
    before = settled(rig)
    fill(store, past_visit(90, 5010.0))
    rig.clock.pass_by(KEPT_FOR + 1.0)
    store.may.clear()
    assert caps(rig) == Look(before.band, coming=True)
    store.may.set()
    assert count(settled(rig)) == len(MANY) + 1


def test_a_band_left_behind_is_no_other_s(rig: ShopRig, store: SlowStore) -> None:
    """One marking is looked at, then another: the first one's parts do not stand at the second."""
    store.may.clear()
    assert caps(rig).coming
    assert caps(rig, marking="10k") == Look(coming=True)
    store.may.set()
    until(lambda: not caps(rig, marking="10k").coming)
    assert count(caps(rig, marking="10k")) == 0
    assert count(settled(rig)) == len(MANY)
    assert len(store.threads) == 1


def test_another_band_of_marks_at_hand_is_learned_beside(rig: ShopRig, store: SlowStore) -> None:
    """The shop's settings changed: no marks are read, and still nobody waits."""
    narrow = settled(rig)
    assert narrow.band is not None
    store.threads.clear()
    rig.shop.furnish(replace(rig.shop.settings, own_content=0.99))
    store.threads.clear()
    assert caps(rig) == Look(coming=True)
    wide = settled(rig)
    assert wide.band is not None
    assert wide.band.factor is not None
    assert narrow.band.factor is not None
    assert wide.band.factor > narrow.band.factor
    assert store.threads == []


def test_what_is_said_meanwhile_counts(rig: ShopRig, store: SlowStore) -> None:
    """A part is set aside while its marks are read: the band that comes is without it."""
    visit = past_visit(3, MANY[3])
    store.may.clear()
    assert caps(rig).coming
    store.at_once = False
    rig.shop.own_bands.set_aside(visit.header.id, visit.taken("cap")[0].stamp.id, "not sure")
    store.may.set()
    assert count(settled(rig)) == len(MANY) - 1


def test_a_known_mark_set_aside_needs_no_reading(rig: ShopRig, store: SlowStore) -> None:
    """What was said holds for the marks at hand."""
    settled(rig)
    store.threads.clear()
    visit = past_visit(3, MANY[3])
    rig.shop.own_bands.set_aside(visit.header.id, visit.taken("cap")[0].stamp.id, "not sure")
    assert count(settled(rig)) == len(MANY) - 1
    assert store.threads == []


def test_a_new_mark_is_read(rig: ShopRig, store: SlowStore) -> None:
    """A reading that was never marked is not among those at hand."""
    settled(rig)
    fill(store, past_visit(77, 5005.0))
    visit = past_visit(78, 5006.0)
    store.submit_visit(visit.header)
    store.submit(*(e for e in visit.entries if not isinstance(e, PartMarked)))
    rig.shop.own_bands.mark(visit.header.id, visit.taken("cap")[0].stamp.id)
    assert count(settled(rig)) == len(MANY) + 2


def test_a_store_out_of_reach_is_said_and_not_asked_on_and_on(
    rig: ShopRig, store: SlowStore
) -> None:
    """The fault comes with the look that finds it, and for a moment with every other one."""
    store.fault = "the shop does not answer"
    assert caps(rig).coming
    lesson = rig.shop.own_bands._lessons["cap"]
    until(lambda: lesson.errand.done)
    for _time in range(3):
        with pytest.raises(StoreError, match=store.fault):
            caps(rig)
    assert len(store.threads) == 1
    rig.clock.pass_by(ASKED_AGAIN + 0.1)
    store.fault = ""
    assert count(settled(rig)) == len(MANY)


def test_the_bench_shows_the_band_when_it_comes(rig: ShopRig, store: SlowStore) -> None:
    """Arriving at the step waits for nothing; a later tick brings it."""
    bench = rig.shop.bench(rig.visit())
    bench.act("submit", "")
    bench.act("goto", "cap")
    store.may.clear()
    bench.act("choose", "1")
    bench.tick()
    assert parts_beside(bench) == 0
    store.may.set()

    def there() -> bool:
        bench.tick()
        return parts_beside(bench) == len(MANY)

    until(there)


def test_a_step_left_behind_drops_its_band(rig: ShopRig, store: SlowStore) -> None:
    """The marks of the cap come when the bench is at another step: nothing of them stands there."""
    bench = rig.shop.bench(rig.visit())
    bench.act("submit", "")
    bench.act("goto", "cap")
    store.may.clear()
    bench.act("choose", "1")
    other = next(c.key for c in bench.visit.procedure.checks if c.key != "cap")
    bench.act("goto", other)
    lesson = rig.shop.own_bands._lessons["cap"]
    store.may.set()
    until(lambda: lesson.errand.done)
    for _time in range(3):
        bench.tick()
    assert bench.visit.current.key == other
    assert parts_beside(bench) == 0


def test_closing_waits_for_what_is_being_read(tmp_path: Path, store: SlowStore) -> None:
    """The store is closed after the last one that reads from it."""
    rig = ShopRig(tmp_path, store=store)
    store.may.clear()
    assert caps(rig).coming
    (lesson,) = rig.shop.own_bands._lessons.values()
    threading.Timer(0.05, store.may.set).start()
    rig.shop.close()
    assert lesson.errand.done


def test_the_limit_is_told_by_the_count(rig: ShopRig, monkeypatch: pytest.MonkeyPatch) -> None:
    """With a limit above the marks there are, they are there at once."""
    monkeypatch.setattr(learned_bands, "MOST_AT_ONCE", len(MANY))
    assert count(caps(rig)) == len(MANY)
