"""The machine file: keys, selection, rooms, notes and marks, the way there and back."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent, QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from benchassist.errors import InputError, StepError
from benchassist.services.desk import MachinePageView
from benchassist.services.record.photo_view import LargePhoto, PhotoStrip
from benchassist.ui.cue import Cue, Heard
from benchassist.ui.machine_room import MachineRoom
from benchassist.ui.page import Turn
from benchassist.ui.shell import Shell
from tests.ui.conftest import OpenWindow
from tests.ui.desks import FakeCounter
from tests.ui.machine_views import MACHINE_STATES, SPRAYER_PAGE, FakeMachine, photos
from tests.ui.views import COUNTER_FOUND

OpenMachine = Callable[..., tuple[Shell, FakeMachine]]
NEWEST, OLDEST = "v2026-0412", "v2023-0020"


@pytest.fixture
def open_machine(open_window: OpenWindow) -> OpenMachine:
    """Open a window on a machine's file, come to from the counter."""

    def opened(view: MachinePageView = SPRAYER_PAGE, **given: object) -> tuple[Shell, FakeMachine]:
        desk = FakeMachine(view)
        shell = open_window(machine=desk, **given)
        shell.turn(Turn(page="machine", machine_id="m1"))
        assert shell.page is shell.machine
        return shell, desk

    return opened


def press(shell: Shell, *presses: str) -> None:
    """Press keys on the page."""
    for one in presses:
        assert shell.page.press(one), one


def turns(shell: Shell) -> list[Turn]:
    """Where the page asks to go from here on."""
    asked: list[Turn] = []
    shell.machine.turned.connect(asked.append)
    return asked


# --- the way there and back -----------------------------------------------------------------------


def test_f9_opens_the_file_of_the_machine_selected_and_esc_comes_back(
    open_window: OpenWindow,
) -> None:
    """The counter's box has the focus all the while."""
    desk = FakeMachine()
    shell = open_window(machine=desk, counter=FakeCounter(COUNTER_FOUND))
    shell.counter.search.field.setText("tallow")
    QTest.keyClick(QApplication.focusWidget() or shell, Qt.Key.Key_F9)
    assert shell.page is shell.machine
    assert desk.machine_id == COUNTER_FOUND.machines[0].machine_id
    QTest.keyClick(shell, Qt.Key.Key_Escape)
    assert shell.page is shell.counter


@pytest.mark.parametrize("page", ["bench", "findings", "print"])
def test_h_opens_the_file_from_the_visit_under_work_and_esc_comes_back(
    open_window: OpenWindow, page: str
) -> None:
    """From the bench, its findings and its slip."""
    shell = open_window(machine=FakeMachine())
    shell.turn(Turn(page="bench", visit_id="v1"))
    if page != "bench":
        shell.turn(Turn(page=page))
    QTest.keyClick(shell, Qt.Key.Key_H)
    assert shell.page is shell.machine
    QTest.keyClick(shell, Qt.Key.Key_Escape)
    assert shell.page is shell.pages[page]


def test_enter_goes_on_with_the_open_visit_else_asks_for_a_new_one(
    open_machine: OpenMachine,
) -> None:
    """The bench, or the interview with the last visit beside it."""
    shell, _desk = open_machine()
    QTest.keyClick(shell, Qt.Key.Key_Return)
    assert shell.page is shell.bench
    shell, _desk = open_machine(MACHINE_STATES["one"])
    QTest.keyClick(shell, Qt.Key.Key_Return)
    assert shell.page is shell.interview
    shell.interview.refresh()
    last = shell.interview.last.value.card
    assert last is not None
    assert last.visit_id == OLDEST
    assert shell.interview.last.isVisible()


def test_a_window_without_machine_files_says_so(open_window: OpenWindow) -> None:
    """And stays where it was."""
    shell = open_window()
    assert shell.desks is not None
    shell.desks = replace(shell.desks, machine_file=None)
    shell.turn(Turn(page="machine", machine_id="m1"))
    assert shell.page is shell.counter
    assert "no machine files" in shell.counter.problem


# --- selection ------------------------------------------------------------------------------------


