"""How far work is that takes a while."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.ui.lettering import Style, paragraph, row
from benchassist.ui.panel import paint_panel
from benchassist.ui.part import Part


@dataclass(frozen=True, slots=True)
class WorkShown:
    """How much is done, 0 to 1, None while that is not known; and in words."""

    share: float | None = None
    text: str = ""
    note: str = ""


class WorkPanel(Part[WorkShown]):
    """Work while it is under way."""

    def __init__(self, parent: QWidget | None = None, *, px: int = 40, note_px: int = 18) -> None:
        self._px, self._note_px = px, note_px
        super().__init__(WorkShown(), parent)

    def words(self) -> str:
        """How far."""
        return ". ".join(t for t in (self.value.text, self.value.note) if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Words, a bar, a note."""
        shown = self.value
        paint_panel(painter, room, palette)
        inner = room.adjusted(24, 18, -24, -18)
        text = Style(px=self._px, weight=800, color=palette.ink)
        row(painter, QRectF(inner.left(), inner.top(), inner.width(), 52), shown.text, text)
        bar = QRectF(inner.left(), inner.top() + 64, inner.width(), 22)
        painter.fillRect(bar, QColor(palette.well))
        share = shown.share if shown.share is not None else 0.0
        done = QRectF(bar.left(), bar.top(), bar.width() * share, bar.height())
        painter.fillRect(done, QColor(palette.live))
        note = Style(px=self._note_px, weight=400, color=palette.dim)
        top = bar.bottom() + 12
        below = QRectF(inner.left(), top, inner.width(), inner.bottom() - top)
        paragraph(painter, below, shown.note, note, least=14)
