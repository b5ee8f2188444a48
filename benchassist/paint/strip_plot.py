"""The last minute of readings against the band, newest on the right."""

from collections.abc import Callable, Sequence
from itertools import groupby
from math import pi
from typing import Protocol

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter, QPainterPath, QPolygonF

from benchassist.core.ruler import Ruler, Scale, scale_of
from benchassist.paint.lettering import RIGHT, Style, draw
from benchassist.paint.palette import Palette
from benchassist.paint.stroke import ROUND, arrow_head, block, design, line, pen, shape

_TOP, _FOOT, _RIGHT = 12.0, 26.0, 14.0
_GAP = 10.0
_LABEL_PITCH = 22.0
Piece = list[tuple[float, float]]


class Strip(Protocol):
    """What is plotted: seconds before now (negative, rising), values (None for an overload)."""

    @property
    def seconds(self) -> Sequence[float]:
        """When, in seconds from now."""

    @property
    def values(self) -> Sequence[float | None]:
        """What, in the unit of the limits."""

    @property
    def low(self) -> float | None:
        """The band's lower limit, None where open."""

    @property
    def high(self) -> float | None:
        """The band's upper limit, None where open."""

    @property
    def unit(self) -> str:
        """The unit as shown."""


def strip_scale(strip: Strip) -> Scale:
    """The value axis: round ends about every reading of the strip and the nearer limits."""
    values = [value for value in strip.values if value is not None]
    limits = [limit for limit in (strip.low, strip.high) if limit is not None]
    if values:
        middle = (min(values) + max(values)) / 2.0
        spread = max(max(values) - min(values), 1e-3 * abs(middle), 1e-12)
        reach = 12.0 * spread
        near = [limit for limit in limits if abs(limit - middle) <= reach]
        ends = values + (near or limits)
    else:
        ends = limits or [0.0, 1.0]
    low, high = min(ends), max(ends)
    if low == high:
        low, high = low - 0.5 * (abs(low) or 1.0), high + 0.5 * (abs(high) or 1.0)
    return scale_of(Ruler(low=low, high=high, floor_at_zero=min(ends) >= 0.0))


def paint_strip_plot(
    painter: QPainter,
    rect: QRectF,
    strip: Strip,
    palette: Palette,
    *,
    scale: float = 1.0,
    span_s: float = 60.0,
    marks: Sequence[tuple[float, str]] = (),
) -> None:
    """Readings over the last `span_s` seconds; a gap and a mark at the top for every overload.

    `scale` is the size of one unit, `marks` are seconds and what to write under them.
    """
    axis = strip_scale(strip)
    texts = [f"{tick:.{axis.decimals}f}".replace("-", "−") for tick in axis.ticks]
    texts[-1] = f"{texts[-1]} {strip.unit}".rstrip()
    style = Style(px=15, color=palette.dim, align=RIGHT)
    with design(painter, rect, scale) as room:
        inset = max(style.width(text) for text in texts) + _GAP
        plot = room.adjusted(inset, _TOP, -_RIGHT, -_FOOT)
        if plot.width() <= 0.0 or plot.height() <= 0.0:
            return

        def y(value: float) -> float:
            return plot.bottom() - axis.place(value) * plot.height()

        def x(second: float) -> float:
            return plot.right() + second / span_s * plot.width()

        _paint_band(painter, plot, strip, y, palette)
        ticks = [(y(tick), text) for tick, text in zip(axis.ticks, texts, strict=True)]
        _paint_value_axis(painter, plot, ticks, style, palette=palette)
        _paint_time_axis(painter, plot, [(x(second), text) for second, text in marks], palette)
        painter.setClipRect(plot.adjusted(-1.0, -_TOP, _RIGHT, 2.0))
        painter.setPen(pen(palette.ink, 2.0, cap=ROUND))
        for piece in _pieces(strip, span_s, x, y):
            painter.drawPolyline(QPolygonF([QPointF(*point) for point in piece]))
        _paint_overloads(painter, plot, strip, span_s, x, palette=palette)
        if strip.values and strip.values[-1] is not None:
            dot = QPainterPath()
            dot.addEllipse(QPointF(x(strip.seconds[-1]), y(strip.values[-1])), 5.5, 5.5)
            shape(painter, dot, fill=palette.live, stroke=pen(palette.ink, 1.8))


