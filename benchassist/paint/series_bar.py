"""The series check as a drawing: the pieces laid end to end against the whole path.

What the path has more than its pieces is hatched and dashed; what it has less cuts into the last
piece. The lozenge at the path's tick is as wide as the doubt of the difference.
"""

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter, QPainterPath

from benchassist.core.band import Verdict
from benchassist.core.path import Closure
from benchassist.paint import lettering
from benchassist.paint.lettering import CENTRE, RIGHT, Style
from benchassist.paint.lozenge import Lozenge, paint_lozenge
from benchassist.paint.palette import Palette
from benchassist.paint.ruler_axis import MINIMUM_HALF_WIDTH
from benchassist.paint.stroke import arrow_head, hatch, line, pen, shape

LABEL, BLOCK, AXIS = 26.0, 36.0, 34.0
"""Heights of the label above, the blocks, and the axis with its figures below."""
HEIGHT = LABEL + BLOCK + AXIS
SHOWN_GAP = 3.0
"""A difference narrower than this is under the tick."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SeriesBar:
    """Pieces (label and value) and path in one unit; the axis runs from 0 to `top`."""

    pieces: tuple[tuple[str, float], ...]
    path: float
    doubt: float
    path_label: str
    closure: Closure
    unit: str
    top: float
    ticks: tuple[float, ...] = ()

    @property
    def total(self) -> float:
        """The pieces added up."""
        return sum(value for _label, value in self.pieces)


def verdict_of(closure: Closure) -> Verdict:
    """In whose manner the lozenge is drawn."""
    match closure:
        case Closure.CLOSES:
            return Verdict.IN_BAND
        case Closure.HIDDEN_JOINT | Closure.PARALLEL_PATH:
            return Verdict.OUT_OF_BAND
        case Closure.UNDECIDED:
            return Verdict.TOO_CLOSE
        case _:
            return Verdict.CANNOT_TELL


def paint_series_bar(painter: QPainter, room: QRectF, bar: SeriesBar, palette: Palette) -> None:
    """The drawing in `room`, at least `HEIGHT` high; a higher one has higher blocks."""
    if not bar.pieces or bar.top <= 0.0:
        return
    blocks = QRectF(
        room.left(),
        room.top() + LABEL,
        room.width(),
        min(54.0, max(16.0, room.height() - LABEL - AXIS)),
    )
    scale = blocks.width() / bar.top
    left = blocks.left()
    places = _places(bar, blocks, scale)
    for i, (_label, place) in enumerate(places):
        path = QPainterPath()
        path.addRect(place)
        fill = palette.well if i % 2 else palette.band
        shape(painter, path, fill=fill, stroke=pen(palette.band_edge, 1.6))
    x, end = left + scale * bar.path, left + scale * bar.total
    if abs(x - end) > SHOWN_GAP:
        _paint_difference(painter, blocks, min(x, end), max(x, end), palette)
    for label, place in places:
        clear = min(place.right(), x - 5.0) if place.right() > x - 5.0 else place.right()
        _paint_piece(
            painter, QRectF(place.topLeft(), QPointF(clear, place.bottom())), label, palette
        )
    lozenge = Lozenge(
        centre=x,
        half_width=max(MINIMUM_HALF_WIDTH, scale * bar.doubt),
        middle=blocks.center().y(),
        half_height=0.42 * blocks.height(),
        left=left,
        right=blocks.right(),
    )
    paint_lozenge(painter, lozenge, verdict_of(bar.closure), palette, hatch_gap=8.0)
    _paint_axis(painter, blocks, bar, scale, palette)
    bottom = blocks.bottom() + 10.0
    line(painter, (x, blocks.top() - 3.0), (x, bottom), pen(palette.ink, 4.0))
    cap = arrow_head(QPointF(x, blocks.top() + 4.0), 1.5708, 10.0, 8.0)
    shape(painter, cap, fill=palette.ink)
    _paint_label(painter, room, x, bar.path_label, palette)


def _places(bar: SeriesBar, blocks: QRectF, scale: float) -> list[tuple[str, QRectF]]:
    x, places = blocks.left(), list[tuple[str, QRectF]]()
    for label, value in bar.pieces:
        wide = scale * value
        places.append((label, QRectF(x, blocks.top(), wide, blocks.height())))
        x += wide
    return places


def _paint_piece(painter: QPainter, room: QRectF, label: str, palette: Palette) -> None:
    """The label on one line, else on two; left out where it has no room, the words say it too."""
    for rows in ((label,), tuple(label.split(" ", 1))):
        for px in (16, 15, 14, 13):
            style = Style(px=px, weight=700, color=palette.ink, align=CENTRE)
            step = 1.15 * px
            if (
                max(style.width(text) for text in rows) <= room.width() - 6.0
                and step * len(rows) <= room.height()
            ):
                y = room.center().y() + 0.334 * px - step * (len(rows) - 1) / 2.0
                for i, text in enumerate(rows):
                    lettering.draw(painter, room.center().x(), y + i * step, text, style)
                return


def _paint_difference(
    painter: QPainter, blocks: QRectF, left: float, right: float, palette: Palette
) -> None:
    """What the pieces leave unexplained."""
    path = QPainterPath()
    path.addRect(QRectF(left, blocks.top(), right - left, blocks.height()))
    hatch(painter, path, palette.out_text, gap=8.0, width=1.8)
    shape(painter, path, stroke=pen(palette.out_text, 1.6, dash=(5.0, 4.0)))


def _paint_axis(
    painter: QPainter, blocks: QRectF, bar: SeriesBar, scale: float, palette: Palette
) -> None:
    """Figures below their ticks; the unit follows the last one."""
    y = blocks.bottom() + 10.0
    line(painter, (blocks.left(), y), (blocks.right(), y), pen(palette.ink, 2.0))
    style = Style(px=15, color=palette.ink, align=CENTRE)
    free = blocks.right() + 8.0
    for i, tick in reversed(tuple(enumerate(bar.ticks))):
        x = blocks.left() + scale * tick
        line(painter, (x, y), (x, y + 7.0), pen(palette.ink, 2.0))
        text = f"{tick:g}" if i + 1 < len(bar.ticks) else f"{tick:g} {bar.unit}"
        half = style.width(text) / 2.0
        at = max(blocks.left() + half, min(x, blocks.right() - half))
        if at + half + 8.0 <= free:
            lettering.draw(painter, at, y + 22.0, text, style)
            free = at - half


def _paint_label(painter: QPainter, room: QRectF, x: float, label: str, palette: Palette) -> None:
    """Above the path's tick, beside its cap, kept inside the drawing."""
    style = Style(px=17, weight=700, color=palette.ink, align=RIGHT)
    label, style = lettering.fit(label, room.width(), style, least=13)
    wide = style.width(label)
    right = max(room.left() + wide, min(x - 12.0, room.right()))
    if x - 12.0 - wide < room.left() and x + 12.0 + wide <= room.right():
        right = x + 12.0 + wide
    lettering.draw(painter, right, room.top() + 16.0, label, style)
