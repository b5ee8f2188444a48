"""What stands around the rows of the display match: what to do above them, why below."""

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.services.desk import MatchView
from benchassist.services.translation import _
from benchassist.ui.lettering import Style, paragraph, row, runs
from benchassist.ui.part import Part


class MatchWords(Part[MatchView]):
    """What to do, in two lines."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(MatchView(), parent)

    def words(self) -> str:
        """Both lines."""
        return " ".join(f"{lead}{bold}{rest}" for lead, bold, rest in self._lines())

    def _lines(self) -> tuple[tuple[str, str, str], ...]:
        if self.value.done:
            agree = (_("Display and link agree "), _("three times in a row."), "")
            return (agree, (self.value.note, "", ""))
        look, kind = _("Look at the meter. "), _("Type what you see,")
        return (
            (look, kind, _(" dot and all.")),
            (_("We keep ours covered until you press Enter."), "", ""),
        )

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """One below the other."""
        plain = Style(px=26, weight=500, color=palette.ink)
        bold = Style(px=26, weight=800, color=palette.ink)
        for i, (lead, strong, rest) in enumerate(self._lines()):
            where = QRectF(0, i * room.height() / 2, room.width(), room.height() / 2)
            runs(painter, where, ((lead, plain), (strong, bold), (rest, plain)), least=16)


class MatchNote(Part[tuple[str, str]]):
    """Why, and what follows from it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(("", ""), parent)

    def words(self) -> str:
        """Both."""
        return " ".join(t for t in self.value if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """The first in ink, the second quiet."""
        why, then = self.value
        ink = Style(px=20, weight=500, color=palette.ink)
        above = QRectF(0, 0, room.width(), room.height() - 30)
        paragraph(painter, above, why, ink, least=15, upright=1.0)
        quiet = Style(px=20, weight=400, color=palette.dim)
        row(painter, QRectF(0, room.height() - 28, room.width(), 28), then, quiet)
