from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from benchassist.core.run_plot import PlotFlag, PlotGap, PlotWords, RunPlot, Track
from benchassist.paint.palette import DARK
from benchassist.services.runs.plot_words import plot_words
from benchassist.ui.live_plot import LivePlot, Source
from benchassist.ui.look import Look
from benchassist.ui.plot_cursor import cursor_at, cursor_words

Key = Qt.Key
SHIFT = Qt.KeyboardModifier.ShiftModifier


def run(end_s: float = 1000.0, *, now: bool = False, **more: object) -> RunPlot:
    """A run that reads its own second, one a second, with two events."""
    t_s = np.arange(0.0, end_s + 0.5)
    track = Track(title="Resistance", unit="kΩ", t_s=t_s, low=t_s, high=t_s, decimals=1)
    flags = (
        PlotFlag(t_s=200.0, text="Open 2.1 s", number=1, severe=True),
        PlotFlag(t_s=700.0, text="Step up", number=2),
    )
    plot = RunPlot(
        tracks=(track,),
        start_s=0.0,
        end_s=end_s,
        now_s=end_s if now else None,
        flags=flags,
        summary="Two events in 1000 s.",
    )
    return replace(plot, **more)  # type: ignore[arg-type]


@pytest.fixture
def plot(qtbot: QtBot) -> Iterator[LivePlot]:
    """A past run, shown."""
    widget = LivePlot()
    qtbot.addWidget(widget)
    widget.resize(560, 310)
    widget.show_plot(run())
    widget.show()
    widget.grab()
    yield widget
    QApplication.processEvents()


def view(plot: LivePlot) -> tuple[float, float]:
    """What is in view, to the millisecond."""
    return round(plot.shown.start_s, 3), round(plot.shown.end_s, 3)


def press(plot: LivePlot, *keys: Key, held: Qt.KeyboardModifier = SHIFT & ~SHIFT) -> None:
    """Keys, one after the other."""
    for key in keys:
        QTest.keyClick(plot, key, held)


def at(plot: LivePlot, t_s: float) -> QPoint:
    """Where a moment lies on the widget."""
    plot.grab()
    assert plot._layout is not None
    frame = plot._layout.frames[0]
    return QPoint(round(frame.x(t_s) + 2.0), round(frame.rect.center().y()))


def move(plot: LivePlot, where: QPoint, buttons: Qt.MouseButton = Qt.MouseButton.NoButton) -> None:
    """The mouse is there."""
    event = QMouseEvent(
        QEvent.Type.MouseMove,
        QPointF(where),
        QPointF(plot.mapToGlobal(where)),
        Qt.MouseButton.NoButton,
        buttons,
        Qt.KeyboardModifier.NoModifier,
    )
    QApplication.sendEvent(plot, event)


# --- view


def test_it_shows_the_whole_run_first(plot: LivePlot) -> None:
    """As the services gave it."""
    assert view(plot) == (0.0, 1000.0)


def test_keys_zoom_and_pan(plot: LivePlot) -> None:
    """Plus and minus about the middle, arrows by a fifth of the view; Home is the whole again."""
    press(plot, Key.Key_Plus)
    assert view(plot) == (166.667, 833.333)
    press(plot, Key.Key_Right)
    assert view(plot) == (300.0, 966.667)
    press(plot, Key.Key_Left, Key.Key_Left)
    assert view(plot) == (33.333, 700.0)
    press(plot, Key.Key_Minus, Key.Key_Minus)
    assert view(plot) == (0.0, 1000.0)
    press(plot, Key.Key_Equal, Key.Key_Home)
    assert view(plot) == (0.0, 1000.0)


def test_a_pan_ends_at_the_ends(plot: LivePlot) -> None:
    """There is nothing to see beyond, and the zoom stays."""
    plot.zoom(4.0)
    plot.pan(99.0)
    assert view(plot) == (750.0, 1000.0)
    plot.pan(-99.0)
    assert view(plot) == (0.0, 250.0)