def _paint_band(
    painter: QPainter, plot: QRectF, strip: Strip, y: Callable[[float], float], palette: Palette
) -> None:
    if strip.low is None and strip.high is None:
        return
    top = plot.top() if strip.high is None else max(plot.top(), y(strip.high))
    bottom = plot.bottom() if strip.low is None else min(plot.bottom(), y(strip.low))
    if top >= bottom:
        return
    block(painter, (plot.left(), top), (plot.right(), bottom), palette.band)
    for limit in (strip.low, strip.high):
        if limit is not None and plot.top() <= y(limit) <= plot.bottom():
            edge = pen(palette.band_edge, 2.0)
            line(painter, (plot.left(), y(limit)), (plot.right(), y(limit)), edge)


def _paint_value_axis(
    painter: QPainter,
    plot: QRectF,
    ticks: Sequence[tuple[float, str]],
    style: Style,
    *,
    palette: Palette,
) -> None:
    """Labels from the top down, as many as keep clear of each other."""
    free_below = plot.top() - _LABEL_PITCH
    for y, text in reversed(ticks):
        line(painter, (plot.left() - 5.0, y), (plot.left(), y), pen(palette.ink, 2.0))
        if y - free_below >= _LABEL_PITCH:
            draw(painter, plot.left() - _GAP, y + 5.0, text, style)
            free_below = y


def _paint_time_axis(
    painter: QPainter, plot: QRectF, marks: Sequence[tuple[float, str]], palette: Palette
) -> None:
    ink = pen(palette.ink, 2.0)
    line(painter, (plot.left(), plot.bottom()), (plot.right(), plot.bottom()), ink)
    style = Style(px=15, color=palette.dim)
    free_to = plot.right() + _RIGHT
    for x, text in sorted(marks, reverse=True):
        width = style.width(text)
        left = min(max(plot.left(), x - width / 2.0), free_to - width)
        if left < plot.left():
            return
        line(painter, (x, plot.bottom()), (x, plot.bottom() + 6.0), ink)
        draw(painter, left, plot.bottom() + 21.0, text, style)
        free_to = left - _GAP


def _pieces(
    strip: Strip, span_s: float, x: Callable[[float], float], y: Callable[[float], float]
) -> list[Piece]:
    """Unbroken runs of points; of many in one pixel column the first, lowest, highest and last."""
    pieces: list[Piece] = []
    piece: Piece = []
    for second, value in zip(strip.seconds, strip.values, strict=True):
        if value is None:
            if piece:
                pieces.append(piece)
            piece = []
        elif second >= -span_s:
            piece.append((x(second), y(value)))
    if piece:
        pieces.append(piece)
    return [_thinned(piece) for piece in pieces]


def _thinned(piece: Piece) -> Piece:
    kept: Piece = []
    for _, group in groupby(piece, key=lambda point: int(point[0])):
        column = list(group)
        if len(column) > 4:
            by_height = sorted(column, key=lambda point: point[1])
            column = [column[0], by_height[0], by_height[-1], column[-1]]
        kept += column
    return kept


def _paint_overloads(
    painter: QPainter,
    plot: QRectF,
    strip: Strip,
    span_s: float,
    x: Callable[[float], float],
    *,
    palette: Palette,
) -> None:
    """A mark at the top for each overload, one a run: above range, never a number."""
    last = float("-inf")
    for second, value in zip(strip.seconds, strip.values, strict=True):
        if value is None and second >= -span_s and x(second) - last >= 12.0:
            last = x(second)
            tip = QPointF(last, plot.top() - 9.0)
            shape(painter, arrow_head(tip, -pi / 2.0, 9.0, 5.5), fill=palette.ink)
