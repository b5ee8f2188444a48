"""What lies behind and around the lines of a run's plot: grids, shelves, gaps, both axes."""

from collections.abc import Iterable
from dataclasses import dataclass

from PySide6.QtCore import QLineF, QRectF
from PySide6.QtGui import QPainter, QPainterPath, QPen

from benchassist.core.run_plot import PlotGap, RunPlot, Track
from benchassist.paint.lettering import Style, draw, fit
from benchassist.paint.palette import Palette
from benchassist.paint.run_axis import TimeTick, time_ticks
from benchassist.paint.run_label import LABEL, Placed, paint_labels, text_width
from benchassist.paint.run_layout import Layout, shelf_lines
from benchassist.paint.run_trace import Frame
from benchassist.paint.stroke import block, hatch, line, pen

_TIME_LABEL_PITCH = 1.4
"""Of the widest label, its unit aside: how far apart moments on the time axis stand."""
_MOST_TIMES = 10
_SHELF_LEADING = 18.0
_NAME_GAP = 12.0
_NAME_MOVES = 60.0


def paint_shelves(painter: QPainter, track: Track, frame: Frame, palette: Palette) -> None:
    """Bands across the track, a line at each real limit."""
    rect = frame.rect
    for shelf in track.shelves:
        top = rect.top() if shelf.high is None else max(rect.top(), frame.y(shelf.high))
        bottom = rect.bottom() if shelf.low is None else min(rect.bottom(), frame.y(shelf.low))
        if top < bottom:
            block(painter, (rect.left(), top), (rect.right(), bottom), palette.band)
        for limit in (shelf.low, shelf.high):
            if limit is not None and rect.top() - 0.5 <= frame.y(limit) <= rect.bottom() + 0.5:
                y = frame.y(limit)
                line(painter, (rect.left(), y), (rect.right(), y), pen(palette.band_edge, 2.0))


def paint_shelf_names(
    painter: QPainter, layout: Layout, track: Track, frame: Frame, palette: Palette
) -> None:
    """Each shelf's name at the right of it, moved apart where they would meet."""
    style = Style(px=LABEL, weight=600, color=palette.ink)
    rect = frame.rect
    free_from = rect.top() - 12.0
    named = [shelf for shelf in track.shelves if shelf.text]
    tops = {id(s): rect.top() if s.high is None else frame.y(s.high) for s in named}
    for shelf in sorted(named, key=lambda shelf: tops[id(shelf)]):
        foot = rect.bottom() if shelf.low is None else frame.y(shelf.low)
        rows = shelf_lines(shelf.text, layout.room, style)
        high = _SHELF_LEADING * len(rows)
        top = max(free_from, (tops[id(shelf)] + foot - high) / 2.0)
        for row, text in enumerate(rows):
            baseline = top + _SHELF_LEADING * (row + 0.5) + 0.33 * LABEL
            draw(painter, rect.right() + 12.0, baseline, text, style)
        free_from = top + high


def paint_value_axis(painter: QPainter, track: Track, frame: Frame, palette: Palette) -> None:
    """Labels at the left and a thin line across at each; the word for an overload above them."""
    rect = frame.rect
    labels: list[Placed] = []
    lines: list[QLineF] = []
    free_below = rect.top() - 2.0 * LABEL
    for tick in reversed(frame.axis.ticks):
        y = frame.y(tick)
        if y - free_below >= LABEL + 2.0:
            text = frame.axis.label(tick)
            labels.append((rect.left() - 9.0 - text_width(text), y + 0.33 * LABEL, text))
            lines.append(QLineF(rect.left(), y, rect.right(), y))
            free_below = y
    painter.setPen(_grid(palette))
    painter.drawLines(lines)
    if track.overload_text:
        y, text = frame.open_y, track.overload_text
        labels.append((rect.left() - 9.0 - text_width(text), y + 0.25 * LABEL, text))
        line(painter, (rect.left(), y), (rect.right(), y), _grid(palette, dash=(2.0, 4.0)))
    paint_labels(painter, labels, palette.ink)


def _grid(palette: Palette, dash: tuple[float, ...] = ()) -> QPen:
    """The pen of the thin lines across, lighter than anything that is read off them."""
    if palette.plain:
        return pen(palette.rule, 0.7, dash=dash)
    return pen(palette.panel_edge, 1.0, dash=dash)


def paint_time_axis(
    painter: QPainter, plot: RunPlot, layout: Layout, palette: Palette, *, taken: QRectF
) -> None:
    """The line, its ticks and labels; none where the cursor's own label stands."""
    frame, y = layout.frames[0], layout.axis_y
    labels: list[Placed] = []
    lines = [QLineF(frame.rect.left(), y, frame.rect.right(), y)]
    free_to = layout.room.right()
    for tick in reversed(_ticks(plot, frame.rect.width())):
        x, width = frame.x(tick.t_s), text_width(tick.text)
        lines.append(QLineF(x, y, x, y + 5.0))
        left = max(0.0, min(x - width / 2.0, layout.room.right() - width))
        if left + width <= free_to:
            if not taken.intersects(QRectF(left - 4.0, y + 6.0, width + 8.0, 20.0)):
                labels.append((left, y + 21.0, tick.text))
            free_to = left - 10.0
    painter.setPen(pen(palette.ink, 2.0))
    painter.drawLines(lines)
    paint_labels(painter, labels, palette.ink)


