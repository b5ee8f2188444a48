from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from benchassist.errors import ShopFileError
from benchassist.services.desk import CounterView, Desks
from benchassist.ui.counter_page import SLOW_S, TICKS_OF_REST
from benchassist.ui.habits import Habits
from benchassist.ui.page import Turn
from benchassist.ui.shell import Shell
from tests.services.records_case import records_desk
from tests.ui.conftest import OpenWindow
from tests.ui.desks import FakeCounter
from tests.ui.test_bench_page import press
from tests.ui.views import (
    COUNTER,
    COUNTER_CLOSE,
    COUNTER_FOUND,
    COUNTER_FULL,
    COUNTER_THREE,
    TALLOW,
)


def test_open_slips_stand_on_the_left(open_window: OpenWindow) -> None:
    """Every open slip says whose, what and how far; a click takes it up."""
    shell = open_window()
    said = [t.accessibleName() for t in shell.counter.slips.targets]
    assert len(said) == 3
    assert said[0] == (
        "M. Harrow. Rotary tiller, Corvane C-160. “hard to start when cold”. step 5 of 6"
    )
    QTest.mouseClick(shell.counter.slips.targets[1], Qt.MouseButton.LeftButton)
    assert shell.page is shell.bench
    assert shell.visit_id == "v2"


def test_typing_searches(open_window: OpenWindow) -> None:
    """Every letter asks the desk; what is found is said."""
    desk = FakeCounter(COUNTER_FOUND)
    shell = open_window(counter=desk)
    QTest.keyClicks(shell.counter.search.field, "tal")
    assert desk.queries[-3:] == ["t", "ta", "tal"]
    assert "1 machine found" in shell.counter.head.accessibleName()
    found = shell.counter.machines.targets[0].accessibleName()
    assert "Tallow Hill Cider Orchard" in found
    assert "Plug gap 0.81 mm Too close to call" in found


def test_enter_opens_a_visit_for_the_machine_found(open_window: OpenWindow) -> None:
    """Enter on the machine turns to the interview."""
    desk = FakeCounter(COUNTER_FOUND)
    shell = open_window(counter=desk)
    QTest.keyClicks(shell.counter.search.field, "tal")
    QTest.keyClick(shell.counter.search.field, Qt.Key.Key_Return)
    assert shell.page is shell.interview
    assert desk.asked_for == "m1"


def test_enter_goes_on_where_a_visit_is_open(open_window: OpenWindow) -> None:
    """A machine whose visit is open is taken up where it stands."""
    held = replace(TALLOW, open_visit_id="v7", open_visit_text="slip 0412 is open")
    shell = open_window(counter=FakeCounter(replace(COUNTER_FOUND, machines=(held,))))
    QTest.keyClicks(shell.counter.search.field, "tal")
    QTest.keyClick(shell.counter.search.field, Qt.Key.Key_Return)
    assert shell.page is shell.bench
    assert shell.visit_id == "v7"


def test_up_and_down_go_through_machines_and_slips(open_window: OpenWindow) -> None:
    """The selection runs through what was found, then through the open slips."""
    shell = open_window(counter=FakeCounter(COUNTER_THREE))
    field = shell.counter.search.field
    QTest.keyClicks(field, "tal")
    for _ in range(4):
        QTest.keyClick(field, Qt.Key.Key_Down)
    QTest.keyClick(field, Qt.Key.Key_Up)
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert shell.visit_id == "v1"


def test_a_click_selects_before_it_opens(open_window: OpenWindow) -> None:
    """A first click on a row shows its last visit, the second opens."""
    desk = FakeCounter(COUNTER_THREE)
    shell = open_window(counter=desk)
    QTest.keyClicks(shell.counter.search.field, "tal")
    row = shell.counter.machines.targets[2]
    QTest.mouseClick(row, Qt.MouseButton.LeftButton)
    assert shell.page is shell.counter
    chosen = next(t for t in shell.counter.machines.targets if t.value.selected)
    assert chosen.value.card.machine_id == "m3"
    QTest.mouseClick(chosen, Qt.MouseButton.LeftButton)
    assert desk.asked_for == "m3"


