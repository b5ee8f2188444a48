"""Where the words of a ruler stand, so that no two overlap and none leaves the ruler."""

from collections.abc import Iterable
from dataclasses import replace

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from benchassist.paint.caliper import SIGN, paint_caliper_sign
from benchassist.paint.lettering import LEFT, RIGHT, SMALLEST, Style, balance, draw, fit
from benchassist.paint.lozenge import Lozenge, paint_lozenge
from benchassist.paint.palette import Palette
from benchassist.paint.ruler_axis import Axis, Block
from benchassist.paint.stroke import line, pen

READING_BASELINE = 19.0
BAND_BASELINE = 60.5
LEGEND_BASELINE = 132.0
LEADER_ELBOW = 26.0
_CAP = 9.0
_PX = 16
Span = tuple[float, float]


def free_spans(start: float, end: float, taken: Iterable[Span]) -> tuple[Span, ...]:
    """What `taken` leaves of the stretch from start to end, left to right."""
    free: list[Span] = []
    for left, right in sorted(taken):
        if left > start:
            free.append((start, min(left, end)))
        start = max(start, right)
    if start < end:
        free.append((start, end))
    return tuple((left, right) for left, right in free if right > left)


def place_reading_label(axis: Axis) -> QRectF | None:
    """Where the reading's figures stand: beside the tick, away from the nearer edge of the band.

    On the other side where there is no room or the arrow from `before` runs. The rectangle's
    bottom is the baseline. None without a reading label.
    """
    ruler = axis.ruler
    if not ruler.reading_label:
        return None
    width = min(axis.width, Style(px=_PX, weight=700, color="").width(ruler.reading_label))

    def at(left: float) -> QRectF:
        return QRectF(left, READING_BASELINE - _PX, width, _PX)

    if axis.beyond:
        return at(axis.width - width if axis.beyond > 0 else 0.0)
    tick = axis.tick
    if tick is None:
        return None
    right, left = tick + _CAP + 7.0, tick - _CAP - 7.0 - width
    taken = [_arrow(axis, tick)] if ruler.before is not None else []
    sides = (left, right) if _nearer_edge_is_high(axis, tick) else (right, left)
    for start in sides:
        clear = all(start > end or start + width < begin for begin, end in taken)
        if clear and start >= 0.0 and start + width <= axis.width:
            return at(start)
    spans = free_spans(0.0, axis.width, [*taken, (tick - _CAP - 7.0, tick + _CAP + 7.0)])
    roomy = [span for span in spans if span[1] - span[0] >= width]
    if not roomy:
        return at(max(0.0, min(right, axis.width - width)))
    begin, end = min(roomy, key=lambda span: min(abs(span[0] - tick), abs(span[1] - tick)))
    return at(begin if begin >= tick else end - width)


def _arrow(axis: Axis, tick: float) -> Span:
    """The stretch that the arrow from the reading before takes."""
    before = axis.x(axis.ruler.before or 0.0)
    return min(before, tick) - 8.0, max(before, tick) + 8.0


def _nearer_edge_is_high(axis: Axis, tick: float) -> bool:
    low, high = axis.ruler.low, axis.ruler.high
    to_low = abs(tick - axis.x(low)) if low is not None else float("inf")
    to_high = abs(tick - axis.x(high)) if high is not None else float("inf")
    return to_high < to_low


def paint_band_label(
    painter: QPainter,
    axis: Axis,
    part: Block | None,
    reading: QRectF | None,
    palette: Palette,
    *,
    above: bool = False,
) -> bool:
    """The band's limits and source: in the block, else beside it, else above it with a leader.

    Returns whether they stand above it.
    """
    text = axis.ruler.band_label
    if not text:
        return False
    style = Style(px=_PX, weight=700, color=palette.ink)
    if part is not None and not above and _paint_in_row(painter, axis, part, text, style):
        return False
    _paint_above(painter, axis, part, reading, palette=palette, style=style)
    return True


