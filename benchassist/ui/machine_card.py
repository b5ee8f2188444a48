"""Cards of the counter: an open slip, a machine that was found."""

from dataclasses import dataclass, replace
from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter

from benchassist.paint.glyph import paint_verdict_glyph
from benchassist.paint.mini_ruler import paint_mini_ruler
from benchassist.paint.palette import Palette
from benchassist.paint.sketch import paint_machine
from benchassist.services.desk import LastLine, MachineCard, SlipCard
from benchassist.services.translation import _
from benchassist.ui.cap import cap_width, main_cap, paint_cap
from benchassist.ui.lettering import CENTRE, RIGHT, Style, paragraph, row
from benchassist.ui.panel import paint_main, paint_panel
from benchassist.ui.part import Target

FOOT: Final = 64.0
EDGE: Final = 22.0
LEFT: Final = 210.0
HISTORY: Final = 290.0


@dataclass(frozen=True, slots=True)
class SlipShown:
    """An open slip, and whether Enter would take it up."""

    card: SlipCard
    selected: bool = False


class SlipTarget(Target[SlipShown]):
    """An open slip on paper: whose, what, what was said, how far."""

    def words(self) -> str:
        """All of it."""
        card = self.value.card
        return ". ".join(
            t for t in (card.customer, card.unit_text, card.said, card.place_text) if t
        )

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Three lines and the progress."""
        card = self.value.card
        painter.fillRect(room, QColor(palette.paper))
        high = room.height()
        step = min(24.0, (high - 24.0) / 4.2)
        inner = room.adjusted(18, 12 if high > 110 else 7, -18, 0)
        y = inner.top()
        right = Style(px=16, weight=400, color=palette.dim, align=RIGHT)
        taken = row(painter, QRectF(inner.left(), y, inner.width(), step), card.slip_text, right)
        name = QRectF(inner.left(), y, inner.width() - taken.width() - 12, step)
        row(painter, name, card.customer, Style(px=20, weight=700, color=palette.ink))
        for text, colour in ((card.unit_text, palette.ink), (card.said, palette.dim)):
            y += step
            where = QRectF(inner.left(), y, inner.width(), step)
            row(painter, where, text, Style(px=17, weight=400, color=colour))
        y = room.bottom() - (28 if high > 110 else 20)
        place = Style(px=16, weight=700, color=palette.ink, align=RIGHT)
        where = QRectF(inner.left(), y - 9, inner.width(), 18)
        taken = row(painter, where, card.place_text, place)
        room_left = min(260.0, inner.width() - taken.width() - 24)
        each = min(30.0, room_left / max(1, card.steps))
        for i in range(card.steps):
            colour = palette.ink if i < card.done else palette.rule
            piece = QRectF(inner.left() + i * each, y - 5, each - 3, 10)
            painter.fillRect(piece, QColor(colour))
        if self.value.selected:
            painter.fillRect(QRectF(0, 0, 6, high), QColor(palette.live))


def is_low(room: QRectF) -> bool:
    """Whether a card is too low for a row of buttons below its text: they stand on the left."""
    return room.height() < 280.0


def main_place(room: QRectF) -> QRectF:
    """Where the main button stands on a card."""
    wide = LEFT if is_low(room) else room.width() - 3 * EDGE - HISTORY
    return QRectF(EDGE, room.height() - FOOT - 18, wide, FOOT)


def history_place(room: QRectF) -> QRectF:
    """Where the button to a machine's history stands on its card."""
    main = main_place(room)
    if is_low(room):
        return QRectF(main.left(), main.top() - 8 - 44, main.width(), 44)
    return QRectF(main.right() + EDGE, main.top(), HISTORY, main.height())


@dataclass(frozen=True, slots=True)
class MachineShown:
    """A machine found; the selected one shows its last visit."""

    card: MachineCard
    selected: bool = False


