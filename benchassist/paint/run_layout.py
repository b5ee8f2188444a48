"""Where everything of a run's plot stands, in design units, before any of it is drawn."""

from dataclasses import dataclass, replace
from math import ceil

import numpy as np
from PySide6.QtCore import QRectF

from benchassist.core.run_plot import Ribbon, RunPlot, Track
from benchassist.paint.lettering import Style, wrap
from benchassist.paint.run_axis import value_axis
from benchassist.paint.run_flag import OVERHANG, ROW, FlagGroup, place_flags
from benchassist.paint.run_label import LABEL, text_width
from benchassist.paint.run_trace import Frame, visible

TITLE_HIGH = 21.0
_TOP = 3.0
_OPEN_HIGH = 14.0
_BETWEEN = 9.0
_TIME_HIGH = 27.0
_GAP_ROW = 20.0
_TICK_PITCH = 22.0
_MOST_STEPS = 8.0
_LABEL_GAP = 9.0
_LEFT = 56.0
_LEFT_STEP = 16.0
_RIGHT = 16.0
_SHELF_SHARE = 0.22
_LEAST_TRACK = 22.0
_LEAST_WIDE = 40.0


@dataclass(frozen=True, slots=True)
class Layout:
    """Frames of the tracks from top to bottom, the flags, and the rows between and below."""

    frames: tuple[Frame, ...]
    titles: tuple[QRectF, ...]
    flags: tuple[FlagGroup, ...]
    flag_foot: float
    gap_row: QRectF
    axis_y: float
    room: QRectF

    @property
    def level_y(self) -> float:
        """Where bars show how long an event lasted: on the level of the first track's overloads."""
        return self.frames[0].open_y

    @property
    def plot(self) -> QRectF:
        """From the flags down to the time axis."""
        first = self.frames[0].rect
        return QRectF(first.left(), 0.0, first.width(), self.axis_y)


def lay_out(plot: RunPlot, room: QRectF, column: float) -> Layout | None:
    """The layout in `room`; None where there is no track or no room for one.

    Where it is low, flags stand in one row, then gaps lose their names, then the lower tracks go.
    """
    if not plot.end_s > plot.start_s:
        return None
    first = replace(plot, tracks=plot.tracks[:1])
    for given, rows, named in (
        (plot, 2, True),
        (plot, 1, True),
        (plot, 1, False),
        (first, 1, False),
    ):
        if not given.tracks:
            return None
        layout = _fitted(given, room, column, rows=rows, named=named)
        if layout is not None:
            return layout
    return None


def _fitted(plot: RunPlot, room: QRectF, column: float, *, rows: int, named: bool) -> Layout | None:
    margins = Margins(
        left=_LEFT,
        right=_right(plot, room),
        flag_rows=1 if plot.flags else 0,
        most_rows=rows,
        gap_row=_GAP_ROW if plot.gaps and named else 0.0,
    )
    ranges = [_range(track, plot) for track in plot.tracks]
    layout = _laid(plot, room, ranges, column, margins)
    # The labels' width asks for the axes, these for their height, this for the rows of flags.
    for _ in range(2):
        if layout is None:
            return None
        needed = max((flag.row + 1 for flag in layout.flags), default=0)
        left = _left(plot, layout.frames)
        if (left, needed) == (margins.left, margins.flag_rows):
            break
        margins = replace(margins, left=left, flag_rows=max(margins.flag_rows, needed))
        layout = _laid(plot, room, ranges, column, margins)
    return layout


@dataclass(frozen=True, slots=True, kw_only=True)
class Margins:
    """What stands about the tracks."""

    left: float
    right: float
    flag_rows: int
    most_rows: int
    gap_row: float


