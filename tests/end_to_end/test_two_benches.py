"""Two benches on one server: they see each other's visits, and each visit is worked by one."""

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from PySide6.QtWidgets import QApplication

from benchassist.assembly import Place, open_shop
from benchassist.assembly.opening import keep_settings
from benchassist.core.entry import RunEnded, Taken
from benchassist.core.lease import Lease
from benchassist.errors import StepError
from benchassist.services.bench.bench import Bench
from benchassist.services.settings import Settings
from benchassist.services.shop import Shop
from benchassist.storage import lease
from benchassist.storage.presence import Alive, look_for
from benchassist.storage.store import SqlStore
from tests.end_to_end.technician import PATIENCE_S, at_work, bench_only
from tests.postgres import PostgresServer
from tests.storage.proxy import Proxy

CARD = {"customer": "Amberley Nursery", "unit": "Tiller", "engine_class": "A"}
COMPLAINT = {"complaint": "quits_hot"}


@pytest.fixture(autouse=True)
def two_computers(monkeypatch: pytest.MonkeyPatch, qapp: QApplication) -> None:
    """Nothing is known of the other bench but what the server says; and nobody waits for long."""
    assert qapp is QApplication.instance()
    monkeypatch.setattr(lease, "look_for", lambda _holder: Alive.UNKNOWN)
    monkeypatch.setattr("benchassist.storage.watch.PERIOD_S", 0.05)
    monkeypatch.setattr("benchassist.storage.writer.JOURNAL_PATIENCE_SECONDS", 0.2)


def store_of(shop: Shop) -> SqlStore:
    """A shop's store, as assembly made it."""
    assert isinstance(shop.store, SqlStore)
    return shop.store


def home(folder: Path, letter: str) -> Path:
    """A bench's own folder, with its letter."""
    path = folder / letter
    bench_only(path)
    place = Place("", path)
    keep_settings(place, Settings(bench_letter=letter, shop_name="Hollow Lane"))
    return path


@pytest.fixture
def benches(postgres_url: str, tmp_path: Path) -> Iterator[tuple[Shop, Shop]]:
    """Benches A and B of one shop."""
    with ExitStack() as stack:
        shops = [open_shop(Place(postgres_url, home(tmp_path, letter))) for letter in "AB"]
        for shop in shops:
            stack.callback(shop.close)
        yield shops[0], shops[1]


def until(told: Callable[[], object]) -> None:
    """Wait for something to come true."""
    limit = time.monotonic() + PATIENCE_S
    while not told():
        assert time.monotonic() < limit, "it never came true"
        threading.Event().wait(0.005)


def new_visit(shop: Shop, tag: str) -> str:
    """A machine and a visit of it, its id."""
    machine = shop.counter.new_machine(CARD | {"tag": tag})
    until(lambda: shop.store.machine(machine) is not None)
    return shop.counter.open_visit(machine, COMPLAINT)


def begin(shop: Shop, visit_id: str) -> Bench:
    """Put a visit on the bench, past what opens it."""
    bench = shop.bench(visit_id)
    bench.act("submit", "")
    bench.act("skip")
    bench.act("skip")
    return bench


def take(bench: Bench, check_key: str, text: str) -> None:
    """Type a reading at a check."""
    bench.act("goto", check_key)
    bench.act("type")
    bench.act("submit", text)


def ink(*benches: Bench) -> None:
    """Wait until everything is on disk."""

    def settled() -> bool:
        for bench in benches:
            bench.tick()
        return all(bench.pen.all_in_ink for bench in benches)

    until(settled)


def values(shop: Shop, visit_id: str) -> list[float | None]:
    """What was taken in a visit, as the server has it."""
    return [e.reading.value for e in shop.store.visit(visit_id)[1] if isinstance(e, Taken)]


def left(shop: Shop, visit_id: str) -> None:
    """The counter is in front until the visit is put down."""

    def ticked() -> bool:
        shop.counter.tick()
        return not store_of(shop).benches.holds(visit_id)

    until(ticked)


@pytest.mark.postgres
def test_a_visit_goes_from_bench_to_bench(benches: tuple[Shop, Shop]) -> None:
    """B sees what A has on and is refused; A leaves, and B goes on where A stood."""
    a, b = benches
    visit_id = new_visit(a, "M-001")
    on_a = begin(a, visit_id)
    take(on_a, "coil_secondary", "9.21k")
    ink(on_a)
    assert on_a.visit.header.slip_number == "A-0001"
    until(lambda: b.counter.view("").slips)
    (card,) = b.counter.view("").slips
    assert card.slip_text == "slip A-0001"
    assert card.place_text.endswith("on bench A")
    with pytest.raises(StepError, match=r"Visit A-0001 is on bench A since \d\d:\d\d\."):
        b.bench(visit_id)
    assert b.slip(visit_id).title == "Job slip A-0001"
    left(a, visit_id)
    until(lambda: not store_of(b).benches.elsewhere())
    on_b = b.bench(visit_id)
    assert on_b.visit.current.key == on_a.visit.current.key
    take(on_b, "coil_primary", "1.1")
    ink(on_b)
    with pytest.raises(StepError, match="on bench B"):
        a.bench(visit_id)
    left(b, visit_id)
    until(lambda: not store_of(a).benches.elsewhere())
    again = a.bench(visit_id)
    assert again is not on_a
    assert [e.reading.value for e in again.visit.entries if isinstance(e, Taken)] == [
        9210.0,
        1.1,
    ]