def test_left_and_right_select_a_visit_in_the_column_and_on_every_card(
    open_machine: OpenMachine,
) -> None:
    """They stop at the ends."""
    shell, _desk = open_machine()
    page = shell.machine
    assert page.visit_id == NEWEST
    press(shell, "Left", "Left", "Left", "Left")
    assert page.visit_id == OLDEST
    assert page.visits.value.visit_id == OLDEST
    assert {shown.visit_id for shown in page.quantities.items()} == {OLDEST}
    press(shell, *["Right"] * 5)
    assert page.visit_id == NEWEST


def test_up_and_down_go_through_the_quantities_a_page_at_a_time(
    open_machine: OpenMachine,
) -> None:
    """Thirty of them: the heading counts which are in view."""
    shell, _desk = open_machine(MACHINE_STATES["thirty"])
    page = shell.machine
    assert page.head.value.place == "1 to 6 of 30"
    press(shell, *["Down"] * 6)
    assert page.head.value.place == "7 to 12 of 30"
    assert page.quantities.items()[0].selected
    press(shell, *["Down"] * 40)
    assert page.head.value.place == "25 to 30 of 30"
    press(shell, "Up")
    assert page.quantities.items()[-2].selected


def test_an_old_visit_that_is_selected_comes_into_view_everywhere(
    open_machine: OpenMachine,
) -> None:
    """Of forty, its card and its row."""
    shell, _desk = open_machine(MACHINE_STATES["forty"])
    page = shell.machine
    press(shell, *["Left"] * 39)
    top, high = page.visits._tops[-1]
    assert 0.0 <= top - page.visits._scroll <= page.visits._room - high + 1.0
    press(shell, "PgUp")
    assert top - page.visits._scroll > page.visits._room
    press(shell, "PgDown")
    assert top - page.visits._scroll <= page.visits._room


def test_a_click_on_a_card_selects_its_visit(open_machine: OpenMachine) -> None:
    """The second in the column."""
    shell, _desk = open_machine()
    visits = shell.machine.visits
    top, high = visits._tops[1]
    at = QPointF(100.0, (top + high / 2.0) * visits.look.s).toPoint()
    QTest.mouseClick(visits, Qt.MouseButton.LeftButton, pos=at)
    assert shell.machine.visit_id == "v2025-0288"


def test_space_or_a_second_click_looks_closer_at_a_quantity(open_machine: OpenMachine) -> None:
    """Down goes on to the next one, Esc comes back to all of them."""
    shell, _desk = open_machine()
    page = shell.machine
    file = page.view.file
    assert file is not None
    keys = [card.check_key for card in file.quantities]
    press(shell, *["Down"] * keys.index("coil"), "Space")
    assert page.room is MachineRoom.QUANTITY
    assert page.title.value.title == "Coil secondary, cold"
    assert "at 20 °C" in page.title.value.step_text
    assert "6.52" in page.detail.words()
    press(shell, "Up")
    assert page.title.value.title != "Coil secondary, cold"
    press(shell, "Down", "Esc")
    assert page.room is MachineRoom.FRONT
    page.quantities.targets[0].click()
    assert (page.at, page.room) == (keys[0], MachineRoom.FRONT)
    page.quantities.targets[0].click()
    assert page.room is MachineRoom.QUANTITY


def test_a_machine_without_a_past_says_so(open_machine: OpenMachine) -> None:
    """No visit, nothing measured; keys that need them do nothing but say why."""
    shell, _desk = open_machine(replace(MACHINE_STATES["new"], note_text=""))
    page = shell.machine
    assert page.visits.value.empty_text == "No visit yet."
    assert page.quantities.value.cards == ()
    press(shell, "Left", "Down", "Space", "N")
    assert "no visit to note it on" in page.problem
    press(shell, "R")
    assert "No run is on file" in page.problem
    assert page.room is MachineRoom.FRONT


