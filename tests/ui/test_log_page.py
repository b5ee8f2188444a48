"""Open a log: reached, asked, read, looked into, left, all by keys."""

from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from benchassist.services.desk import LogView
from benchassist.services.logs.page import LogPage
from benchassist.ui.choice_box import ChoiceBox
from benchassist.ui.field_box import FieldBox
from benchassist.ui.shell import Shell
from benchassist.units import UnitChoice
from tests.ui.conftest import OpenWindow
from tests.ui.log_views import ASKS, BREAK, LOG_STATES, MANY, READING, REFUSED, FakeLog
from tests.ui.test_bench_page import press

CONTROL = Qt.KeyboardModifier.ControlModifier


def open_log(open_window: OpenWindow, view: LogView = ASKS) -> tuple[Shell, FakeLog]:
    """The page, reached from the counter by its key."""
    desk = FakeLog(view)
    shell = open_window(log=desk)
    press(shell, Qt.Key.Key_F6)
    assert shell.page is shell.log
    return shell, desk


def typed(shell: Shell, text: str) -> None:
    """A text typed into what has the focus."""
    QTest.keyClicks(QApplication.focusWidget() or shell, text)


def test_a_log_is_opened_by_keyboard_alone(open_window: OpenWindow) -> None:
    """Path, kind and part by keys; Enter past the last field opens it."""
    shell, desk = open_log(open_window)
    typed(shell, "coil.csv")
    press(shell, Qt.Key.Key_Return)
    press(shell, Qt.Key.Key_Return)
    press(shell, Qt.Key.Key_2)
    press(shell, Qt.Key.Key_Return)
    assert desk.opened == [{"path": "coil.csv", "kind": "heat", "part": "cap"}]
    assert shell.log.progress.isVisible()
    assert not shell.log.form.isVisible()


def test_an_engine_run_asks_for_pulses_and_levels(open_window: OpenWindow) -> None:
    """Another kind asks for other fields; what was typed stays; Ctrl+Enter opens from any field."""
    shell, desk = open_log(open_window)
    typed(shell, "speed.csv")
    press(shell, Qt.Key.Key_Down)
    press(shell, Qt.Key.Key_2)
    boxes = shell.log.form.boxes
    assert [type(box) for box in boxes] == [FieldBox, ChoiceBox, FieldBox, FieldBox, FieldBox]
    assert boxes[1].hasFocus()
    press(shell, Qt.Key.Key_Return)
    typed(shell, "0.5")
    press(shell, Qt.Key.Key_Return)
    typed(shell, "1800")
    QTest.keyClick(QApplication.focusWidget() or shell, Qt.Key.Key_Return, CONTROL)
    (opened,) = desk.opened
    assert opened["path"] == "speed.csv"
    assert (opened["kind"], opened["pulses"]) == ("speed", "0.5")
    assert (opened["low"], opened["high"]) == ("1800", "")


def test_a_missing_path_is_one_line(open_window: OpenWindow) -> None:
    """The page stays and says what would be right."""
    shell, desk = open_log(open_window)
    QTest.keyClick(QApplication.focusWidget() or shell, Qt.Key.Key_Return, CONTROL)
    assert desk.opened == []
    assert shell.log.message.isVisible()
    assert shell.log.message.accessibleName().startswith("Log file:")


def test_a_log_that_cannot_be_used_is_one_line_above_the_form(open_window: OpenWindow) -> None:
    """The reason stands there, the form is ready again."""
    shell, _desk = open_log(open_window, REFUSED)
    assert shell.log.message.accessibleName() == REFUSED.error
    assert shell.log.form.boxes[0].hasFocus()


