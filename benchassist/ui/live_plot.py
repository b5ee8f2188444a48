"""A run's plot to look into: pan, zoom, cursor, jump to an event, go with now.

Mouse and keys do the same (`plot_key`): arrows pan, with Shift they move the cursor, + and - zoom,
Page Up and Page Down go to the event before and after, Home shows the whole, End goes to now and
stays, Esc puts the cursor away.
"""

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QKeyEvent,
    QMouseEvent,
    QNativeGestureEvent,
    QPainter,
    QPen,
    QWheelEvent,
)
from PySide6.QtWidgets import QWidget

from benchassist.core.run_plot import RunPlot
from benchassist.paint.palette import Palette
from benchassist.paint.run_layout import Layout
from benchassist.paint.run_plot import Cursor, draw_run_plot
from benchassist.paint.run_trace import LINE
from benchassist.paint.stroke import NO_BRUSH
from benchassist.ui.part import Part
from benchassist.ui.plot_cursor import cursor_at, cursor_words, flags_ahead, snapped, stepped
from benchassist.ui.plot_key import PlotAct, act_of
from benchassist.ui.plot_view import PlotView

Source = Callable[[float, float, int], RunPlot]
"""Detail of a stretch: start and end in seconds of the run, and how many rows a track may have.

As many are asked for as the line is wide: more could not be told apart. Of the plot it returns only
`tracks` and `overlay` are used. Called while painting, once for a burst of movements; it must come
back within a frame or two.
"""

EMPTY = RunPlot(tracks=(), start_s=0.0, end_s=1.0)
PAN, ZOOM = 0.2, 1.5
_WHEEL_NOTCH = 120.0
_DRAG_PX = 4.0


