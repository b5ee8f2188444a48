"""The practice session: which visit it opens, and the faults its hands can put in while it runs."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing
from dataclasses import replace
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from benchassist.assembly import Place, open_shop
from benchassist.core.procedure import CheckKind
from benchassist.core.reading import LinkState
from benchassist.errors import LinkError
from benchassist.practice.deed import Bay
from benchassist.practice.parts import CLAMP
from benchassist.practice.session import MACHINE, PracticeSession
from benchassist.services.bench.bench import Bench

pytestmark = pytest.mark.usefixtures("qapp")
Opened = Callable[[], PracticeSession]


@pytest.fixture
def opened(tmp_path: Path) -> Iterator[Opened]:
    """Opens the practice session of one home, as often as the program is started."""
    with ExitStack() as stack:

        def start() -> PracticeSession:
            shop = stack.enter_context(closing(open_shop(Place(str(tmp_path / "shop"), tmp_path))))
            return stack.enter_context(PracticeSession(shop, rate_hz=20.0))

        yield start


def end(session: PracticeSession) -> None:
    """End a session as closing its window does."""
    session.close()
    session.shop.close()


def close_visit(bench: Bench) -> None:
    """Close a visit without measuring: every obligation answered, every other step left."""
    bench.act("submit", "")
    bench.act("skip")
    bench.act("skip")
    for check in bench.visit.open_obligations():
        bench.act("goto", check.key)
        bench.act("choose", "1")
    bench.act("close_visit")


def settled(bench: Bench, qtbot: QtBot) -> None:
    """Wait until all that the bench wrote is on disk."""

    def ink() -> bool:
        bench.tick()
        return bench.pen.all_in_ink

    qtbot.waitUntil(ink)


def test_the_first_start_opens_a_visit_of_the_practice_machine(opened: Opened) -> None:
    """A new shop file gets the practice machine and a visit; asking again is the same visit."""
    session = opened()
    visit_id = session.visit_id
    assert session.desks().visit_id == session.desks().practice() == visit_id
    bench = session.shop.bench(visit_id)
    assert bench.visit.header.machine.tag == MACHINE["tag"]
    assert any(check.kind is CheckKind.MEASURE for check in bench.visit.procedure.checks)


def test_an_open_visit_is_come_back_to(opened: Opened, qtbot: QtBot) -> None:
    """The next start stands in the visit that was left open."""
    first = opened()
    visit_id = first.visit_id
    settled(first.shop.bench(visit_id), qtbot)
    end(first)
    again = opened()
    assert again.visit_id == visit_id
    assert len(again.shop.store.machines_of_tag(MACHINE["tag"])) == 1


def test_a_closed_visit_leads_to_a_new_one(opened: Opened, qtbot: QtBot) -> None:
    """In the same session and at the next start; the machine stays the same one."""
    session = opened()
    first = session.visit_id
    bench = session.shop.bench(first)
    close_visit(bench)
    second = session.visit_id
    assert second != first
    assert session.visit_id == second
    settled(bench, qtbot)
    other = session.shop.bench(second)
    settled(other, qtbot)
    assert other.visit.header.machine.id == bench.visit.header.machine.id
    close_visit(other)
    settled(other, qtbot)
    end(session)
    third = opened()
    assert third.visit_id not in {first, second}
    assert third.shop.bench(third.visit_id).visit.header.visit_of_machine == 3


def test_a_visit_of_another_machine_is_not_taken_for_practice(opened: Opened, qtbot: QtBot) -> None:
    """What the person opened on another machine stays where it is."""
    session = opened()
    practice = session.visit_id
    close_visit(session.shop.bench(practice))
    settled(session.shop.bench(practice), qtbot)
    own = session.shop.counter.new_machine({"tag": "P-0011", "unit": "Hedge cutter"})
    visit_id = session.shop.counter.open_visit(own, {"complaint": "quits_hot"})
    settled(session.shop.bench(visit_id), qtbot)
    end(session)
    again = opened()
    assert again.visit_id not in {practice, visit_id}


def test_hands_reach_the_real_meter(opened: Opened, qtbot: QtBot) -> None:
    """By hand: the cap, its fault put in while it is touched, the lead pulled and pushed in."""
    session = opened()
    meter, hands = session.shop.meter, session.hands

    def reads(low: float, high: float) -> Callable[[], bool]:
        def so() -> bool:
            meter.take_in()
            value = meter.live.value if meter.live is not None else None
            return value is not None and low < value < high

        return so

    hands.act("Z")
    hands.act("3")
    qtbot.waitUntil(reads(4_800.0, 5_000.0), timeout=10_000)
    hands.act("C")
    qtbot.waitUntil(reads(11_200.0, 11_600.0), timeout=10_000)
    hands.act("P")

    def lost() -> bool:
        meter.take_in()
        return meter.link_state in {LinkState.LOST, LinkState.WAITING}

    qtbot.waitUntil(lost, timeout=10_000)
    hands.act("P")
    qtbot.waitUntil(reads(11_200.0, 11_600.0), timeout=20_000)
    assert hands.view().trouble == ""


def test_a_held_number_stays_until_hold_is_off(opened: Opened, qtbot: QtBot) -> None:
    """With HOLD the meter shows the old number whatever the probes touch."""
    session = opened()
    meter, hands = session.shop.meter, session.hands
    hands.act("Z")
    hands.act("3")

    def shows(flag: str, low: float, high: float) -> Callable[[], bool]:
        def so() -> bool:
            meter.take_in()
            live = meter.live
            held = live is not None and "hold" in live.flags
            value = live.value if live is not None else None
            return held is bool(flag) and value is not None and low < value < high

        return so

    qtbot.waitUntil(shows("", 4_850.0, 4_950.0), timeout=10_000)
    hands.act("H")
    qtbot.waitUntil(shows("hold", 4_850.0, 4_950.0), timeout=10_000)
    hands.act("2")
    touched_at = meter.live.t_s if meter.live is not None else 0.0

    def half_a_second_later() -> bool:
        meter.take_in()
        return meter.live is not None and meter.live.t_s > touched_at + 0.5

    qtbot.waitUntil(half_a_second_later, timeout=10_000)
    assert shows("hold", 4_850.0, 4_950.0)()
    hands.act("H")
    qtbot.waitUntil(shows("", 9_000.0, 9_300.0), timeout=10_000)


def test_a_practice_meter_that_ended_is_one_line_on_the_bench(opened: Opened) -> None:
    """The bench goes on without its hands: no exception out of its tick."""
    session = opened()
    desk = session.desks().bench(session.visit_id)
    session.practice.close()
    with pytest.raises(LinkError):
        session.practice.lift()
    bench = session.shop.bench(session.visit_id)
    bench.act("submit", "")
    session.hand._place, session.hand._arrived_at = "", -100.0
    session.hand.holds = "cap"
    desk.tick()
    assert "practice meter has ended" in desk.view().banner
    session.hands.act("3")
    assert "practice meter has ended" in session.hands.view().trouble


def test_the_hands_put_the_clip_on_for_a_run_and_leave_it(opened: Opened, qtbot: QtBot) -> None:
    """On from before the start to the end, whatever is typed; off where a run has no meter."""
    session = opened()
    desk = session.desks().bench(session.visit_id)
    bench, hand = session.shop.bench(session.visit_id), session.hand

    def holds(what: str) -> Callable[[], bool]:
        def so() -> bool:
            desk.tick()
            return hand.holds == what

        return so

    def live() -> bool:
        desk.tick()
        return bench.meter.live is not None and bench.meter.live.value is not None

    desk.act("submit", "")
    desk.act("goto", "heat_run")
    qtbot.waitUntil(holds("coil_secondary"), timeout=10_000)
    qtbot.waitUntil(live, timeout=10_000)
    assert session.hands.view().bay is Bay.HEAT
    desk.act("run_start")
    desk.act("run_type")
    started = bench.run.now_s

    def typing() -> bool:
        desk.tick()
        assert hand.holds == "coil_secondary"
        return bench.run.now_s > started + 1.0

    qtbot.waitUntil(typing, timeout=10_000)
    assert not session.practice.sight.on_heat
    desk.act("cancel")
    desk.act("run_end")
    desk.tick()
    assert hand.holds == "coil_secondary"
    desk.act("goto", "engine_run")
    qtbot.waitUntil(holds(CLAMP), timeout=10_000)
    assert not session.practice.sight.runs
    desk.act("goto", "quit_drill")
    qtbot.waitUntil(holds("lift"), timeout=10_000)
    desk.act("run_start")
    desk.tick()
    assert session.hands.view().holds == "taken"
    desk.act("choose", "1")
    desk.tick()
    assert (session.hands.view().label, session.hands.view().holds) == ("You see", "no spark")
    desk.act("run_end")


def test_the_hands_take_the_units_of_settings_that_are_kept(opened: Opened) -> None:
    """At once, without opening the practice bench anew."""
    session = opened()
    assert session.hands.view().reads[1].endswith("°C")
    shop = session.shop
    shop.furnish(replace(shop.settings, temperature_unit="fahrenheit"))
    assert session.hands.view().reads[1].endswith("°F")
