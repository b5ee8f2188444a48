"""A quantity's rows: a visit each, its ruler on the axis of all, its value, the limits below."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter

from benchassist.core.ruler import Ruler, Scale
from benchassist.core.ruler_stack import stack_scale
from benchassist.paint import lettering
from benchassist.paint.history_row import paint_history_row
from benchassist.paint.palette import Palette
from benchassist.paint.stroke import line, pen
from benchassist.services.record.machine_file_view import QuantityCard, QuantityRow
from benchassist.services.translation import _
from benchassist.ui.lettering import RIGHT, Style, row

AXIS: Final = 21.0
"""Height of the row below, with the limits."""
ROW_LEAST: Final = 18.5
ROW_MOST: Final = 42.0
NEWEST_MORE: Final = 8.0
"""How much higher the newest row is: its figures are to be read from two metres."""
LARGEST: Final = 28
SLACK: Final = 0.02
"""Of a row: places are whole pixels, so that rows may have a hair less than was asked for."""


@dataclass(frozen=True, slots=True)
class QuantityShown:
    """A quantity, whether the cursor is on it, and the visit that is selected."""

    card: QuantityCard
    selected: bool = False
    visit_id: str = ""


def row_words(shown: QuantityRow) -> str:
    """One visit's value in words."""
    value = " ".join(t for t in (shown.value or _("none"), shown.doubt, shown.verdict_text) if t)
    return ", ".join(t for t in (f"{shown.when}: {value}", shown.note, shown.mark_text) if t)


def scale_for(card: QuantityCard) -> Scale:
    """The axis of all visits, those out of view too: rows do not shift as one goes through them."""
    rulers = [each.ruler for each in card.rows if each.ruler is not None]
    return stack_scale(rulers, [limit for limit, _text in card.limits])


def in_view(rows: Sequence[QuantityRow], visit_id: str, fits: int) -> tuple[int, int]:
    """First and after-last of as many rows as fit: the newest, or back to the selected visit's."""
    first = max(0, len(rows) - fits)
    here = next((i for i, each in enumerate(rows) if each.visit_id == visit_id), first)
    first = min(first, here)
    return first, min(len(rows), first + fits)


def ruler_for(rows: Sequence[QuantityRow], place: int) -> Ruler | None:
    """A row's ruler; where nothing was taken the band alone, as it stood before, else after."""
    own = rows[place].ruler
    if own is not None:
        return own
    near = [*reversed(rows[:place]), *rows[place + 1 :]]
    lent = next((each.ruler for each in near if each.ruler is not None), None)
    if lent is None:
        return None
    return replace(lent, value=None, doubt=0.0, overload=False, before=None, earlier=())


def paint_rows(painter: QPainter, room: QRectF, shown: QuantityShown, palette: Palette) -> None:
    """The rows that fit from the top of `room`, the limits below them."""
    card = shown.card
    fits = max(1, int((room.height() - AXIS - NEWEST_MORE) / ROW_LEAST + SLACK))
    first, last = in_view(card.rows, shown.visit_id, fits)
    columns = Columns.of(card, range(first, last), room, palette)
    y = room.top()
    for place in range(first, last):
        newest = place == len(card.rows) - 1
        tall = columns.high + (NEWEST_MORE if newest else 0.0)
        _paint_row(painter, QRectF(room.left(), y, room.width(), tall), shown, place, columns)
        y += tall
    foot = QRectF(room.left(), y, room.width(), AXIS)
    _paint_foot(painter, foot, shown, first, columns)


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """Where the strip of rulers stands between names and values, and how these are set."""

    left: float
    right: float
    high: float
    scale: Scale
    name: Style
    value: Style
    newest: Style
    palette: Palette

    @classmethod
    def of(cls, card: QuantityCard, places: range, room: QRectF, palette: Palette) -> "Columns":
        """As wide as the names and values in view ask for."""
        high = min(ROW_MOST, (room.height() - AXIS - NEWEST_MORE) / max(1, len(places)))
        px = 18 if high >= 24.0 else 17 if high >= 21.0 else 16
        name = Style(px=px, weight=400, color=palette.dim)
        value = Style(px=px, weight=600, color=palette.ink, align=RIGHT)
        newest = Style(px=min(LARGEST, int(high + 4.0)), weight=800, color=palette.ink, align=RIGHT)
        rows = [card.rows[i] for i in places]
        last = len(card.rows) - 1
        named = max(replace(name, weight=700).width(each.when) for each in rows)
        valued = max(
            _value_style(card.rows[i], newest if i == last else value, palette).width(
                card.rows[i].value or _("none")
            )
            for i in places
        )
        valued = min(valued, 0.4 * room.width())
        return cls(
            left=room.left() + min(named, 0.34 * room.width()) + 10.0,
            right=room.right() - valued - 12.0,
            high=high,
            scale=scale_for(card),
            name=name,
            value=value,
            newest=newest,
            palette=palette,
        )