def test_zooming_in_has_an_end(plot: LivePlot) -> None:
    """A view is never so short that it has no width."""
    plot.zoom(1e12, 500.0)
    start, end = plot.shown.start_s, plot.shown.end_s
    assert end - start == pytest.approx(0.02)
    assert start <= 500.0 <= end


def test_the_wheel_zooms_about_the_mouse(plot: LivePlot) -> None:
    """What lies under the mouse stays under it."""
    spot = at(plot, 250.0)
    event = QWheelEvent(
        QPointF(spot),
        QPointF(plot.mapToGlobal(spot)),
        QPoint(),
        QPoint(0, 240),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(plot, event)
    start, end = view(plot)
    assert end - start == pytest.approx(1000.0 / 2.25, abs=0.01)
    assert at(plot, 250.0).x() == pytest.approx(spot.x(), abs=2)


def test_dragging_takes_the_run_along(plot: LivePlot) -> None:
    """The moment under the mouse goes with it, in a view of part of the run."""
    plot.zoom(2.0)
    QTest.mousePress(plot, Qt.MouseButton.LeftButton, pos=at(plot, 500.0))
    target = at(plot, 600.0)
    move(plot, target, Qt.MouseButton.LeftButton)
    QTest.mouseRelease(plot, Qt.MouseButton.LeftButton, pos=target)
    assert at(plot, 500.0).x() == pytest.approx(target.x(), abs=2)
    assert plot.reading is None


# --- events


def test_an_event_is_jumped_to(plot: LivePlot) -> None:
    """It stands in the middle of a tenth of the run, the cursor on it."""
    plot.jump(700.0)
    assert view(plot) == (650.0, 750.0)
    assert plot.reading is not None
    assert plot.reading.t_s == 700.0
    plot.jump(200.0)
    assert view(plot) == (150.0, 250.0)


def test_page_keys_go_from_event_to_event(plot: LivePlot) -> None:
    """Forwards and back through the flags; at the last one nothing happens."""
    press(plot, Key.Key_PageDown)
    assert plot.reading is not None
    assert plot.reading.time_text.endswith("Open 2.1 s")
    press(plot, Key.Key_PageDown)
    assert view(plot) == (650.0, 750.0)
    press(plot, Key.Key_PageDown)
    assert view(plot) == (650.0, 750.0)
    press(plot, Key.Key_PageUp)
    assert view(plot) == (150.0, 250.0)
    plot.reset_view()
    press(plot, Key.Key_PageUp)
    assert view(plot) == (650.0, 750.0)


# --- cursor


def test_the_mouse_reads_a_value(plot: LivePlot) -> None:
    """Value with its unit and the time, as text; gone when the mouse leaves."""
    move(plot, at(plot, 300.0))
    assert plot.reading is not None
    assert plot.reading.t_s == pytest.approx(300.0, abs=2.0)
    assert plot.reading.readings == (f"{plot.reading.t_s:.1f} kΩ",)
    QApplication.sendEvent(plot, QEvent(QEvent.Type.Leave))
    assert plot.reading is None


def test_a_click_holds_the_cursor(plot: LivePlot) -> None:
    """It stays where it was clicked while the mouse goes on; Esc puts it away."""
    QTest.mouseClick(plot, Qt.MouseButton.LeftButton, pos=at(plot, 300.0))
    move(plot, at(plot, 800.0))
    QApplication.sendEvent(plot, QEvent(QEvent.Type.Leave))
    assert plot.reading is not None
    assert plot.reading.t_s == pytest.approx(300.0, abs=2.0)
    press(plot, Key.Key_Escape)
    assert plot.reading is None


def test_keys_move_the_cursor(plot: LivePlot) -> None:
    """Shift and arrows: hundredths of a view with many rows, row by row where there are few."""
    press(plot, Key.Key_Right, held=SHIFT)
    assert plot.reading is not None
    assert plot.reading.t_s == 500.0
    press(plot, Key.Key_Right, Key.Key_Right, held=SHIFT)
    assert plot.reading.t_s == 520.0
    plot.zoom(10.0, 520.0)
    press(plot, Key.Key_Left, held=SHIFT)
    assert plot.reading.t_s == 519.0
    plot.move_cursor(-10_000)
    assert plot.reading.t_s == np.ceil(plot.shown.start_s)


def test_what_it_shows_is_said_in_words(plot: LivePlot) -> None:
    """The name is the run's summary, the description what the cursor reads."""
    assert plot.accessibleName() == "Two events in 1000 s."
    assert plot.accessibleDescription() == ""
    plot.jump(200.0)
    assert plot.accessibleDescription() == "3:20 · Open 2.1 s: Resistance 200.0 kΩ"
    plot.clear_cursor()
    assert plot.accessibleDescription() == ""


def test_the_cursor_reads_no_number_where_there_is_none() -> None:
    """An overload is its word, a gap its name, a stretch of two values both; typed only near it."""
    times = np.array([0.0, 10.0, 20.0, 30.0])
    ohms = Track(
        title="R",
        unit="kΩ",
        t_s=times,
        low=np.array([6.5, 6.4, np.inf, np.nan]),
        high=np.array([6.5, 6.6, np.inf, np.nan]),
        overload_text="open",
    )
    half = replace(ohms, low=np.array([6.5, 6.4, 6.3, 6.2]), high=np.full(4, np.inf))
    typed = replace(ohms, title="T", unit="°C", low=times, high=times, typed=True, decimals=0)
    gap = PlotGap(start_s=32.0, end_s=36.0, text="meter lost")
    plot = RunPlot(tracks=(ohms, half, typed), start_s=0.0, end_s=40.0, gaps=(gap,))
    assert cursor_at(plot, 0.0).readings == ("6.500 kΩ", "6.500 kΩ to open", "0 °C")
    assert cursor_at(plot, 15.0).readings == ("6.400 to 6.600 kΩ", "6.400 kΩ to open", "")
    assert cursor_at(plot, 20.4).readings == ("open", "6.300 kΩ to open", "20 °C")
    assert cursor_at(plot, 31.0).readings[0] == ""
    assert cursor_at(plot, 34.0).readings == ("meter lost",) * 3
    none = RunPlot(tracks=(replace(ohms, t_s=times + 99.0),), start_s=0.0, end_s=40.0)
    assert cursor_words(none, cursor_at(none, 5.0)) == "0:05.0: no reading"


# --- live


def test_the_whole_of_a_live_run_grows(plot: LivePlot) -> None:
    """Without a zoom the view is what comes."""
    plot.show_plot(run(1000.0, now=True))
    plot.show_plot(run(1100.0, now=True))
    assert view(plot) == (0.0, 1100.0)
    assert plot.follows


def test_a_zoomed_view_goes_with_now(plot: LivePlot) -> None:
    """Zoomed about now it follows; moved away it stays; End goes back to now."""
    plot.show_plot(run(1000.0, now=True))
    plot.zoom(10.0)
    assert plot.follows
    assert view(plot) == (900.0, 1000.0)
    plot.show_plot(run(1020.0, now=True))
    assert view(plot) == (920.0, 1020.0)
    plot.pan(-2.0)
    assert not plot.follows
    plot.show_plot(run(1040.0, now=True))
    assert view(plot) == (720.0, 820.0)
    press(plot, Key.Key_End)
    assert plot.follows
    start, end = view(plot)
    assert start < 1040.0 < end
    plot.show_plot(run(1050.0, now=True))
    assert view(plot)[0] == pytest.approx(start + 10.0)


def test_a_plot_of_the_last_minute_can_be_panned_back(plot: LivePlot) -> None:
    """What lies before the window shown is there to be looked at."""
    plot.show_plot(run(1000.0, now=True, start_s=910.0, ago=True))
    assert view(plot) == (910.0, 1000.0)
    plot.pan(-1.0)
    assert view(plot) == (820.0, 910.0)
    plot.jump(200.0)
    assert view(plot)[0] < 200.0 < view(plot)[1]
    assert plot.reading is not None
    assert plot.reading.time_text == "800.0 s ago · Open 2.1 s"
    plot.zoom(1e-9)
    assert view(plot) == (0.0, 1000.0)


# --- detail of long runs


def detailed() -> tuple[list[tuple[float, float, int]], Source]:
    """A source that gives every row asked for, and what it was asked."""
    asked: list[tuple[float, float, int]] = []

    def source(start_s: float, end_s: float, buckets: int) -> RunPlot:
        asked.append((start_s, end_s, buckets))
        t_s = np.linspace(start_s, end_s, buckets)
        track = replace(run().tracks[0], t_s=t_s, low=t_s, high=t_s)
        return replace(run(), tracks=(track,))

    return asked, source


def test_zooming_in_asks_for_detail(plot: LivePlot) -> None:
    """The source is asked once for a burst of movements, and never for the whole."""
    asked, source = detailed()
    plot.show_plot(run(), source)
    plot.grab()
    assert asked == []
    plot.zoom(4.0, 500.0)
    plot.zoom(5.0, 500.0)
    plot.pan(0.1)
    plot.grab()
    plot.grab()
    assert asked == [(pytest.approx(480.0), pytest.approx(530.0), 280)]
    assert len(plot.shown.tracks[0].t_s) == 280
    assert plot.shown.flags == run().flags
    plot.reset_view()
    plot.grab()
    assert len(plot.shown.tracks[0].t_s) == 1001


def test_detail_of_a_live_run_is_read_again_where_it_grows(plot: LivePlot) -> None:
    """A view that reaches now gets what came since; one of the past is not read over and over."""
    asked, source = detailed()
    plot.show_plot(run(1000.0, now=True), source)
    plot.zoom(10.0)
    for end_s in (1001.0, 1002.0, 1003.0):
        plot.show_plot(run(end_s, now=True), source)
        plot.grab()
    assert [round(end) for _, end, _ in asked] == [1001, 1002, 1003]
    plot.pan(-3.0)
    plot.grab()
    asked.clear()
    for end_s in (1004.0, 1005.0):
        plot.show_plot(run(end_s, now=True), source)
        plot.grab()
    assert asked == []


def test_a_movement_is_told(plot: LivePlot, qtbot: QtBot) -> None:
    """Who shows the plot learns that the view changed."""
    with qtbot.waitSignal(plot.viewed):
        plot.pan(0.1)


# --- in a window


def test_other_keys_are_the_pages(qtbot: QtBot) -> None:
    """Space, letters, Ctrl with an arrow, and Esc without a cursor reach the page."""
    seen: list[int] = []

    class Page(QWidget):
        def keyPressEvent(self, event: object) -> None:
            seen.append(event.key())  # type: ignore[attr-defined]

    page = Page()
    qtbot.addWidget(page)
    inner = LivePlot(page)
    inner.show_plot(run())
    keys = (Key.Key_Space, Key.Key_N, Key.Key_Up, Key.Key_Escape)
    press(inner, *keys)
    press(inner, Key.Key_Right, held=Qt.KeyboardModifier.ControlModifier)
    assert seen == [*keys, Key.Key_Control, Key.Key_Right]


def test_it_paints_in_every_look(plot: LivePlot) -> None:
    """Another palette and scale are another picture; the focus has a ring."""
    light = plot.grab().toImage()
    plot.dress(Look(DARK, 1.4))
    assert plot.grab().toImage() != light
    painted = plot.paints
    plot.show_plot(plot.value)
    assert plot.paints == painted


def test_it_is_empty_before_a_run(qtbot: QtBot) -> None:
    """No plot, no cursor, no fault at any key."""
    widget = LivePlot()
    qtbot.addWidget(widget)
    widget.resize(560, 310)
    widget.grab()
    for key in (Key.Key_Left, Key.Key_Plus, Key.Key_PageDown, Key.Key_End, Key.Key_Home):
        press(widget, key)
    press(widget, Key.Key_Right, held=SHIFT)
    QTest.mouseClick(widget, Qt.MouseButton.LeftButton, pos=QPoint(50, 50))
    widget.grab()
    assert widget.accessibleName() == ""


def test_the_words_of_the_axes_are_those_of_core() -> None:
    """Untranslated they are what core says without a catalogue."""
    assert plot_words() == PlotWords()
