"""Replace or keep as drawings: the chance of a comeback against the break-even, and what moves it.

Left of the post keeping costs less, right of it replacing does. The lozenge is the chance as the
weights give it, from half of a weight to twice; nothing is decided here.
"""

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter, QPainterPath

from benchassist.core.band import Verdict
from benchassist.paint import lettering
from benchassist.paint.lettering import CENTRE, Style
from benchassist.paint.lozenge import Lozenge, paint_lozenge
from benchassist.paint.palette import Palette
from benchassist.paint.ruler_axis import MINIMUM_HALF_WIDTH
from benchassist.paint.stroke import arrow, arrow_head, block, line, pen, shape

LABEL, BLOCK, AXIS = 24.0, 36.0, 34.0
HEIGHT = LABEL + BLOCK + AXIS
ROW = 30.0
"""Height of a row of the sensitivity drawing."""
TEXT_SHARE = 0.42
"""Part of that drawing's width for the words."""
SHARES = ((0.0, "0 %"), (0.5, "50 %"), (1.0, "100 %"))


@dataclass(frozen=True, slots=True, kw_only=True)
class BreakEven:
    """All from 0 to 1. `keep` and `replace` are the words on either side of the post."""

    at: float
    label: str
    keep: str
    replace: str
    chance: float | None = None
    chance_low: float | None = None
    chance_high: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SwingBar:
    """Where the break-even goes with one figure half and half again; None: it never pays."""

    name: str
    low: float | None
    high: float | None
    text: str


def paint_break_even(painter: QPainter, room: QRectF, shown: BreakEven, palette: Palette) -> None:
    """The drawing in `room`, at least `HEIGHT` high; a higher one has a higher block."""
    high = min(60.0, max(18.0, room.height() - LABEL - AXIS))
    lane = QRectF(room.left(), room.top() + LABEL, room.width(), high)
    post = _x(lane, shown.at)
    block(painter, (post, lane.top()), (lane.right(), lane.bottom()), palette.band)
    for y in (lane.top(), lane.bottom()):
        line(painter, (post, y), (lane.right(), y), pen(palette.band_edge, 2.0))
    lozenge = _lozenge(lane, shown)
    for left, right, word in ((lane.left(), post, shown.keep), (post, lane.right(), shown.replace)):
        side = QRectF(left, lane.top(), right - left, high)
        _paint_word(painter, _free(side, lozenge), word, palette)
    if lozenge is not None:
        paint_lozenge(painter, lozenge, Verdict.IN_BAND, palette, hatch_gap=8.0)
        x = lozenge.centre
        line(painter, (x, lane.top() - 3.0), (x, lane.bottom() + 10.0), pen(palette.ink, 4.0))
        cap = arrow_head(QPointF(x, lane.top() + 4.0), 1.5708, 10.0, 8.0)
        shape(painter, cap, fill=palette.ink)
    strong = pen(palette.band_edge, 4.0)
    line(painter, (post, lane.top() - 6.0), (post, lane.bottom() + 10.0), strong)
    _paint_label(painter, room, post, shown.label, palette)
    _paint_axis(painter, lane, palette)


def _x(lane: QRectF, share: float) -> float:
    return lane.left() + min(1.0, max(0.0, share)) * lane.width()


def _lozenge(lane: QRectF, shown: BreakEven) -> Lozenge | None:
    """From the lower to the upper chance, its middle at the chance itself."""
    if shown.chance is None:
        return None
    low = shown.chance if shown.chance_low is None else shown.chance_low
    high = shown.chance if shown.chance_high is None else shown.chance_high
    half = 0.5 * (high - low) * lane.width()
    x = _x(lane, shown.chance)
    return Lozenge(
        centre=x,
        half_width=max(MINIMUM_HALF_WIDTH, half),
        middle=lane.center().y(),
        half_height=0.44 * lane.height(),
        left=lane.left(),
        right=lane.right(),
    )


def _free(side: QRectF, lozenge: Lozenge | None) -> QRectF:
    """The wider part of a side that the lozenge leaves."""
    if lozenge is None:
        return side
    start, end = lozenge.ends
    before = QRectF(side.left(), side.top(), min(side.right(), start) - side.left(), side.height())
    after_left = max(side.left(), end)
    after = QRectF(after_left, side.top(), side.right() - after_left, side.height())
    return before if before.width() >= after.width() else after


