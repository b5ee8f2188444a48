"""Pens, and the few shapes that every drawing shares."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from math import atan2, cos, hypot, sin

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF

Point = tuple[float, float]
FLAT, ROUND = Qt.PenCapStyle.FlatCap, Qt.PenCapStyle.RoundCap
NO_PEN = Qt.PenStyle.NoPen
NO_BRUSH = Qt.BrushStyle.NoBrush


@contextmanager
def design(painter: QPainter, rect: QRectF, scale: float) -> Iterator[QRectF]:
    """Draw in design units from the corner of `rect`: yields its rectangle in those units.

    Whatever is set on the painter inside is put back after it.
    """
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setRenderHint(QPainter.RenderHint.TextAntialiasing)
    painter.translate(rect.topLeft())
    painter.scale(scale, scale)
    try:
        yield QRectF(0.0, 0.0, rect.width() / scale, rect.height() / scale)
    finally:
        painter.restore()


def fitted(rect: QRectF, width: float, height: float) -> tuple[QRectF, float]:
    """The largest rectangle of that shape centred in `rect`, and its scale."""
    scale = min(rect.width() / width, rect.height() / height)
    box = QRectF(0.0, 0.0, width * scale, height * scale)
    box.moveCenter(rect.center())
    return box, scale


def pen(
    color: str,
    width: float,
    *,
    cap: Qt.PenCapStyle = FLAT,
    dash: tuple[float, ...] = (),
) -> QPen:
    """A pen with mitred corners, round ones where its ends are round; `dash` in units drawn."""
    made = QPen(QColor(color), width)
    made.setCapStyle(cap)
    join = Qt.PenJoinStyle.RoundJoin if cap is ROUND else Qt.PenJoinStyle.MiterJoin
    made.setJoinStyle(join)
    if dash:
        made.setDashPattern([length / width for length in dash])
    return made


def line(painter: QPainter, start: Point, end: Point, stroke: QPen) -> None:
    """A straight line."""
    painter.setPen(stroke)
    painter.drawLine(QLineF(*start, *end))


def block(painter: QPainter, corner: Point, opposite: Point, color: str) -> None:
    """A filled rectangle between two corners."""
    painter.fillRect(QRectF(QPointF(*corner), QPointF(*opposite)), QColor(color))


def polygon(points: Sequence[Point], *, closed: bool = True) -> QPainterPath:
    """A path through the points."""
    path = QPainterPath()
    path.addPolygon(QPolygonF([QPointF(x, y) for x, y in points]))
    if closed:
        path.closeSubpath()
    return path


def shape(
    painter: QPainter, path: QPainterPath, *, fill: str = "", stroke: QPen | None = None
) -> None:
    """A path, filled and outlined as asked."""
    painter.setPen(stroke if stroke is not None else QPen(NO_PEN))
    painter.setBrush(QColor(fill) if fill else NO_BRUSH)
    painter.drawPath(path)


def hatch(painter: QPainter, path: QPainterPath, color: str, *, gap: float, width: float) -> None:
    """Diagonal lines rising to the right inside a path, `gap` apart along the horizontal."""
    box = path.boundingRect()
    painter.save()
    painter.setClipPath(path, Qt.ClipOperation.IntersectClip)
    painter.setPen(pen(color, width))
    x = box.left() - box.height()
    # Lines stay where they are while the shape grows, so a moving lozenge does not shimmer.
    x = gap * (x // gap)
    while x < box.right():
        painter.drawLine(QLineF(x, box.bottom(), x + box.height(), box.top()))
        x += gap
    painter.restore()


def arrow_head(tip: QPointF, angle: float, length: float, half_width: float) -> QPainterPath:
    """A filled triangle whose point is at `tip`, pointing along `angle` (radians, y down)."""
    back = QPointF(tip.x() - length * cos(angle), tip.y() - length * sin(angle))
    across = QPointF(-sin(angle) * half_width, cos(angle) * half_width)
    return polygon(
        [
            (tip.x(), tip.y()),
            (back.x() + across.x(), back.y() + across.y()),
            (back.x() - across.x(), back.y() - across.y()),
        ]
    )


def arrow(
    painter: QPainter,
    tail: QPointF,
    tip: QPointF,
    color: str,
    *,
    width: float = 2.0,
    head: float = 9.0,
) -> None:
    """A line with a filled head; only the head where the way is shorter than it."""
    way = hypot(tip.x() - tail.x(), tip.y() - tail.y())
    angle = atan2(tip.y() - tail.y(), tip.x() - tail.x())
    if way > head:
        end = QPointF(
            tip.x() - 0.8 * head * cos(angle),
            tip.y() - 0.8 * head * sin(angle),
        )
        painter.setPen(pen(color, width))
        painter.drawLine(QLineF(tail, end))
    shape(painter, arrow_head(tip, angle, min(head, max(way, 4.0)), 0.52 * head), fill=color)
