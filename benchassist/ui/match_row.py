"""One value of the display match: typed beside what the link said, or still covered."""

from dataclasses import dataclass
from enum import StrEnum

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.paint.stroke import NO_BRUSH, line, pen
from benchassist.services.desk import MatchRow
from benchassist.services.translation import _
from benchassist.ui.lettering import CENTRE, Style, paragraph, row
from benchassist.ui.panel import paint_panel
from benchassist.ui.part import Part

LINE_LEFT = 72.0
"""Where what is typed begins, right of the row's number."""


class Slot(StrEnum):
    """What a row is."""

    COMING = "coming"
    TYPING = "typing"
    DONE = "done"


@dataclass(frozen=True, slots=True, kw_only=True)
class SlotShown:
    """A row of the match. `cover` is what stands where the link's value is hidden."""

    slot: Slot = Slot.COMING
    number: int = 0
    row: MatchRow | None = None
    unit: str = ""
    unit_left: float = 0.0
    """Where the unit of a bare number stands, right of what is typed."""
    cover: str = ""


class MatchSlot(Part[SlotShown]):
    """A row: its number, what was typed, what the link says, what that means."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(SlotShown(), parent)

    def words(self) -> str:
        """The row as a sentence; nothing of the link before it has been compared."""
        shown = self.value
        if shown.slot is Slot.TYPING:
            return f"{shown.number}. {_('Type what you see')}. {shown.unit}. {shown.cover}"
        if shown.row is None:
            return f"{shown.number}"
        typed = f"{shown.row.typed} {shown.row.typed_unit}".strip()
        link = f"{shown.row.link} {shown.row.link_unit}".strip()
        parts = (str(shown.number), f"{_('You typed')} {typed}", f"{_('Link says')} {link}")
        return ". ".join((*parts, shown.row.text))

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """A panel with a strong edge where one types, a quiet one elsewhere."""
        shown = self.value
        typing = shown.slot is Slot.TYPING
        paint_panel(painter, room, palette, edge=4.0 if typing else 1.0)
        quiet = shown.slot is Slot.COMING
        number = Style(px=26, weight=800, color=palette.faint if quiet else palette.ink)
        row(painter, QRectF(24, 0, 40, room.height()), str(shown.number), number)
        if typing:
            self._paint_typing(painter, room, palette)
        elif shown.row is not None:
            self._paint_row(painter, room, palette, shown.row)

    def _paint_typing(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        shown = self.value
        label = Style(px=18, weight=400, color=palette.dim)
        covered = cover_left(room.width())
        row(painter, QRectF(LINE_LEFT, 12, covered - 90, 28), _("Type what you see"), label)
        unit = Style(px=48, weight=600, color=palette.dim)
        place = QRectF(shown.unit_left, 44, covered - shown.unit_left - 12, room.height() - 56)
        row(painter, place.translated(0, 10), shown.unit, unit, least=14)
        row(painter, QRectF(covered, 12, 200, 28), _("Link says"), label)
        box = QRectF(covered, 46, room.width() - covered - 32, room.height() - 46 - 36)
        painter.fillRect(box, QColor(palette.well))
        painter.setBrush(NO_BRUSH)
        painter.setPen(pen(palette.dim, 1.5, dash=(6.0, 4.0)))
        painter.drawRect(box)
        hidden = Style(px=19, weight=600, color=palette.dim, align=CENTRE)
        paragraph(painter, box.adjusted(10, 0, -10, 0), shown.cover, hidden, least=14, upright=0.5)

    def _paint_row(
        self, painter: QPainter, room: QRectF, palette: Palette, compared: MatchRow
    ) -> None:
        meaning = room.width() * 0.60
        across = (meaning - LINE_LEFT - 16) / 2
        for i, (name, value, unit) in enumerate(
            (
                (_("You typed"), compared.typed, compared.typed_unit),
                (_("Link says"), compared.link or _("nothing"), compared.link_unit),
            )
        ):
            x = LINE_LEFT + i * across
            head = QRectF(x, room.height() / 2 - 36, across - 12, 24)
            row(painter, head, name, Style(px=17, weight=400, color=palette.dim))
            digits = Style(px=38, weight=800, color=palette.ink)
            below = QRectF(x, head.bottom() + 2, across - 12, 40)
            unit_style = Style(px=22, weight=600, color=palette.dim)
            beside = unit_style.width(unit) + 12 if unit else 0.0
            taken = row(painter, below.adjusted(0, 0, -beside, 0), value, digits, least=16)
            after = QRectF(below.left() + taken.width() + 10, below.top() + 5, beside, 40)
            row(painter, after, unit, unit_style)
        self._paint_meaning(painter, QRectF(meaning, 0, room.width() - meaning, room.height()))

    def _paint_meaning(self, painter: QPainter, room: QRectF) -> None:
        """Two bars and a word; a stroke through them and what it points to."""
        palette, compared = self.look.palette, self.value.row
        if compared is None:
            return
        colour = palette.in_text if compared.same else palette.out_text
        middle = room.center().y()
        for y in (middle - 8, middle + 3):
            painter.fillRect(QRectF(room.left(), y, 30, 6), QColor(colour))
        words = room.adjusted(46, 6, -18, -6)
        if compared.same:
            bold = Style(px=26, weight=800, color=palette.ink)
            row(painter, words, compared.text, bold)
            return
        foot, top = (room.left() + 6.0, middle + 18.0), (room.left() + 24.0, middle - 18.0)
        line(painter, foot, top, pen(colour, 5.0))
        cause = Style(px=20, weight=700, color=palette.out_text)
        paragraph(painter, words, compared.text, cause, least=14, upright=0.5)


def cover_left(width: float) -> float:
    """Where the cover over the link's value begins in a row of that width."""
    return max(0.56 * width, width - 340.0)
