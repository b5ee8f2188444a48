"""One quantity looked at closely: every visit in a row with value, doubt, verdict and notes."""

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint import lettering
from benchassist.paint.glyph import paint_verdict_glyph
from benchassist.paint.history_row import paint_history_row
from benchassist.paint.palette import Palette
from benchassist.paint.stroke import line, pen
from benchassist.services.record.machine_file_view import QuantityCard, QuantityRow
from benchassist.services.translation import _
from benchassist.ui.lettering import CENTRE, Style, paragraph, row
from benchassist.ui.machine_rows import (
    SLACK,
    QuantityShown,
    in_view,
    row_words,
    ruler_for,
    scale_for,
)
from benchassist.ui.panel import paint_panel
from benchassist.ui.part import Part

ROW, AXIS, FOOT = 46.0, 26.0, 92.0


class QuantityDetail(Part[QuantityShown | None]):
    """The rows that fit, the selected visit's among them; what may be said at the foot."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(None, parent)

    def words(self) -> str:
        """Every row, then what is said of a change."""
        if self.value is None:
            return ""
        card = self.value.card
        rows = map(row_words, card.rows)
        return ". ".join(t for t in (card.title, *rows, card.drift_text, card.foot) if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Rows on a panel, limits below them, the words at the foot."""
        paint_panel(painter, room, palette)
        shown = self.value
        if shown is None:
            return
        card, rows = shown.card, shown.card.rows
        inner = room.adjusted(20.0, 10.0, -20.0, -10.0)
        body = inner.adjusted(0.0, 0.0, 0.0, -FOOT - AXIS)
        fits = max(1, int(body.height() / ROW + SLACK))
        first, last = in_view(rows, shown.visit_id, fits)
        wide = inner.width()
        when, strip, value = 0.14 * wide, 0.36 * wide, 0.21 * wide
        left = inner.left() + when
        scale = scale_for(card)
        y = body.top()
        for place in range(first, last):
            each = rows[place]
            if each.visit_id == shown.visit_id:
                _paint_chosen(painter, QRectF(room.left(), y, room.width(), ROW), palette)
            name = Style(
                px=20,
                weight=700 if each.now else 400,
                color=palette.ink if each.now else palette.dim,
            )
            row(painter, QRectF(inner.left(), y, when - 8.0, ROW), each.when, name, least=13)
            ruler = ruler_for(rows, place)
            if ruler is not None:
                where = QRectF(left, y, strip, ROW)
                paint_history_row(painter, where, ruler, scale, palette)
            self._value(painter, QRectF(left + strip + 8.0, y, value, ROW), each, palette)
            said = QRectF(left + strip + value + 24.0, y, 0.0, ROW)
            said.setRight(inner.right())
            self._said(painter, said, each, palette)
            if each.broken and place:
                dashes = pen(palette.ink, 1.8, dash=(6.0, 4.0))
                line(painter, (inner.left(), y), (inner.right(), y), dashes)
            y += ROW
        _paint_limits(painter, QRectF(left, y, strip, AXIS), card, palette)
        if first:
            hidden = QRectF(inner.left(), y, when - 8.0, AXIS)
            text = _("{n} older").format(n=first)
            row(painter, hidden, text, Style(px=16, weight=400, color=palette.dim), least=12)
        _paint_foot(
            painter, QRectF(inner.left(), inner.bottom() - FOOT + 6.0, wide, FOOT), card, palette
        )

    def _value(self, painter: QPainter, room: QRectF, each: QuantityRow, palette: Palette) -> None:
        """Digits large, the doubt small behind them; 'none' where nothing was taken."""
        if not each.value:
            quiet = Style(px=20, weight=400, color=palette.dim)
            row(painter, room, _("none"), quiet)
            return
        digits = Style(px=28, weight=800, color=palette.ink)
        taken = row(painter, room, each.value, digits, least=16).width()
        rest = room.adjusted(taken + 8.0, 4.0, 0.0, 4.0)
        if rest.width() > 20.0:
            row(painter, rest, each.doubt, Style(px=19, weight=400, color=palette.dim), least=13)

    def _said(self, painter: QPainter, room: QRectF, each: QuantityRow, palette: Palette) -> None:
        """Sign and verdict; what else has to be known of it below."""
        note = each.remark
        top = room if not note else QRectF(room.left(), room.top(), room.width(), 26.0)
        x = room.left()
        if each.verdict is not None and each.verdict_text:
            sign = QRectF(x, top.center().y() - 9.0, 43.0, 18.0)
            paint_verdict_glyph(painter, sign, each.verdict, each.side, palette)
            style = Style(px=18, weight=700, color=palette.text(each.verdict))
            where = QRectF(x + 52.0, top.top(), room.width() - 52.0, top.height())
            row(painter, where, each.verdict_text, style, least=12)
        if note:
            below = QRectF(x, room.top() + 25.0, room.width(), 19.0)
            row(painter, below, note, Style(px=15, weight=500, color=palette.dim), least=11)


def _paint_chosen(painter: QPainter, room: QRectF, palette: Palette) -> None:
    """The ground of the selected visit's row."""
    painter.fillRect(room.adjusted(1.0, 0.0, -1.0, 0.0), QColor(palette.well))
    painter.fillRect(QRectF(room.left(), room.top(), 6.0, room.height()), palette.live)


def _paint_limits(painter: QPainter, room: QRectF, card: QuantityCard, palette: Palette) -> None:
    line(painter, (room.left(), room.top()), (room.right(), room.top()), pen(palette.ink, 2.0))
    style = Style(px=17, weight=500, color=palette.ink, align=CENTRE)
    scale, free = scale_for(card), room.left() - 40.0
    for limit, text in card.limits:
        x = room.left() + scale.place(limit) * room.width()
        half = style.width(text) / 2.0
        x = min(max(x, free + half), room.right() + 30.0 - half)
        free = lettering.draw(painter, x, room.top() + 20.0, text, style).right() + 10.0


def _paint_foot(painter: QPainter, room: QRectF, card: QuantityCard, palette: Palette) -> None:
    """What may be said of a change, its figures, and what was last in band."""
    said = Style(px=24, weight=800, color=palette.ink)
    row(painter, QRectF(room.left(), room.top(), room.width(), 32.0), card.drift_text, said)
    below = QRectF(room.left(), room.top() + 34.0, room.width(), 46.0)
    paragraph(painter, below, card.foot, Style(px=18, weight=400, color=palette.dim), least=13)