def test_function_keys_begin_things(open_window: OpenWindow) -> None:
    """F2, F3 and F4 turn to a new machine, practice and meters while the box has the focus."""
    for key, name in (
        (Qt.Key.Key_F2, "new_machine"),
        (Qt.Key.Key_F3, "bench"),
        (Qt.Key.Key_F4, "meters"),
    ):
        shell = open_window()
        press(shell, key)
        assert shell.page is shell.pages[name]


def test_escape_clears_the_box(open_window: OpenWindow) -> None:
    """Esc empties the search."""
    shell = open_window(counter=FakeCounter(COUNTER_FOUND))
    QTest.keyClicks(shell.counter.search.field, "tal")
    QTest.keyClick(shell.counter.search.field, Qt.Key.Key_Escape)
    assert shell.counter.search.field.text() == ""


def test_more_slips_than_fit_are_counted(open_window: OpenWindow) -> None:
    """What does not fit is said, and Down reaches it."""
    shell = open_window(counter=FakeCounter(COUNTER_FULL))
    slips = shell.counter.slips
    assert 3 < len(slips.items()) < 9
    for _ in range(8):
        QTest.keyClick(shell.counter.search.field, Qt.Key.Key_Down)
    assert slips.items()[-1].card.visit_id == "v8"
    assert slips.items()[-1].selected


def test_a_banner_of_the_desk_is_shown(open_window: OpenWindow) -> None:
    """What could not be saved is said on the counter."""
    shell = open_window(counter=FakeCounter(COUNTER_FULL))
    assert shell.counter.message.accessibleName() == COUNTER_FULL.banner


def test_the_desk_is_asked_once_a_second_not_at_every_tick(open_window: OpenWindow) -> None:
    """A counter at rest does not read the shop file twenty-five times a second."""
    desk = FakeCounter(COUNTER)
    shell = open_window(counter=desk)
    before = len(desk.queries)
    for _ in range(50):
        shell.tick()
    assert len(desk.queries) == before + 2


def test_what_is_only_close_is_looked_at_before_it_is_opened(open_window: OpenWindow) -> None:
    """A misspelt name selects nothing; Enter shows the closest with its last visit, then opens."""
    desk = FakeCounter(COUNTER_CLOSE)
    shell = open_window(counter=desk)
    field = shell.counter.search.field
    QTest.keyClicks(field, "talwo")
    assert "No machine has exactly these words" in shell.counter.head.accessibleName()
    assert not any(item.selected for item in shell.counter.machines.items())
    assert shell.counter.machines.history.isHidden()
    assert shell.strip.value.hints[0].text == "Look at the closest"
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert shell.page is shell.counter
    assert next(i for i in shell.counter.machines.items() if i.selected).card.machine_id == "m1"
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert desk.asked_for == "m1"


def test_the_history_of_the_machine_selected_is_a_key_and_a_button(
    open_window: OpenWindow,
) -> None:
    """F9 and a press of the button on its card ask for the machine's file; no visit is opened."""
    desk = FakeCounter(COUNTER_THREE)
    shell = open_window(counter=desk)
    turns: list[Turn] = []
    shell.counter.turned.disconnect()
    shell.counter.turned.connect(turns.append)
    QTest.keyClicks(shell.counter.search.field, "tal")
    QTest.keyClick(shell.counter.search.field, Qt.Key.Key_Down)
    history = shell.counter.machines.history
    assert history.isVisible()
    assert history.accessibleName() == "F9. History"
    QTest.mouseClick(history, Qt.MouseButton.LeftButton)
    press(shell, Qt.Key.Key_F9)
    assert turns == [Turn(page="machine", machine_id="m2")] * 2
    assert desk.asked_for == ""