def _paint_word(painter: QPainter, side: QRectF, word: str, palette: Palette) -> None:
    """Centred; left out where even small letters have no room, the card's words say it too."""
    for px in (17, 16, 15, 14, 13):
        style = Style(px=px, weight=700, color=palette.ink, align=CENTRE)
        if style.width(word) <= side.width() - 8.0:
            lettering.draw(painter, side.center().x(), side.center().y() + 0.334 * px, word, style)
            return


def _paint_label(
    painter: QPainter, room: QRectF, post: float, label: str, palette: Palette
) -> None:
    """The break-even above its post, kept inside the drawing."""
    style = Style(px=18, weight=800, color=palette.ink, align=CENTRE)
    label, style = lettering.fit(label, room.width(), style, least=13)
    half = style.width(label) / 2.0
    at = max(room.left() + half, min(post, room.right() - half))
    lettering.draw(painter, at, room.top() + 14.0, label, style)


def _paint_axis(painter: QPainter, lane: QRectF, palette: Palette) -> None:
    y = lane.bottom() + 10.0
    line(painter, (lane.left(), y), (lane.right(), y), pen(palette.ink, 2.0))
    for share, text in SHARES:
        x = _x(lane, share)
        line(painter, (x, y), (x, y + 6.0), pen(palette.ink, 2.0))
        style = Style(px=15, color=palette.ink, align=share)
        lettering.draw(painter, x, y + 21.0, text, style)


def paint_swings(
    painter: QPainter,
    room: QRectF,
    swings: tuple[SwingBar, ...],
    at: float,
    palette: Palette,
) -> None:
    """Each figure's bar on one axis, the break-even as it stands a post through all of them.

    The end for less of the figure is open, the one for more of it filled; an arrow to the right
    says that replacing never pays there.
    """
    if not swings:
        return
    high = min(40.0, room.height() / len(swings))
    words = TEXT_SHARE * room.width()
    lane = QRectF(room.left() + words, room.top(), room.width() - words - 12.0, high * len(swings))
    for i, swing in enumerate(swings):
        middle = room.top() + (i + 0.5) * high
        _paint_swing(painter, lane, middle, swing, palette)
        _paint_words(painter, QRectF(room.left(), middle - high / 2, words, high), swing, palette)
    post = _x(lane, at)
    strong = pen(palette.band_edge, 3.0)
    line(painter, (post, lane.top() - 2.0), (post, lane.bottom() + 2.0), strong)


def _paint_words(painter: QPainter, room: QRectF, swing: SwingBar, palette: Palette) -> None:
    """The figure's name above what the break-even comes to."""
    rows = ((swing.name, 600), (swing.text, 400))
    step = min(20.0, 0.5 * room.height())
    for i, (text, weight) in enumerate(rows):
        style = Style(px=int(0.84 * step), weight=weight, color=palette.ink)
        fitting, style = lettering.fit(text, room.width() - 8.0, style, least=11)
        baseline = room.center().y() + (i - 0.5) * step + 0.334 * style.px
        lettering.draw(painter, room.left(), baseline, fitting, style)


def _paint_swing(
    painter: QPainter, lane: QRectF, middle: float, swing: SwingBar, palette: Palette
) -> None:
    """A bar from end to end; an open end for less, a filled one for more."""
    axis = pen(palette.panel_edge, 1.5)
    line(painter, (lane.left(), middle), (lane.right(), middle), axis)
    ends = [_x(lane, 1.0 if end is None else end) for end in (swing.low, swing.high)]
    block(painter, (min(ends), middle - 5.0), (max(ends), middle + 5.0), palette.band_edge)
    for x, end, filled in ((ends[0], swing.low, False), (ends[1], swing.high, True)):
        if end is None:
            tail, tip = QPointF(x - 14.0, middle), QPointF(x + 10.0, middle)
            arrow(painter, tail, tip, palette.ink, width=3.0, head=11.0)
            continue
        square = QPainterPath()
        square.addRect(QRectF(x - 5.0, middle - 8.0, 10.0, 16.0))
        fill = palette.ink if filled else palette.panel
        shape(painter, square, fill=fill, stroke=pen(palette.ink, 2.0))
