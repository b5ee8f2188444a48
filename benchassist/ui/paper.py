"""Paper on kraft: the left panel of a page, with lines written on it."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.paint.slip_panel import (
    INSET,
    PAPER_TOP,
    SURROUND,
    SheetLayout,
    paint_sheet_layout,
)
from benchassist.ui.lettering import RIGHT, Style, paragraph, row, wrapped_height
from benchassist.ui.part import Part


def paint_paper(painter: QPainter, room: QRectF, palette: Palette) -> QRectF:
    """Kraft with a sheet torn off at the top; returns where to write on it."""
    blank = SheetLayout((), (), 0.0, room.width())
    paint_sheet_layout(painter, room, blank, palette)
    beside = SURROUND + INSET
    return room.adjusted(beside, PAPER_TOP + 24.0, -beside, 0.0)


@dataclass(frozen=True, slots=True)
class SheetShown:
    """A heading, a remark beside it, a line below it, and pairs of name and text."""

    title: str = ""
    remark: str = ""
    name: str = ""
    line: str = ""
    pairs: tuple[tuple[str, str], ...] = ()


class Sheet(Part[SheetShown]):
    """A card being written: names left, what was said below each."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(SheetShown(), parent)

    def words(self) -> str:
        """All that is written."""
        shown = self.value
        pairs = [f"{name}: {text}" for name, text in shown.pairs]
        return ". ".join(t for t in (shown.title, shown.name, shown.line, *pairs) if t)

    def needs(self, wide: float) -> float:
        """The height that shows all that is written, in units."""
        shown = self.value
        inner = wide - 2 * (SURROUND + INSET)
        said = Style(px=18, weight=600, color="#000000")
        rows = (
            36.0 + (min(wrapped_height(text, inner, said), 70.0) if text else 24.0)
            for _label, text in shown.pairs
        )
        lines = 24.0 * sum(bool(text) for text in (shown.name, shown.line))
        return PAPER_TOP + 24.0 + 28.0 + lines + 12.0 + sum(rows) + 12.0

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """From the top down; what is not filled in yet stays a line to write on."""
        shown = self.value
        inner = paint_paper(painter, room, palette)
        head = QRectF(inner.left(), inner.top(), inner.width(), 28)
        remark = Style(px=16, weight=400, color=palette.dim, align=RIGHT)
        taken = row(painter, head, shown.remark, remark)
        title = Style(px=22, weight=800, color=palette.ink)
        row(painter, head.adjusted(0, 0, -taken.width() - 12, 0), shown.title, title)
        y = head.bottom()
        for text, px, weight, colour in (
            (shown.name, 18, 700, palette.ink),
            (shown.line, 16, 400, palette.dim),
        ):
            if text:
                where = QRectF(inner.left(), y, inner.width(), 24)
                row(painter, where, text, Style(px=px, weight=weight, color=colour))
                y += 24
        y += 10
        painter.fillRect(QRectF(inner.left(), y, inner.width(), 2), QColor(palette.ink))
        y += 2
        name = Style(px=15, weight=400, color=palette.dim)
        said = Style(px=18, weight=600, color=palette.ink)
        for label, text in shown.pairs:
            high = 30 + (min(wrapped_height(text, inner.width(), said), 70) if text else 24) + 6
            if y + high > room.bottom() - 8:
                break
            row(painter, QRectF(inner.left(), y + 6, inner.width(), 22), label, name)
            where = QRectF(inner.left(), y + 28, inner.width(), high - 36)
            paragraph(painter, where, text, said)
            y += high
            painter.fillRect(QRectF(inner.left(), y - 1, inner.width(), 1), QColor(palette.rule))
