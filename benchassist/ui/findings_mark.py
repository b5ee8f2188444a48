"""Marks of evidence: a filled square speaks for a cause, an open circle against it.

A mark's size is its weight beside the largest on the page. A saw line below one says that another
source says otherwise.
"""

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter, QPainterPath

from benchassist.paint.palette import Palette
from benchassist.paint.stroke import ROUND, pen, polygon, shape
from benchassist.services.findings.view import Mark
from benchassist.services.translation import _
from benchassist.ui.lettering import CENTRE, Style, row

SMALL, LARGE, GAP = 24.0, 32.0, 6.0
MORE = 34.0
"""Room for '+3' where not all marks have some."""


def mark_side(mark: Mark) -> float:
    """How large a mark is."""
    return SMALL + (LARGE - SMALL) * min(1.0, max(0.0, mark.weight))


def marks_width(marks: tuple[Mark, ...], most: int) -> float:
    """What a row of them takes, at most so many shown."""
    shown = marks[:most]
    wide = sum(mark_side(mark) for mark in shown) + GAP * max(0, len(shown) - 1)
    return wide + (MORE if len(marks) > most else 0.0)


def paint_mark(painter: QPainter, centre: QPointF, mark: Mark, palette: Palette) -> None:
    """One mark about its centre."""
    side = mark_side(mark)
    box = QRectF(centre.x() - side / 2.0, centre.y() - side / 2.0, side, side)
    path = QPainterPath()
    if mark.speaks_for:
        path.addRect(box)
        shape(painter, path, fill=palette.ink)
    else:
        inner = box.adjusted(1.1, 1.1, -1.1, -1.1)
        path.addEllipse(inner)
        shape(painter, path, fill=palette.bench, stroke=pen(palette.ink, 2.2))
    colour = palette.bench if mark.speaks_for else palette.ink
    style = Style(px=17 if side > 28.0 else 15, weight=700, color=colour, align=CENTRE)
    row(painter, box, mark.text, style, least=11)
    if mark.contradicted:
        _paint_saw(painter, box, palette)


def _paint_saw(painter: QPainter, box: QRectF, palette: Palette) -> None:
    """Three teeth just below."""
    y, step = box.bottom() + 3.0, box.width() / 6.0
    points = [(box.left() + i * step, y + (3.5 if i % 2 else 0.0)) for i in range(7)]
    shape(painter, polygon(points, closed=False), stroke=pen(palette.out_text, 2.0, cap=ROUND))


def paint_marks_for(
    painter: QPainter,
    start: QPointF,
    marks: tuple[Mark, ...],
    most: int,
    palette: Palette,
) -> None:
    """Squares from the left, the largest first."""
    x, middle = start.x(), start.y()
    for mark in marks[:most]:
        side = mark_side(mark)
        paint_mark(painter, QPointF(x + side / 2.0, middle), mark, palette)
        x += side + GAP
    _paint_more(painter, QRectF(x, middle - 12.0, MORE, 24.0), len(marks) - most, palette)


def paint_marks_against(
    painter: QPainter,
    start: QPointF,
    marks: tuple[Mark, ...],
    most: int,
    palette: Palette,
) -> None:
    """Circles from the right, the largest first."""
    x, middle = start.x(), start.y()
    for mark in marks[:most]:
        side = mark_side(mark)
        paint_mark(painter, QPointF(x - side / 2.0, middle), mark, palette)
        x -= side + GAP
    _paint_more(
        painter, QRectF(x - MORE + GAP, middle - 12.0, MORE, 24.0), len(marks) - most, palette
    )


def _paint_more(painter: QPainter, room: QRectF, count: int, palette: Palette) -> None:
    if count > 0:
        style = Style(px=15, weight=700, color=palette.ink, align=CENTRE)
        row(painter, room, f"+{count}", style)


def mark_words(marks: tuple[Mark, ...]) -> str:
    """Their sentences, each with what contradicts it."""
    said = (
        f"{mark.sentence} ({_('contradicted')})" if mark.contradicted else mark.sentence
        for mark in marks
    )
    return "; ".join(text.rstrip(".") for text in said)
