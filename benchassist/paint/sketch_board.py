"""What a probe sketch is drawn on: ink lines, flat fills, probes, and labels that always fit.

A sketch is made for 288 x 224 units. Squeezed lower, the drawing shrinks about its middle and the
labels keep their size, gaining the room beside it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import cos, radians, sin

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter, QPainterPath

from benchassist.paint.lettering import LEFT, SMALLEST, Style, balance, draw, wrap
from benchassist.paint.palette import Palette
from benchassist.paint.stroke import ROUND, Point, design, fitted, pen, polygon, shape

WIDTH, HEIGHT = 288.0, 224.0
LINE = 3.0
_MARGIN = 8.0
_LABEL_PX = 16
_LEADING = 18.0


def trace(description: str) -> QPainterPath:
    """A path from letters and points: M, L, C, Q with pairs `x,y`, H x, V y, Z to close."""
    path = QPainterPath()
    words = description.split()
    while words:
        match words.pop(0):
            case "M":
                path.moveTo(_point(words))
            case "L":
                path.lineTo(_point(words))
            case "H":
                path.lineTo(float(words.pop(0)), path.currentPosition().y())
            case "V":
                path.lineTo(path.currentPosition().x(), float(words.pop(0)))
            case "C":
                path.cubicTo(_point(words), _point(words), _point(words))
            case "Q":
                path.quadTo(_point(words), _point(words))
            case "Z":
                path.closeSubpath()
            case other:
                raise ValueError(f"not a path letter: {other}")
    return path


def _point(words: list[str]) -> QPointF:
    x, y = words.pop(0).split(",")
    return QPointF(float(x), float(y))


@dataclass(frozen=True, slots=True)
class Label:
    """Where a label goes: `room` from x to x, `baseline` of its first line, in units."""

    key: str
    baseline: float
    room: tuple[float, float]
    align: float

    def paint(self, painter: QPainter, sheet: QRectF, text: str, palette: Palette) -> None:
        """Draw it on the whole sketch `sheet`, which may be lower than the drawing was made for."""
        box, scale = fitted(sheet, WIDTH, HEIGHT)
        style = Style(px=_LABEL_PX, weight=700, color=palette.ink, align=self.align)
        left, right = (box.left() + scale * x for x in self.room)
        if style.width(text) > right - left:
            if self.room[0] <= _MARGIN:
                left = _MARGIN
            if self.room[1] >= WIDTH - _MARGIN:
                right = sheet.right() - _MARGIN
        width, x = right - left, left + self.align * (right - left)
        rows = balance(text, width, style)
        if len(rows) > 1:
            style = style.sized(SMALLEST)
            rows = balance(text, width, style)
        if len(rows) > 2:
            rows = wrap(text, width, style, lines=2)
        for row, shown in enumerate(rows):
            y = box.top() + scale * self.baseline + row * _LEADING
            draw(painter, x, y, shown, style)


@dataclass(slots=True)
class Board:
    """One sketch in the making. `contacts` collects where probe tips touch, in units."""

    painter: QPainter
    palette: Palette
    contacts: list[Point] = field(default_factory=list)
    wanted: list[Label] = field(default_factory=list)

    @property
    def ground(self) -> str:
        """The colour of parts that are not filled: the panel they lie on."""
        return self.palette.panel

    def path(self, outline: str | QPainterPath, *, fill: str = "", width: float = LINE) -> None:
        """An outline in ink, filled if asked; `width` 0 leaves the outline away."""
        made = trace(outline) if isinstance(outline, str) else outline
        stroke = pen(self.palette.ink, width, cap=ROUND) if width else None
        shape(self.painter, made, fill=fill, stroke=stroke)

    def thin(self, outline: str, *, width: float = 2.0, color: str = "") -> None:
        """An open line, thinner than an outline, in the colour of a band's edge."""
        shape(
            self.painter,
            trace(outline),
            stroke=pen(color or self.palette.band_edge, width, cap=ROUND),
        )

    def box(self, corner: Point, opposite: Point, *, fill: str = "", radius: float = 0.0) -> None:
        """A rectangle in ink, its corners rounded."""
        made = QPainterPath()
        made.addRoundedRect(QRectF(QPointF(*corner), QPointF(*opposite)), radius, radius)
        self.path(made, fill=fill)

    def ring(self, centre: Point, radius: float, *, fill: str = "", width: float = LINE) -> None:
        """A circle."""
        made = QPainterPath()
        made.addEllipse(QPointF(*centre), radius, radius)
        self.path(made, fill=fill, width=width)

    def cable(self, outline: str, *, width: float = 7.0) -> None:
        """A lead, thick and round-ended."""
        made = trace(outline)
        shape(self.painter, made, stroke=pen(self.palette.ink, width, cap=ROUND))

    def probe(self, tip: Point, degrees: float, *, bend: float = 1.0, size: float = 1.0) -> None:
        """A test probe whose point is exactly at `tip`, pointing along `degrees`: 0 right, 90 down.

        `bend` is the side its lead curls to, 1 or -1; about 104 units long at size 1.
        """
        self.contacts.append(tip)
        painter, ink = self.painter, self.palette.ink
        painter.save()
        painter.translate(*tip)
        painter.rotate(degrees)
        painter.scale(size, size)
        self.cable(f"M -76,0 C -88,0 -97,{6 * bend} -103,{17 * bend}", width=4.4)
        body = trace(
            "M -22,-4.5 H -32 V -8.5 H -37 V -6.5 H -70 Q -77,-6.5 -77,0"
            " Q -77,6.5 -70,6.5 H -37 V 8.5 H -32 V 4.5 H -22 Z"
        )
        shape(painter, body, fill=self.ground, stroke=pen(ink, 2.6, cap=ROUND))
        needle = polygon([(0.0, 0.0), (-22.0, -2.6), (-22.0, 2.6)])
        shape(painter, needle, fill=ink, stroke=pen(ink, 0.8))
        painter.restore()

    def clip(self, tip: Point, degrees: float, *, wire: str) -> None:
        """A spring clip biting at `tip`, pointing along `degrees`; `wire` is drawn to its tail."""
        self.contacts.append(tip)
        painter = self.painter
        self.cable(wire, width=4.4)
        painter.save()
        painter.translate(*tip)
        painter.rotate(degrees)
        for side in (-1.0, 1.0):
            jaw = (
                f"M 1,0 L -26,{11 * side} L -52,{14 * side} L -50,{5 * side}"
                f" L -27,{3 * side} L -13,{2 * side} Z"
            )
            self.path(jaw, fill=self.ground, width=2.4)
        self.ring((-27.0, 0.0), 4.0, fill=self.palette.ink, width=0.0)
        painter.restore()

    def ray(self, centre: Point, degrees: float, *, start: float, end: float) -> None:
        """A short stroke pointing away from `centre`."""
        x, y = centre
        a = radians(degrees)
        self.thin(
            f"M {x + start * cos(a)},{y + start * sin(a)} L {x + end * cos(a)},{y + end * sin(a)}",
            width=2.6,
            color=self.palette.ink,
        )

    def label(
        self, key: str, baseline: float, room: tuple[float, float], *, align: float = LEFT
    ) -> None:
        """The label of that key between two x, its first baseline given; two lines if need be.

        A room that reaches to a side of the sketch grows with it. An absent label is left out.
        """
        self.wanted.append(Label(key, baseline, room, align))

    def paint_labels(self, rect: QRectF, labels: Mapping[str, str]) -> None:
        """Draw the labels over the finished sketch in `rect`, in the painter's own units."""
        scale = rect.width() / WIDTH
        with design(self.painter, rect, scale) as room:
            for wanted in self.wanted:
                text = labels.get(wanted.key, "")
                if text:
                    wanted.paint(self.painter, room, text, self.palette)