def _paint_in_row(painter: QPainter, axis: Axis, part: Block, text: str, style: Style) -> bool:
    """In or beside the block, on a line with it; whether there was room.

    It keeps to the ends of the block, so that it stands still while the reading moves.
    """
    marks = _marks(axis)
    inner = free_spans(
        part.left + (20.0 if part.low_cut else 12.0),
        part.right - (20.0 if part.high_cut else 12.0),
        marks,
    )
    # Beside the block only where nothing stands between: words next to the lozenge would seem its.
    outer = free_spans(
        0.0, axis.width, [*marks, (part.left - 12.0, part.left), (part.right, part.right + 12.0)]
    )
    outer = tuple(s for s in outer if s[1] == part.left - 12.0 or s[0] == part.right + 12.0)
    middle = (part.left + part.right) / 2.0
    for count, px in ((1, _PX), (1, SMALLEST), (2, SMALLEST)):
        sized = style.sized(px)
        for spans, inside in ((inner, True), (outer, False)):
            # Widest first, so that the words stay put while the reading moves within the band.
            for begin, end in sorted(spans, key=lambda span: span[0] - span[1]):
                if max(map(sized.width, text.split()), default=0.0) > end - begin:
                    continue
                rows = _limit_and_source(text, end - begin, sized)
                if len(rows) > count:
                    continue
                to_right = (begin + end) / 2.0 > middle + 1.0 if inside else end < middle
                aligned = replace(sized, align=RIGHT if to_right else LEFT)
                for row, shown in enumerate(rows):
                    y = BAND_BASELINE + 18.0 * (row - (len(rows) - 1) / 2.0)
                    draw(painter, end if to_right else begin, y, shown, aligned)
                return True
    return False


def _limit_and_source(text: str, width: float, style: Style) -> tuple[str, ...]:
    """The label in one line; else broken after the limits, where the source begins; else evenly."""
    limit, comma, source = text.partition(", ")
    halves = (limit + ",", source)
    if not comma or style.width(text) <= width or max(map(style.width, halves)) > width:
        return balance(text, width, style)
    return halves


def _marks(axis: Axis) -> list[Span]:
    """What stands in the row of the block: lozenge, tick, the tick before, the arrow at an end."""
    taken: list[Span] = []
    lozenge = axis.lozenge(0.0, 1.0)
    if lozenge is not None:
        taken.append((lozenge.ends[0] - 8.0, lozenge.ends[1] + 8.0))
    if axis.ruler.before is not None:
        x = axis.x(axis.ruler.before)
        taken.append((x - 11.0, x + 11.0))
    if axis.beyond > 0:
        taken.append((axis.width - 28.0, axis.width))
    if axis.beyond < 0:
        taken.append((0.0, 28.0))
    return taken


def _paint_above(
    painter: QPainter,
    axis: Axis,
    part: Block | None,
    reading: QRectF | None,
    *,
    palette: Palette,
    style: Style,
) -> None:
    """Over the block with a leader line down to it, as near as the reading's figures allow."""
    taken: list[Span] = []
    if reading is not None:
        taken.append((reading.left() - 18.0, reading.right() + 18.0))
    if axis.tick is not None:
        # The shaft of the arrow from `before` passes over these words; its head is at the tick.
        taken.append((axis.tick - 15.0, axis.tick + 15.0))
    anchor = axis.width if part is None else (part.left + part.right) / 2.0
    text = axis.ruler.band_label
    wanted = style.width(text) + 0.5
    places: list[tuple[bool, float, Span, bool]] = []
    for begin, end in free_spans(0.0, axis.width, taken):
        for right, (start, stop) in (
            (True, (max(begin, anchor + 16.0), end)),
            (False, (begin, min(end, anchor - 16.0))),
        ):
            room = stop - start
            away = start - anchor if right else anchor - stop
            # Nearest of those that hold all of it, else the one that holds most.
            places.append((room < wanted, away if room >= wanted else -room, (start, stop), right))
    if not places:
        return
    _, _, (start, stop), right = min(places)
    shown, fitted = fit(text, stop - start, style)
    left = start if right else stop - fitted.width(shown)
    box = draw(painter, left, READING_BASELINE, shown, fitted)
    if part is not None:
        _paint_leader(painter, anchor, box, reading, palette)


