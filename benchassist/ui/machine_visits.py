"""The left column of a machine's file: a card a visit on kraft, the selected one in view."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QColor, QMouseEvent, QPainter, QWheelEvent
from PySide6.QtWidgets import QWidget

from benchassist.paint import lettering
from benchassist.paint.palette import Palette
from benchassist.services.record.machine_file_view import VisitCard, VisitLine
from benchassist.services.translation import _, ngettext
from benchassist.ui.cap import paint_triangle
from benchassist.ui.lettering import LEADING, RIGHT, Style, paragraph, row, wrapped_height
from benchassist.ui.look import Look
from benchassist.ui.part import Part

MARGIN: Final = 24.0
INSET: Final = 18.0
TITLE: Final = 30.0
LABEL: Final = 64.0
GAP: Final = 12.0
TEXT: Final = 17
SHADOW: Final = 3.0


@dataclass(frozen=True, slots=True)
class VisitsShown:
    """The visits, newest first, the selected one, and what stands below the last."""

    visits: tuple[VisitCard, ...] = ()
    visit_id: str = ""
    foot: str = ""
    unread: str = ""
    empty_text: str = ""


class Visits(Part[VisitsShown]):
    """Cards from the top; the column moves no more than the selected one needs."""

    chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        self._tops: list[tuple[float, float]] = []
        self._scroll = 0.0
        super().__init__(VisitsShown(), parent)

    def words(self) -> str:
        """Every visit's card, the selected one first, and the foot."""
        shown = self.value
        cards = sorted(shown.visits, key=lambda card: card.visit_id != shown.visit_id)
        return ". ".join(t for t in (*map(card_words, cards), shown.foot, shown.unread) if t)

    # --- layout ---------------------------------------------------------------------------------

    def changed(self, before: VisitsShown) -> None:
        """Lay out anew, follow the selected card."""
        self._lay_out()
        if before.visit_id != self.value.visit_id or not before.visits:
            self._follow()
        self.update()

    def dress(self, look: Look) -> None:
        """Another size of letters is another layout."""
        super().dress(look)
        self._lay_out()
        self._follow()

    def resizeEvent(self, event: object) -> None:
        """Another width is another layout."""
        self._lay_out()
        self._follow()

    @property
    def _wide(self) -> float:
        return self.width() / self.look.s - 2 * MARGIN

    @property
    def _room(self) -> float:
        """The height cards have: above the foot."""
        return self.height() / self.look.s - self._foot_high()

    def _lay_out(self) -> None:
        y, self._tops = 20.0, []
        for card in self.value.visits:
            high = card_height(card, self._wide)
            self._tops.append((y, high))
            y += high + GAP
        self._scroll = min(self._scroll, self._most)

    @property
    def _most(self) -> float:
        """How far the column can be scrolled."""
        end = self._tops[-1][0] + self._tops[-1][1] + GAP if self._tops else 0.0
        return max(0.0, end - self._room)

    def _follow(self) -> None:
        ids = [card.visit_id for card in self.value.visits]
        if self.value.visit_id not in ids or not self._tops:
            self._scroll = 0.0
            return
        top, high = self._tops[ids.index(self.value.visit_id)]
        lowest, highest = top + high + GAP - self._room, top - GAP
        self._scroll = min(max(self._scroll, lowest), highest)
        self._scroll = min(max(0.0, self._scroll), self._most)

    def roll(self, by: float) -> None:
        """Move the column by so many units."""
        self._scroll = min(max(0.0, self._scroll + by), self._most)
        self.update()

    def page(self, step: int) -> None:
        """A column's height up or down."""
        self.roll(step * 0.85 * self._room)

    # --- painting -------------------------------------------------------------------------------

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Kraft, the cards in view, how many are out of it, the foot."""
        painter.fillRect(room, QColor(palette.kraft))
        painter.save()
        painter.setClipRect(QRectF(0.0, 0.0, room.width(), self._room))
        for card, (top, high) in zip(self.value.visits, self._tops, strict=True):
            y = top - self._scroll
            if y + high < 0.0 or y > self._room:
                continue
            selected = card.visit_id == self.value.visit_id
            place = QRectF(MARGIN, y, self._wide, high)
            paint_card(painter, place, card, palette, view=(0.0, self._room), selected=selected)
        painter.restore()
        if not self.value.visits and self.value.empty_text:
            style = Style(px=20, weight=500, color=palette.kraft_text)
            paragraph(painter, QRectF(MARGIN, 24, self._wide, 120), self.value.empty_text, style)
        self._paint_foot(painter, room, palette)

    def _hidden(self) -> tuple[int, int]:
        """How many cards begin above the view, and how many end below it."""
        above = sum(top - self._scroll < -1.0 for top, _high in self._tops)
        below = sum(top + high - self._scroll > self._room + 1.0 for top, high in self._tops)
        return above, below

    def _foot_high(self) -> float:
        unread = self.value.unread
        style = Style(px=TEXT, weight=700, color="#000000")
        more = (
            min(2, round(wrapped_height(unread, self._wide - 30.0, style) / 21.0)) if unread else 0
        )
        return 44.0 + 22.0 * more

    def _paint_foot(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        high = self._foot_high()
        top = room.height() - high
        if self._most > 0.0:
            painter.fillRect(QRectF(0.0, top, room.width(), 1.0), QColor(palette.kraft_text))
        y = top + 8.0
        if self.value.unread:
            paint_triangle(
                painter, QRectF(MARGIN, y + 1.0, 22.0, 19.0), palette.kraft_text, palette.kraft
            )
            style = Style(px=TEXT, weight=700, color=palette.kraft_text)
            where = QRectF(MARGIN + 30.0, y, self._wide - 30.0, high - 46.0)
            paragraph(painter, where, self.value.unread, style, least=13)
            y = room.height() - 38.0
        style = Style(px=TEXT, weight=400, color=palette.kraft_text)
        text = " ".join(t for t in (self.value.foot, self._hidden_text()) if t)
        row(painter, QRectF(MARGIN, y, self._wide, 28.0), text, style, least=13)

    def _hidden_text(self) -> str:
        above, below = self._hidden()
        count = len(self.value.visits)
        if below:
            return ngettext("{n} more below.", "{n} more below.", below).format(n=below)
        if above:
            return ngettext("{n} more above.", "{n} more above.", above).format(n=above)
        return _("No older visits.") if count else ""

    # --- mouse ----------------------------------------------------------------------------------

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Look up and down the column; it comes back with the next visit selected."""
        self.roll(-event.angleDelta().y() / 2.0)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A click on a card selects its visit."""
        y = event.position().y() / self.look.s
        if event.button() != Qt.MouseButton.LeftButton or y > self._room:
            return
        for card, (top, high) in zip(self.value.visits, self._tops, strict=True):
            if top <= y + self._scroll <= top + high:
                self.chosen.emit(card.visit_id)


def card_words(card: VisitCard) -> str:
    """A visit's card in words."""
    lines = (f"{each.label}: {each.text}" for each in card.lines)
    return ". ".join((card.title, card.slip_text, *lines))