def test_while_the_file_is_read_only_the_way_back_is_there(open_machine: OpenMachine) -> None:
    """Nothing else means anything yet."""
    shell, desk = open_machine(MACHINE_STATES["reading"])
    assert [hint.action for hint in shell.machine.keys.hints] == ["back", "help"]
    assert not shell.machine.press("N")
    desk.shown = SPRAYER_PAGE
    shell.tick()
    assert shell.machine.visit_id == NEWEST
    assert desk.ticks > 0


def test_visits_that_cannot_be_read_are_named(open_machine: OpenMachine) -> None:
    """Below the others, with the slip's number."""
    shell, _desk = open_machine(MACHINE_STATES["odd"])
    assert "0144" in shell.machine.visits.words()


# --- runs and parts -------------------------------------------------------------------------------


def test_r_lays_the_runs_over_each_other_and_left_makes_another_strong(
    open_machine: OpenMachine,
) -> None:
    """Its visit is selected with it; Esc puts them away."""
    shell, desk = open_machine()
    page = shell.machine
    press(shell, "R")
    assert desk.calls == [("runs", "heat_run", "")]
    assert page.room is MachineRoom.RUNS
    assert page.plot.isVisible()
    assert page.plot.value.overlay
    press(shell, "Left")
    assert desk.calls[-1] == ("runs", "heat_run", "r2")
    assert page.visit_id == "v2025-0288"
    press(shell, "+")
    assert page.plot.shown.end_s - page.plot.shown.start_s < page.plot.value.end_s
    press(shell, "Esc")
    assert page.room is MachineRoom.FRONT
    assert desk.calls[-1] == ("runs", "", "")
    assert page.view.runs is None


def test_runs_without_a_line_have_their_words(open_machine: OpenMachine) -> None:
    """In the plot's place stands why."""
    shell, _desk = open_machine(MACHINE_STATES["runs-empty"])
    press(shell, "R")
    page = shell.machine
    assert not page.plot.isVisible()
    assert "no samples" in page.no_plot.value
    assert len(page.legend.value) == 3


def test_f_lists_the_parts_fitted_newest_first(open_machine: OpenMachine) -> None:
    """With their days."""
    shell, _desk = open_machine()
    press(shell, "F")
    page = shell.machine
    assert page.room is MachineRoom.PARTS
    assert [part.text for part in page.parts.value.parts] == [
        "fuel tap, bowl gasket",
        "spark plug",
        "air filter",
    ]
    press(shell, "Down", "Esc")
    assert page.room is MachineRoom.FRONT


# --- notes and marks ------------------------------------------------------------------------------


def test_n_asks_for_a_note_and_enter_keeps_it(open_machine: OpenMachine) -> None:
    """Where it goes stands above the line."""
    shell, desk = open_machine()
    press(shell, "N")
    entry = shell.machine.entry
    assert entry.value.label == "Note, on the visit of 9 Jun 2026"
    QTest.keyClicks(QApplication.focusWidget(), "guard")
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    assert desk.calls == [("note", "guard")]
    assert not entry.isVisible()
    assert shell.machine.hasFocus()


def test_a_note_that_is_refused_stays_in_the_line(open_machine: OpenMachine) -> None:
    """With the reason below it, and a sound; Esc leaves it."""
    shell, desk = open_machine()
    heard: list[Heard] = []
    shell.machine.cued.connect(heard.append)
    press(shell, "N")
    desk.refuses = InputError("note '': type what is to be remembered")
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    assert shell.machine.entry.value.error.startswith("note ''")
    assert [one.cue for one in heard] == [Cue.REFUSED]
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Escape)
    assert not shell.machine.asking


def test_g_marks_the_selected_visit_s_part_and_once_more_asks_why_not(
    open_machine: OpenMachine,
) -> None:
    """A part that is marked is set aside with a reason only, and the strip says so."""
    shell, desk = open_machine(MACHINE_STATES["odd"])
    shell.machine.at = "coil"
    press(shell, "G")
    assert desk.calls == [("mark", "coil", "v2025-0288")]
    press(shell, "Left")
    assert "Set aside" in [hint.text for hint in shell.machine.keys.hints]
    press(shell, "G")
    assert "2024: why?" in shell.machine.entry.value.label
    QTest.keyClicks(QApplication.focusWidget(), "wet")
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    assert desk.calls[-1] == ("aside", "coil", "v2024-0131", "wet")