def _paint_leader(
    painter: QPainter, anchor: float, box: QRectF, reading: QRectF | None, palette: Palette
) -> None:
    """From the block up to the level of the words, under the reading's figures where those are."""
    stroke = pen(palette.band_edge, 2.0)
    end = box.left() - 6.0 if box.left() > anchor else box.right() + 6.0
    level = box.center().y()
    between = reading is not None and min(anchor, end) < reading.center().x() < max(anchor, end)
    elbow = LEADER_ELBOW if between else level
    line(painter, (anchor, 33.0), (anchor, elbow - 1.0), stroke)
    if not between:
        line(painter, (anchor, level), (end, level), stroke)
        return
    turn = end - 8.0 if end > anchor else end + 8.0
    line(painter, (anchor, elbow), (turn, elbow), stroke)
    line(painter, (turn, elbow + 1.0), (turn, level - 1.0), stroke)
    line(painter, (turn, level), (end, level), stroke)


def paint_legend(painter: QPainter, axis: Axis, palette: Palette, *, own: bool = False) -> None:
    """One row: what the lozenge means, the earlier values, the leads. Long texts are elided.

    `own`: the words of the shop's own band, which found no room above.
    """
    ruler = axis.ruler
    items = [
        (text, sign)
        for text, sign in (
            (ruler.doubt_label, "doubt"),
            (ruler.earlier_label, "earlier"),
            (ruler.own_label if own else "", "own"),
            (ruler.leads_label, ""),
        )
        if text
    ]
    if not items:
        return
    style = Style(px=_PX, color=palette.dim)
    signs = {"doubt": 33.0, "earlier": 19.0, "own": SIGN + 7.0, "": 0.0}
    fixed = sum(signs[sign] for _, sign in items) + 28.0 * (len(items) - 1)
    widths = [style.width(text) + 1.0 for text, _ in items]
    if fixed + sum(widths) > axis.width:
        style = style.sized(SMALLEST)
        widths = [style.width(text) + 1.0 for text, _ in items]
    cap = _cap(widths, axis.width - fixed)
    x = 0.0
    for (text, sign), width in zip(items, widths, strict=True):
        _paint_sign(painter, x, sign, axis, palette)
        x += signs[sign]
        shown, fitted = fit(text, min(width, cap), style)
        draw(painter, x, LEGEND_BASELINE, shown, fitted)
        x += min(width, cap) + 28.0


def _cap(widths: list[float], room: float) -> float:
    """The width beyond which texts are cut so that all fit in `room`: the longest give first."""
    left, count = room, len(widths)
    for width in sorted(widths):
        if width > left / count:
            return left / count
        left, count = left - width, count - 1
    return max(widths)


def _paint_sign(painter: QPainter, x: float, sign: str, axis: Axis, palette: Palette) -> None:
    middle = LEGEND_BASELINE - 5.5
    if sign == "doubt":
        lozenge = Lozenge(
            centre=x + 13.0, half_width=12.5, middle=middle, half_height=7.0, left=x, right=x + 26.0
        )
        paint_lozenge(painter, lozenge, axis.ruler.verdict, palette, hatch_gap=6.0)
    elif sign == "own":
        paint_caliper_sign(painter, x, middle, palette)
    elif sign == "earlier":
        for tick in (x + 2.0, x + 9.0):
            line(painter, (tick, middle - 9.0), (tick, middle + 9.0), pen(palette.faint, 3.0))