class LivePlot(Part[RunPlot]):
    """Shows a `RunPlot`, live or past. `viewed` is emitted when another stretch or moment shows."""

    viewed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        self._view = PlotView()
        self._source: Source | None = None
        self._detail: RunPlot | None = None
        self._cursor_s: float | None = None
        self._held = False
        self._layout: Layout | None = None
        self._pressed: tuple[float, float] | None = None
        self._dragged = self._stale = False
        super().__init__(EMPTY, parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)

    # --- what is shown

    def show_plot(self, plot: RunPlot, source: Source | None = None) -> None:
        """Show a plot, or the same run a moment later; `source` gives detail when zoomed in.

        The view stays where the user left it and goes with now if it did; `reset_view` for
        another run.
        """
        newest = self.value.now_s
        if newest is None or self._view.span[1] >= newest:
            self._stale = True  # what lies before the newest value changes no more
        self._source = source
        begun = [float(track.t_s[0]) for track in plot.tracks if len(track.t_s)]
        first_s = min([plot.start_s, *begun]) if source is None else min(plot.start_s, 0.0)
        self._view.grow((plot.start_s, plot.end_s), plot.now_s, first_s)
        self.put(plot)

    @property
    def shown(self) -> RunPlot:
        """What is in view: the plot cut to the view, with its detail."""
        start, end = self._view.span
        detail = self._detail
        if detail is None or self._view.own is None:
            return replace(self.value, start_s=start, end_s=end)
        return replace(
            self.value,
            tracks=detail.tracks,
            overlay=detail.overlay or self.value.overlay,
            start_s=start,
            end_s=end,
        )

    @property
    def reading(self) -> Cursor | None:
        """What the cursor reads, None while there is none in view."""
        start, end = self._view.span
        if self._cursor_s is None or not start <= self._cursor_s <= end:
            return None
        return cursor_at(self.shown, self._cursor_s)

    @property
    def is_whole(self) -> bool:
        """Whether all of it is in view."""
        return self._view.own is None

    @property
    def follows(self) -> bool:
        """Whether the view goes with the newest value."""
        return self._view.at_now

    def words(self) -> str:
        """The plot in words."""
        return self.value.summary

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """The plot in its detail; a ring where the focus is."""
        if self._stale:
            self._load()
        inner = room.adjusted(2.0, 4.0, -2.0, -2.0)
        self._layout = draw_run_plot(painter, inner, self.shown, palette, cursor=self.reading)
        if self.hasFocus():
            painter.setPen(QPen(QColor(palette.live), 3.0))
            painter.setBrush(NO_BRUSH)
            painter.drawRoundedRect(room.adjusted(1.5, 1.5, -1.5, -1.5), 4.0, 4.0)

    # --- moving

    def zoom(self, factor: float, about_s: float | None = None) -> None:
        """In where `factor` is above 1, about a moment; about now or the middle by default."""
        self._view.zoom(factor, about_s)
        self._moved()

    def pan(self, share: float) -> None:
        """By a part of what is in view, forwards where positive."""
        self._view.pan(share)
        self._moved()

    def reset_view(self) -> None:
        """The whole run again, without a cursor."""
        self._view.reset()
        self.clear_cursor()

    def show_view(self, start_s: float, end_s: float) -> None:
        """Just this stretch of the run."""
        self._view.set(start_s, end_s)
        self._moved()

    def follow(self) -> None:
        """Go to now and stay with it."""
        self._view.follow()
        self._moved()

    def jump(self, t_s: float) -> None:
        """Bring a moment to the middle, the cursor on it."""
        self._view.show(t_s)
        self._cursor_s, self._held = t_s, True
        self._moved()

    def next_flag(self, step: int) -> None:
        """Jump to the event `step` after the cursor (before it where negative), if there is one."""
        if ahead := self.flags_ahead(step):
            self.jump(ahead[min(abs(step), len(ahead)) - 1])

    def flags_ahead(self, step: int) -> list[float]:
        """The events after the cursor, before it where `step` is negative, the next one first."""
        middle = None if self._view.own is None else sum(self._view.span) / 2.0
        return flags_ahead(self.value, middle if self._cursor_s is None else self._cursor_s, step)

    def move_cursor(self, step: int) -> None:
        """Along the first track: by rows, or by a hundredth of the view where there are many."""
        self._cursor_s, self._held = stepped(self.shown, self._cursor_s, step), True
        self._moved()

    def clear_cursor(self) -> None:
        """Put the cursor away."""
        self._cursor_s, self._held = None, False
        self._moved()

    def _moved(self) -> None:
        self._stale = True
        self._describe()
        self.update()
        self.viewed.emit()

    def changed(self, before: RunPlot) -> None:
        """Repaint, and read anew what is under the cursor."""
        self._describe()
        self.update()

    def _describe(self) -> None:
        cursor = self.reading
        text = cursor_words(self.shown, cursor) if cursor is not None else ""
        if text != self.accessibleDescription():
            self.setAccessibleDescription(text)

    def _load(self) -> None:
        """Ask the source for the detail of what is in view."""
        self._stale, self._detail = False, None
        if self._source is not None and self._view.own is not None:
            rows = max(100, round(self.width() / (LINE * self.look.s)))
            self._detail = self._source(*self._view.own, rows)
            self._describe()

    # --- mouse and keys

    def _moment(self, at: QPointF) -> float | None:
        """The moment under the mouse; None beside the plot."""
        if self._layout is None:
            return None
        rect = self._layout.frames[0].rect
        share = (at.x() / self.look.s - 2.0 - rect.left()) / rect.width()
        start, end = self._view.span
        return start + share * (end - start) if 0.0 <= share <= 1.0 else None

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """A drag may begin."""
        if event.button() is Qt.MouseButton.LeftButton:
            self._pressed, self._dragged = (event.position().x(), self._view.span[0]), False
        else:
            event.ignore()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag the run along, or read what is under the mouse."""
        x = event.position().x()
        if self._pressed is not None and self._layout is not None:
            pressed_x, start_s = self._pressed
            self._dragged = self._dragged or abs(x - pressed_x) > _DRAG_PX
            if self._dragged:
                start, end = self._view.span
                wide = self._layout.frames[0].rect.width() * self.look.s
                aim = start_s - (x - pressed_x) / wide * (end - start)
                self.pan((aim - start) / (end - start))
            return
        self._read(event.position(), held=False)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A click without a drag holds the cursor there."""
        if self._pressed is not None and not self._dragged:
            self._read(event.position(), held=True)
        self._pressed = None

    def leaveEvent(self, event: QEvent) -> None:
        """A cursor that only went with the mouse goes with it."""
        if self._cursor_s is not None and not self._held:
            self.clear_cursor()

    def _read(self, at: QPointF, *, held: bool) -> None:
        moment = self._moment(at)
        if moment is None or (self._held and not held):
            return
        self._cursor_s, self._held = snapped(self.shown, moment), held
        self._moved()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom about the moment under the mouse."""
        notches = event.angleDelta().y() / _WHEEL_NOTCH
        if notches:
            self.zoom(ZOOM**notches, self._moment(event.position()))
        event.accept()

    def event(self, event: QEvent) -> bool:
        """A pinch on a touch pad zooms too."""
        if (
            isinstance(event, QNativeGestureEvent)
            and event.gestureType() is Qt.NativeGestureType.ZoomNativeGesture
        ):
            self.zoom(max(0.2, 1.0 + event.value()), self._moment(event.position()))
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """The plot's own keys; any other is the page's, and Esc too while there is no cursor."""
        act = act_of(event)
        if act is None or (act is PlotAct.NO_CURSOR and self._cursor_s is None):
            event.ignore()
        else:
            self.act(act)

    def act(self, act: PlotAct) -> None:
        """Do what a key of the plot does."""
        match act:
            case PlotAct.BACK | PlotAct.ON:
                self.pan(PAN if act is PlotAct.ON else -PAN)
            case PlotAct.CURSOR_BACK | PlotAct.CURSOR_ON:
                self.move_cursor(1 if act is PlotAct.CURSOR_ON else -1)
            case PlotAct.CLOSER | PlotAct.WIDER:
                self.zoom(ZOOM if act is PlotAct.CLOSER else 1.0 / ZOOM)
            case PlotAct.EVENT_BEFORE | PlotAct.EVENT_AFTER:
                self.next_flag(1 if act is PlotAct.EVENT_AFTER else -1)
            case PlotAct.WHOLE:
                self.reset_view()
            case PlotAct.NOW:
                self.follow()
            case PlotAct.NO_CURSOR:
                self.clear_cursor()