def test_the_keys_of_the_strip_all_fit(open_window: OpenWindow) -> None:
    """With a machine selected no key is left out at the smallest size."""
    shell = open_window(counter=FakeCounter(COUNTER_FOUND), records=records_desk()[0])
    QTest.keyClicks(shell.counter.search.field, "tal")
    shown = [t.value.press for t in shell.strip.targets if not t.isHidden()]
    assert shown == ["Enter", "F9", "F10", "F5", "F7", "F8", "Esc", "F1"]


def test_a_visit_that_nobody_else_has_on_is_selected_first(open_window: OpenWindow) -> None:
    """Enter goes on with one that can be gone on with; else the first says where it is."""
    slips = tuple(replace(s, elsewhere=s.visit_id != "v2") for s in COUNTER.slips)
    shell = open_window(counter=FakeCounter(replace(COUNTER, slips=slips)))
    QTest.keyClick(shell.counter.search.field, Qt.Key.Key_Return)
    assert shell.visit_id == "v2"
    elsewhere = tuple(replace(s, elsewhere=True) for s in slips)
    again = open_window(counter=FakeCounter(replace(COUNTER, slips=elsewhere)))
    assert again.counter.slips.value.selected == "v1"


def test_why_a_visit_was_refused_goes_once_it_is_free(open_window: OpenWindow) -> None:
    """The line would be untrue by then."""
    held = tuple(replace(s, elsewhere=s.visit_id == "v1") for s in COUNTER.slips)
    desk = FakeCounter(replace(COUNTER, slips=held))
    counter = open_window(counter=desk).counter
    counter.problem = "Visit 0411 is on bench B"
    counter.entered()
    assert counter.message.value == "Visit 0411 is on bench B"
    desk.shown = COUNTER
    counter.entered()
    assert counter.message.value == ""


def test_what_is_not_known_is_not_said_not_to_be_there(open_window: OpenWindow) -> None:
    """A machine that is on a server out of reach gets no second card by what the window says."""
    told = "Not looked up yet: the server has not answered."
    unknown = replace(COUNTER, query="tal", nothing_text=told)
    desk = FakeCounter(unknown)
    counter = open_window(counter=desk).counter
    QTest.keyClicks(counter.search.field, "tal")
    assert counter.machines.value.empty_text == told
    QTest.keyClick(counter.search.field, Qt.Key.Key_Return)
    assert counter.message.value == told
    desk.shown = replace(unknown, nothing_text="")
    counter.entered()
    assert counter.message.value == ""


class SlowCounter(FakeCounter):
    """One whose clock moves while it is asked."""

    def __init__(self, clock: list[float]) -> None:
        super().__init__(COUNTER_FOUND)
        self.clock = clock

    def view(self, query: str, _selected: str = "") -> CounterView:
        """The answer takes long."""
        self.clock[0] += 2 * SLOW_S
        return super().view(query)


def test_a_slow_server_is_asked_once_the_typing_rests(
    open_window: OpenWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not at every letter, and not later than Enter."""
    clock = [0.0]
    monkeypatch.setattr("benchassist.ui.counter_page.time.monotonic", lambda: clock[0])
    desk = SlowCounter(clock)
    shell = open_window(counter=desk)
    field = shell.counter.search.field
    QTest.keyClicks(field, "tal")
    assert desk.queries[-1] == ""
    for _ in range(TICKS_OF_REST):
        shell.counter.refresh()
    assert [q for q in desk.queries if q] == ["tal"]
    QTest.keyClicks(field, "low")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert desk.queries[-1] == "tallow"
    assert desk.asked_for == "m1"


def test_a_shop_that_could_not_be_opened_counts_nothing(open_window: OpenWindow) -> None:
    """There may be open slips, and machines; nothing is said of them."""
    counter = open_window().counter
    assert not counter.slips.value.loading
    shell = Shell(refuse_to_load, Habits(theme="light"))
    shell.load()
    assert shell.counter.slips.value.loading
    assert shell.counter.machines.value.empty_text == "The shop is not open."
    shell.close()


def refuse_to_load() -> Desks:
    """A shop that is not there."""
    raise ShopFileError("the shop cannot be reached: check the server and the network")
