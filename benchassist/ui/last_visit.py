"""The last visit of a machine that came back, on kraft below what is written of the new one."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.services.record.machine_file_view import MachineFileView, VisitCard
from benchassist.services.translation import _
from benchassist.ui.lettering import RIGHT, Style, row
from benchassist.ui.machine_visits import MARGIN, card_height, card_words, paint_card
from benchassist.ui.part import Part

HEAD = 44.0
FOOT = 18.0
LEAST = HEAD + 70.0 + FOOT
"""Lower than this the card would say nothing."""


@dataclass(frozen=True, slots=True)
class LastShown:
    """The card, and how many visits there were."""

    card: VisitCard | None = None
    visits_text: str = ""


def last_of(file: MachineFileView | None) -> LastShown:
    """What is shown of a machine's file; nothing where it has no visit."""
    if file is None or not file.visits:
        return LastShown()
    return LastShown(file.visits[0], file.visits_text)


class LastVisit(Part[LastShown]):
    """A heading and the card; of its lines those there is room for."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(LastShown(), parent)

    def words(self) -> str:
        """The card in words."""
        card = self.value.card
        return f"{_('Last visit')}. {card_words(card)}" if card is not None else ""

    def needs(self, wide: float) -> float:
        """The height that shows all of it, in units; 0 where there is nothing to show."""
        card = self.value.card
        return HEAD + card_height(card, wide - 2 * MARGIN) + FOOT if card is not None else 0.0

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Kraft, heading, card."""
        painter.fillRect(room, QColor(palette.kraft))
        shown = self.value
        if shown.card is None:
            return
        head = QRectF(MARGIN, 8.0, room.width() - 2 * MARGIN, 32.0)
        quiet = Style(px=17, weight=400, color=palette.kraft_text, align=RIGHT)
        taken = row(painter, head, shown.visits_text, quiet).width()
        bold = Style(px=20, weight=800, color=palette.kraft_text)
        row(painter, head.adjusted(0.0, 0.0, -taken - 12.0, 0.0), _("Last visit"), bold)
        high = min(card_height(shown.card, head.width()), room.height() - HEAD - FOOT)
        place = QRectF(MARGIN, HEAD, head.width(), high)
        paint_card(painter, place, shown.card, palette, view=(0.0, place.bottom() - 4.0))