# --- one card -------------------------------------------------------------------------------------


def card_height(card: VisitCard, wide: float) -> float:
    """How high a visit's card is at that width, in units."""
    return 12.0 + TITLE + sum(high for _line, high in _lines(card, wide)) + 12.0


def _lines(card: VisitCard, wide: float) -> Iterator[tuple[VisitLine, float]]:
    """Each line with its height."""
    style = Style(px=TEXT, weight=500, color="#000000")
    for each in card.lines:
        high = wrapped_height(each.text, wide - 2 * INSET - LABEL, style)
        yield each, max(24.0, high + 3.0)


def paint_card(
    painter: QPainter,
    room: QRectF,
    card: VisitCard,
    palette: Palette,
    *,
    view: tuple[float, float],
    selected: bool = False,
) -> None:
    """A visit's card on paper; of its lines those that are whole between the two heights."""
    first, last = view
    shade = QColor("#000000")
    shade.setAlphaF(0.16)
    painter.fillRect(room.translated(SHADOW, SHADOW), shade)
    painter.fillRect(room, QColor(palette.paper))
    if selected:
        painter.fillRect(QRectF(room.left(), room.top(), 6.0, room.height()), palette.live)
    inner = room.adjusted(INSET, 8.0, -INSET, -8.0)
    slip = Style(px=16, weight=400, color=palette.dim, align=RIGHT)
    head = QRectF(inner.left(), inner.top(), inner.width(), TITLE)
    title = Style(px=22, weight=800, color=palette.ink)
    if first <= head.top() and head.bottom() <= last:
        taken = row(painter, head, card.slip_text, slip).width()
        row(painter, head.adjusted(0.0, 0.0, -taken - 12.0, 0.0), card.title, title)
    y = head.bottom() + 4.0
    label = Style(px=TEXT, weight=400, color=palette.dim)
    text = Style(px=TEXT, weight=500, color=palette.ink)
    step = LEADING * TEXT
    for each, high in _lines(card, room.width()):
        if first <= y and y + step <= last:
            row(painter, QRectF(inner.left(), y, LABEL - 6.0, step), each.label, label)
        wide = inner.width() - LABEL
        for i, words in enumerate(lettering.wrap(each.text, wide, text)):
            line = QRectF(inner.left() + LABEL, y + i * step, wide, step)
            if first <= line.top() and line.bottom() <= last:
                row(painter, line, words, text, least=TEXT)
        y += high
