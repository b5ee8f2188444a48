"""A run over time, on screen and on paper alike: tracks, ribbons, shelves, flags and gaps.

Drawn as it is given; it decides nothing. However many rows a track has, each pixel column shows the
lowest and the highest of what falls into it.
"""

from dataclasses import dataclass, replace

import numpy as np
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter, QPainterPath

from benchassist.core.run_plot import RunPlot, Track
from benchassist.paint.lettering import CENTRE, RIGHT, Style, draw, fit
from benchassist.paint.palette import Palette
from benchassist.paint.run_flag import paint_flag, paint_length, paint_pole
from benchassist.paint.run_ground import (
    paint_gap_names,
    paint_gaps,
    paint_shelf_names,
    paint_shelves,
    paint_time_axis,
    paint_value_axis,
)
from benchassist.paint.run_layout import Layout, lay_out
from benchassist.paint.run_trace import (
    Frame,
    earlier_pen,
    overloaded,
    paint_dot,
    paint_earlier,
    paint_excursions,
    paint_ribbon,
    paint_trace,
)
from benchassist.paint.stroke import block, design, line, pen

_SAMPLE = 26.0
"""Length of the line that shows in the legend how an earlier run is drawn."""
_STALE = 0.02
"""Of the view: a line that ended so long before an event does not meet its pole."""


@dataclass(frozen=True, slots=True)
class Cursor:
    """A moment held: its time, and what each track shows there, as texts, top to bottom."""

    t_s: float
    time_text: str
    readings: tuple[str, ...] = ()


def draw_run_plot(
    painter: QPainter,
    rect: QRectF,
    plot: RunPlot,
    palette: Palette,
    scale: float = 1.0,
    *,
    cursor: Cursor | None = None,
) -> Layout | None:
    """The plot in `rect`; `scale` is the size of one design unit, in the painter's.

    Smallest text is 15 units. Returns where everything stands, in design units from the corner of
    `rect`; None where there is nothing to draw or no room for it.
    """
    with design(painter, rect, scale) as room:
        column = 1.0 / max(painter.deviceTransform().m11(), 1e-6)
        layout = lay_out(plot, room, column)
        if layout is None:
            return None
        # Where it is low the layout has fewer tracks than the plot.
        plot = replace(plot, tracks=plot.tracks[: len(layout.frames)])
        if cursor is not None and not plot.start_s <= cursor.t_s <= plot.end_s:
            cursor = None
        for track, frame in zip(plot.tracks, layout.frames, strict=True):
            paint_shelves(painter, track, frame, palette)
            paint_value_axis(painter, track, frame, palette)
        paint_gaps(painter, plot, layout, palette)
        texts = _paint_titles(painter, plot, layout, cursor, palette)
        _paint_lines(painter, plot, layout, palette)
        _paint_tall(painter, plot, layout, texts=texts, cursor=cursor, palette=palette)
        for track, frame in zip(plot.tracks, layout.frames, strict=True):
            paint_shelf_names(painter, layout, track, frame, palette)
            if plot.now_s is not None:
                paint_dot(painter, track, frame, plot.now_s, palette)
        for group in layout.flags:
            paint_flag(painter, group, layout.flag_foot, palette)
        if layout.gap_row.height() > 0.0:
            paint_gap_names(painter, plot, layout, palette)
        taken = _paint_cursor_time(painter, layout, cursor, palette)
        paint_time_axis(painter, plot, layout, palette, taken=taken)
        return layout


def _paint_titles(
    painter: QPainter, plot: RunPlot, layout: Layout, cursor: Cursor | None, palette: Palette
) -> list[QRectF]:
    """Title and unit of each track, the legend of an earlier run, what the cursor reads.

    Returns what they take: no line goes through a text.
    """
    taken: list[QRectF] = []
    readings = cursor.readings if cursor is not None else ()
    for place, (track, row) in enumerate(zip(plot.tracks, layout.titles, strict=True)):
        baseline = row.bottom() - 6.0
        right = row.right()
        if place < len(readings):
            style = Style(px=16, weight=800, color=palette.ink, align=RIGHT)
            text, style = fit(readings[place], 0.6 * row.width(), style)
            taken.append(draw(painter, right, baseline, text, style))
            right = taken[-1].left() - 14.0
        title = ", ".join(text for text in (track.title, track.unit) if text)
        left = row.left() + 8.0
        if title:
            style = Style(px=16, weight=700, color=palette.ink)
            text, style = fit(title, max(30.0, right - left), style)
            taken.append(draw(painter, left, baseline, text, style))
            left = taken[-1].right() + 18.0
        if place == 0 and plot.overlay and plot.overlay_text and right - left > 90.0:
            y = baseline - 5.0
            line(painter, (left, y), (left + _SAMPLE, y), earlier_pen(palette))
            style = Style(px=15, color=palette.dim)
            text, style = fit(plot.overlay_text, right - left - _SAMPLE - 8.0, style)
            words = draw(painter, left + _SAMPLE + 8.0, baseline, text, style)
            taken.append(words.united(QRectF(left, y, 1.0, 1.0)))
    return [rect.adjusted(-4.0, -3.0, 4.0, 2.0) for rect in taken]