def _ticks(plot: RunPlot, width: float) -> tuple[TimeTick, ...]:
    """As many moments as there is room for below the axis."""
    now_s = (plot.end_s if plot.now_s is None else plot.now_s) if plot.ago else None
    for most in range(_MOST_TIMES, 2, -1):
        ticks = time_ticks(plot.start_s, plot.end_s, most=most, words=plot.words, now_s=now_s)
        labels = ticks if plot.ago else ticks[:-1]
        longest = max((tick.text for tick in labels), key=len, default="")
        if len(ticks) * _TIME_LABEL_PITCH * text_width(longest) <= width:
            return ticks
    return time_ticks(plot.start_s, plot.end_s, most=2, words=plot.words, now_s=now_s)


def paint_gaps(painter: QPainter, plot: RunPlot, layout: Layout, palette: Palette) -> None:
    """Hatched over every track, three units wide at least."""
    for gap in _shown(plot.gaps, plot):
        left, right = _ends(gap, layout.frames[0])
        for frame in layout.frames:
            area = QPainterPath()
            area.addRect(QRectF(left, frame.rect.top(), right - left, frame.rect.height()))
            hatch(painter, area, palette.faint, gap=7.0, width=1.0)
            for x in (left, right):
                edge = pen(palette.faint, 1.0)
                line(painter, (x, frame.rect.top()), (x, frame.rect.bottom()), edge)


def paint_gap_names(painter: QPainter, plot: RunPlot, layout: Layout, palette: Palette) -> None:
    """What each gap is, below it; neighbours that leave no room share a line of text."""
    style = Style(px=15, color=palette.ink)
    row, frame = layout.gap_row, layout.frames[0]
    groups: list[_GapName] = []
    for gap in sorted(_shown(plot.gaps, plot), key=lambda gap: gap.start_s):
        left, right = _ends(gap, frame)
        line(painter, (left, row.top() + 3.0), (right, row.top() + 3.0), pen(palette.faint, 3.0))
        groups.append(_GapName(left, right, (gap.text,) if gap.text else ()))
    lefts = _side_by_side(groups, style, row)
    while lefts is None:
        near = min(range(len(groups) - 1), key=lambda i: groups[i + 1].left - groups[i].right)
        groups[near : near + 2] = [groups[near].with_next(groups[near + 1])]
        lefts = _side_by_side(groups, style, row)
    for group, left in zip(groups, lefts, strict=True):
        text, fitted = fit(group.text, row.width(), style)
        draw(painter, left, row.bottom() - 3.0, text, fitted)


@dataclass(frozen=True, slots=True)
class _GapName:
    """Gaps that share a name, from the first's left to the last's right."""

    left: float
    right: float
    texts: tuple[str, ...]

    @property
    def text(self) -> str:
        return ", ".join(self.texts)

    def with_next(self, following: "_GapName") -> "_GapName":
        more = tuple(text for text in following.texts if text not in self.texts)
        return _GapName(self.left, following.right, self.texts + more)


def _side_by_side(groups: list[_GapName], style: Style, row: QRectF) -> list[float] | None:
    """Where the names begin, each below its gaps or moved a little aside; None if too crowded."""
    widths = [min(style.width(group.text), row.width()) for group in groups]
    wished = [
        (group.left + group.right - width) / 2.0
        for group, width in zip(groups, widths, strict=True)
    ]
    lefts = wished[:]
    free_to = row.right()
    for i in reversed(range(len(groups))):
        lefts[i] = min(lefts[i], free_to - widths[i])
        free_to = lefts[i] - _NAME_GAP
    free_from = row.left()
    for i, width in enumerate(widths):
        lefts[i] = max(lefts[i], free_from)
        free_from = lefts[i] + width + _NAME_GAP
    if len(groups) < 2:
        return lefts
    moved = max(abs(left - wish) for left, wish in zip(lefts, wished, strict=True))
    fits = free_from - _NAME_GAP <= row.right()
    return lefts if fits and moved <= _NAME_MOVES else None


def _shown(gaps: Iterable[PlotGap], plot: RunPlot) -> list[PlotGap]:
    return [gap for gap in gaps if gap.end_s >= plot.start_s and gap.start_s <= plot.end_s]


def _ends(gap: PlotGap, frame: Frame) -> tuple[float, float]:
    left = max(frame.rect.left(), frame.x(gap.start_s))
    right = min(frame.rect.right(), frame.x(gap.end_s))
    spare = max(0.0, 3.0 - (right - left)) / 2.0
    return left - spare, right + spare