def test_a_mark_that_is_refused_is_said(open_machine: OpenMachine) -> None:
    """On the page's line; the next key clears it."""
    shell, desk = open_machine()
    desk.refuses = StepError("above range is no number: no band can be learned from it")
    press(shell, "G")
    assert shell.machine.message.value.startswith("Above range")
    assert shell.machine.message.isVisible()
    press(shell, "Left")
    assert not shell.machine.message.isVisible()


# --- photos ---------------------------------------------------------------------------------------


class FakePhotos:
    """Photos that write down what is added."""

    def __init__(self) -> None:
        self.files: list[tuple[Path, ...]] = []

    def tick(self) -> None:
        """Nothing comes."""

    def strip(self) -> PhotoStrip:
        """Seven."""
        return photos(7)

    def add_files(self, paths: tuple[Path, ...], caption: str = "") -> None:
        """Write them down."""
        assert caption == ""
        self.files.append(tuple(paths))

    def add_image(self, data: bytes, caption: str = "") -> None:
        """No picture comes here."""
        raise AssertionError(data, caption)

    say = remove = add_image

    def large(self, entry_id: str) -> LargePhoto:
        """None is looked at."""
        raise AssertionError(entry_id)


def test_a_file_dropped_on_the_page_is_added(open_machine: OpenMachine, tmp_path: Path) -> None:
    """Wherever it falls; without photos in this shop that is said."""
    shell, desk = open_machine(MACHINE_STATES["photos"])
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(tmp_path / "coil.jpg"))])

    def drop() -> None:
        event = QDropEvent(
            QPointF(40.0, 40.0),
            Qt.DropAction.CopyAction,
            mime,
            Qt.MouseButton.LeftButton,
            Qt.KeyboardModifier.NoModifier,
        )
        assert shell.machine.door.eventFilter(shell.machine, event)

    drop()
    assert "no photos here" in shell.machine.problem
    kept = FakePhotos()
    desk.photos = kept  # type: ignore[assignment]
    drop()
    assert kept.files == [(tmp_path / "coil.jpg",)]
    assert shell.machine.problem == ""


def test_nothing_on_the_clipboard_is_said(open_machine: OpenMachine) -> None:
    """Ctrl+V with words in it."""
    shell, _desk = open_machine(MACHINE_STATES["photos"])
    QGuiApplication.clipboard().setText("no picture")
    press(shell, "Ctrl+V")
    assert "no picture to paste" in shell.machine.problem


def test_e_turns_to_the_machine_s_particulars_where_they_may_be_changed(
    open_machine: OpenMachine,
) -> None:
    """Where not, the strip has no such key."""
    shell, desk = open_machine()
    asked = turns(shell)
    press(shell, "E")
    assert asked == [Turn(page="machine_edit", machine_id="m1")]
    desk.shown = replace(SPRAYER_PAGE, may_edit=False)
    shell.tick()
    press(shell, "E")
    assert len(asked) == 1
    assert "edit" not in {hint.action for hint in shell.machine.keys.hints}


def test_p_or_a_photo_turns_to_the_photos(open_machine: OpenMachine) -> None:
    """Of this machine."""
    shell, _desk = open_machine(MACHINE_STATES["photos"])
    asked = turns(shell)
    press(shell, "P")
    shell.machine.photos.targets[0].click()
    assert asked == [Turn(page="photos", machine_id="m1")] * 2


# --- strip of keys --------------------------------------------------------------------------------


def test_every_key_of_the_strip_can_be_clicked(open_machine: OpenMachine) -> None:
    """It does what the key does."""
    shell, desk = open_machine()
    page = shell.machine
    for hint in page.keys.hints:
        if hint.action not in {"enter", "help", "back", "photo", "edit"}:
            page.perform(hint.action)
            if page.asking:
                page.perform("back")
            page.perform("back")
    assert {call[0] for call in desk.calls} == {"runs", "mark"}
    asked = turns(shell)
    page.perform("enter")
    assert asked[-1] == Turn(page="bench", visit_id=NEWEST)