def _laid(
    plot: RunPlot, room: QRectF, ranges: list[tuple[float, float]], column: float, margins: Margins
) -> Layout | None:
    left, width = margins.left, room.width() - margins.left - margins.right
    heads = [
        _head(track, flagged=bool(plot.flags) and place == 0)
        for place, track in enumerate(plot.tracks)
    ]
    flag_foot = _TOP + margins.flag_rows * ROW
    between = _BETWEEN * (len(heads) - 1)
    free = room.height() - flag_foot - sum(heads) - between - margins.gap_row - _TIME_HIGH
    if width < _LEAST_WIDE or free < _LEAST_TRACK * len(heads):
        return None
    weights = [max(track.weight, 1e-3) for track in plot.tracks]
    spare = free - _LEAST_TRACK * len(heads)
    frames: list[Frame] = []
    titles: list[QRectF] = []
    y = flag_foot
    for track, head, weight, (low, high) in zip(plot.tracks, heads, weights, ranges, strict=True):
        above = head - _title_high(track)
        tall = _LEAST_TRACK + spare * weight / sum(weights)
        titles.append(QRectF(left, y + above, width, head - above))
        rect = QRectF(left, y + head, width, tall)
        steps = min(tall / _TICK_PITCH, _MOST_STEPS)
        axis = value_axis(low, high, steps=steps, floor_at=track.floor)
        if not low <= high:
            axis = replace(axis, ticks=())
        frames.append(Frame(rect, plot.start_s, plot.end_s, axis, y + 0.5 * above, column))
        y = rect.bottom() + _BETWEEN
    bottom = frames[-1].rect.bottom()
    return Layout(
        tuple(frames),
        tuple(titles),
        _flags(plot, frames[0], room, margins.most_rows),
        flag_foot,
        QRectF(left, bottom, width, margins.gap_row),
        bottom + margins.gap_row,
        room,
    )


def _title_high(track: Track) -> float:
    return TITLE_HIGH if track.title or track.unit else 6.0


def _head(track: Track, *, flagged: bool) -> float:
    """Height above a track: the level of overloads, or of how long events lasted, and the title."""
    return _title_high(track) + (_OPEN_HIGH if track.overload_text or flagged else 0.0)


def _flags(plot: RunPlot, frame: Frame, room: QRectF, rows: int) -> tuple[FlagGroup, ...]:
    shown = tuple(f for f in plot.flags if plot.start_s <= f.t_s <= plot.end_s)
    return place_flags(shown, tuple(frame.x(f.t_s) for f in shown), rows, limit=room.right())


def _left(plot: RunPlot, frames: tuple[Frame, ...]) -> float:
    """What the widest label at the left takes, in steps: a pan or a zoom moves no edge about."""
    texts = [frame.axis.label(tick) for frame in frames for tick in frame.axis.ticks]
    texts += [track.overload_text for track in plot.tracks]
    wide = max(map(text_width, texts), default=0.0) + _LABEL_GAP + 2.0
    return _LEFT + _LEFT_STEP * max(0.0, ceil((wide - _LEFT) / _LEFT_STEP))


def shelf_lines(text: str, room: QRectF, style: Style) -> tuple[str, ...]:
    """A shelf's name in at most three lines, as wide as the names at the right may be."""
    return wrap(text, _SHELF_SHARE * room.width(), style, lines=3)


def _right(plot: RunPlot, room: QRectF) -> float:
    """What stands right of the plot: names of shelves, the last flag, the newest dot."""
    style = Style(px=LABEL, weight=600, color="#000000")
    names = [shelf.text for track in plot.tracks for shelf in track.shelves]
    lines = [line for name in names for line in shelf_lines(name, room, style)]
    wide = max((style.width(line) for line in lines), default=0.0)
    return max(wide + 14.0 if wide else 0.0, OVERHANG if plot.flags else _RIGHT)


def _range(track: Track, plot: RunPlot) -> tuple[float, float]:
    """Lowest and highest of all that a track shows from start to end; inf, -inf where nothing."""
    columns = [(track.t_s, track.low, track.high)]
    columns += [(o.t_s, o.low, o.high) for o in plot.overlay if o.title == track.title]
    if isinstance(track.ribbon, Ribbon):
        columns.append((track.ribbon.t_s, track.ribbon.low, track.ribbon.high))
    low, high = float("inf"), float("-inf")
    for rows in columns:
        _, lows, highs = visible(rows, plot.start_s, plot.end_s)
        for column in (lows, highs):
            finite = column[np.isfinite(column)]
            if len(finite):
                low, high = min(low, float(finite.min())), max(high, float(finite.max()))
    limits = [limit for shelf in track.shelves for limit in (shelf.low, shelf.high)]
    known = [limit for limit in limits if limit is not None]
    return min([low, *known]), max([high, *known])