def _paint_lines(painter: QPainter, plot: RunPlot, layout: Layout, palette: Palette) -> None:
    """Ribbons, the earlier run, and the lines themselves, each within its track."""
    for track, frame in zip(plot.tracks, layout.frames, strict=True):
        painter.save()
        painter.setClipRect(frame.rect.adjusted(0.0, -1.5, 0.0, 1.5))
        if track.ribbon is not None:
            paint_ribbon(painter, track.ribbon, frame, palette)
        for earlier in plot.overlay:
            if earlier.title == track.title:
                paint_earlier(painter, earlier, frame, palette)
        paint_trace(painter, track, frame, palette)
        painter.restore()


def _paint_tall(
    painter: QPainter,
    plot: RunPlot,
    layout: Layout,
    *,
    texts: list[QRectF],
    cursor: Cursor | None,
    palette: Palette,
) -> None:
    """What goes up past the titles: overloads, the flags' poles, the cursor; not through a text."""
    if not (layout.flags or cursor or any(overloaded(track) for track in plot.tracks)):
        return
    free = QPainterPath()
    free.addRect(layout.plot.adjusted(-2.0, 0.0, 3.0, 0.0))
    for rect in texts:
        hole = QPainterPath()
        hole.addRect(rect)
        free = free.subtracted(hole)
    painter.save()
    painter.setClipPath(free)
    for track, frame in zip(plot.tracks, layout.frames, strict=True):
        paint_excursions(painter, track, frame, palette)
    frame = layout.frames[0]
    y, bottom = layout.level_y, layout.frames[-1].rect.bottom()
    for group in layout.flags:
        meets = _meets(plot.tracks[0], frame, group.flags[0].t_s)
        top = layout.flag_foot - group.row * 24.0 - 1.0
        paint_pole(painter, group, (top, meets, bottom), palette)
        for flag in group.flags:
            if flag.end_s is not None:
                start, end = frame.x(flag.t_s), min(frame.x(flag.end_s), frame.rect.right())
                paint_length(painter, (start, end), y, severe=flag.severe, palette=palette)
    if cursor is not None:
        x = frame.x(cursor.t_s)
        top = layout.titles[0].top()
        line(painter, (x, top), (x, bottom), pen(palette.ink, 1.4))
    painter.restore()


def _meets(track: Track, frame: Frame, t_s: float) -> float | None:
    """Where a pole meets the first track's line: at the last known value before the event."""
    last = int(np.searchsorted(track.t_s, t_s, side="right"))
    if last and t_s - track.t_s[last - 1] > _STALE * (frame.end_s - frame.start_s):
        return None
    for place in range(last - 1, max(-1, last - 9), -1):
        for value in (track.high[place], track.low[place]):
            if np.isfinite(value):
                y = frame.y(float(value))
                return min(max(y, frame.rect.top()), frame.rect.bottom())
    return None


def _paint_cursor_time(
    painter: QPainter, layout: Layout, cursor: Cursor | None, palette: Palette
) -> QRectF:
    """The cursor's time below the axis, in a box of ink; returns what it takes."""
    if cursor is None:
        return QRectF()
    style = Style(px=16, weight=700, color=palette.panel, align=CENTRE)
    text, style = fit(cursor.time_text, layout.room.width() - 16.0, style)
    half = style.width(text) / 2.0 + 6.0
    x = layout.frames[0].x(cursor.t_s)
    x = min(max(x, layout.room.left() + half), layout.room.right() - half)
    top = layout.axis_y + 4.0
    box = QRectF(x - half, top, 2.0 * half, 22.0)
    block(painter, (box.left(), box.top()), (box.right(), box.bottom()), palette.ink)
    draw(painter, x, top + 16.6, text, style)
    return box