def _value_style(shown: QuantityRow, style: Style, palette: Palette) -> Style:
    """'none' is quiet and small, words for an overload are no digits."""
    if not shown.value:
        return replace(style, px=min(style.px, 18), weight=400, color=palette.dim)
    return style if shown.value[:1].isdigit() else replace(style, px=min(style.px, 20))


def _paint_row(
    painter: QPainter, room: QRectF, shown: QuantityShown, place: int, columns: Columns
) -> None:
    rows, palette = shown.card.rows, columns.palette
    each, newest = rows[place], place == len(rows) - 1
    if each.visit_id == shown.visit_id:
        painter.fillRect(room.adjusted(-8.0, 0.0, 8.0, 0.0), QColor(palette.well))
        painter.fillRect(QRectF(room.left() - 12.0, room.top(), 5.0, room.height()), palette.live)
    name = columns.name
    if each.now:
        name = replace(name, weight=700, color=palette.ink)
    where = QRectF(room.left(), room.top(), columns.left - room.left() - 8.0, room.height())
    row(painter, where, each.when, name, least=11)
    ruler = ruler_for(rows, place)
    if ruler is not None:
        strip = QRectF(columns.left, room.top(), columns.right - columns.left, room.height())
        paint_history_row(painter, strip, ruler, columns.scale, palette)
    style = _value_style(each, columns.newest if newest else columns.value, palette)
    where = QRectF(
        columns.right + 8.0, room.top(), room.right() - columns.right - 8.0, room.height()
    )
    row(painter, where, each.value or _("none"), style, least=13)
    if each.broken and place:
        y = room.top()
        line(painter, (room.left(), y), (room.right(), y), pen(palette.ink, 1.8, dash=(5.0, 3.0)))


def _paint_foot(
    painter: QPainter, room: QRectF, shown: QuantityShown, hidden: int, columns: Columns
) -> None:
    """The axis with the limits, how many rows are hidden, the doubt of the selected value."""
    card, palette = shown.card, columns.palette
    line(painter, (columns.left, room.top()), (columns.right, room.top()), pen(palette.ink, 2.0))
    quiet = Style(px=15, weight=400, color=palette.dim)
    if hidden:
        where = QRectF(room.left(), room.top(), columns.left - room.left() - 6.0, room.height())
        row(painter, where, f"+{hidden}", quiet)
    chosen = [each for each in card.rows if each.visit_id == shown.visit_id and each.doubt]
    doubt = (chosen or [each for each in card.rows[-1:] if each.doubt])[:1]
    taken = room.right()
    for each in doubt:
        where = QRectF(columns.left, room.top(), room.right() - columns.left, room.height())
        taken -= row(painter, where, each.doubt, replace(quiet, align=RIGHT), least=13).width()
    _paint_limits(painter, room, card, columns, (room.left() + 30.0 * bool(hidden), taken - 8.0))


def _paint_limits(
    painter: QPainter,
    room: QRectF,
    card: QuantityCard,
    columns: Columns,
    free: tuple[float, float],
) -> None:
    """The limits’ digits below their posts, apart; those without room are left out."""
    style = Style(px=15, weight=500, color=columns.palette.ink)
    start, end = free
    baseline = room.top() + 17.0
    wide = columns.right - columns.left
    spots = [
        (columns.left + columns.scale.place(limit) * wide, text, style.width(text))
        for limit, text in card.limits
    ]
    lefts = [x - width / 2.0 for x, _text, width in spots]
    if len(spots) == 2:
        overlap = lefts[0] + spots[0][2] + 8.0 - lefts[1]
        if overlap > 0.0:
            lefts = [lefts[0] - overlap / 2.0, lefts[1] + overlap / 2.0]
    for left, (_x, text, width) in zip(lefts, spots, strict=True):
        placed = max(start, min(left, end - width))
        if placed >= start and placed + width <= end + 0.5:
            lettering.draw(painter, placed, baseline, text, style)
            start = placed + width + 8.0