def test_a_file_is_picked_with_the_system_s_dialog(
    open_window: OpenWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ctrl+O; what was picked stands in the form, nothing picked changes nothing."""
    shell, _desk = open_log(open_window)
    picked = ["", "/logs/hot.csv"]
    asked: list[Path] = []

    def pick(_parent: object, folder: Path) -> str:
        asked.append(folder)
        return picked.pop(0)

    monkeypatch.setattr("benchassist.ui.file_dialog.pick_log", pick)
    for expected in ("", "/logs/hot.csv"):
        QTest.keyClick(QApplication.focusWidget() or shell, Qt.Key.Key_O, CONTROL)
        assert shell.log.form.values["path"] == expected
    assert asked == [Path.home(), Path.home()]


def test_a_file_dropped_on_the_page_stands_in_the_form(open_window: OpenWindow) -> None:
    """Also while another log shows; what is no file is not taken."""
    shell, desk = open_log(open_window, BREAK)
    data = QMimeData()
    data.setText("no file")
    at, action = QPointF(300, 300), Qt.DropAction.CopyAction
    button, held = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    enter = QDragEnterEvent(at.toPoint(), action, data, button, held)
    enter.ignore()
    shell.log.dragEnterEvent(enter)
    assert not enter.isAccepted()
    data.setUrls([QUrl("https://shop.example/a.csv"), QUrl.fromLocalFile("/logs/hot.csv")])
    enter = QDragEnterEvent(at.toPoint(), action, data, button, held)
    shell.log.dragEnterEvent(enter)
    assert enter.isAccepted()
    shell.log.dropEvent(QDropEvent(at, action, data, button, held))
    assert desk.left == 1
    assert shell.log.form.isVisible()
    assert shell.log.form.values["path"] == "/logs/hot.csv"


def test_esc_stops_the_reading(open_window: OpenWindow) -> None:
    """The form comes back as it was filled in; a second Esc goes back to the counter."""
    shell, desk = open_log(open_window)
    typed(shell, "long.csv")
    QTest.keyClick(QApplication.focusWidget() or shell, Qt.Key.Key_Return, CONTROL)
    assert desk.shown.stage == READING.stage
    press(shell, Qt.Key.Key_Escape)
    assert desk.left == 1
    assert shell.log.form.values["path"] == "long.csv"
    press(shell, Qt.Key.Key_Escape)
    assert shell.page is shell.counter


def test_what_was_read_shows_as_soon_as_it_is(open_window: OpenWindow) -> None:
    """A tick brings the log; the plot has the keys at once."""
    shell, desk = open_log(open_window, READING)
    desk.after = BREAK
    shell.tick()
    assert shell.log.plot.hasFocus()
    assert BREAK.verdict_text in shell.log.verdict.accessibleName()
    assert shell.log.plot.accessibleName() == BREAK.plot.summary if BREAK.plot else False
    assert "Open 2.1 s" in shell.log.events.accessibleName()
    assert BREAK.rows_text in shell.log.faults.accessibleName()
    assert "line 12" not in shell.log.faults.accessibleName()
    assert "12 value 'abc'" in shell.log.faults.accessibleName()
    assert "Resistance, 6.52" in shell.log.sheet.accessibleName()


def test_keys_move_the_plot_and_jump_to_events(open_window: OpenWindow) -> None:
    """Page Down goes to the first event with its detail asked for, Home back to the whole."""
    shell, desk = open_log(open_window, BREAK)
    plot = shell.log.plot
    whole = plot.shown.start_s, plot.shown.end_s
    press(shell, Qt.Key.Key_PageDown)
    assert plot.reading is not None
    assert plot.reading.t_s == pytest.approx(1062.0, abs=1.0)
    shell.grab()
    assert desk.looked[-1][0] == BREAK.log_id
    press(shell, Qt.Key.Key_Home)
    assert (plot.shown.start_s, plot.shown.end_s) == whole
    press(shell, Qt.Key.Key_Plus)
    assert plot.shown.end_s - plot.shown.start_s < whole[1] - whole[0]


def test_the_strip_does_what_its_keys_do(open_window: OpenWindow) -> None:
    """Every hint of a shown log does something when clicked."""
    shell, desk = open_log(open_window, MANY)
    plot = shell.log.plot
    shell._hinted("event_after")
    assert plot.reading is not None
    first = plot.reading.t_s
    shell._hinted("event_after")
    shell._hinted("event_before")
    assert plot.reading is not None
    assert plot.reading.t_s == first
    before = plot.shown.end_s - plot.shown.start_s
    shell._hinted("closer")
    assert plot.shown.end_s - plot.shown.start_s < before
    shell._hinted("wider")
    assert plot.shown.end_s - plot.shown.start_s == pytest.approx(before)
    shell._hinted("whole")
    assert plot.shown.end_s == pytest.approx(MANY.plot.end_s if MANY.plot else 0.0)
    shell._hinted("faults")
    assert shell.log.faults.first == 1
    shell._hinted("another")
    assert desk.left == 1
    assert shell.log.form.isVisible()
    shell._hinted("back")
    assert shell.page is shell.counter


def test_the_faults_scroll_to_their_end_and_no_further(open_window: OpenWindow) -> None:
    """Down and Up go through them; the place in the list is told."""
    shell, _desk = open_log(open_window, MANY)
    faults = shell.log.faults
    for _ in range(3):
        press(shell, Qt.Key.Key_Down)
    press(shell, Qt.Key.Key_Up)
    assert faults.first == 2
    faults.step(5000)
    assert faults.in_view[-1] == MANY.faults[-1]
    assert len(faults.in_view) == faults.most
    faults.step(-5000)
    assert faults.first == 0


def test_the_list_of_events_goes_with_the_plot(open_window: OpenWindow) -> None:
    """Jumping to an event out of view brings its row; a click on a row jumps there."""
    shell, _desk = open_log(open_window, MANY)
    events = shell.log.events
    assert events.items()[0] == MANY.events[0]
    shell.log.plot.jump(20 * 60.0)
    assert MANY.events[19] in events.items()
    target = next(t for t in events.targets if t.value == MANY.events[18] and t.isVisible())
    target.click()
    assert shell.log.plot.reading is not None
    assert shell.log.plot.reading.t_s == 19 * 60.0


def test_o_asks_for_another_log(open_window: OpenWindow) -> None:
    """The log is put away, the form has the focus."""
    shell, desk = open_log(open_window, BREAK)
    press(shell, Qt.Key.Key_O)
    assert desk.left == 1
    assert shell.log.form.boxes[0].hasFocus()


@pytest.mark.parametrize("name", LOG_STATES)
def test_esc_leaves_every_state(open_window: OpenWindow, name: str) -> None:
    """Back to the counter, at most by way of the form."""
    shell, _desk = open_log(open_window, LOG_STATES[name])
    press(shell, Qt.Key.Key_Escape)
    if shell.page is shell.log:
        press(shell, Qt.Key.Key_Escape)
    assert shell.page is shell.counter


def test_a_window_without_logs_says_so(open_window: OpenWindow) -> None:
    """One line, and the counter stays."""
    shell = open_window()
    object.__setattr__(shell.desks, "log", None)
    press(shell, Qt.Key.Key_F6)
    assert shell.page is shell.counter
    assert "no logs" in shell.counter.message.accessibleName()


def test_a_real_log_is_read_beside_the_window(
    open_window: OpenWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    """The desk behind it reads in its thread; ticks of the window bring what it found."""
    rows = [f"{0.5 * i:.1f},{'OL' if 700 <= i < 704 else 6.5},kohm" for i in range(1200)]
    path = tmp_path / "hot.csv"
    path.write_text("\n".join(["t_s,value,unit", *rows, "601,x,kohm"]), encoding="utf-8")
    desk = LogPage(UnitChoice())
    shell = open_window(log=desk)
    press(shell, Qt.Key.Key_F6)
    shell.log.form.write("path", str(path))
    shell.log.submit()
    assert shell.log.progress.isVisible()

    def is_shown() -> bool:
        shell.tick()
        return shell.log.plot.isVisible()

    qtbot.waitUntil(is_shown, timeout=20_000)
    assert "Break found" in shell.log.verdict.accessibleName()
    assert "1,200 rows used, 1 left out" in shell.log.faults.accessibleName()
    assert "1202 value 'x' cannot be read" in shell.log.faults.accessibleName()
    press(shell, Qt.Key.Key_PageDown)
    shell.grab()
    assert shell.log.plot.reading is not None
    assert shell.log.plot.reading.t_s == pytest.approx(350.0, abs=0.5)
