"""The bench on a run: keys, plot, alarm."""

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from benchassist.services.bench.view import BenchView
from benchassist.services.runs.view import RunView
from benchassist.ui.cue import Cue, Heard
from benchassist.ui.shell import Shell
from tests.ui.conftest import OpenBench
from tests.ui.run_views import (
    DRILL,
    ENGINE_ASKS,
    HEAT_ALARM,
    HEAT_ENDED,
    HEAT_READY,
    HEAT_RUNNING,
    HEAT_TYPING,
    RUN_STATES,
)


def press(shell: Shell, key: Qt.Key) -> None:
    """A key on whatever has the focus."""
    QTest.keyClick(QApplication.focusWidget() or shell, key)


def run_of(view: BenchView) -> RunView:
    """The run of a view that has one."""
    assert view.run is not None
    return view.run


@pytest.mark.parametrize(
    ("view", "key", "act"),
    [
        (HEAT_READY, Qt.Key.Key_Space, ("run_start", "")),
        (HEAT_RUNNING, Qt.Key.Key_Space, ("run_mark", "")),
        (HEAT_RUNNING, Qt.Key.Key_T, ("run_type", "")),
        (HEAT_RUNNING, Qt.Key.Key_E, ("run_end", "")),
        (HEAT_RUNNING, Qt.Key.Key_X, ("run_mark", "")),
        (HEAT_RUNNING, Qt.Key.Key_7, ("run_mark", "")),
        (ENGINE_ASKS, Qt.Key.Key_2, ("run_answer", "2")),
        (DRILL, Qt.Key.Key_1, ("run_answer", "1")),
        (HEAT_ENDED, Qt.Key.Key_Right, ("skip", "")),
    ],
)
def test_keys_of_a_run(
    open_bench: OpenBench, view: BenchView, key: Qt.Key, act: tuple[str, str]
) -> None:
    """The strip's keys, the answers, and any free key as a mark while the run is on."""
    shell, desk = open_bench(view)
    press(shell, key)
    assert desk.acts == [act]


@pytest.mark.parametrize("key", [Qt.Key.Key_Control, Qt.Key.Key_Shift, Qt.Key.Key_F4])
def test_a_modifier_or_function_key_marks_nothing(open_bench: OpenBench, key: Qt.Key) -> None:
    """Reaching for another window leaves no mark."""
    shell, desk = open_bench(HEAT_RUNNING)
    press(shell, key)
    assert desk.acts == []


def test_typing_during_a_run_marks_nothing_and_moves_no_plot(open_bench: OpenBench) -> None:
    """What is typed goes into the line."""
    shell, desk = open_bench(HEAT_TYPING)
    for key in (Qt.Key.Key_8, Qt.Key.Key_4, Qt.Key.Key_Minus):
        press(shell, key)
    assert shell.bench.entry.field.text() == "84-"
    assert not [act for act in desk.acts if act[0] == "run_mark"]


def test_the_plot_is_moved_by_keys_while_the_run_is_on(open_bench: OpenBench) -> None:
    """Plus zooms in, Left pans back, Page Down goes to the event after, Home shows the whole."""
    shell, desk = open_bench(HEAT_RUNNING)
    plot = shell.bench.run.plot
    whole = plot.shown
    press(shell, Qt.Key.Key_Plus)
    near = plot.shown
    assert near.end_s - near.start_s < whole.end_s - whole.start_s
    press(shell, Qt.Key.Key_Left)
    assert plot.shown.start_s < near.start_s
    press(shell, Qt.Key.Key_PageDown)
    assert plot.reading is not None
    press(shell, Qt.Key.Key_Home)
    assert (plot.shown.start_s, plot.shown.end_s) == (whole.start_s, whole.end_s)
    assert desk.acts == []


def test_an_event_that_is_clicked_brings_the_plot_there(open_bench: OpenBench) -> None:
    """The list jumps."""
    shell, _desk = open_bench(HEAT_RUNNING)
    row = next(t for t in shell.bench.run.events.targets if "Open 2.1 s" in t.words())
    row.click()
    cursor = shell.bench.run.plot.reading
    assert cursor is not None
    assert cursor.t_s == pytest.approx(1062.0, abs=1.0)


def test_an_alarm_sounds_flashes_and_stays(open_bench: OpenBench) -> None:
    """One more alarm than before: its own sound, one flash, and the words stand."""
    shell, desk = open_bench(HEAT_RUNNING)
    heard: list[Heard] = []
    shell.bench.cued.connect(heard.append)
    desk.shown = HEAT_ALARM
    shell.bench.refresh()
    assert [h.cue for h in heard] == [Cue.ALARM]
    assert heard[0].text == run_of(HEAT_ALARM).alarm
    assert shell.bench.run.figures.flashing
    assert shell.bench.run.guide.words() == run_of(HEAT_ALARM).alarm
    desk.shown = replace(HEAT_ALARM, place_text="the same alarm, a tick later")
    shell.bench.refresh()
    assert len(heard) == 1


@pytest.mark.parametrize("name", RUN_STATES)
def test_every_state_tells_itself_to_a_screen_reader(open_bench: OpenBench, name: str) -> None:
    """Figures, plot and what happened have words of their own."""
    shell, _desk = open_bench(RUN_STATES[name])
    run, board = run_of(RUN_STATES[name]), shell.bench.run
    for figure in run.figures:
        assert (figure.digits or figure.words) in board.figures.words()
    if run.plot is not None and board.plot.isVisible():
        assert board.plot.accessibleName() == run.plot.summary
    for row in run.events:
        assert row.title in board.events.words()


def test_a_run_takes_the_place_of_the_number_and_gives_it_back(open_bench: OpenBench) -> None:
    """Going from a run to a measured step shows number and ruler again."""
    shell, desk = open_bench(HEAT_RUNNING)
    assert shell.bench.run.isVisible()
    assert not shell.bench.number.isVisible()
    desk.shown = replace(HEAT_RUNNING, run=None)
    shell.bench.refresh()
    assert not shell.bench.run.isVisible()
    assert shell.bench.number.isVisible()