@pytest.mark.postgres
def test_both_take_at_once(benches: tuple[Shop, Shop]) -> None:
    """Each in its own visit, under its own letter; neither waits for the other."""
    a, b = benches
    visits = new_visit(a, "M-001"), new_visit(b, "M-002")
    on_benches = begin(a, visits[0]), begin(b, visits[1])
    for n in range(1, 6):
        for bench in on_benches:
            take(bench, "coil_secondary", f"9.{n}1k")
    ink(*on_benches)
    numbers = [bench.visit.header.slip_number for bench in on_benches]
    assert numbers == ["A-0001", "B-0001"]
    expected = [9110.0, 9210.0, 9310.0, 9410.0, 9510.0]
    assert values(b, visits[0]) == values(a, visits[1]) == expected
    assert {card.slip_text for card in a.counter.view("").slips} == {"slip A-0001", "slip B-0001"}


@pytest.mark.postgres
def test_a_server_that_is_lost_in_the_middle_of_a_visit(
    postgres_server: PostgresServer, postgres_url: str, tmp_path: Path
) -> None:
    """A goes on and says what is kept here; B has it all when the server is back, in A's order."""
    name = urlsplit(postgres_url).path.strip("/")
    with Proxy(postgres_server) as proxy, ExitStack() as stack:
        a = open_shop(Place(proxy.url(name), home(tmp_path, "A")))
        stack.callback(a.close)
        b = open_shop(Place(postgres_url, home(tmp_path, "B")))
        stack.callback(b.close)
        visit_id = new_visit(a, "M-001")
        bench = begin(a, visit_id)
        take(bench, "coil_secondary", "9.21k")
        ink(bench)
        with proxy.cut():
            take(bench, "coil_primary", "1.1")
            take(bench, "coil_primary", "1.2")
            ink(bench)
            assert bench.view().banner.startswith("Server lost since ")
            assert ": 2 readings kept on this computer" in bench.view().banner
            shown = a.counter.view("")
            assert "only what is on this computer shows. Kept for it: 2" in shown.banner
            assert [card.visit_id for card in shown.slips] == [visit_id]
            second = new_visit(a, "M-002")
            other = begin(a, second)
            take(other, "coil_secondary", "8.80k")
            ink(other)
            assert other.visit.header.slip_number == "A-0002"
            assert values(b, visit_id) == [9210.0]
        until(lambda: store_of(a).benches.away is None)
        assert bench.view().banner == "Server back, delivered: 3 readings"
        assert values(b, visit_id) == [9210.0, 1.1, 1.2]
        assert values(b, second) == [8800.0]
        take(bench, "coil_primary", "1.3")
        ink(bench)
        assert values(b, visit_id)[-1] == 1.3


@pytest.mark.postgres
def test_a_second_window_of_one_home_says_what_it_cannot_do(
    postgres_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It has no journal; of its letter nothing is said, it is the other window's as well."""
    monkeypatch.setattr(lease, "look_for", look_for)
    place = Place(postgres_url, home(tmp_path, "A"))
    with ExitStack() as stack:
        one, two = open_shop(place), open_shop(place)
        stack.callback(one.close)
        stack.callback(two.close)
        assert one.counter.view("").banner == ""
        assert two.counter.view("").banner.startswith("another window has this shop open")


def test_a_second_window_on_the_same_file_is_a_second_bench(tmp_path: Path) -> None:
    """Its counter says where the visit is; there, Enter goes on once it is left here."""
    bench_only(tmp_path / "home")
    place = Place(str(tmp_path / "shop.sqlite"), tmp_path / "home")
    other = open_shop(place)
    try:
        visit_id = new_visit(other, "M-001")
        bench = begin(other, visit_id)
        ink(bench)
        with at_work(place) as technician:
            technician.until("the slip", lambda: bool(technician.shell.counter.slips.value.slips))
            technician.press("Return")
            assert technician.page == "counter"
            assert technician.problem.startswith("Visit 0001 is on bench ")
            assert technician.shell.counter.message.value == technician.problem
            left(other, visit_id)
            technician.until("a free visit", lambda: not store_of(technician.shop).under_work())
            technician.press("Return")
            assert technician.page == "bench"
            assert isinstance(store_of(other).benches.take_up(visit_id), Lease)
            technician.press("Escape")
            technician.until("the counter", lambda: technician.page == "counter")
            technician.until(
                "a visit put down",
                lambda: not store_of(technician.shop).benches.holds(visit_id),
            )
    finally:
        other.close()


def test_a_run_that_is_on_in_another_window_is_not_taken_for_cut(tmp_path: Path) -> None:
    """A second program that opens the visit is refused, and writes no end of the run."""
    place = Place(str(tmp_path / "shop.sqlite"), tmp_path / "home")
    with ExitStack() as stack:
        one, two = open_shop(place), open_shop(place)
        stack.callback(one.close)
        stack.callback(two.close)
        visit_id = new_visit(one, "M-001")
        bench = begin(one, visit_id)
        bench.act("goto", "quit_drill")
        bench.act("run_start")
        ink(bench)
        one.counter.tick()
        assert bench.run.on
        with pytest.raises(StepError, match="is on bench"):
            two.bench(visit_id)
        assert [e for e in one.store.visit(visit_id)[1] if isinstance(e, RunEnded)] == []
        bench.act("run_end")
        ink(bench)
        (ended,) = (e for e in one.store.visit(visit_id)[1] if isinstance(e, RunEnded))
        assert not ended.cut
