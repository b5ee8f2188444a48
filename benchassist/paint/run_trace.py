"""The line of one track: lowest to highest in every pixel column, however many rows there are."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF

from benchassist.core.extremes import Rows, joined
from benchassist.core.run_plot import Ribbon, Track
from benchassist.core.samples import Column
from benchassist.paint.palette import Palette
from benchassist.paint.run_axis import ValueAxis
from benchassist.paint.stroke import NO_BRUSH, NO_PEN, ROUND, pen, shape

LINE = 2.0
AREA_EDGE = 1.2
LONGEST = 5000.0
"""Units along a line: a wide pen takes its time by the length of its way."""
DOT = 6.0
_TYPED_DOT = 4.2
DASHES = ((), (7.0, 4.0), (1.8, 3.6), (11.0, 3.6, 1.8, 3.6))
"""How the lines of several earlier runs are told apart: unbroken, dashed, dotted, both."""


@dataclass(frozen=True, slots=True)
class Frame:
    """Where a track is drawn: its rectangle, its axes, and where an overload stands.

    All in design units; `column` is one device pixel in these.
    """

    rect: QRectF
    start_s: float
    end_s: float
    axis: ValueAxis
    open_y: float
    column: float = 1.0

    def x(self, t_s: float) -> float:
        """Where a moment lies."""
        share = (t_s - self.start_s) / (self.end_s - self.start_s)
        return self.rect.left() + share * self.rect.width()

    def y(self, value: float) -> float:
        """Where a value lies."""
        return self.rect.bottom() - self.axis.place(value) * self.rect.height()

    def xs(self, t_s: Column) -> Column:
        """Where moments lie; those far off the picture just outside it, where nothing overflows."""
        away = 4.0 * self.rect.width()
        share = (t_s - self.start_s) / (self.end_s - self.start_s)
        x: Column = self.rect.left() + share * self.rect.width()
        return np.clip(x, self.rect.left() - away, self.rect.right() + away)

    def ys(self, value: Column) -> Column:
        """Where values lie."""
        share = (value - self.axis.start) / (self.axis.end - self.axis.start)
        y: Column = self.rect.bottom() - share * self.rect.height()
        return y


def visible(rows: Rows, start_s: float, end_s: float) -> Rows:
    """The rows from start to end and one more on each side."""
    first = max(0, int(np.searchsorted(rows[0], start_s)) - 1)
    last = int(np.searchsorted(rows[0], end_s, side="right")) + 1
    t_s, low, high = (column[first:last] for column in rows)
    return t_s, low, high


def in_columns(rows: Rows, frame: Frame, column: float = 0.0) -> Rows:
    """What can be seen of the rows: at most one a column, and a row more at each gap.

    A column is one device pixel wide, or as given.
    """
    t_s, low, high = visible(rows, frame.start_s, frame.end_s)
    column = column or frame.column
    if len(t_s) <= 1.5 * frame.rect.width() / column:
        return t_s, low, high
    place = np.floor(frame.xs(t_s) / column)
    starts = np.flatnonzero(np.diff(place, prepend=place[0] - 1.0))
    return joined((t_s, low, high), starts)


def paint_trace(painter: QPainter, track: Track, frame: Frame, palette: Palette) -> None:
    """The line itself, without its overloads."""
    rows = in_columns((track.t_s, track.low, track.high), frame)
    x, lows, highs = _line(rows, frame)
    if track.typed:
        _paint_typed(painter, x, highs, palette)
        return
    pieces = list(_pieces(~np.isnan(highs)))
    stroke = pen(palette.ink, LINE, cap=ROUND)
    # One device pixel is drawn many times faster than any wider pen; on paper it would be too thin.
    edge = pen(palette.ink, AREA_EDGE if palette.plain else frame.column)
    if sum(_length(x[i:j], lows[i:j]) + _length(x[i:j], highs[i:j]) for i, j in pieces) > LONGEST:
        if len(x) * 2.0 * LINE > frame.rect.width():
            x, lows, highs = _line(in_columns(rows, frame, LINE), frame)
            _paint_bars(painter, x, lows, highs, palette)
            return
        stroke = edge
    for first, last in pieces:
        part = slice(first, last)
        _paint_stroke(painter, x[part], lows[part], highs[part], (stroke, edge))


def _line(rows: Rows, frame: Frame) -> Rows:
    """Where the rows lie, x, y of the low, y of the high; an overload by its lowest reading."""
    t_s, low, high = rows
    over = np.isposinf(high)
    highest = np.where(over, np.where(np.isfinite(low), low, np.nan), high) if over.any() else high
    lowest = np.where(np.isnan(highest), np.nan, low)
    return frame.xs(t_s), frame.ys(lowest), frame.ys(highest)


def _paint_stroke(
    painter: QPainter, x: Column, lows: Column, highs: Column, pens: tuple[QPen, QPen]
) -> None:
    """An unbroken line: a polyline where each row is one value, else the area between the two.

    `pens` are those of the polyline and of the area's edge.
    """
    stroke, edge = pens
    painter.setPen(stroke)
    if not np.array_equal(lows, highs):
        top, bottom = _touching(lows, highs)
        half = (stroke.widthF() - edge.widthF()) / 2.0
        painter.setPen(edge)
        painter.setBrush(edge.color())
        upper, lower = _points(x, top - half), _points(x[::-1], bottom[::-1] + half)
        painter.drawPolygon(QPolygonF(upper + lower))
    elif len(x) == 1:
        painter.drawPoint(QPointF(x[0], lows[0]))
    else:
        painter.setBrush(NO_BRUSH)
        painter.drawPolyline(QPolygonF(_points(x, lows)))


def _touching(lows: Column, highs: Column) -> tuple[Column, Column]:
    """Top and bottom of each row, as far up or down as the next begins."""
    top, bottom = highs.copy(), lows.copy()
    top[:-1] = np.fmin(highs[:-1], lows[1:])
    bottom[:-1] = np.fmax(lows[:-1], highs[1:])
    return top, bottom


def _paint_bars(
    painter: QPainter, x: Column, lows: Column, highs: Column, palette: Palette
) -> None:
    """A busy line as upright bars that touch; a wide pen along it takes a hundred times as long.

    A bar is as wide as the line, or goes on to the next row.
    """
    top, bottom = _touching(lows, highs)
    left = np.floor(x / LINE) * LINE
    wide = np.full(len(x), LINE)
    wide[:-1] = np.maximum(np.diff(left), LINE)
    half = LINE / 2.0
    table = np.column_stack((left, top - half, wide, bottom - top + LINE))[~np.isnan(highs)]
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
    painter.setPen(NO_PEN)
    painter.setBrush(QColor(palette.ink))
    painter.drawRects([QRectF(*row) for row in table.tolist()])
    painter.restore()


def overloaded(track: Track) -> bool:
    """Whether there is an overload in it."""
    return bool(np.isposinf(track.high).any())


def paint_excursions(painter: QPainter, track: Track, frame: Frame, palette: Palette) -> None:
    """Every overload, from the line up to where its word stands."""
    if not overloaded(track):
        return
    t_s, low, high = in_columns((track.t_s, track.low, track.high), frame)
    painter.setPen(pen(palette.ink, LINE, cap=ROUND))
    painter.setBrush(NO_BRUSH)
    for points in _excursions(frame.xs(t_s), low, high, frame):
        painter.drawPolyline(QPolygonF(points))


def _paint_typed(painter: QPainter, x: Column, y: Column, palette: Palette) -> None:
    """Points typed by hand, joined by straight dashed lines: nothing is known between them."""
    painter.setBrush(NO_BRUSH)
    known = ~np.isnan(y)
    for first, last in _pieces(known):
        painter.setPen(pen(palette.ink, LINE, dash=(6.0, 4.0)))
        painter.drawPolyline(QPolygonF(_points(x[first:last], y[first:last])))
    for point in _points(x[known], y[known]):
        dot = QPainterPath()
        dot.addEllipse(point, _TYPED_DOT, _TYPED_DOT)
        shape(painter, dot, fill=palette.ink)


def paint_earlier(painter: QPainter, track: Track, frame: Frame, palette: Palette) -> None:
    """The same of an earlier run: faint, dashed in print, through the middle of each row.

    Its overloads are short strokes where their word stands.
    """
    t_s, low, high = in_columns((track.t_s, track.low, track.high), frame)
    x = frame.xs(t_s)
    over = np.isposinf(high)
    middle = frame.ys(np.where(over, np.nan, (low + high) / 2.0))
    painter.setBrush(NO_BRUSH)
    for first, last in _pieces(~np.isnan(middle)):
        stroke = earlier_pen(palette, track.dash)
        if _length(x[first:last], middle[first:last]) > LONGEST:
            stroke = pen(palette.faint, frame.column)
        painter.setPen(stroke)
        painter.drawPolyline(QPolygonF(_points(x[first:last], middle[first:last])))
    painter.setPen(pen(palette.faint, LINE))
    for first, last in _pieces(over):
        end = max(x[last - 1], x[first] + LINE)
        painter.drawLine(QPointF(x[first], frame.open_y), QPointF(end, frame.open_y))


def earlier_pen(palette: Palette, dash: int = 0) -> QPen:
    """The pen of an earlier run's line; in print none is unbroken."""
    pattern = DASHES[dash % len(DASHES)]
    return pen(palette.faint, 1.6, dash=pattern or (DASHES[1] if palette.plain else ()))