class MachineTarget(Target[MachineShown]):
    """A machine: one row, or all that matters of it where it is selected."""

    def words(self) -> str:
        """Whose, what, tag, last visit."""
        card = self.value.card
        lines = [f"{line.name} {line.value} {line.verdict_text}" for line in card.last_lines]
        parts = (card.customer, card.unit_text, card.tag_text, card.last_title, *lines)
        return ". ".join(t for t in parts if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Row or card."""
        if self.value.selected:
            self._paint_card(painter, room, palette)
        else:
            self._paint_row(painter, room, palette)

    def _paint_row(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        card = self.value.card
        paint_panel(painter, room, palette)
        tag = Style(px=17, weight=600, color=palette.dim, align=RIGHT)
        inner = room.adjusted(20, 0, -18, 0)
        taken = row(painter, inner, card.tag_text, tag)
        name = Style(px=20, weight=700, color=palette.ink)
        wide = row(painter, QRectF(20, 0, room.width() * 0.42, room.height()), card.customer, name)
        unit = QRectF(
            wide.right() + 18,
            0,
            inner.right() - taken.width() - 18 - wide.right() - 18,
            room.height(),
        )
        row(painter, unit, card.unit_text, Style(px=17, weight=400, color=palette.dim))

    def _paint_card(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        card = self.value.card
        paint_panel(painter, room, palette, edge=3.0)
        low, button = is_low(room), main_place(room)
        high = (room.height() if low else button.top()) - 30
        body = QRectF(EDGE, 18, room.width() - 2 * EDGE, high)
        foot = history_place(room).top() if low else button.top()
        picture = QRectF(body.left(), body.top(), LEFT, foot - 30)
        self._paint_picture(painter, picture, palette)
        text = QRectF(picture.right() + 34, body.top(), body.right() - picture.right() - 34, 0)
        tag = Style(px=18, weight=600, color=palette.dim, align=RIGHT)
        head = QRectF(text.left(), text.top(), text.width(), 36)
        taken = row(painter, head, card.tag_text, tag)
        name = head.adjusted(0, 0, -taken.width() - 16, 0)
        row(painter, name, card.customer, Style(px=28, weight=800, color=palette.ink))
        below = QRectF(text.left(), head.bottom(), text.width(), 24)
        row(painter, below, card.unit_text, Style(px=18, weight=400, color=palette.ink))
        self._paint_last(
            painter,
            QRectF(
                text.left(), below.bottom() + 10, text.width(), body.bottom() - below.bottom() - 10
            ),
            palette,
        )
        paint_main(painter, button, palette)
        words = _("New visit") if low else _("Open a new visit")
        if card.open_visit_id:
            words = f"{_('Go on')}: {card.open_visit_text}" if card.open_visit_text else _("Go on")
            words = _("Go on") if low else words
        style = Style(px=24, weight=700, color=palette.bar_text)
        wide = cap_width("Enter")
        x = button.left() + (button.width() - wide - 14 - style.width(words)) / 2
        cap = QRectF(x, button.top() + (FOOT - 34) / 2, wide, 34)
        paint_cap(painter, cap, "Enter", main_cap(palette))
        row(painter, QRectF(cap.right() + 14, button.top(), 600, FOOT), words, style)

    def _paint_picture(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        card = self.value.card
        high = min(150.0, room.height() - 62.0)
        y = room.top()
        if high > 80.0:
            place = QRectF(room.left(), room.top(), room.width(), high)
            paint_machine(painter, place, palette)
            y = place.bottom() + 8
        bold = Style(px=17, weight=700, color=palette.ink, align=CENTRE)
        row(painter, QRectF(room.left() - 6, y, room.width() + 12, 24), card.visits_text, bold)
        quiet = replace(bold, weight=400, color=palette.dim)
        row(painter, QRectF(room.left() - 6, y + 24, room.width() + 12, 24), card.parts_text, quiet)

    def _paint_last(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        card = self.value.card
        if not card.last_title:
            quiet = Style(px=18, weight=400, color=palette.dim)
            paragraph(painter, room, _("No visit yet."), quiet)
            return
        bold = Style(px=17, weight=700, color=palette.ink)
        row(painter, QRectF(room.left(), room.top(), room.width(), 22), card.last_title, bold)
        y = room.top() + 26
        painter.fillRect(QRectF(room.left(), y, room.width(), 2), QColor(palette.ink))
        y += 2
        fits = int((room.bottom() - y + 4) / 36)
        for line in card.last_lines[:fits]:
            self._paint_line(painter, QRectF(room.left(), y, room.width(), 36), line, palette)
            y += 36

    def _paint_line(
        self, painter: QPainter, room: QRectF, line: LastLine, palette: Palette
    ) -> None:
        wide = room.width()
        name = Style(px=17, weight=400, color=palette.ink)
        label = QRectF(room.left(), room.top(), 0.26 * wide, room.height())
        row(painter, label, line.name, name, least=14)
        if line.ruler is not None:
            place = QRectF(room.left() + 0.275 * wide, room.center().y() - 11, 0.23 * wide, 22)
            paint_mini_ruler(painter, place, line.ruler, palette)
        value = Style(px=18, weight=700, color=palette.ink, align=RIGHT)
        where = QRectF(room.left() + 0.51 * wide, room.top(), 0.16 * wide, room.height())
        row(painter, where, line.value, value)
        x = room.left() + 0.69 * wide
        if line.verdict is not None:
            sign = QRectF(x, room.center().y() - 8, 38, 16)
            paint_verdict_glyph(painter, sign, line.verdict, line.side, palette)
            word = Style(px=16, weight=700, color=palette.text(line.verdict))
            words = QRectF(x + 46, room.top(), room.right() - x - 46, room.height())
            row(painter, words, line.verdict_text, word, least=11)
        painter.fillRect(
            QRectF(room.left(), room.bottom() - 1, wide, 1), QColor(palette.panel_edge)
        )