def paint_ribbon(painter: QPainter, ribbon: Ribbon, frame: Frame, palette: Palette) -> None:
    """Where a sound part would read, filled, with a line at each edge."""
    t_s, low, high = in_columns((ribbon.t_s, ribbon.low, ribbon.high), frame)
    x = frame.xs(t_s)
    for first, last in _pieces(~(np.isnan(low) | np.isnan(high))):
        part = slice(first, last)
        upper = _points(x[part], frame.ys(high[part]))
        lower = _points(x[part], frame.ys(low[part]))
        painter.setPen(QPen(QColor(0, 0, 0, 0)))
        painter.setBrush(QColor(palette.band))
        painter.drawPolygon(QPolygonF(upper + lower[::-1]))
        painter.setPen(pen(palette.band_edge, 1.2))
        painter.setBrush(NO_BRUSH)
        for edge in (upper, lower):
            painter.drawPolyline(QPolygonF(edge))


def paint_dot(
    painter: QPainter, track: Track, frame: Frame, now_s: float, palette: Palette
) -> None:
    """The newest value, in the live colour with an ink outline; nothing while it is not known."""
    place = int(np.searchsorted(track.t_s, now_s, side="right")) - 1
    if place < 0 or not frame.start_s <= now_s <= frame.end_s or np.isnan(track.high[place]):
        return
    value = float(track.high[place])
    y = frame.open_y if np.isposinf(value) else frame.y(value)
    dot = QPainterPath()
    dot.addEllipse(QPointF(frame.x(float(track.t_s[place])), y), DOT, DOT)
    shape(painter, dot, fill=palette.live, stroke=pen(palette.ink, 1.8))


def _excursions(x: Column, low: Column, high: Column, frame: Frame) -> Iterator[list[QPointF]]:
    """From the line up to the overload's word, along it, and down again where it reclosed."""
    for first, last in _pieces(np.isposinf(high)):
        points = [QPointF(x[first], frame.open_y)]
        start = low[first] if np.isfinite(low[first]) else _value(low, first - 1)
        if np.isfinite(start):
            points.insert(0, QPointF(x[first], frame.y(float(start))))
        end_x = x[last - 1]
        back = low[last - 1]
        if not np.isfinite(back):
            back = _value(low, last)
            end_x = x[last] if last < len(x) else end_x
        points.append(QPointF(max(end_x, x[first] + 0.1), frame.open_y))
        if np.isfinite(back):
            points.append(QPointF(max(end_x, x[first] + 0.1), frame.y(float(back))))
        yield points


def _value(column: Column, place: int) -> float:
    return float(column[place]) if 0 <= place < len(column) else float("nan")


def _pieces(holds: "np.ndarray[tuple[int], np.dtype[np.bool_]]") -> Iterator[tuple[int, int]]:
    """First and after-last of every unbroken stretch that holds."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], holds, [False])).astype(np.int8)))
    yield from zip(edges[0::2].tolist(), edges[1::2].tolist(), strict=True)


def _length(x: Column, y: Column) -> float:
    return float(np.abs(np.diff(x)).sum() + np.abs(np.diff(y)).sum())


def _points(x: Column, y: Column) -> list[QPointF]:
    return [QPointF(*point) for point in zip(x.tolist(), y.tolist(), strict=True)]
